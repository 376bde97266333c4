//! Convex quadratic programmes with dense data, by the dual active-set method of Goldfarb and Idnani, A
//! numerically stable dual method for solving strictly convex quadratic programs, Mathematical Programming 27
//! (1983) 1-33.

use super::least_squares::cholesky;

/// One linear condition `a . x + c <= 0`, or `= 0`.
#[derive(Debug, Clone, Copy)]
pub struct Condition<'a> {
    /// Gradient of the condition.
    pub a: &'a [f64],
    /// Its value at 0.
    pub c: f64,
    /// Whether it must hold with equality.
    pub equal: bool,
}

/// Minimises x'Bx/2 + g'x under `conditions`; x and the multipliers, or `None` when they contradict one another,
/// B (lower triangle, n x n) is not positive definite, or the method has not ended after 20 (n + m) steps.
pub fn minimise(b: &[f64], g: &[f64], conditions: &[Condition]) -> Option<(Vec<f64>, Vec<f64>)> {
    let n = g.len();
    let mut l = b.to_vec();
    if !cholesky(&mut l, n) {
        return None;
    }
    let mut work = Work::new(n, &l, g);
    let mut multipliers = vec![0.0; conditions.len()];
    for _ in 0..20 * (n + conditions.len()) {
        // The most violated condition; equalities first.
        let mut worst: Option<(f64, usize, f64)> = None;
        for (i, condition) in conditions.iter().enumerate() {
            if work.active.contains(&i) {
                continue;
            }
            let value = condition.c + dot(condition.a, &work.x);
            let norm = dot(condition.a, condition.a).sqrt();
            if norm < 1e-9 {
                // No variable can change it.
                continue;
            }
            let miss = if condition.equal { value.abs() } else { value } / norm;
            let rank = if condition.equal && miss > 1e-10 { miss + 1e6 } else { miss };
            if miss > 1e-9 && worst.is_none_or(|w| rank > w.0) {
                worst = Some((rank, i, value));
            }
        }
        let Some((_, which, value)) = worst else {
            for (k, &i) in work.active.iter().enumerate() {
                multipliers[i] = work.u[k] * work.signs[k];
            }
            return Some((work.x, multipliers));
        };
        // In the form s = -sign (a.x + c) >= 0.
        let sign = if value > 0.0 { 1.0 } else { -1.0 };
        let normal: Vec<f64> = conditions[which].a.iter().map(|v| -sign * v).collect();
        if !work.enforce(which, sign, &normal, -value.abs(), conditions) {
            return None;
        }
    }
    None
}

struct Work {
    n: usize,
    x: Vec<f64>,
    /// J = L^-T Q, n x n row-major.
    j: Vec<f64>,
    /// Upper triangle of the active normals in that basis, n x n row-major.
    r: Vec<f64>,
    active: Vec<usize>,
    signs: Vec<f64>,
    u: Vec<f64>,
}

impl Work {
    fn new(n: usize, l: &[f64], g: &[f64]) -> Self {
        // J = L^-T, column by column: solve L' y = e.
        let mut j = vec![0.0; n * n];
        for col in 0..n {
            for i in (0..=col).rev() {
                let mut sum = if i == col { 1.0 } else { 0.0 };
                for k in i + 1..=col {
                    sum -= l[k * n + i] * j[k * n + col];
                }
                j[i * n + col] = sum / l[i * n + i];
            }
        }
        let mut x = vec![0.0; n];
        for col in 0..n {
            let d: f64 = (0..n).map(|i| j[i * n + col] * g[i]).sum();
            for i in 0..n {
                x[i] -= j[i * n + col] * d;
            }
        }
        Work { n, x, j, r: vec![0.0; n * n], active: Vec::new(), signs: Vec::new(), u: Vec::new() }
    }

    /// Brings the condition with `normal` . x + ... = `s` < 0 to 0, dropping others on the way; false when it can't.
    fn enforce(&mut self, which: usize, sign: f64, normal: &[f64], mut s: f64, conditions: &[Condition]) -> bool {
        let n = self.n;
        let mut u_new = 0.0;
        for _ in 0..3 * n + 10 {
            let q = self.active.len();
            let d: Vec<f64> = (0..n).map(|c| (0..n).map(|i| self.j[i * n + c] * normal[i]).sum()).collect();
            let z: Vec<f64> = (0..n).map(|i| (q..n).map(|c| self.j[i * n + c] * d[c]).sum()).collect();
            let mut r = vec![0.0; q];
            for i in (0..q).rev() {
                let later: f64 = (i + 1..q).map(|k| self.r[i * n + k] * r[k]).sum();
                r[i] = (d[i] - later) / self.r[i * n + i];
            }
            let mut partial = f64::INFINITY;
            let mut leaver = None;
            for (k, &rk) in r.iter().enumerate() {
                if rk > 1e-12 && !conditions[self.active[k]].equal && self.u[k] / rk < partial {
                    partial = self.u[k] / rk;
                    leaver = Some(k);
                }
            }
            let zn = dot(&z, normal);
            let full = if zn > 1e-11 * dot(&d, &d) { -s / zn } else { f64::INFINITY };
            let step = partial.min(full);
            if !step.is_finite() {
                return false;
            }
            if full.is_finite() {
                for (x, z) in self.x.iter_mut().zip(&z) {
                    *x += step * z;
                }
                s += step * zn;
            }
            for (u, r) in self.u.iter_mut().zip(&r) {
                *u -= step * r;
            }
            u_new += step;
            if step == full {
                return self.append(which, sign, u_new, d);
            }
            if let Some(k) = leaver {
                self.remove(k);
            }
        }
        false
    }

