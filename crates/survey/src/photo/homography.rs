//! Maps between planes: eight numbers from four points or more.

use glam::{DMat3, DVec2, DVec3};

use crate::matrix::Symmetric;

/// A map of one plane onto another.
#[derive(Debug, Clone, Copy)]
pub struct Homography(pub DMat3);

impl Homography {
    /// The map that takes the first points to the second, by least squares of the linear equations with h33 = 1;
    /// `None` with fewer than four, or for points in one line.
    pub fn of(pairs: &[(DVec2, DVec2)]) -> Option<Homography> {
        if pairs.len() < 4 {
            return None;
        }
        // Moved and scaled so that all numbers are near 1 (Hartley 1997).
        let (from, to) = (Norming::of(pairs.iter().map(|p| p.0)), Norming::of(pairs.iter().map(|p| p.1)));
        let mut normal = Symmetric::zero(8);
        let mut right = vec![0.0; 8];
        for (a, b) in pairs {
            let (a, b) = (from.apply(*a), to.apply(*b));
            let rows = [
                ([(0, a.x), (1, a.y), (2, 1.0), (6, -a.x * b.x), (7, -a.y * b.x)], b.x),
                ([(3, a.x), (4, a.y), (5, 1.0), (6, -a.x * b.y), (7, -a.y * b.y)], b.y),
            ];
            for (row, value) in rows {
                normal.add_outer(&row, 1.0);
                row.iter().for_each(|(i, v)| right[*i] += v * value);
            }
        }
        (0..8).for_each(|i| *normal.at_mut(i, i) += 1e-12);
        let h = normal.factor()?.solve(&right);
        let inner = DMat3::from_cols_array(&[h[0], h[3], h[6], h[1], h[4], h[7], h[2], h[5], 1.0]);
        let whole = to.matrix().inverse() * inner * from.matrix();
        whole.is_finite().then_some(Homography(whole))
    }

    /// The image of a point.
    pub fn map(&self, p: DVec2) -> DVec2 {
        let q = self.0 * p.extend(1.0);
        DVec2::new(q.x, q.y) / q.z
    }

    /// What a small step along x, and one along y, at `p` becomes.
    pub fn local(&self, p: DVec2) -> [DVec2; 2] {
        let step = 1e-4;
        [DVec2::X, DVec2::Y].map(|axis| (self.map(p + axis * step) - self.map(p - axis * step)) / (2.0 * step))
    }
}

struct Norming {
    middle: DVec2,
    scale: f64,
}

impl Norming {
    fn of(points: impl Iterator<Item = DVec2> + Clone) -> Norming {
        let count = points.clone().count() as f64;
        let middle = points.clone().sum::<DVec2>() / count;
        let spread = points.map(|p| p.distance(middle)).sum::<f64>() / count;
        Norming { middle, scale: 1.0 / spread.max(1e-9) }
    }

    fn apply(&self, p: DVec2) -> DVec2 {
        (p - self.middle) * self.scale
    }

    fn matrix(&self) -> DMat3 {
        let t = -self.middle * self.scale;
        DMat3::from_cols(DVec3::X * self.scale, DVec3::Y * self.scale, DVec3::new(t.x, t.y, 1.0))
    }
}
