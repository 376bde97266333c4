//! Making a whole state meet every requirement: a repair of what misses much, and the projection that closes an answer.

use super::evaluate::{Evaluator, Scope, Weights};
use super::least_squares::{Budget, Solved, solve};
use super::state::State;
use crate::problem::RoutingProblem;

/// Margin by which a repaired state keeps away from its limits, mm.
///
/// Points 10 mm apart miss up to 0.25 mm at sharp edges; the answer is looked at finely afterwards.
pub const REPAIR_MARGIN_MM: f64 = 0.25;

/// Margin of a polished answer, mm: covers what points 4 mm apart can miss.
pub const ANSWER_MARGIN_MM: f64 = 0.06;

/// How hard a repair tries.
#[derive(Debug, Clone, Copy)]
pub struct Effort {
    /// Iterations of the rough, the fine and the closing stage.
    pub iterations: [usize; 3],
    /// Sum of squares above which it gives up after the rough stage, mm^2.
    pub hopeless: f64,
}

/// For fresh picks.
pub const FRESH: Effort = Effort { iterations: [24, 12, 20], hopeless: 4000.0 };

/// For small changes of a good state.
pub const NUDGE: Effort = Effort { iterations: [10, 8, 14], hopeless: 1500.0 };

/// Repairs the runs of `scope` in `state`.
///
/// Three stages: strong weight on turning, a tenth of it, then none (pure projection onto the requirements).
pub fn repair(problem: &RoutingProblem, state: &mut State, scope: Scope, effort: Effort, room: f64) -> Solved {
    let compact = scope
        .active
        .iter()
        .any(|&i| problem.length_targets[problem.runs[i].wanted].objective == job::model::Objective::Compact);
    let length = if compact { 6.0 } else { 0.0 };
    let weights = Weights { turn: 300.0, length, margin: REPAIR_MARGIN_MM, spared: 0.8, step: 12.0, room };
    let mut evaluator = Evaluator::new(problem, state, scope, weights);
    let mut evaluations = 0;
    let mut solved = Solved { worst: f64::INFINITY, cost: f64::INFINITY, missed: None, evaluations: 0 };
    for stage in 0..3 {
        (evaluator.weights.turn, evaluator.weights.length) = match stage {
            0 => (300.0, length),
            1 => (30.0, 0.1 * length),
            _ => (0.0, 0.0),
        };
        evaluator.weights.step = if stage == 0 { 12.0 } else { 8.0 };
        let fall = if stage == 2 { 1e-6 } else { 0.01 };
        solved = solve(&mut evaluator, state, Budget { iterations: effort.iterations[stage], met: 0.01, fall });
        evaluations += solved.evaluations;
        if stage == 0 && evaluator.sink().missed > effort.hopeless {
            break;
        }
    }
    Solved { evaluations, ..solved }
}

/// Projects `state` onto the requirements with the small margin. Returns the largest miss, mm.
pub fn close(problem: &RoutingProblem, state: &mut State, scope: &Scope, room: f64) -> f64 {
    let weights = Weights { turn: 0.0, length: 0.0, margin: ANSWER_MARGIN_MM, spared: 0.2, step: 2.5, room };
    let budget = Budget { iterations: 25, met: 1e-6, fall: 1e-9 };
    let mut evaluator = Evaluator::new(problem, state, scope.clone(), weights);
    let mut worst = solve(&mut evaluator, state, budget).worst;
    if worst > 1e-3 {
        // The aids may contradict something by a hair where the job itself does not.
        evaluator.without_aids();
        worst = solve(&mut evaluator, state, budget).worst;
    }
    if worst <= 1e-3 { 0.0 } else { worst }
}
