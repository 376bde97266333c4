//! What makes one answer better than another once every requirement holds.

use job::model::Objective;

use super::path::TubePath;
use super::state::State;
use crate::problem::RoutingProblem;

/// Millimetres of length that weigh as much as one bend when a compact manifold is asked for.
const COMPACT_MM: f64 = 25.0;

/// Share that bends keep when a compact manifold is asked for.
const COMPACT_BENDS: f64 = 0.3;

/// Score of one run: bends + turning / 90 degrees, and length where it counts. Less is better.
pub fn run_score(problem: &RoutingProblem, run: usize, path: &TubePath) -> f64 {
    let bends = path.clrs.len() as f64 + path.turn() / std::f64::consts::FRAC_PI_2;
    match problem.length_targets[problem.runs[run].wanted].objective {
        Objective::Even => bends,
        Objective::Compact => COMPACT_BENDS * bends + path.length / COMPACT_MM,
    }
}

/// Score of all runs as laid in `state`.
pub fn score(problem: &RoutingProblem, state: &State) -> f64 {
    let mut path = TubePath::default();
    (0..problem.runs.len())
        .map(|i| {
            super::state::lay(problem, i, &state.runs[i], &state.moves, &mut path);
            run_score(problem, i, &path)
        })
        .sum()
}
