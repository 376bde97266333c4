//! Damped least squares (Levenberg 1944, Marquardt 1963) on dense normal equations.

use super::evaluate::{Evaluator, Tag};
use super::state::State;

/// Longest step of one variable in one iteration, mm.
///
/// About the length of a tight bend: larger steps leave the region where the linear picture is of use,
/// half as much needs more iterations from random starts.
const LONGEST_STEP_MM: f64 = 90.0;

/// When to stop.
#[derive(Debug, Clone, Copy)]
pub struct Budget {
    /// Most iterations.
    pub iterations: usize,
    /// Largest miss that counts as met, mm; stops there when no objective is weighed.
    pub met: f64,
    /// Relative fall of the cost below which it has converged.
    pub fall: f64,
}

/// What a solve reached.
#[derive(Debug, Clone, Copy)]
pub struct Solved {
    /// Largest miss, mm.
    pub worst: f64,
    /// Cost.
    pub cost: f64,
    /// The requirement missed most.
    pub missed: Option<Tag>,
    /// Evaluations made.
    pub evaluations: usize,
}

/// Moves `state` downhill. Returns what was reached; the state is the best found.
///
/// Stops when the miss is below `budget.met` (and nothing else is weighed), when three steps in a row lower the
/// cost by less than `budget.fall` of it, when damping has grown without effect, or at the iteration limit.
pub fn solve(evaluator: &mut Evaluator, state: &mut State, budget: Budget) -> Solved {
    let n = evaluator.freedoms();
    let weighs = evaluator.weights.turn > 0.0 || evaluator.weights.length > 0.0;
    let mut damping = 1e-3;
    let mut evaluations = 0;
    let mut factor = vec![0.0; n * n];
    let mut step = vec![0.0; n];
    let mut slow = 0;
    let mut worst = f64::INFINITY;
    let mut cost = f64::INFINITY;
    let mut missed = None;
    for _ in 0..budget.iterations {
        evaluations += 1;
        let sink = evaluator.linearise(state);
        (cost, worst, missed) = (sink.cost, sink.worst, sink.worst_tag);
        if n == 0 || (!weighs && worst <= budget.met) {
            break;
        }
        let (mut h, mut g) = (sink.h.clone(), sink.g.clone());
        evaluator.hold_at_limits(state, &mut h, &mut g);
        let mut improved = false;
        while damping < 1e9 {
            factor.copy_from_slice(&h);
            for i in 0..n {
                factor[i * n + i] += damping * (h[i * n + i] + 1e-3) + 1e-9;
            }
            for (s, g) in step.iter_mut().zip(&g) {
                *s = -g;
            }
            if !cholesky_solve(&mut factor, n, &mut step) {
                damping *= 10.0;
                continue;
            }
            let longest = step.iter().fold(0.0_f64, |m, s| m.max(s.abs()));
            if longest > LONGEST_STEP_MM {
                let scale = LONGEST_STEP_MM / longest;
                step.iter_mut().for_each(|s| *s *= scale);
            }
            let next = evaluator.moved(state, &step);
            evaluations += 1;
            let next_cost = evaluator.cost(&next);
            if next_cost < cost {
                slow = if cost - next_cost < budget.fall * cost { slow + 1 } else { 0 };
                *state = next;
                damping = (damping * 0.2).max(1e-9);
                improved = true;
                (cost, worst, missed) = (next_cost, evaluator.sink().worst, evaluator.sink().worst_tag);
                break;
            }
            damping *= 6.0;
            if longest < 1e-6 {
                break;
            }
        }
        if !improved || slow >= 3 {
            break;
        }
    }
    Solved { worst, cost, missed, evaluations }
}

/// Factors a symmetric positive definite A (lower triangle, n x n) into L L' in place; false when it is not.
pub fn cholesky(a: &mut [f64], n: usize) -> bool {
    for j in 0..n {
        for i in j..n {
            let mut sum = a[i * n + j];
            for k in 0..j {
                sum -= a[i * n + k] * a[j * n + k];
            }
            if i == j {
                if sum <= 0.0 || !sum.is_finite() {
                    return false;
                }
                a[j * n + j] = sum.sqrt();
            } else {
                a[i * n + j] = sum / a[j * n + j];
            }
        }
    }
    true
}

/// Solves A x = b in place for a symmetric positive definite A (lower triangle); false when it is not.
pub fn cholesky_solve(a: &mut [f64], n: usize, b: &mut [f64]) -> bool {
    if !cholesky(a, n) {
        return false;
    }
    for i in 0..n {
        for k in 0..i {
            b[i] -= a[i * n + k] * b[k];
        }
        b[i] /= a[i * n + i];
    }
    for i in (0..n).rev() {
        for k in i + 1..n {
            b[i] -= a[k * n + i] * b[k];
        }
        b[i] /= a[i * n + i];
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_two_by_two_system() {
        // 4x + 2y = 10, 2x + 3y = 9: x = 1.5, y = 2.
        let (mut a, mut b) = (vec![4.0, 0.0, 2.0, 3.0], vec![10.0, 9.0]);
        assert!(cholesky_solve(&mut a, 2, &mut b));
        assert!((b[0] - 1.5).abs() < 1e-12 && (b[1] - 2.0).abs() < 1e-12);
    }

    #[test]
    fn an_indefinite_matrix_is_refused() {
        assert!(!cholesky_solve(&mut [1.0, 0.0, 2.0, 1.0], 2, &mut [0.0, 0.0]));
    }
}
