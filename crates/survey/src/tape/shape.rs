//! The shape that photos give to some of the points, as readings that do not depend on each other.
//!
//! The adjusted photos say where their points are in axes of their own, with a full covariance C. That says nothing of where the
//! whole lies and how it is turned, so C is brought to inner constraints, S C Sᵀ with S = I - G Gᵀ and G the six motions
//! and the change of size (Baarda's S-transformation; Teunissen, *Zero Order Design*, 1985, from memory). Each eigenvector of what is
//! left is one reading: vᵀ R(x) = vᵀ q with variance λ, where R turns the points onto the places q. Adjusting the
//! readings together with these is the same as adjusting readings and photos in one least squares, as far as the photos are linear over the
//! tenths of a millimetre by which they still move (Helmert's blocks). The size comes in as a reading of its own: the bar.

use std::sync::Arc;

use glam::{DMat3, DQuat, DVec3};

use super::network::{Reading, ReadingKind};
use crate::matrix::Symmetric;

/// Least standard deviation of a component, mm: below it photos would be believed beyond what a plate's seat is worth.
const LEAST_SD: f64 = 0.005;
/// Part of the largest eigenvalue below which a direction is one of those that were taken out.
const NOTHING: f64 = 1e-9;

/// A component of a shape, or its size.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// The points.
    points: Arc<Vec<usize>>,
    /// Where photos see them, from their middle, mm.
    at: Arc<Vec<DVec3>>,
    /// What each counts.
    weights: Vec<DVec3>,
    /// Whether it can be wrong: the measured bar.
    pub may_slip: bool,
}

/// A shape from photos.
#[derive(Debug, Clone)]
pub struct Shape {
    /// The points, three or more.
    pub points: Vec<usize>,
    /// Their places, mm, in any axes.
    pub at: Vec<DVec3>,
    /// Covariance of these, mm².
    pub covariance: Symmetric,
    /// What was measured to give the size: as drawn or as now at `at`, as measured, and its standard deviation, mm.
    pub size: Option<[f64; 3]>,
}

impl Shape {
    /// The readings; the size is the last when it is there.
    pub fn readings(&self) -> Vec<Reading> {
        let middle = self.at.iter().sum::<DVec3>() / self.at.len().max(1) as f64;
        let (points, at) =
            (Arc::new(self.points.clone()), Arc::new(self.at.iter().map(|p| *p - middle).collect::<Vec<_>>()));
        let reading = |weights: Vec<DVec3>, value: f64, sd: f64, may_slip: bool| {
            let component = Component { points: points.clone(), at: at.clone(), weights, may_slip };
            Reading { kind: ReadingKind::Shape(Arc::new(component)), value, sd }
        };
        let free = self.freed(&at);
        let (values, vectors) = free.eigen();
        let most = values.iter().fold(0.0f64, |a, b| a.max(*b));
        let mut readings = Vec::new();
        for (value, vector) in values.iter().zip(vectors).filter(|(v, _)| **v > NOTHING * most) {
            let weights: Vec<DVec3> = vector.chunks_exact(3).map(DVec3::from_slice).collect();
            let is = weights.iter().zip(at.iter()).map(|(w, q)| w.dot(*q)).sum();
            readings.push(reading(weights, is, value.sqrt().max(LEAST_SD), false));
        }
        let square: f64 = at.iter().map(|q| q.length_squared()).sum();
        if let Some([now, measured, sd]) = self.size {
            readings.push(reading(at.iter().map(|q| *q * (now / square)).collect(), measured, sd, true));
        }
        readings
    }

    /// All distances between the points, each as well as it is known by itself: too many to adjust with, good to begin from.
    pub fn distances(&self) -> Vec<Reading> {
        let mut readings = Vec::new();
        for (i, a) in self.at.iter().enumerate() {
            for (j, b) in self.at[..i].iter().enumerate() {
                let u = (*a - *b).normalize_or_zero().to_array();
                let row: Vec<(usize, f64)> = (0..3).flat_map(|c| [(3 * i + c, u[c]), (3 * j + c, -u[c])]).collect();
                let sd = self.covariance.quadratic(&row).max(0.0).sqrt().max(0.02);
                readings.push(Reading {
                    kind: ReadingKind::Distance([self.points[i], self.points[j]]),
                    value: a.distance(*b),
                    sd,
                });
            }
        }
        readings
    }

    /// The covariance without motions and size.
    fn freed(&self, at: &[DVec3]) -> Symmetric {
        let axes = [DVec3::X, DVec3::Y, DVec3::Z];
        let flat = |list: Vec<DVec3>| -> Vec<f64> { list.into_iter().flat_map(|v| v.to_array()).collect() };
        let mut motions: Vec<Vec<f64>> = axes.iter().map(|a| flat(vec![*a; at.len()])).collect();
        motions.extend(axes.iter().map(|a| flat(at.iter().map(|q| a.cross(*q)).collect())));
        motions.push(flat(at.to_vec()));
        self.covariance.without(&motions)
    }
}

impl Component {
    /// The points.
    pub fn points(&self) -> &[usize] {
        &self.points
    }

    /// The component of points at `x`.
    pub fn computed(&self, x: &[DVec3]) -> f64 {
        let here: Vec<DVec3> = self.points.iter().map(|p| x[*p]).collect();
        let (turn, middle) = onto(&here, &self.at);
        self.weights.iter().zip(here).map(|(w, p)| w.dot(turn * (p - middle))).sum()
    }

