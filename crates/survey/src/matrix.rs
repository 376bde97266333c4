//! Dense symmetric matrices: normal equations, their factor, their inverse and their eigenvectors.
//!
//! A survey has tens of points and a photo set some hundred unknowns, so plain dense arithmetic is enough.

/// A symmetric matrix, all of it stored, row by row.
#[derive(Debug, Clone)]
pub struct Symmetric {
    /// Number of rows.
    pub n: usize,
    /// Entries, row by row.
    pub a: Vec<f64>,
}

impl Symmetric {
    /// All zero.
    pub fn zero(n: usize) -> Self {
        Symmetric { n, a: vec![0.0; n * n] }
    }

    /// One entry.
    pub fn at(&self, i: usize, j: usize) -> f64 {
        self.a[i * self.n + j]
    }

    /// One entry, to be changed; its mirror is the caller's to change too.
    pub fn at_mut(&mut self, i: usize, j: usize) -> &mut f64 {
        &mut self.a[i * self.n + j]
    }

    /// Adds `weight` row rowᵀ for a sparse row of (column, value).
    pub fn add_outer(&mut self, row: &[(usize, f64)], weight: f64) {
        for &(i, vi) in row {
            let base = i * self.n;
            for &(j, vj) in row {
                self.a[base + j] += weight * vi * vj;
            }
        }
    }

    /// rowᵀ A row for a sparse row.
    pub fn quadratic(&self, row: &[(usize, f64)]) -> f64 {
        row.iter().map(|&(i, vi)| row.iter().map(|&(j, vj)| vi * vj * self.at(i, j)).sum::<f64>()).sum()
    }

    /// A row, for a sparse row: a dense vector.
    pub fn times_sparse(&self, row: &[(usize, f64)]) -> Vec<f64> {
        let mut out = vec![0.0; self.n];
        for &(i, v) in row {
            for (o, a) in out.iter_mut().zip(&self.a[i * self.n..(i + 1) * self.n]) {
                *o += v * a;
            }
        }
        out
    }

    /// The Cholesky factor; `None` when the matrix is not positive definite.
    pub fn factor(&self) -> Option<Factor> {
        let n = self.n;
        let mut l = self.a.clone();
        for j in 0..n {
            let (above, below) = l.split_at_mut((j + 1) * n);
            let row_j = &mut above[j * n..];
            let mut d = row_j[j];
            for v in &row_j[..j] {
                d -= v * v;
            }
            if d.is_nan() || d <= 0.0 {
                return None;
            }
            let root = d.sqrt();
            row_j[j] = root;
            let row_j = &above[j * n..j * n + j];
            for row_i in below.chunks_exact_mut(n) {
                row_i[j] = (row_i[j] - dot(&row_i[..j], row_j)) / root;
            }
        }
        Some(Factor { n, l })
    }

    /// Without some directions: (I - B Bᵀ) A (I - B Bᵀ), with B the directions made square to each other (Gram-Schmidt).
    pub fn without(&self, directions: &[Vec<f64>]) -> Symmetric {
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
        let unit = |v: Vec<f64>| {
            let length = dot(&v, &v).sqrt();
            (length > 1e-9).then(|| v.into_iter().map(|c| c / length).collect::<Vec<f64>>())
        };
        let mut basis: Vec<Vec<f64>> = Vec::new();
        for direction in directions {
            let Some(mut v) = unit(direction.clone()) else { continue };
            for b in &basis {
                let along = dot(b, &v);
                v.iter_mut().zip(b).for_each(|(c, a)| *c -= along * a);
            }
            basis.extend(unit(v));
        }
        let mut out = self.clone();
        basis.iter().for_each(|b| out.project(b));
        out
    }

    /// (I - b bᵀ) A (I - b bᵀ).
    fn project(&mut self, b: &[f64]) {
        let n = self.n;
        let ab: Vec<f64> = self.a.chunks_exact(n).map(|row| row.iter().zip(b).map(|(a, v)| a * v).sum()).collect();
        let bab: f64 = ab.iter().zip(b).map(|(a, v)| a * v).sum();
        for i in 0..n {
            for j in 0..n {
                self.a[i * n + j] += -ab[i] * b[j] - b[i] * ab[j] + bab * b[i] * b[j];
            }
        }
    }

    /// Eigenvalues in rising order and their vectors, one a row; cyclic Jacobi rotations
    /// (Golub and Van Loan, *Matrix Computations*, section 8.5; from memory), until the off-diagonal part is 1e-14 of the whole.
    pub fn eigen(&self) -> (Vec<f64>, Vec<Vec<f64>>) {
        let n = self.n;
        let mut a = self.a.clone();
        let mut v = vec![0.0; n * n];
        for i in 0..n {
            v[i * n + i] = 1.0;
        }
        let whole: f64 = a.iter().map(|x| x * x).sum::<f64>().max(1e-300);
        for _ in 0..40 {
            let off: f64 = (0..n).flat_map(|i| (0..i).map(move |j| (i, j))).map(|(i, j)| a[i * n + j].powi(2)).sum();
            if off <= 1e-28 * whole {
                break;
            }
            for p in 0..n {
                for q in p + 1..n {
                    rotate(&mut a, &mut v, n, p, q);
                }
            }
        }
        let mut order: Vec<usize> = (0..n).collect();
        order.sort_by(|i, j| a[i * n + i].total_cmp(&a[j * n + j]));
        (order.iter().map(|i| a[i * n + i]).collect(), order.iter().map(|i| v[i * n..(i + 1) * n].to_vec()).collect())
    }
}

