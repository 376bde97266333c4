//! The gradient of every requirement is the derivative of its value, on each family near an answer.

mod families;

use std::collections::BTreeMap;

use job::Monitor;
use job::model::Job;
use oorandom::Rand64;
use route::problem::RoutingProblem;
use route::search::evaluate::{Evaluator, Scope, Tag, Weights};
use route::search::state::State;
use route::{RouteSettings, route};

/// Step of the differences, mm (rad for the roll of a collector).
const STEP: f64 = 1e-5;

/// Rows of `state` by tag: value and gradient.
fn rows(evaluator: &mut Evaluator, state: &State) -> BTreeMap<Tag, (f64, Vec<f64>)> {
    evaluator.linearise(state);
    let rows = evaluator.sink_mut().rows.take().expect("rows are told");
    evaluator.sink_mut().rows = Some(Vec::new());
    rows.into_iter().map(|r| (r.tag, (r.miss, r.gradient))).collect()
}

/// Compares each row of `job` with central differences at `places` states around its first answer. Where the nearest
/// point jumps from one stretch to another a value has a kink: one row in a hundred may be off.
fn holds(job: &Job, places: usize) {
    let settings = RouteSettings { effort: 0, ..RouteSettings::default() };
    let routed = route(job, None, settings, &mut Monitor::silent());
    let problem = RoutingProblem::new(job, &[]);
    let answer = &routed.answers[0].state;
    let scope = Scope { active: (0..problem.runs.len()).collect(), fixed: Vec::new(), joint: true };
    let weights = Weights { turn: 0.0, length: 0.0, margin: 0.25, spared: 0.0, step: 8.0, room: 0.0 };
    let mut rng = Rand64::new(11);
    let (mut told, mut off) = (0, Vec::new());
    for _ in 0..places {
        let mut evaluator = Evaluator::new(&problem, answer, scope.clone(), weights);
        let n = evaluator.freedoms();
        let mut shake = || -> Vec<f64> { (0..n).map(|_| 3.0 * (rng.rand_float() - 0.5)).collect() };
        let mut state = evaluator.moved(answer, &shake());
        // At the limit of its moves a collector has no derivative.
        state.moves.iter_mut().for_each(|m| *m = m.map(|q| 0.5 * q));
        evaluator.tell_rows(&state, 6.0);
        let here = rows(&mut evaluator, &state);
        let mut numeric: BTreeMap<Tag, Vec<f64>> = here.keys().map(|t| (*t, vec![f64::NAN; n])).collect();
        for k in 0..n {
            let mut at = |offset: f64| {
                let mut step = vec![0.0; n];
                step[k] = offset;
                let moved = evaluator.moved(&state, &step);
                rows(&mut evaluator, &moved)
            };
            let (up, down) = (at(STEP), at(-STEP));
            for (tag, slopes) in &mut numeric {
                if let (Some(u), Some(d)) = (up.get(tag), down.get(tag)) {
                    slopes[k] = (u.0 - d.0) / (2.0 * STEP);
                }
            }
        }
        for (tag, (_, gradient)) in &here {
            let worst = gradient.iter().zip(&numeric[tag]).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            told += 1;
            if worst > 1e-4 * (1.0 + gradient.iter().map(|g| g.abs()).fold(0.0, f64::max)) {
                off.push((*tag, worst));
            }
        }
    }
    assert!(told > 100, "{} rows", told);
    assert!(
        off.len() * 100 <= told,
        "{}: {} of {told} rows are off: {:?}",
        job.name,
        off.len(),
        &off[..off.len().min(20)]
    );
}

#[test]
fn of_inline_fours() {
    (0..2).for_each(|v| holds(&families::inline_four(v), 3));
}

#[test]
fn of_v8_banks() {
    holds(&families::v8_bank(0), 3);
}

#[test]
fn of_manifolds() {
    holds(&families::turbo(0), 3);
}

#[test]
fn of_collectors_that_move() {
    holds(&families::movable(0), 3);
}

#[test]
fn of_merges() {
    holds(&families::merged(families::inline_four(0)), 4);
}

#[test]
fn of_merges_that_move() {
    holds(&families::merged(families::movable(0)), 3);
}

#[test]
fn of_networks() {
    holds(&families::four_two_one(0), 2);
}

#[test]
fn of_sixes() {
    holds(&families::inline_six(0), 2);
}

#[test]
fn of_divided_entries() {
    holds(&families::twin_turbo_entry(0), 2);
}

#[test]
fn of_both_banks() {
    holds(&families::v8_both(0), 1);
}

#[test]
fn of_headers_slid_on() {
    holds(&families::slid_on(0), 2);
}