    /// Adds a condition whose normal is `d` in the basis J.
    fn append(&mut self, which: usize, sign: f64, u: f64, mut d: Vec<f64>) -> bool {
        let (n, q) = (self.n, self.active.len());
        for c in (q + 1..n).rev() {
            let (cs, sn, h) = givens(d[c - 1], d[c]);
            if h == 0.0 {
                continue;
            }
            (d[c - 1], d[c]) = (h, 0.0);
            for i in 0..n {
                let (a, b) = (self.j[i * n + c - 1], self.j[i * n + c]);
                self.j[i * n + c - 1] = cs * a + sn * b;
                self.j[i * n + c] = cs * b - sn * a;
            }
        }
        if q >= n || d[q].abs() < 1e-14 {
            return false;
        }
        for (i, di) in d.iter().enumerate().take(q + 1) {
            self.r[i * n + q] = *di;
        }
        self.active.push(which);
        self.signs.push(sign);
        self.u.push(u);
        true
    }

    /// Drops the active condition at place `k`.
    fn remove(&mut self, k: usize) {
        let (n, q) = (self.n, self.active.len());
        self.active.remove(k);
        self.signs.remove(k);
        self.u.remove(k);
        for col in k + 1..q {
            for i in 0..=col {
                self.r[i * n + col - 1] = self.r[i * n + col];
            }
        }
        for c in k..q - 1 {
            let (cs, sn, h) = givens(self.r[c * n + c], self.r[(c + 1) * n + c]);
            if h == 0.0 {
                continue;
            }
            for col in c..q - 1 {
                let (a, b) = (self.r[c * n + col], self.r[(c + 1) * n + col]);
                self.r[c * n + col] = cs * a + sn * b;
                self.r[(c + 1) * n + col] = cs * b - sn * a;
            }
            for i in 0..n {
                let (a, b) = (self.j[i * n + c], self.j[i * n + c + 1]);
                self.j[i * n + c] = cs * a + sn * b;
                self.j[i * n + c + 1] = cs * b - sn * a;
            }
        }
    }
}

fn givens(a: f64, b: f64) -> (f64, f64, f64) {
    let h = a.hypot(b);
    if h == 0.0 { (1.0, 0.0, 0.0) } else { (a / h, b / h, h) }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nearest_point_of_a_corner() {
        // Nearest to (3, 2) with x <= 1 and x + y <= 2: (1, 1) with multipliers 1 and 1.
        let (a1, a2) = ([1.0, 0.0], [1.0, 1.0]);
        let conditions = [Condition { a: &a1, c: -1.0, equal: false }, Condition { a: &a2, c: -2.0, equal: false }];
        let (x, u) = minimise(&[1.0, 0.0, 0.0, 1.0], &[-3.0, -2.0], &conditions).unwrap();
        assert!((x[0] - 1.0).abs() < 1e-9 && (x[1] - 1.0).abs() < 1e-9);
        assert!((u[0] - 1.0).abs() < 1e-9 && (u[1] - 1.0).abs() < 1e-9);
    }

    #[test]
    fn an_equality_holds_from_either_side() {
        for target in [5.0, -5.0] {
            let a = [1.0, 2.0];
            let condition = [Condition { a: &a, c: -target, equal: true }];
            let (x, _) = minimise(&[1.0, 0.0, 0.0, 1.0], &[0.0, 0.0], &condition).unwrap();
            assert!((x[0] - target / 5.0).abs() < 1e-9 && (x[1] - 2.0 * target / 5.0).abs() < 1e-9);
        }
    }

    #[test]
    fn contradictions_are_told() {
        let (a, b) = ([1.0], [-1.0]);
        let conditions = [Condition { a: &a, c: 1.0, equal: false }, Condition { a: &b, c: 1.0, equal: false }];
        assert!(minimise(&[1.0], &[0.0], &conditions).is_none());
    }
}