/// Makes the entry (p, q) zero; `v` keeps the eigenvectors as rows.
fn rotate(a: &mut [f64], v: &mut [f64], n: usize, p: usize, q: usize) {
    let apq = a[p * n + q];
    if apq.abs() < 1e-300 {
        return;
    }
    let theta = (a[q * n + q] - a[p * n + p]) / (2.0 * apq);
    let t = theta.signum() / (theta.abs() + (theta * theta + 1.0).sqrt());
    let c = 1.0 / (t * t + 1.0).sqrt();
    let s = t * c;
    let turn = |m: &mut [f64]| {
        let (head, tail) = m.split_at_mut(q * n);
        for (x, y) in head[p * n..p * n + n].iter_mut().zip(&mut tail[..n]) {
            (*x, *y) = (c * *x - s * *y, s * *x + c * *y);
        }
    };
    turn(a);
    turn(v);
    for k in 0..n {
        let (x, y) = (a[k * n + p], a[k * n + q]);
        a[k * n + p] = c * x - s * y;
        a[k * n + q] = s * x + c * y;
    }
}

/// Sum of products, four sums side by side: one sum alone waits for each addition to end.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let (fours_a, fours_b) = (a.chunks_exact(4), b.chunks_exact(4));
    let rest: f64 = fours_a.remainder().iter().zip(fours_b.remainder()).map(|(x, y)| x * y).sum();
    let mut sums = [0.0; 4];
    for (x, y) in fours_a.zip(fours_b) {
        (0..4).for_each(|k| sums[k] += x[k] * y[k]);
    }
    sums[0] + sums[1] + (sums[2] + sums[3]) + rest
}

/// The lower triangle L of A = L Lᵀ.
#[derive(Debug, Clone)]
pub struct Factor {
    n: usize,
    l: Vec<f64>,
}

impl Factor {
    /// Solves A x = b.
    pub fn solve(&self, b: &[f64]) -> Vec<f64> {
        let n = self.n;
        let mut x = b.to_vec();
        for i in 0..n {
            let row = &self.l[i * n..i * n + i];
            x[i] = (x[i] - dot(row, &x[..i])) / self.l[i * n + i];
        }
        for i in (0..n).rev() {
            x[i] /= self.l[i * n + i];
            let (head, tail) = x.split_at_mut(i);
            for (v, l) in head.iter_mut().zip(&self.l[i * n..i * n + i]) {
                *v -= l * tail[0];
            }
        }
        x
    }

    /// The inverse of A.
    pub fn inverse(&self) -> Symmetric {
        let n = self.n;
        // Rows of the transpose of L⁻¹, so that both loops below run along rows.
        let mut inv = vec![0.0; n * n];
        for j in 0..n {
            inv[j * n + j] = 1.0 / self.l[j * n + j];
            for i in j + 1..n {
                let row = &self.l[i * n + j..i * n + i];
                inv[j * n + i] = -dot(row, &inv[j * n + j..j * n + i]) / self.l[i * n + i];
            }
        }
        let mut out = Symmetric::zero(n);
        for i in 0..n {
            for j in 0..=i {
                let entry = dot(&inv[i * n + i..(i + 1) * n], &inv[j * n + i..(j + 1) * n]);
                out.a[i * n + j] = entry;
                out.a[j * n + i] = entry;
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample() -> Symmetric {
        let mut m = Symmetric::zero(3);
        m.add_outer(&[(0, 2.0), (1, 1.0)], 1.0);
        m.add_outer(&[(1, 3.0), (2, -1.0)], 1.0);
        m.add_outer(&[(0, 1.0), (2, 2.0)], 0.5);
        m
    }

    #[test]
    fn the_inverse_times_the_matrix_is_one() {
        let m = sample();
        let inverse = m.factor().unwrap().inverse();
        for i in 0..3 {
            for j in 0..3 {
                let dot: f64 = (0..3).map(|k| m.at(i, k) * inverse.at(k, j)).sum();
                assert!((dot - f64::from(u8::from(i == j))).abs() < 1e-12);
            }
        }
        let x = m.factor().unwrap().solve(&[1.0, 2.0, 3.0]);
        let back: f64 = (0..3).map(|k| m.at(2, k) * x[k]).sum();
        assert!((back - 3.0).abs() < 1e-12);
    }

    #[test]
    fn eigenvectors_are_stretched_by_their_values() {
        let m = sample();
        let (values, vectors) = m.eigen();
        assert!(values.windows(2).all(|w| w[0] <= w[1]));
        for (value, v) in values.iter().zip(&vectors) {
            for i in 0..3 {
                let dot: f64 = (0..3).map(|k| m.at(i, k) * v[k]).sum();
                assert!((dot - value * v[i]).abs() < 1e-10);
            }
        }
    }

    #[test]
    fn a_matrix_that_is_not_positive_definite_has_no_factor() {
        let mut m = Symmetric::zero(2);
        m.add_outer(&[(0, 1.0), (1, 1.0)], 1.0);
        *m.at_mut(1, 1) = 0.5;
        assert!(m.factor().is_none());
    }
}
