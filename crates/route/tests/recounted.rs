//! Every answer of the search is held to the slow recount, on each family and seed.

#[path = "families/mod.rs"]
mod families;

use job::model::Job;
use route::problem::Problem;
use route::recount::recount;
use route::search::{drive::Settings, solve::solve};

fn holds(job: &Job, seeds: std::ops::Range<u64>) {
    let problem = Problem::new(job, &[]);
    for seed in seeds {
        let settings = Settings { seed, effort: 1, rounds: 6, pools: 2, draw_nearest: true, room: 0.0 };
        let outcome = solve(&problem, None, settings, &mut |_| true);
        assert!(outcome.met, "{} is not met with seed {seed}: {:?}", job.name, outcome.miss);
        for answer in &outcome.answers {
            let misses = recount(job, &answer.routes);
            assert!(misses.is_empty(), "{} seed {seed}: {}", job.name, misses[0]);
        }
    }
}

#[test]
fn inline_fours_are_met() {
    (0..3).for_each(|variant| holds(&families::inline_four(variant), 0..3));
}

#[test]
fn v8_banks_are_met() {
    (0..3).for_each(|variant| holds(&families::v8_bank(variant), 0..3));
}

#[test]
fn inline_sixes_are_met() {
    (0..3).for_each(|variant| holds(&families::inline_six(variant), 0..3));
}

#[test]
fn turbo_manifolds_are_met() {
    (0..3).for_each(|variant| holds(&families::turbo(variant), 0..3));
}
