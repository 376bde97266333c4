//! From a candidate to an answer: polished, makeable, checked to the letter, written as routes.

use job::routes::{CollectorPlace, Route, Routes};

use super::annealing::Candidate;
use super::evaluate::{Evaluator, Scope, Tag, Weights};
use super::path::TubePath;
use super::repair::close;
use super::score::score;
use super::sequential_quadratic::polish;
use super::state::{LegRule, State, lay};
use crate::problem::RoutingProblem;

/// Spacing of the points at which an answer is checked, mm. Between two such points a gap to a round or flat thing can't
/// close by more than 0.005 mm at the gaps that are asked for.
const STRICT_SPACING_MM: f64 = 1.0;

/// A miss below this is rounding, mm.
const ROUNDING_MM: f64 = 1e-3;

/// Runs that may move and those that stand.
pub fn whole(problem: &RoutingProblem) -> Scope {
    let (fixed, active) = (0..problem.runs.len()).partition(|&r| problem.runs[r].locked.is_some());
    Scope { active, fixed, joint: true }
}

/// Iterations of the polish of an answer.
pub const POLISH_ITERATIONS: usize = 40;

/// Polishes `candidate`.
///
/// # Errors
/// By how much a requirement is missed to the letter afterwards, mm; infinite when its straights can't be made.
pub fn finish(problem: &RoutingProblem, candidate: &Candidate, steps: usize, room: f64) -> Result<Candidate, f64> {
    let scope = whole(problem);
    let mut polished = candidate.state.clone();
    polish(problem, &mut polished, &scope, steps, room);
    let mut nearest = f64::INFINITY;
    for mut state in [polished, candidate.state.clone()] {
        close(problem, &mut state, &scope, room);
        if set_leg_rules(problem, &mut state) {
            close(problem, &mut state, &scope, room);
            polish(problem, &mut state, &scope, steps / 2, room);
            if set_leg_rules(problem, &mut state.clone()) {
                continue;
            }
        }
        let (worst, _) = strict_miss(problem, &state);
        if worst <= ROUNDING_MM {
            let score = score(problem, &state);
            return Ok(Candidate { state, score, worst: 0.0, missed: None });
        }
        nearest = nearest.min(worst);
    }
    Err(nearest)
}

/// The largest miss of a state by the words of the job, mm, and which requirement it is.
pub fn strict_miss(problem: &RoutingProblem, state: &State) -> (f64, Option<Tag>) {
    let scope = Scope { active: (0..problem.runs.len()).collect(), fixed: Vec::new(), joint: true };
    let weights = Weights { turn: 0.0, length: 0.0, margin: 0.0, spared: 0.0, step: STRICT_SPACING_MM, room: 0.0 };
    let mut evaluator = Evaluator::new(problem, state, scope, weights);
    evaluator.strict();
    evaluator.cost(&centred(problem, state));
    (evaluator.sink().worst, evaluator.sink().worst_tag)
}

/// The state with the lengths about which runs are even put in the middle of those it has.
fn centred(problem: &RoutingProblem, state: &State) -> State {
    let mut state = state.clone();
    let mut path = TubePath::default();
    for w in 0..3 {
        let (mut low, mut high) = (f64::INFINITY, 0.0_f64);
        for (i, _) in problem.runs.iter().enumerate().filter(|(_, r)| r.wanted == w) {
            lay(problem, i, &state.runs[i], &state.moves, &mut path);
            (low, high) = (low.min(path.length), high.max(path.length));
        }
        state.mids[w] = 0.5 * (low + high);
    }
    state
}

/// Straights too short to be a piece, between bends whose stock has no leg to carry them: each must vanish or
/// grow. Returns whether any rule was added.
fn set_leg_rules(problem: &RoutingProblem, state: &mut State) -> bool {
    let mut path = TubePath::default();
    let mut changed = false;
    for (i, run) in problem.runs.iter().enumerate().filter(|(_, r)| r.locked.is_none()) {
        lay(problem, i, &state.runs[i], &state.moves, &mut path);
        let bends = path.clrs.len();
        for leg in 0..=bends {
            let carried = |b: usize| run.carry(path.clrs[b]);
            let mut straight = path.lens[leg];
            let mut carry = 0.0;
            if leg > 0 {
                straight -= path.setbacks[leg - 1];
                carry += carried(leg - 1);
            }
            if leg < bends {
                straight -= path.setbacks[leg];
                carry += carried(leg);
            }
            let ends = (leg == 0 && run.stub > 0.0) || (leg == bends && run.ends[state.runs[i].end].stub > 0.0);
            if straight <= geom::LENGTH_EPS || straight <= carry || straight >= run.least_straight {
                continue;
            }
            let rules = &mut state.runs[i].legs;
            rules.resize(bends + 1, LegRule::AtLeast(0.0));
            rules[leg] = if straight < 0.5 * run.least_straight && !ends {
                LegRule::Zero
            } else {
                LegRule::AtLeast(run.least_straight + 0.01)
            };
            changed = true;
        }
    }
    changed
}

/// The routes of a state.
pub fn routes(problem: &RoutingProblem, state: &State) -> Routes {
    let mut path = TubePath::default();
    let mut out = Routes::default();
    for (i, run) in problem.runs.iter().enumerate() {
        if let Some(route) = &run.locked {
            out.runs.push(route.clone());
            continue;
        }
        lay(problem, i, &state.runs[i], &state.moves, &mut path);
        let end = &run.ends[state.runs[i].end];
        out.runs.push(Route {
            run: run.id.clone(),
            collector: end.collector.map_or(String::new(), |c| problem.seats[c].name.clone()),
            inlet: end.inlet,
            points: path.points.clone(),
            radii: path.clrs.clone(),
            locked: false,
        });
    }
    for (seat, q) in problem.seats.iter().zip(&state.moves) {
        if seat.moves() && *q != [0.0; 4] {
            out.collectors.push(CollectorPlace { name: seat.name.clone(), frame: seat.moved(q) });
        }
    }
    out
}
