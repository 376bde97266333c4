//! Small dense linear algebra: symmetric positive definite systems and least squares within bounds.
//!
//! The systems here have at most a few hundred unknowns. Cholesky's method without pivoting; the bounded problem by the
//! active-set method of Stark and Parker (1995, "Bounded-variable least squares", from memory), on the normal equations.

/// A dense matrix, row by row.
#[derive(Debug, Clone, PartialEq)]
pub struct Matrix {
    /// Number of rows.
    pub rows: usize,
    /// Number of columns.
    pub columns: usize,
    /// The values, row by row.
    pub values: Vec<f64>,
}

impl Matrix {
    /// A matrix of zeros.
    pub fn zeros(rows: usize, columns: usize) -> Matrix {
        Matrix { rows, columns, values: vec![0.0; rows * columns] }
    }

    /// One row.
    pub fn row(&self, row: usize) -> &[f64] {
        &self.values[row * self.columns..(row + 1) * self.columns]
    }

    /// One row, to be changed.
    pub fn row_mut(&mut self, row: usize) -> &mut [f64] {
        &mut self.values[row * self.columns..(row + 1) * self.columns]
    }

    /// One value.
    pub fn at(&self, row: usize, column: usize) -> f64 {
        self.values[row * self.columns + column]
    }

    /// One value, to be changed.
    pub fn at_mut(&mut self, row: usize, column: usize) -> &mut f64 {
        &mut self.values[row * self.columns + column]
    }

    /// The product with a vector.
    pub fn times(&self, x: &[f64]) -> Vec<f64> {
        (0..self.rows).map(|r| dot(self.row(r), x)).collect()
    }

    /// The product of the transpose with a vector.
    pub fn transposed_times(&self, y: &[f64]) -> Vec<f64> {
        let mut out = vec![0.0; self.columns];
        for (r, &factor) in y.iter().enumerate() {
            for (o, v) in out.iter_mut().zip(self.row(r)) {
                *o += factor * v;
            }
        }
        out
    }
}

/// The sum of the products of two lists.
pub fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// The lower triangle L of a symmetric positive definite matrix, A = L L'.
#[derive(Debug, Clone)]
pub struct Cholesky {
    lower: Matrix,
}

impl Cholesky {
    /// Decomposes a matrix of which only the lower triangle is read; `None` when it is not positive definite.
    pub fn of(matrix: &Matrix) -> Option<Cholesky> {
        let n = matrix.rows;
        let mut lower = Matrix::zeros(n, n);
        for i in 0..n {
            for j in 0..=i {
                let sum = matrix.at(i, j) - dot(&lower.row(i)[..j], &lower.row(j)[..j]);
                if i == j {
                    if !(sum > 0.0 && sum.is_finite()) {
                        return None;
                    }
                    *lower.at_mut(i, i) = sum.sqrt();
                } else {
                    *lower.at_mut(i, j) = sum / lower.at(j, j);
                }
            }
        }
        Some(Cholesky { lower })
    }

    /// The solution of A x = b.
    pub fn solve(&self, b: &[f64]) -> Vec<f64> {
        let n = self.lower.rows;
        let mut x = b.to_vec();
        for i in 0..n {
            x[i] = (x[i] - dot(&self.lower.row(i)[..i], &x[..i])) / self.lower.at(i, i);
        }
        for i in (0..n).rev() {
            let below: f64 = (i + 1..n).map(|k| self.lower.at(k, i) * x[k]).sum();
            x[i] = (x[i] - below) / self.lower.at(i, i);
        }
        x
    }
}

