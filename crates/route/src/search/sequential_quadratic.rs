//! Taking the last turning out of an answer: sequential quadratic programming.
//!
//! At each step the requirements within reach are linearised one by one and a quadratic picture of turning (and
//! length) is minimised under them (Nocedal and Wright, Numerical Optimization, 2nd ed., 2006, ch. 18; the curvature
//! is the damped BFGS estimate of the Lagrangian's, procedure 18.2). A step is accepted when the sum of objective and
//! priced misses falls. The projection that closes it holds every requirement with a small margin.

use super::evaluate::{Evaluator, Row, RowKind, Scope, Weights};
use super::quadratic_program::{Condition, minimise};
use super::repair::{ANSWER_MARGIN_MM, close};
use super::state::State;
use crate::problem::RoutingProblem;

/// Spacing of the points looked at, mm.
const SPACING_MM: f64 = 4.0;

/// Slope below which a requirement is taken not to change, mm per mm.
const FLAT_SLOPE: f64 = 1e-7;

/// What a requirement may be missed by in a step, mm: well within the share of the margin that is spared.
const SLACK_MM: f64 = 5e-3;

/// How far from being missed a requirement is taken into the step, mm. Longer steps than this are cut.
const REACH_MM: f64 = 12.0;

/// Polishes `state` in place over `scope`. Returns the largest miss (margin taken off), mm.
pub fn polish(problem: &RoutingProblem, state: &mut State, scope: &Scope, steps: usize, room: f64) -> f64 {
    let compact = scope
        .active
        .iter()
        .any(|&i| problem.length_targets[problem.runs[i].wanted].objective == job::model::Objective::Compact);
    let length = if compact { 0.02 } else { 0.0 };
    let weights = Weights { turn: 1.0, length, margin: ANSWER_MARGIN_MM, spared: 0.2, step: SPACING_MM, room };
    let mut evaluator = Evaluator::new(problem, state, scope.clone(), weights);
    evaluator.tell_rows(state, REACH_MM);
    descend(&mut evaluator, state, steps);
    close(problem, state, scope, room)
}

fn descend(evaluator: &mut Evaluator, state: &mut State, steps: usize) {
    let n = evaluator.freedoms();
    if n == 0 {
        return;
    }
    let mut curvature = start_curvature(n);
    let mut now = linearised(evaluator, state);
    let mut price = 1e-3;
    let mut reach = 20.0;
    for _ in 0..steps {
        let Some((step, multipliers)) = subproblem(&curvature, &now, reach) else {
            reach *= 0.4;
            if reach < 1e-3 {
                return;
            }
            continue;
        };
        // The price follows the multipliers down as well (Powell 1978; Nocedal and Wright, sec. 18.3).
        let steepest = multipliers.iter().fold(0.0_f64, |p, u| p.max(u.abs()));
        price = (1.2 * steepest).max(0.5 * (price + steepest));
        let merit = |objective: f64, total: f64| objective + price * total;
        let before = merit(now.objective, now.total);
        let longest = step.iter().fold(0.0_f64, |m, s| m.max(s.abs()));
        let next = evaluator.moved(state, &step);
        let after = linearised(evaluator, &next);
        if merit(after.objective, after.total) < before - 1e-12 {
            update_curvature(&mut curvature, &step, &now, &after, &multipliers);
            let gain = before - merit(after.objective, after.total);
            *state = next;
            now = after;
            if longest > 0.8 * reach {
                reach = (2.0 * reach).min(60.0);
            }
            if gain < 3e-6 {
                return;
            }
        } else {
            reach = 0.35 * longest.min(reach);
            if reach < 1e-2 {
                return;
            }
        }
    }
}

/// Objective and requirements at one state.
struct Linear {
    objective: f64,
    gradient: Vec<f64>,
    rows: Vec<Row>,
    total: f64,
}

fn linearised(evaluator: &mut Evaluator, state: &State) -> Linear {
    evaluator.linearise(state);
    let sink = evaluator.sink_mut();
    let rows = changeable(std::mem::take(sink.rows.get_or_insert_default()));
    let missed = |r: &Row| if r.tag.0 == RowKind::Equal { r.miss.abs() } else { r.miss.max(0.0) };
    Linear {
        objective: sink.cost - sink.missed,
        gradient: sink.g.iter().map(|g| 2.0 * g).collect(),
        total: rows.iter().map(missed).sum(),
        rows,
    }
}

