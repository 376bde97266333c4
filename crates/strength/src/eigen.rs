//! Eigenvalues and eigenvectors of a dense symmetric matrix.
//!
//! Reflections of Householder make it tridiagonal, and QL steps with implicit shifts diagonal (R. S. Martin, C. Reinsch, J. H. Wilkinson,
//! Numer. Math. 11, 1968; A. Dubrulle, Numer. Math. 15, 1970; both from memory). Vectors are kept as rows, so that every step runs along
//! memory. Errors are those of rounding the largest value.

use crate::matrix::dot;

/// QL steps for one value; three are usual.
const MOST_STEPS: usize = 60;

/// Eigenvalues from the greatest on, and their vectors of length 1.
pub(crate) fn eigen(a: Vec<Vec<f64>>) -> (Vec<f64>, Vec<Vec<f64>>) {
    let mut tridiagonal = Tridiagonal::of(a);
    for at in 0..tridiagonal.diagonal.len() {
        for _ in 0..MOST_STEPS {
            let end = tridiagonal.block_end(at);
            if end == at {
                break;
            }
            tridiagonal.step(at, end);
        }
    }
    let Tridiagonal { diagonal, vectors, .. } = tridiagonal;
    let mut order: Vec<usize> = (0..diagonal.len()).collect();
    order.sort_by(|i, j| diagonal[*j].total_cmp(&diagonal[*i]));
    (order.iter().map(|i| diagonal[*i]).collect(), order.iter().map(|i| vectors[*i].clone()).collect())
}

struct Tridiagonal {
    diagonal: Vec<f64>,
    /// Beside the diagonal: of rows k and k + 1; the last is 0.
    beside: Vec<f64>,
    /// The basis in which the matrix looks so, as rows.
    vectors: Vec<Vec<f64>>,
}

impl Tridiagonal {
    fn of(mut a: Vec<Vec<f64>>) -> Self {
        let n = a.len();
        let mut beside = vec![0.0; n];
        // Each reflection 1 - 2 v v' leaves the first k + 1 unknowns alone.
        let mut mirrors: Vec<Vec<f64>> = Vec::new();
        for k in 0..n.saturating_sub(1) {
            let mut v: Vec<f64> = a[k][k + 1..].to_vec();
            let length = dot(&v, &v).sqrt();
            beside[k] = if v[0] > 0.0 { -length } else { length };
            v[0] -= beside[k];
            let long = dot(&v, &v).sqrt();
            if long > 0.0 {
                v.iter_mut().for_each(|x| *x /= long);
                reflect(&mut a[k + 1..], &v, k + 1);
            }
            mirrors.push(v);
        }
        let mut vectors: Vec<Vec<f64>> =
            (0..n).map(|i| (0..n).map(|j| f64::from(u8::from(i == j))).collect()).collect();
        for (k, v) in mirrors.iter().enumerate().rev() {
            for row in &mut vectors[k + 1..] {
                let twice = 2.0 * dot(&row[k + 1..], v);
                row[k + 1..].iter_mut().zip(v).for_each(|(x, y)| *x -= twice * y);
            }
        }
        Tridiagonal { diagonal: (0..n).map(|i| a[i][i]).collect(), beside, vectors }
    }

    /// The last row of the block that begins at `at`: nothing stands beside the diagonal there.
    fn block_end(&self, at: usize) -> usize {
        let last = self.diagonal.len() - 1;
        let nothing =
            |k: &usize| self.beside[*k].abs() <= f64::EPSILON * (self.diagonal[*k].abs() + self.diagonal[*k + 1].abs());
        (at..last).find(nothing).unwrap_or(last)
    }