    /// Its derivatives. What the turn and the middle change does not count: weights are square to all motions.
    pub fn derivatives(&self, x: &[DVec3]) -> Vec<(usize, f64)> {
        let here: Vec<DVec3> = self.points.iter().map(|p| x[*p]).collect();
        let back = onto(&here, &self.at).0.transpose();
        let one = |(p, w): (&usize, &DVec3)| {
            let v = (back * *w).to_array();
            (0..3).map(move |c| (3 * p + c, v[c])).collect::<Vec<_>>()
        };
        self.points.iter().zip(&self.weights).flat_map(one).collect()
    }

    /// Sum of squares by which points at `x` lie off the shape, mm².
    pub fn misfit(&self, x: &[DVec3]) -> f64 {
        let here: Vec<DVec3> = self.points.iter().map(|p| x[*p]).collect();
        let (turn, middle) = onto(&here, &self.at);
        here.iter().zip(self.at.iter()).map(|(p, q)| (turn * (*p - middle)).distance_squared(*q)).sum()
    }
}

/// The turn that brings points, less their middle, nearest to others whose middle is at 0 (Horn 1987: the eigenvector of the
/// largest eigenvalue of a matrix of four rows is its quaternion).
pub fn onto(points: &[DVec3], others: &[DVec3]) -> (DMat3, DVec3) {
    let middle = points.iter().sum::<DVec3>() / points.len().max(1) as f64;
    let mut m = [[0.0; 3]; 3];
    for (p, q) in points.iter().zip(others) {
        let (p, q) = ((*p - middle).to_array(), q.to_array());
        (0..9).for_each(|k| m[k / 3][k % 3] += p[k / 3] * q[k % 3]);
    }
    let rows = [
        [m[0][0] + m[1][1] + m[2][2], m[1][2] - m[2][1], m[2][0] - m[0][2], m[0][1] - m[1][0]],
        [m[1][2] - m[2][1], m[0][0] - m[1][1] - m[2][2], m[0][1] + m[1][0], m[2][0] + m[0][2]],
        [m[2][0] - m[0][2], m[0][1] + m[1][0], m[1][1] - m[0][0] - m[2][2], m[1][2] + m[2][1]],
        [m[0][1] - m[1][0], m[2][0] + m[0][2], m[1][2] + m[2][1], m[2][2] - m[0][0] - m[1][1]],
    ];
    let mut n = Symmetric::zero(4);
    (0..16).for_each(|k| *n.at_mut(k / 4, k % 4) = rows[k / 4][k % 4]);
    let (values, vectors) = n.eigen();
    let most = (0..4).max_by(|a, b| values[*a].total_cmp(&values[*b])).unwrap_or(0);
    let [w, x, y, z] = [0, 1, 2, 3].map(|i| vectors[most][i]);
    (DMat3::from_quat(DQuat::from_xyzw(x, y, z, w).normalize()), middle)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points() -> Vec<DVec3> {
        [[0.0, 0.0, 0.0], [300.0, 10.0, 0.0], [120.0, 400.0, 30.0], [-80.0, 150.0, 260.0]]
            .map(DVec3::from_array)
            .to_vec()
    }

    #[test]
    fn a_turn_is_found_back() {
        let at = points();
        let middle = at.iter().sum::<DVec3>() / 4.0;
        let turn = DMat3::from_quat(DQuat::from_scaled_axis(DVec3::new(0.7, -1.9, 0.4)));
        let centred: Vec<DVec3> = at.iter().map(|p| *p - middle).collect();
        let moved: Vec<DVec3> = at.iter().map(|p| turn.transpose() * *p + DVec3::new(5.0, 6.0, 7.0)).collect();
        let (found, _) = onto(&moved, &centred);
        assert!((0..3).all(|c| found.col(c).distance(turn.col(c)) < 1e-12));
    }

    #[test]
    fn components_see_the_shape_and_no_motion() {
        let at = points();
        let mut covariance = Symmetric::zero(12);
        (0..12).for_each(|i| *covariance.at_mut(i, i) = 0.01 + 0.001 * i as f64);
        let shape = Shape { points: vec![0, 1, 2, 3], at: at.clone(), covariance, size: Some([200.0, 201.0, 0.05]) };
        let readings = shape.readings();
        // 12 coordinates less 6 motions and a size, and the size.
        assert_eq!(readings.len(), 6);
        let turn = DMat3::from_quat(DQuat::from_scaled_axis(DVec3::new(-0.3, 0.8, 2.0)));
        let moved: Vec<DVec3> = at.iter().map(|p| turn * *p + 40.0).collect();
        for reading in &readings[..5] {
            assert!((reading.value - reading.computed(&moved)).abs() < 1e-9);
            // Analytic derivatives against steps, over a change of shape.
            for (i, d) in reading.derivatives(&moved) {
                let mut stepped = moved.clone();
                stepped[i / 3][i % 3] += 1e-3;
                assert!(((reading.computed(&stepped) - reading.computed(&moved)) / 1e-3 - d).abs() < 1e-5);
            }
        }
        let larger: Vec<DVec3> = moved.iter().map(|p| *p * 1.005).collect();
        assert!((readings[5].computed(&larger) - 201.0).abs() < 1e-9);
    }
}
