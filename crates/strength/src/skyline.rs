//! A symmetric positive definite matrix stored below its skyline, and its factors L D L'.
//!
//! Unknowns are put in the order of E. Cuthill and J. McKee (Proc. 24th ACM Conf., 1969), reversed (A. George, 1971), which
//! keeps the skyline low; columns are reduced as in K.-J. Bathe, "Finite Element Procedures", section 8.2 (from memory).

use std::collections::VecDeque;

use crate::matrix::dot;

/// A pivot this much smaller than the diagonal it began as says that something is loose.
const LOOSE: f64 = 1e-11;

/// An unknown that nothing holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("nothing holds unknown {0}")]
pub struct Loose(pub usize);

/// A symmetric matrix by its rows: column and value, both halves.
#[derive(Debug, Clone, PartialEq)]
pub struct Sparse {
    rows: Vec<Vec<(usize, f64)>>,
}

impl Sparse {
    /// All zeros.
    pub fn new(size: usize) -> Self {
        Sparse { rows: vec![Vec::new(); size] }
    }

    /// Number of unknowns.
    pub fn size(&self) -> usize {
        self.rows.len()
    }

    /// The same with so many unknowns more, which have nothing to do with the others yet.
    pub fn grown(&self, by: usize) -> Self {
        let mut rows = self.rows.clone();
        rows.resize(rows.len() + by, Vec::new());
        Sparse { rows }
    }

    /// Adds to one value; both halves are the caller's.
    pub fn add(&mut self, row: usize, column: usize, value: f64) {
        match self.rows[row].iter_mut().find(|(c, _)| *c == column) {
            Some((_, sum)) => *sum += value,
            None => self.rows[row].push((column, value)),
        }
    }

    /// The matrix times a vector.
    pub fn times(&self, v: &[f64]) -> Vec<f64> {
        self.rows.iter().map(|row| row.iter().map(|(c, value)| value * v[*c]).sum()).collect()
    }

    /// Places of the unknowns in an order that keeps neighbours near each other.
    fn order(&self) -> Vec<usize> {
        let size = self.size();
        let degree = |k: usize| self.rows[k].len();
        let mut order = Vec::with_capacity(size);
        let mut seen = vec![false; size];
        while let Some(first) = (0..size).filter(|k| !seen[*k]).min_by_key(|k| (degree(*k), *k)) {
            seen[first] = true;
            let mut open = VecDeque::from([first]);
            while let Some(k) = open.pop_front() {
                order.push(k);
                let mut next: Vec<usize> = self.rows[k].iter().map(|(c, _)| *c).filter(|c| !seen[*c]).collect();
                next.sort_unstable_by_key(|c| (degree(*c), *c));
                next.iter().for_each(|c| seen[*c] = true);
                open.extend(next);
            }
        }
        order.reverse();
        let mut place = vec![0; size];
        order.iter().enumerate().for_each(|(at, k)| place[*k] = at);
        place
    }
}

/// The factors.
#[derive(Debug, Clone, PartialEq)]
pub struct Factors {
    /// Place of each unknown.
    place: Vec<usize>,
    /// First row of each column.
    top: Vec<usize>,
    /// Column by column from the top to above the diagonal: L'.
    above: Vec<Vec<f64>>,
    /// D.
    diagonal: Vec<f64>,
}

impl Factors {
    /// Factorises.
    ///
    /// # Errors
    /// [`Loose`] with the unknown that nothing holds.
    pub fn of(matrix: &Sparse) -> Result<Self, Loose> {
        let place = matrix.order();
        let size = matrix.size();
        let mut unknown = vec![0; size];
        place.iter().enumerate().for_each(|(k, at)| unknown[*at] = k);
        let mut factors = Factors { top: (0..size).collect(), above: Vec::new(), diagonal: vec![0.0; size], place };
        for (k, row) in matrix.rows.iter().enumerate() {
            let at = factors.place[k];
            let first = row.iter().map(|(c, _)| factors.place[*c]).min().unwrap_or(at);
            factors.top[at] = first.min(at);
        }
        factors.above = (0..size).map(|at| vec![0.0; at - factors.top[at]]).collect();
        for (k, row) in matrix.rows.iter().enumerate() {
            let at = factors.place[k];
            for (c, value) in row {
                let other = factors.place[*c];
                if other < at {
                    factors.above[at][other - factors.top[at]] = *value;
                } else if other == at {
                    factors.diagonal[at] = *value;
                }
            }
        }
        for (at, name) in unknown.into_iter().enumerate() {
            factors.reduce(at).map_err(|()| Loose(name))?;
        }
        Ok(factors)
    }

    fn reduce(&mut self, at: usize) -> Result<(), ()> {
        let top = self.top[at];
        let mut column = std::mem::take(&mut self.above[at]);
        for row in top..at {
            let begin = self.top[row].max(top);
            let known = &self.above[row][begin - self.top[row]..];
            column[row - top] -= dot(known, &column[begin - top..row - top]);
        }
        let before = self.diagonal[at];
        let mut left = before;
        for (row, value) in column.iter_mut().enumerate() {
            let scaled = *value / self.diagonal[top + row];
            left -= scaled * *value;
            *value = scaled;
        }
        self.above[at] = column;
        self.diagonal[at] = left;
        if left > LOOSE * before && before > 0.0 { Ok(()) } else { Err(()) }
    }

    /// Solves for one right side.
    pub fn solve(&self, right: &[f64]) -> Vec<f64> {
        let size = self.place.len();
        let mut x = vec![0.0; size];
        self.place.iter().zip(right).for_each(|(at, value)| x[*at] = *value);
        for at in 0..size {
            let top = self.top[at];
            x[at] -= dot(&self.above[at], &x[top..at]);
        }
        x.iter_mut().zip(&self.diagonal).for_each(|(value, d)| *value /= d);
        for at in (0..size).rev() {
            let value = x[at];
            let top = self.top[at];
            x[top..at].iter_mut().zip(&self.above[at]).for_each(|(before, a)| *before -= a * value);
        }
        self.place.iter().map(|at| x[*at]).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Springs in a row, the first to ground.
    fn springs(stiffness: &[f64]) -> Sparse {
        let mut matrix = Sparse::new(stiffness.len());
        for (k, spring) in stiffness.iter().enumerate() {
            matrix.add(k, k, *spring);
            if k > 0 {
                matrix.add(k - 1, k - 1, *spring);
                matrix.add(k, k - 1, -spring);
                matrix.add(k - 1, k, -spring);
            }
        }
        matrix
    }

    #[test]
    fn a_pull_at_the_end_stretches_each_spring_of_a_row() {
        let factors = Factors::of(&springs(&[1.0, 2.0, 4.0])).unwrap();
        let moved = factors.solve(&[0.0, 0.0, 1.0]);
        assert!(moved.iter().zip([1.0, 1.5, 1.75]).all(|(a, b)| (a - b).abs() < 1e-15), "{moved:?}");
    }

    #[test]
    fn a_row_of_springs_without_ground_is_loose() {
        let mut matrix = springs(&[1.0, 2.0, 4.0]);
        matrix.add(0, 0, -1.0);
        assert!(Factors::of(&matrix).is_err());
    }
}
