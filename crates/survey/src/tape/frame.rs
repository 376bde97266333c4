//! The job's axes: x forward, y left, z up, laid into an adjusted shape by named points.

use glam::{DMat3, DVec3};

use crate::matrix::Symmetric;

/// What the axes hang on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// The point at 0, 0, 0.
    pub origin: usize,
    /// x runs from the first to the second.
    pub forward: [usize; 2],
    /// What gives z.
    pub upright: Upright,
}

/// What gives the direction of z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Upright {
    /// The point lies in the half plane of x and -z.
    Down(usize),
    /// The point lies in the half plane of x and z.
    Up(usize),
    /// Away from gravity, as far as square to x.
    Gravity,
}

/// Axes as rows, and the place of the origin.
#[derive(Debug, Clone, Copy)]
pub struct Axes {
    /// Turns into the job's axes.
    pub turn: DMat3,
    /// Place of the origin.
    pub origin: DVec3,
}

impl Frame {
    /// The points that it hangs on.
    pub fn points(&self) -> Vec<usize> {
        let mut points = vec![self.origin, self.forward[0], self.forward[1]];
        if let Upright::Down(p) | Upright::Up(p) = self.upright {
            points.push(p);
        }
        points.sort_unstable();
        points.dedup();
        points
    }

    /// The axes for points at `x`; `None` when they hang on points in one line.
    pub fn axes(&self, x: &[DVec3]) -> Option<Axes> {
        let origin = x[self.origin];
        let forward = (x[self.forward[1]] - x[self.forward[0]]).try_normalize()?;
        let rising = match self.upright {
            Upright::Down(p) => origin - x[p],
            Upright::Up(p) => x[p] - origin,
            Upright::Gravity => DVec3::Z,
        };
        let up = (rising - forward * rising.dot(forward)).try_normalize()?;
        Some(Axes { turn: DMat3::from_cols(forward, up.cross(forward), up).transpose(), origin })
    }

    /// Places in the job's axes.
    pub fn map(&self, x: &[DVec3]) -> Option<Vec<DVec3>> {
        let axes = self.axes(x)?;
        Some(x.iter().map(|p| axes.turn * (*p - axes.origin)).collect())
    }

    /// Covariance in the job's axes, mm², of one without gauge motions at `x`.
    ///
    /// The mapping turns every point, and moves all of them when one that the axes hang on moves; that part is taken by
    /// central differences.
    pub fn map_covariance(&self, x: &[DVec3], covariance: &Symmetric) -> Option<Symmetric> {
        const STEP: f64 = 0.01;
        let n = 3 * x.len();
        let axes = self.axes(x)?;
        // Rows of the Jacobian, transposed: what each unknown moves.
        let mut moves: Vec<Vec<(usize, f64)>> = Vec::with_capacity(n);
        let held = self.points();
        for p in 0..x.len() {
            for c in 0..3 {
                if held.contains(&p) {
                    let shifted = |by: f64| {
                        let mut moved = x.to_vec();
                        moved[p][c] += by;
                        self.map(&moved)
                    };
                    let (more, less) = (shifted(STEP)?, shifted(-STEP)?);
                    let both = more.iter().zip(&less).flat_map(|(a, b)| ((*a - *b) / (2.0 * STEP)).to_array());
                    moves.push(both.enumerate().collect());
                } else {
                    let column = axes.turn.col(c).to_array();
                    moves.push((0..3).map(|r| (3 * p + r, column[r])).collect());
                }
            }
        }
        let mut half = vec![0.0; n * n];
        for (k, row) in moves.iter().enumerate() {
            for &(i, v) in row {
                for j in 0..n {
                    half[i * n + j] += v * covariance.at(k, j);
                }
            }
        }
        let mut out = Symmetric::zero(n);
        for (k, row) in moves.iter().enumerate() {
            for &(j, v) in row {
                for i in 0..n {
                    out.a[i * n + j] += v * half[i * n + k];
                }
            }
        }
        Some(out)
    }
}

/// Takes the motions that no reading sees out of a covariance: `gauge` is 6, or 4 with z held up by gravity.
pub fn without_gauge(x: &[DVec3], covariance: &Symmetric, gauge: usize) -> Symmetric {
    let middle = x.iter().sum::<DVec3>() / x.len().max(1) as f64;
    let turns = if gauge == 6 { vec![DVec3::X, DVec3::Y, DVec3::Z] } else { vec![DVec3::Z] };
    let shifts = [DVec3::X, DVec3::Y, DVec3::Z].map(|axis| x.iter().flat_map(|_| axis.to_array()).collect());
    let turned = turns.iter().map(|axis| x.iter().flat_map(|p| axis.cross(*p - middle).to_array()).collect());
    let motions: Vec<Vec<f64>> = shifts.into_iter().chain(turned).collect();
    covariance.without(&motions)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_axes_hang_on_their_points() {
        let x = [[5.0, 1.0, 1.0], [5.0, 11.0, 1.0], [7.0, 4.0, 1.0]].map(DVec3::from_array);
        let frame = Frame { origin: 0, forward: [0, 1], upright: Upright::Down(2) };
        let mapped = frame.map(&x).unwrap();
        assert!(mapped[0].length() < 1e-12 && mapped[1].distance(DVec3::new(10.0, 0.0, 0.0)) < 1e-12);
        assert!(mapped[2].distance(DVec3::new(3.0, 0.0, -2.0)) < 1e-12);
    }

    #[test]
    fn what_the_axes_hang_on_has_no_variance_there() {
        let x = [[5.0, 1.0, 1.0], [5.0, 11.0, 1.0], [7.0, 4.0, 1.0], [1.0, 2.0, 3.0]].map(DVec3::from_array);
        let frame = Frame { origin: 0, forward: [0, 1], upright: Upright::Up(2) };
        let mut one = Symmetric::zero(12);
        (0..12).for_each(|i| *one.at_mut(i, i) = 1.0);
        let mapped = frame.map_covariance(&x, &without_gauge(&x, &one, 6)).unwrap();
        for zero in [0, 1, 2, 4, 5, 7] {
            assert!(mapped.at(zero, zero).abs() < 1e-9, "{zero}");
        }
        assert!(mapped.at(9, 9) > 0.5 && mapped.at(3, 3) > 0.5);
    }
}
