//! Every answer of the search is held to the slow recount, on each family and several seeds.

mod families;

use job::Monitor;
use job::model::Job;
use route::finding::{Change, Impossibility, Requirement};
use route::goes_on::goes_on;
use route::recount::recount;
use route::{RouteSettings, route};

fn holds(job: &Job, seeds: std::ops::Range<u64>) {
    for seed in seeds {
        let settings = RouteSettings { seed, effort: 1, ..RouteSettings::default() };
        let routed = route(job, None, settings, &mut Monitor::silent());
        assert!(routed.met, "{} is not met with seed {seed}: {:?}", job.name, routed.misses.first());
        for answer in routed.answers.iter().take(3) {
            let misses = recount(job, &answer.routes);
            assert!(misses.is_empty(), "{} seed {seed}: {:?}", job.name, misses[0]);
        }
        if let Some(moves) = &job.goes_on {
            let contact = goes_on(job, &routed.answers[0].routes, moves).expect("an answer's routes are tubes");
            assert_eq!(contact, None, "{} seed {seed}", job.name);
        }
    }
}

#[test]
fn inline_fours_are_met() {
    (0..3).for_each(|variant| holds(&families::inline_four(variant), 0..2));
}

#[test]
fn v8_banks_are_met() {
    (0..3).for_each(|variant| holds(&families::v8_bank(variant), 0..2));
}

#[test]
fn inline_sixes_are_met() {
    (0..3).for_each(|variant| holds(&families::inline_six(variant), 0..2));
}

#[test]
fn turbo_manifolds_are_met() {
    (0..3).for_each(|variant| holds(&families::turbo(variant), 0..2));
    (0..2).for_each(|variant| holds(&families::twin_turbo_entry(variant), 0..2));
}

#[test]
fn networks_with_secondaries_and_a_tail_are_met() {
    holds(&families::four_two_one(0), 0..2);
}

#[test]
fn tubes_of_merges_lean_into_them_and_keep_clear_of_their_bodies() {
    holds(&families::merged(families::inline_four(0)), 0..2);
    holds(&families::merged(families::movable(0)), 0..2);
    holds(&families::merged(families::four_two_one(0)), 0..1);
}

#[test]
fn collectors_move_and_follow_the_firing_order() {
    (0..2).for_each(|variant| holds(&families::movable(variant), 0..2));
}

#[test]
fn both_banks_of_a_v8_are_met() {
    holds(&families::v8_both(0), 0..1);
}

#[test]
fn a_header_goes_onto_its_studs() {
    (0..2).for_each(|variant| holds(&families::slid_on(variant), 0..2));
}

#[test]
fn the_answer_does_not_depend_on_the_threads() {
    let job = families::inline_four(0);
    let answers: Vec<_> = [1, 2, 3]
        .into_iter()
        .map(|threads| {
            let settings = RouteSettings { effort: 3, threads, ..RouteSettings::default() };
            route(&job, None, settings, &mut Monitor::silent()).answers[0].routes.clone()
        })
        .collect();
    assert_eq!(answers[0], answers[1]);
    assert_eq!(answers[0], answers[2]);
}

#[test]
fn a_last_answer_is_mended_after_a_small_change() {
    let job = families::inline_four(0);
    let first = route(&job, None, RouteSettings { effort: 2, ..RouteSettings::default() }, &mut Monitor::silent());
    let mut changed = job.clone();
    changed.ports[1].at.z += 1.5;
    let settings = RouteSettings { effort: 0, ..RouteSettings::default() };
    let repaired = route(&changed, Some(&first.answers[0].routes), settings, &mut Monitor::silent());
    assert!(repaired.met);
    assert!(recount(&changed, &repaired.answers[0].routes).is_empty());
    let bends = |routed: &route::Routed| routed.answers[0].bends;
    assert_eq!(bends(&first), bends(&repaired));
}

#[test]
fn locked_runs_stay_and_the_rest_goes_round_them() {
    let job = families::inline_four(0);
    let mut first = route(&job, None, RouteSettings { effort: 1, ..RouteSettings::default() }, &mut Monitor::silent());
    let kept = &mut first.answers[0].routes.runs[2];
    kept.locked = true;
    let kept = kept.clone();
    let settings = RouteSettings { seed: 9, effort: 1, ..RouteSettings::default() };
    let again = route(&job, Some(&first.answers[0].routes), settings, &mut Monitor::silent());
    assert!(again.met);
    assert_eq!(again.answers[0].routes.runs[2], kept);
    assert!(recount(&job, &again.answers[0].routes).is_empty());
}

#[test]
fn a_target_below_the_straight_line_is_shown_to_be_impossible() {
    // The collector of the second may come 40 mm nearer; that is not enough.
    for (mut job, target) in [(families::v8_bank(0), 560.0), (families::movable(0), 400.0)] {
        job.primary.length.target = Some(target);
        let routed = route(&job, None, RouteSettings::default(), &mut Monitor::silent());
        assert!(!routed.met && !routed.impossible.is_empty());
        assert_eq!(routed.answers.len(), 1, "the nearest answer is kept");
        let first = &routed.relaxations[0];
        let longer = matches!(first.change, Change::ChangeTarget { from, to } if from == target && to > target);
        assert!(first.met && longer, "{first:?}");
        // The nearest answer keeps every other requirement.
        let lengths = routed.misses.iter().all(|m| m.requirement() == Requirement::Length);
        assert!(lengths && routed.misses.len() <= job.ports.len(), "{:?}", routed.misses);
    }
}

#[test]
fn a_target_that_no_bend_is_tight_enough_for_is_shown_to_be_impossible() {
    // The straight line would do; the quarter turns at either end, of a CLR that can be bought, do not fit on it.
    let routed = route(&families::inline_six(4), None, RouteSettings::default(), &mut Monitor::silent());
    let why = &routed.impossible.first().expect("it is shown").why;
    assert!(matches!(why, Impossibility::ShortestRouteTooLong { .. }), "{why:?}");
}

#[test]
fn an_inlet_that_touches_the_rail_on_its_way_on_is_shown_to_be_impossible() {
    let routed = route(&families::slid_on(5), None, RouteSettings::default(), &mut Monitor::silent());
    let why = &routed.impossible.first().expect("it is shown").why;
    assert_eq!(why.keepout(), Some("frame rail"));
    let Impossibility::TooFewInlets(cause) = why else { panic!("{why:?}") };
    assert!(matches!(**cause, Impossibility::StubFoulsDuringFitting { .. }), "{cause:?}");
}

#[test]
fn a_walled_in_port_names_the_wall() {
    let mut job = families::inline_four(0);
    let wall = job::model::Shape::Box {
        center: geom::Vec3::new(-300.0, 120.0, -200.0),
        size: geom::Vec3::new(900.0, 20.0, 400.0),
        axes: [geom::Vec3::X, geom::Vec3::Y, geom::Vec3::Z],
    };
    job.keepouts.push(job::model::Keepout { name: "wall".into(), shape: wall, clearance: 10.0, holds_ports: false });
    let routed = route(&job, None, RouteSettings::default(), &mut Monitor::silent());
    assert!(!routed.met && !routed.blocked.is_empty());
    let first = &routed.relaxations[0];
    assert!(first.met && first.change.keepout() == Some("wall"), "{first:?}");
    // One cause for each blocked run, and nothing of what the wall makes impossible besides.
    let about_the_wall = routed.misses.iter().all(|m| m.keepout() == Some("wall"));
    assert!(about_the_wall && routed.misses.len() <= job.ports.len(), "{:?}", routed.misses);
}