    /// One QL step from row `end` up to `at`, shifted by what the two rows at `at` say of their lower value.
    fn step(&mut self, at: usize, end: usize) {
        let Tridiagonal { diagonal: d, beside: e, vectors } = self;
        let half = (d[at + 1] - d[at]) / (2.0 * e[at]);
        let shift = d[at] - e[at] / (half + half.hypot(1.0).copysign(half));
        let (mut sine, mut cosine, mut less) = (1.0, 1.0, 0.0);
        let mut g = d[end] - shift;
        for i in (at..end).rev() {
            let (f, b) = (sine * e[i], cosine * e[i]);
            let r = f.hypot(g);
            e[i + 1] = r;
            if r == 0.0 {
                // The block falls in two here.
                d[i + 1] -= less;
                e[end] = 0.0;
                return;
            }
            (sine, cosine) = (f / r, g / r);
            let above = d[i + 1] - less;
            let across = (d[i] - above) * sine + 2.0 * cosine * b;
            less = sine * across;
            d[i + 1] = above + less;
            g = cosine * across - b;
            let (before, from) = vectors.split_at_mut(i + 1);
            for (x, y) in before[i].iter_mut().zip(&mut from[0]) {
                (*x, *y) = (cosine * *x - sine * *y, sine * *x + cosine * *y);
            }
        }
        d[at] -= less;
        e[at] = g;
        e[end] = 0.0;
    }
}

/// (1 - 2 v v') A (1 - 2 v v') for the rows and columns of a symmetric matrix from `from` on.
fn reflect(rows: &mut [Vec<f64>], v: &[f64], from: usize) {
    let p: Vec<f64> = rows.iter().map(|row| 2.0 * dot(&row[from..], v)).collect();
    let along = dot(&p, v);
    let w: Vec<f64> = p.iter().zip(v).map(|(p, v)| p - along * v).collect();
    for (i, row) in rows.iter_mut().enumerate() {
        for ((x, w_j), v_j) in row[from..].iter_mut().zip(&w).zip(v) {
            *x -= v[i] * w_j + w[i] * v_j;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_matrix_of_two_has_the_eigenvalues_worked_by_hand() {
        let (values, vectors) = eigen(vec![vec![2.0, 1.0], vec![1.0, 2.0]]);
        assert!((values[0] - 3.0).abs() < 1e-14 && (values[1] - 1.0).abs() < 1e-14);
        assert!((vectors[0][0] - vectors[0][1]).abs() < 1e-14);
    }

    #[test]
    fn a_row_of_masses_between_springs_has_the_values_of_the_closed_form() {
        // 2 on the diagonal, -1 beside it: 2 - 2 cos(k pi / (n + 1)); the row turned round and mixed has them too.
        let n = 30;
        let chain = |i: usize, j: usize| if i == j { 2.0 } else { -f64::from(u8::from(i.abs_diff(j) == 1)) };
        let mixed = |i: usize| i * 7 % n;
        let (values, vectors) = eigen((0..n).map(|i| (0..n).map(|j| chain(mixed(i), mixed(j))).collect()).collect());
        for (k, value) in values.iter().enumerate() {
            let angle = std::f64::consts::PI * (n - k) as f64 / (n + 1) as f64;
            assert!((value - 2.0 + 2.0 * angle.cos()).abs() < 1e-13, "{k}: {value}");
        }
        for i in 0..n {
            for j in 0..n {
                assert!((dot(&vectors[i], &vectors[j]) - f64::from(u8::from(i == j))).abs() < 1e-13);
            }
            let image = (0..n).map(|r| (0..n).map(|c| chain(mixed(r), mixed(c)) * vectors[i][c]).sum::<f64>());
            assert!(image.zip(&vectors[i]).all(|(a, v)| (a - values[i] * v).abs() < 1e-13));
        }
    }

    #[test]
    fn a_diagonal_matrix_and_an_empty_one_stay_as_they_are() {
        let (values, vectors) = eigen(vec![vec![1.0, 0.0, 0.0], vec![0.0, 3.0, 0.0], vec![0.0, 0.0, 0.0]]);
        assert_eq!(values, [3.0, 1.0, 0.0]);
        assert_eq!(vectors[0].iter().map(|v| v.abs()).collect::<Vec<f64>>(), [0.0, 1.0, 0.0]);
        assert!(eigen(Vec::new()).0.is_empty());
    }
}
