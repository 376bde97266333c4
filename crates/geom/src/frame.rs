//! A place with a direction of travel and a reference direction across it.

use crate::Vec3;

/// A right-handed frame that travels along a tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Where, mm.
    pub origin: Vec3,
    /// Unit vector along the feed or flow.
    pub forward: Vec3,
    /// Unit vector across `forward` from which clocking is counted.
    pub up: Vec3,
}

impl Frame {
    /// A frame from a direction and a rough `up`, which is made perpendicular.
    ///
    /// Returns `None` when either is zero or not finite, or both are parallel.
    pub fn new(origin: Vec3, forward: Vec3, up: Vec3) -> Option<Self> {
        let forward = forward.try_normalize()?;
        let across = up.try_normalize()?.reject_from_normalized(forward);
        if across.length() < 1e-9 || !origin.is_finite() {
            return None;
        }
        Some(Frame { origin, forward, up: across.normalize() })
    }

    /// `forward x up`: to the right of one who looks along `forward` with `up` overhead.
    pub fn right(&self) -> Vec3 {
        self.forward.cross(self.up)
    }
}

/// A unit vector perpendicular to the unit vector `v`, the same for equal input.
///
/// It is the vehicle's up (z) made perpendicular, or forward (x) when `v` is nearly vertical, so
/// that a reference line is where a fabricator would look for it.
pub fn any_perpendicular(v: Vec3) -> Vec3 {
    let reference = if v.z.abs() < 0.99 { Vec3::Z } else { Vec3::X };
    reference.reject_from_normalized(v).normalize()
}

/// `v` turned about the unit vector `axis` by `angle` rad, right-hand rule.
pub fn rotate_about(v: Vec3, axis: Vec3, angle: f64) -> Vec3 {
    let (sin, cos) = angle.sin_cos();
    v * cos + axis.cross(v) * sin + axis * (axis.dot(v) * (1.0 - cos))
}

/// Angle from `a` to `b` about the unit vector `axis`, right-hand rule, in (-pi, pi].
///
/// Both are projected onto the plane across `axis`.
pub fn signed_angle(a: Vec3, b: Vec3, axis: Vec3) -> f64 {
    let angle = axis.dot(a.cross(b)).atan2(a.dot(b) - a.dot(axis) * b.dot(axis));
    if angle <= -std::f64::consts::PI + 1e-12 { std::f64::consts::PI } else { angle }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{FRAC_PI_2, PI};

    #[test]
    fn a_quarter_turn_about_z_takes_x_to_y() {
        assert!((rotate_about(Vec3::X, Vec3::Z, FRAC_PI_2) - Vec3::Y).length() < 1e-15);
        assert!((signed_angle(Vec3::X, Vec3::Y, Vec3::Z) - FRAC_PI_2).abs() < 1e-15);
    }

    #[test]
    fn a_half_turn_is_plus_180_never_minus() {
        assert_eq!(signed_angle(Vec3::X, -Vec3::X, Vec3::Z), PI);
        assert_eq!(signed_angle(Vec3::X, Vec3::new(-1.0, -1e-15, 0.0), Vec3::Z), PI);
    }

    #[test]
    fn parallel_up_is_refused() {
        assert!(Frame::new(Vec3::ZERO, Vec3::X, Vec3::X * 2.0).is_none());
        assert!(Frame::new(Vec3::ZERO, Vec3::X, Vec3::ZERO).is_none());
    }
}
