//! Boxes along the axes, for bounds.

use crate::Vec3;

/// A box along the axes, mm. The empty one has `min` above `max`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aabb {
    /// Least corner.
    pub min: Vec3,
    /// Greatest corner.
    pub max: Vec3,
}

impl Aabb {
    /// The box that holds nothing.
    pub const EMPTY: Aabb = Aabb { min: Vec3::INFINITY, max: Vec3::NEG_INFINITY };

    /// The least box around some points.
    pub fn around(points: impl IntoIterator<Item = Vec3>) -> Self {
        points.into_iter().fold(Aabb::EMPTY, Aabb::with)
    }

    /// The least box around this one and a point.
    #[must_use]
    pub fn with(self, p: Vec3) -> Self {
        Aabb { min: self.min.min(p), max: self.max.max(p) }
    }

    /// The least box around both.
    #[must_use]
    pub fn union(self, other: Aabb) -> Self {
        Aabb { min: self.min.min(other.min), max: self.max.max(other.max) }
    }

    /// The box grown by `by` mm on every side.
    #[must_use]
    pub fn grown(self, by: f64) -> Self {
        Aabb { min: self.min - Vec3::splat(by), max: self.max + Vec3::splat(by) }
    }

    /// Centre of the box.
    pub fn centre(&self) -> Vec3 {
        0.5 * (self.min + self.max)
    }

    /// Its lengths along the axes, mm.
    pub fn size(&self) -> Vec3 {
        self.max - self.min
    }

    /// Distance from a point, mm; 0 inside.
    pub fn distance(&self, p: Vec3) -> f64 {
        (self.min - p).max(p - self.max).max(Vec3::ZERO).length()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distance_to_a_corner_is_pythagoras() {
        let b = Aabb::around([Vec3::ZERO, Vec3::splat(10.0)]);
        assert_eq!(b.distance(Vec3::new(13.0, 14.0, 5.0)), 5.0);
        assert_eq!(b.distance(Vec3::splat(5.0)), 0.0);
    }
}
