//! One component of a shape, as a function of where the points lie.
//!
//! A component is a weighted sum of the points' places once they are turned onto where photos see them: it does not
//! change when the points move or turn together.

use std::sync::Arc;

use glam::{DMat3, DQuat, DVec3};

use crate::matrix::Symmetric;

/// A component of a shape, or its size.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// The points.
    pub(super) points: Arc<Vec<usize>>,
    /// Where photos see them, from their middle, mm.
    pub(super) at: Arc<Vec<DVec3>>,
    /// What each counts.
    pub(super) weights: Vec<DVec3>,
    /// Whether it can be wrong: the measured bar.
    pub may_slip: bool,
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
}