/// The rows that a step can change, each with a hair to spare: places that stand exactly as far apart as they must would
/// otherwise make every step look impossible, and misses of rounding price everything else out.
fn changeable(mut rows: Vec<Row>) -> Vec<Row> {
    rows.retain(|r| r.gradient.iter().any(|g| g.abs() > FLAT_SLOPE));
    rows.iter_mut().filter(|r| r.tag.0 != RowKind::Equal).for_each(|r| r.miss -= SLACK_MM);
    rows
}

/// A millimetre costs as much curvature as a bend of a tenth of a radian over 100 mm: of the size that turning has.
fn start_curvature(n: usize) -> Vec<f64> {
    let mut b = vec![0.0; n * n];
    for i in 0..n {
        b[i * n + i] = 2e-5;
    }
    b
}

/// The best step within `reach`; misses that cannot all be cured in it are only not made worse.
fn subproblem(curvature: &[f64], now: &Linear, reach: f64) -> Option<(Vec<f64>, Vec<f64>)> {
    let n = now.gradient.len();
    for ease in [0.0, 0.7, 0.95] {
        let mut conditions: Vec<Condition> = now
            .rows
            .iter()
            .map(|r| {
                let equal = r.tag.0 == RowKind::Equal;
                let kept = if equal || r.miss > 0.0 { r.miss * (1.0 - ease) } else { r.miss };
                Condition { a: &r.gradient, c: kept, equal }
            })
            .collect();
        let limits: Vec<Vec<f64>> = (0..2 * n)
            .map(|k| {
                let mut a = vec![0.0; n];
                a[k / 2] = if k % 2 == 0 { 1.0 } else { -1.0 };
                a
            })
            .collect();
        conditions.extend(limits.iter().map(|a| Condition { a, c: -reach, equal: false }));
        if let Some((x, mut u)) = minimise(curvature, &now.gradient, &conditions) {
            u.truncate(now.rows.len());
            return Some((x, u));
        }
    }
    None
}

/// Damped BFGS with the change of the Lagrangian's gradient; requirements are matched by their tags.
fn update_curvature(b: &mut [f64], s: &[f64], before: &Linear, after: &Linear, multipliers: &[f64]) {
    let n = s.len();
    let mut y: Vec<f64> = after.gradient.iter().zip(&before.gradient).map(|(a, b)| a - b).collect();
    let mut order: Vec<usize> = (0..after.rows.len()).collect();
    order.sort_by_key(|&i| after.rows[i].tag);
    for (row, &u) in before.rows.iter().zip(multipliers) {
        if u == 0.0 {
            continue;
        }
        let Ok(at) = order.binary_search_by_key(&row.tag, |&i| after.rows[i].tag) else { continue };
        let later = &after.rows[order[at]].gradient;
        for i in 0..n {
            y[i] += u * (later[i] - row.gradient[i]);
        }
    }
    let bs: Vec<f64> = (0..n).map(|i| (0..n).map(|j| entry(b, n, i, j) * s[j]).sum()).collect();
    let sbs: f64 = s.iter().zip(&bs).map(|(a, b)| a * b).sum();
    let sy: f64 = s.iter().zip(&y).map(|(a, b)| a * b).sum();
    if sbs <= 1e-18 {
        return;
    }
    let theta = if sy >= 0.2 * sbs { 1.0 } else { 0.8 * sbs / (sbs - sy) };
    let r: Vec<f64> = y.iter().zip(&bs).map(|(y, bs)| theta * y + (1.0 - theta) * bs).collect();
    let sr: f64 = s.iter().zip(&r).map(|(a, b)| a * b).sum();
    for i in 0..n {
        for j in 0..=i {
            b[i * n + j] += r[i] * r[j] / sr - bs[i] * bs[j] / sbs;
        }
    }
}

fn entry(b: &[f64], n: usize, i: usize, j: usize) -> f64 {
    if i >= j { b[i * n + j] } else { b[j * n + i] }
}
