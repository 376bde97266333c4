//! Solids that must not be touched, and how far a point is from them.
//!
//! The distance is signed: negative inside. It is exact inside and out for the primitives, so its
//! gradient is a unit vector wherever it exists and the distance is 1-Lipschitz: moving by 1 mm
//! changes it by at most 1 mm. Both are what a clearance search leans on. All formulas are
//! elementary geometry; the property tests hold them to a dense sampling of the surfaces.

use std::sync::Arc;

use crate::{Aabb, Mesh, Nearest, Vec3, any_perpendicular};

/// Something solid.
#[derive(Debug, Clone)]
pub enum Solid {
    /// A box.
    Box {
        /// Centre.
        center: Vec3,
        /// Whole lengths along its axes, mm.
        size: Vec3,
        /// Unit axes, at right angles.
        axes: [Vec3; 3],
    },
    /// A cylinder with flat ends.
    Cylinder {
        /// Centre of one end.
        from: Vec3,
        /// Centre of the other end.
        to: Vec3,
        /// Radius, mm.
        radius: f64,
    },
    /// A cone with its tip cut off: flat ends square to its axis.
    Cone {
        /// Centre of one end.
        from: Vec3,
        /// Centre of the other end.
        to: Vec3,
        /// Radius of each end, mm.
        radii: [f64; 2],
    },
    /// A cylinder with round ends.
    Capsule {
        /// Centre of one end's ball.
        from: Vec3,
        /// Centre of the other end's ball.
        to: Vec3,
        /// Radius, mm.
        radius: f64,
    },
    /// A ball.
    Sphere {
        /// Centre.
        center: Vec3,
        /// Radius, mm.
        radius: f64,
    },
    /// A triangle mesh, placed and in mm, indexed for distances.
    Mesh(Arc<Mesh>),
}

impl Solid {
    /// Signed distance and its gradient at `p`.
    ///
    /// When the distance is certainly at least `limit` mm the answer may be any lower bound of it
    /// that is not below `limit` (with a rough normal): a mesh then stops early. Below `limit` the
    /// answer is exact. Pass infinity for always exact.
    pub fn nearest(&self, p: Vec3, limit: f64) -> Nearest {
        match self {
            Solid::Box { center, size, axes } => nearest_box(p - *center, *size * 0.5, axes),
            Solid::Cylinder { from, to, radius } => nearest_cylinder(p, *from, *to, *radius),
            Solid::Cone { from, to, radii } => nearest_cone(p, *from, *to, *radii),
            Solid::Capsule { from, to, radius } => nearest_capsule(p, *from, *to, *radius),
            Solid::Sphere { center, radius } => nearest_ball(p - *center, *radius, Vec3::Z),
            Solid::Mesh(mesh) => mesh.nearest(p, limit),
        }
    }

    /// Signed distance of `p`, mm, as [`Solid::nearest`] without limit.
    pub fn distance(&self, p: Vec3) -> f64 {
        self.nearest(p, f64::INFINITY).distance
    }

    /// The least box along the axes around it.
    pub fn bounds(&self) -> Aabb {
        match self {
            Solid::Box { center, size, axes } => {
                let half = *size * 0.5;
                let reach = axes[0].abs() * half.x + axes[1].abs() * half.y + axes[2].abs() * half.z;
                Aabb { min: *center - reach, max: *center + reach }
            }
            Solid::Cylinder { from, to, radius } => around_discs(*from, *to, [*radius; 2]),
            Solid::Cone { from, to, radii } => around_discs(*from, *to, *radii),
            Solid::Capsule { from, to, radius } => Aabb::around([*from, *to]).grown(*radius),
            Solid::Sphere { center, radius } => Aabb { min: *center, max: *center }.grown(*radius),
            Solid::Mesh(mesh) => mesh.bounds(),
        }
    }
}

/// The box around two discs square to the line between their centres.
fn around_discs(from: Vec3, to: Vec3, radii: [f64; 2]) -> Aabb {
    // A disc across unit axis a reaches radius * sqrt(1 - a_i^2) along axis i.
    let a = (to - from).normalize_or_zero();
    let square = (Vec3::ONE - a * a).max(Vec3::ZERO);
    let reach = Vec3::new(square.x.sqrt(), square.y.sqrt(), square.z.sqrt());
    let (first, last) = (reach * radii[0], reach * radii[1]);
    Aabb { min: (from - first).min(to - last), max: (from + first).max(to + last) }
}

/// `p` is seen from the ball's centre; `fallback` is the normal at the centre.
fn nearest_ball(p: Vec3, radius: f64, fallback: Vec3) -> Nearest {
    let r = p.length();
    Nearest { distance: r - radius, normal: if r > 0.0 { p / r } else { fallback } }
}