/// The x between `lower` and `upper` at which x' Q x / 2 + c' x is least; Q symmetric positive definite.
///
/// Starts with every variable free. Ends when no variable on a bound would gain by leaving it, or after 20 rounds a
/// variable, with the best found so far.
pub fn least_within(q: &Matrix, c: &[f64], lower: &[f64], upper: &[f64]) -> Vec<f64> {
    let n = c.len();
    let mut x: Vec<f64> = (0..n).map(|i| 0.0_f64.clamp(lower[i], upper[i])).collect();
    let mut free: Vec<bool> = (0..n).map(|i| upper[i] > lower[i]).collect();
    for _ in 0..20 * n + 20 {
        let Some(aim) = least_of_free(q, c, &x, &free) else { break };
        let step = longest_step(&x, &aim, &free, lower, upper);
        for i in (0..n).filter(|&i| free[i]) {
            x[i] += step.0 * (aim[i] - x[i]);
        }
        if let Some(stopped) = step.1 {
            x[stopped] = if aim[stopped] > upper[stopped] { upper[stopped] } else { lower[stopped] };
            free[stopped] = false;
            continue;
        }
        let gradient: Vec<f64> = q.times(&x).iter().zip(c).map(|(a, b)| a + b).collect();
        let gain = |i: usize| if x[i] <= lower[i] { -gradient[i] } else { gradient[i] };
        let held = (0..n).filter(|&i| !free[i] && upper[i] > lower[i]);
        let best = held.map(|i| (i, gain(i))).max_by(|a, b| a.1.total_cmp(&b.1));
        match best {
            Some((i, gain)) if gain > 1e-9 * (1.0 + c[i].abs()) => free[i] = true,
            _ => break,
        }
    }
    x
}

/// The least over the free variables, the others kept; `None` when it cannot be found.
fn least_of_free(q: &Matrix, c: &[f64], x: &[f64], free: &[bool]) -> Option<Vec<f64>> {
    let index: Vec<usize> = (0..x.len()).filter(|&i| free[i]).collect();
    let mut part = Matrix::zeros(index.len(), index.len());
    let mut right = vec![0.0; index.len()];
    for (a, &i) in index.iter().enumerate() {
        for (b, &j) in index.iter().enumerate() {
            *part.at_mut(a, b) = q.at(i, j);
        }
        let held: f64 = (0..x.len()).filter(|&j| !free[j]).map(|j| q.at(i, j) * x[j]).sum();
        right[a] = -c[i] - held;
    }
    let solved = Cholesky::of(&part)?.solve(&right);
    let mut aim = x.to_vec();
    for (a, &i) in index.iter().enumerate() {
        aim[i] = solved[a];
    }
    Some(aim)
}

/// The share of the way to `aim` that stays within bounds, and the variable that stops it.
fn longest_step(x: &[f64], aim: &[f64], free: &[bool], lower: &[f64], upper: &[f64]) -> (f64, Option<usize>) {
    let mut step = (1.0, None);
    for i in (0..x.len()).filter(|&i| free[i]) {
        let bound = if aim[i] > upper[i] {
            upper[i]
        } else if aim[i] < lower[i] {
            lower[i]
        } else {
            continue;
        };
        let share = ((bound - x[i]) / (aim[i] - x[i])).clamp(0.0, 1.0);
        if share < step.0 || step.1.is_none() {
            step = (share, Some(i));
        }
    }
    step
}

#[cfg(test)]
mod tests {
    use super::*;

    fn matrix(rows: &[&[f64]]) -> Matrix {
        Matrix { rows: rows.len(), columns: rows[0].len(), values: rows.concat() }
    }

    #[test]
    fn a_small_system_is_solved() {
        // 4x + 2y = 8, 2x + 3y = 8: x = 1, y = 2.
        let x = Cholesky::of(&matrix(&[&[4.0, 2.0], &[2.0, 3.0]])).unwrap().solve(&[8.0, 8.0]);
        assert!((x[0] - 1.0).abs() < 1e-12 && (x[1] - 2.0).abs() < 1e-12, "{x:?}");
        assert!(Cholesky::of(&matrix(&[&[1.0, 2.0], &[2.0, 1.0]])).is_none());
    }

    /// (x - 3)^2 + (y + 1)^2 within 0..2: x stops at 2, y at 0. With x + y coupled the free one moves on.
    #[test]
    fn bounds_hold_and_are_left_where_it_pays() {
        let q = matrix(&[&[2.0, 0.0], &[0.0, 2.0]]);
        assert_eq!(least_within(&q, &[-6.0, 2.0], &[0.0, 0.0], &[2.0, 2.0]), [2.0, 0.0]);
        let q = matrix(&[&[2.0, 1.0], &[1.0, 2.0]]);
        // Free: x = 5, y = -4; with y at 0: x = 3, held to 2.
        assert_eq!(least_within(&q, &[-6.0, 3.0], &[0.0, 0.0], &[2.0, 2.0]), [2.0, 0.0]);
        let x = least_within(&q, &[-6.0, 3.0], &[-9.0, -9.0], &[9.0, 9.0]);
        assert!((x[0] - 5.0).abs() < 1e-12 && (x[1] + 4.0).abs() < 1e-12, "{x:?}");
    }
}
