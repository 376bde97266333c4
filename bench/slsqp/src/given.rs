//! Jobs and starts.

#[allow(dead_code)]
#[path = "../../../crates/route/tests/families/mod.rs"]
mod families;

use route::problem::RoutingProblem;
use route::search::pick::Picks;
use route::search::pool::{PoolSettings, build};
use route::search::search_run::blank;
use route::search::state::State;
use std::sync::atomic::AtomicBool;

/// A job and the starts that the search would try for it.
pub struct Given {
    /// Kept for the life of the program: evaluators hold on to it.
    pub problem: &'static RoutingProblem,
    /// Picks from the pool of lone routes, cheapest first.
    pub starts: Vec<State>,
}

impl Given {
    /// Variant `variant` of family `family`, with at most `starts` starts.
    pub fn new(family: u32, variant: u32, seed: u64, starts: usize) -> Option<Self> {
        let make =
            *[families::inline_four, families::v8_bank, families::inline_six, families::turbo].get(family as usize)?;
        let problem: &'static RoutingProblem = Box::leak(Box::new(RoutingProblem::new(&make(variant), &[])));
        let state = blank(problem);
        let none = vec![None; problem.runs.len()];
        let settings = PoolSettings { seed, starts: 12, most_bends: 4, stop: &AtomicBool::new(false) };
        let pool = build(problem, &state, settings, &none, None);
        let picks = Picks::new(problem, &state, &pool, seed).take(starts);
        Some(Given { problem, starts: picks })
    }
}
