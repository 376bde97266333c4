//! The shape that photos give to some of the points, as readings that do not depend on each other.
//!
//! The adjusted photos say where their points are in axes of their own, with a full covariance C. That says nothing of where the
//! whole lies and how it is turned, so C is brought to inner constraints, S C Sᵀ with S = I - G Gᵀ and G the six motions
//! and the change of size (Baarda's S-transformation; Teunissen, *Zero Order Design*, 1985, from memory). Each eigenvector of what is
//! left is one reading: vᵀ R(x) = vᵀ q with variance λ, where R turns the points onto the places q. Adjusting the
//! readings together with these is the same as adjusting readings and photos in one least squares, as far as the photos are linear over the
//! tenths of a millimetre by which they still move (Helmert's blocks). The size comes in as a reading of its own: the bar.

use std::sync::Arc;

use glam::DVec3;

pub use super::component::{Component, onto};
use super::network::{Reading, ReadingKind};
use crate::matrix::Symmetric;

/// Least standard deviation of a component, mm: below it photos would be believed beyond what a plate's seat is worth.
const LEAST_SD: f64 = 0.005;
/// Part of the largest eigenvalue below which a direction is one of those that were taken out.
const NOTHING: f64 = 1e-9;

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

#[cfg(test)]
mod tests {
    use glam::{DMat3, DQuat};

    use super::*;

    fn points() -> Vec<DVec3> {
        [[0.0, 0.0, 0.0], [300.0, 10.0, 0.0], [120.0, 400.0, 30.0], [-80.0, 150.0, 260.0]]
            .map(DVec3::from_array)
            .to_vec()
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