/// `p` is seen from the box's centre.
fn nearest_box(p: Vec3, half: Vec3, axes: &[Vec3; 3]) -> Nearest {
    let local = Vec3::new(p.dot(axes[0]), p.dot(axes[1]), p.dot(axes[2]));
    let sign = Vec3::new(1f64.copysign(local.x), 1f64.copysign(local.y), 1f64.copysign(local.z));
    let beyond = local.abs() - half;
    let outside = beyond.max(Vec3::ZERO);
    let distance = outside.length();
    let (distance, direction) = if distance > 0.0 {
        (distance, outside / distance)
    } else {
        let most = beyond.max_element();
        let axis = [Vec3::X, Vec3::Y, Vec3::Z][(0..3).find(|&i| beyond[i] >= most).unwrap_or(0)];
        (most, axis)
    };
    let n = direction * sign;
    Nearest { distance, normal: axes[0] * n.x + axes[1] * n.y + axes[2] * n.z }
}

fn nearest_cylinder(p: Vec3, from: Vec3, to: Vec3, radius: f64) -> Nearest {
    let length = (to - from).length();
    let axis = if length > 0.0 { (to - from) / length } else { Vec3::Z };
    let q = p - 0.5 * (from + to);
    let along = q.dot(axis);
    let across = q - axis * along;
    let r = across.length();
    let outward = if r > 0.0 { across / r } else { any_perpendicular(axis) };
    let endward = axis * 1f64.copysign(along);
    let (h, w) = (along.abs() - 0.5 * length, r - radius);
    if h > 0.0 && w > 0.0 {
        let distance = h.hypot(w);
        return Nearest { distance, normal: (endward * h + outward * w) / distance };
    }
    if h > w { Nearest { distance: h, normal: endward } } else { Nearest { distance: w, normal: outward } }
}

/// In the half plane of (along, out from) the axis the cone is the four-sided figure (0, 0), (0, r0), (length, r1),
/// (length, 0).
fn nearest_cone(p: Vec3, from: Vec3, to: Vec3, radii: [f64; 2]) -> Nearest {
    let length = (to - from).length();
    let axis = if length > 0.0 { (to - from) / length } else { Vec3::Z };
    let q = p - from;
    let along = q.dot(axis);
    let across = q - axis * along;
    let r = across.length();
    let outward = if r > 0.0 { across / r } else { any_perpendicular(axis) };
    let slope = (length.hypot(radii[1] - radii[0])).max(f64::MIN_POSITIVE);
    let side = ((radii[0] - radii[1]) / slope, length / slope);
    let beyond = [-along, along - length, along * side.0 + (r - radii[0]) * side.1];
    if beyond.iter().all(|b| *b <= 0.0) {
        let normal = |(a, o): (f64, f64)| axis * a + outward * o;
        let faces = [(beyond[0], (-1.0, 0.0)), (beyond[1], (1.0, 0.0)), (beyond[2], side)];
        let (distance, face) = faces.into_iter().max_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or(faces[2]);
        return Nearest { distance, normal: normal(face) };
    }
    // Outside: the nearest place of the outline.
    let share = (along * length + (r - radii[0]) * (radii[1] - radii[0])) / (slope * slope);
    let share = share.clamp(0.0, 1.0);
    let candidates =
        [(0.0, r.min(radii[0])), (length, r.min(radii[1])), (share * length, radii[0] + share * (radii[1] - radii[0]))];
    let off = |(a, o): (f64, f64)| (along - a, r - o);
    let nearest = candidates.map(off).into_iter().min_by(|a, b| a.0.hypot(a.1).total_cmp(&b.0.hypot(b.1)));
    let (a, o) = nearest.unwrap_or((0.0, 0.0));
    let distance = a.hypot(o);
    let (a, o) = if distance > 0.0 { (a / distance, o / distance) } else { side };
    Nearest { distance, normal: axis * a + outward * o }
}

fn nearest_capsule(p: Vec3, from: Vec3, to: Vec3, radius: f64) -> Nearest {
    let d = to - from;
    let square = d.length_squared();
    let t = if square > 0.0 { ((p - from).dot(d) / square).clamp(0.0, 1.0) } else { 0.0 };
    let fallback = d.try_normalize().map_or(Vec3::Z, any_perpendicular);
    nearest_ball(p - (from + d * t), radius, fallback)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(n: Nearest, distance: f64, normal: Vec3) {
        assert!((n.distance - distance).abs() < 1e-12, "{n:?}");
        assert!((n.normal - normal).length() < 1e-12, "{n:?}");
    }

    #[test]
    fn box_face_edge_and_inside() {
        let b = Solid::Box { center: Vec3::ZERO, size: Vec3::new(20.0, 40.0, 60.0), axes: [Vec3::X, Vec3::Y, Vec3::Z] };
        close(b.nearest(Vec3::new(15.0, 3.0, -2.0), f64::INFINITY), 5.0, Vec3::X);
        close(b.nearest(Vec3::new(-13.0, 24.0, 0.0), f64::INFINITY), 5.0, Vec3::new(-0.6, 0.8, 0.0));
        close(b.nearest(Vec3::new(1.0, -18.0, 0.0), f64::INFINITY), -2.0, -Vec3::Y);
    }

    #[test]
    fn a_turned_box_has_turned_bounds() {
        let s = 0.5f64.sqrt();
        let axes = [Vec3::new(s, s, 0.0), Vec3::new(-s, s, 0.0), Vec3::Z];
        let b = Solid::Box { center: Vec3::X, size: Vec3::splat(2.0), axes };
        assert!((b.bounds().max - Vec3::new(1.0 + 2f64.sqrt(), 2f64.sqrt(), 1.0)).length() < 1e-12);
        close(b.nearest(Vec3::new(4.0, 3.0, 0.0), f64::INFINITY), 18f64.sqrt() - 1.0, axes[0]);
    }

    #[test]
    fn cylinder_side_end_rim_and_inside() {
        let c = Solid::Cylinder { from: Vec3::ZERO, to: Vec3::new(0.0, 0.0, 100.0), radius: 10.0 };
        close(c.nearest(Vec3::new(0.0, 15.0, 40.0), f64::INFINITY), 5.0, Vec3::Y);
        close(c.nearest(Vec3::new(2.0, 2.0, 103.0), f64::INFINITY), 3.0, Vec3::Z);
        close(c.nearest(Vec3::new(13.0, 0.0, -4.0), f64::INFINITY), 5.0, Vec3::new(0.6, 0.0, -0.8));
        close(c.nearest(Vec3::new(8.0, 0.0, 50.0), f64::INFINITY), -2.0, Vec3::X);
        close(c.nearest(Vec3::new(1.0, 0.0, 99.0), f64::INFINITY), -1.0, Vec3::Z);
        assert_eq!(c.bounds(), Aabb { min: Vec3::new(-10.0, -10.0, 0.0), max: Vec3::new(10.0, 10.0, 100.0) });
    }

    #[test]
    fn cone_side_ends_rim_and_inside() {
        // The side falls from 30 to 10 over 100: its outward direction is (20, 100) / 101.98.
        let c = Solid::Cone { from: Vec3::ZERO, to: Vec3::new(0.0, 0.0, 100.0), radii: [30.0, 10.0] };
        let side = Vec3::new(100.0, 0.0, 20.0).normalize();
        close(c.nearest(Vec3::new(20.0, 0.0, 50.0) + side * 7.0, f64::INFINITY), 7.0, side);
        close(c.nearest(Vec3::new(20.0, 0.0, 50.0) - side * 2.0, f64::INFINITY), -2.0, side);
        close(c.nearest(Vec3::new(0.0, 25.0, -4.0), f64::INFINITY), 4.0, -Vec3::Z);
        close(c.nearest(Vec3::new(33.0, 0.0, -4.0), f64::INFINITY), 5.0, Vec3::new(0.6, 0.0, -0.8));
        close(c.nearest(Vec3::new(0.0, 2.0, 103.0), f64::INFINITY), 3.0, Vec3::Z);
        close(c.nearest(Vec3::new(1.0, 0.0, 99.0), f64::INFINITY), -1.0, Vec3::Z);
        assert_eq!(c.bounds(), Aabb { min: Vec3::new(-30.0, -30.0, 0.0), max: Vec3::new(30.0, 30.0, 100.0) });
    }

    #[test]
    fn capsule_and_ball() {
        let c = Solid::Capsule { from: Vec3::ZERO, to: Vec3::new(0.0, 0.0, 100.0), radius: 10.0 };
        close(c.nearest(Vec3::new(0.0, 3.0, 104.0), f64::INFINITY), -5.0, Vec3::new(0.0, 0.6, 0.8));
        close(c.nearest(Vec3::new(0.0, 30.0, 40.0), f64::INFINITY), 20.0, Vec3::Y);
        let s = Solid::Sphere { center: Vec3::X, radius: 5.0 };
        close(s.nearest(Vec3::new(1.0, 0.0, 0.0), f64::INFINITY), -5.0, Vec3::Z);
    }
}
