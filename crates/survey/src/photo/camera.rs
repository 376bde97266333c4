//! A camera with a lens, and poses.
//!
//! x' = x (1 + k1 r² + k2 r⁴ + k3 r⁶) + 2 p1 x y + p2 (r² + 2 x²), y' likewise (Brown 1971), then pixels f x' + cx, f y' + cy.

use glam::{DMat2, DQuat, DVec2, DVec3};

/// Number of values of a [`Lens`].
pub const LENS_VALUES: usize = 8;

/// f, cx, cy (pixels), k1, k2, k3, p1, p2.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lens(pub [f64; LENS_VALUES]);

/// Derivatives of a pixel.
#[derive(Debug, Clone, Copy)]
pub struct Projection {
    /// The pixel.
    pub at: DVec2,
    /// By the point in the camera's axes: columns x, y, z.
    pub by_point: [DVec2; 3],
    /// By each value of the lens.
    pub by_lens: [DVec2; LENS_VALUES],
}

impl Lens {
    /// A lens without distortion.
    pub fn plain(f: f64, cx: f64, cy: f64) -> Lens {
        Lens([f, cx, cy, 0.0, 0.0, 0.0, 0.0, 0.0])
    }

    /// The same with a photo's own wobble: a relative change of f, and shifts of the centre in pixels.
    pub fn wobbled(&self, wobble: [f64; 3]) -> Lens {
        let mut lens = *self;
        lens.0[0] *= 1.0 + wobble[0];
        lens.0[1] += wobble[1];
        lens.0[2] += wobble[2];
        lens
    }

    /// Where a point in the camera's axes (x right, y down, z away) is seen; `None` behind the camera.
    pub fn project(&self, p: DVec3) -> Option<DVec2> {
        if p.z < 1.0 {
            return None;
        }
        let d = self.distorted(DVec2::new(p.x, p.y) / p.z);
        Some(DVec2::new(self.0[1], self.0[2]) + d * self.0[0])
    }

    fn distorted(&self, n: DVec2) -> DVec2 {
        let [_, _, _, k1, k2, k3, p1, p2] = self.0;
        let r2 = n.length_squared();
        let radial = 1.0 + r2 * (k1 + r2 * (k2 + r2 * k3));
        n * radial
            + DVec2::new(
                2.0 * p1 * n.x * n.y + p2 * (r2 + 2.0 * n.x * n.x),
                p1 * (r2 + 2.0 * n.y * n.y) + 2.0 * p2 * n.x * n.y,
            )
    }

    /// The same with derivatives.
    pub fn projection(&self, p: DVec3) -> Option<Projection> {
        if p.z < 1.0 {
            return None;
        }
        let [f, cx, cy, k1, k2, k3, p1, p2] = self.0;
        let n = DVec2::new(p.x, p.y) / p.z;
        let r2 = n.length_squared();
        let radial = 1.0 + r2 * (k1 + r2 * (k2 + r2 * k3));
        let slope = 2.0 * (k1 + r2 * (2.0 * k2 + 3.0 * k3 * r2));
        let xy = slope * n.x * n.y;
        let by_n = DMat2::from_cols(
            DVec2::new(
                radial + slope * n.x * n.x + 2.0 * p1 * n.y + 6.0 * p2 * n.x,
                xy + 2.0 * p1 * n.x + 2.0 * p2 * n.y,
            ),
            DVec2::new(
                xy + 2.0 * p1 * n.x + 2.0 * p2 * n.y,
                radial + slope * n.y * n.y + 6.0 * p1 * n.y + 2.0 * p2 * n.x,
            ),
        );
        let d = self.distorted(n);
        let by_x = by_n.x_axis * (f / p.z);
        let by_y = by_n.y_axis * (f / p.z);
        let by_z = -(by_n * n) * (f / p.z);
        let by_lens = [
            d,
            DVec2::X,
            DVec2::Y,
            n * (f * r2),
            n * (f * r2 * r2),
            n * (f * r2 * r2 * r2),
            DVec2::new(2.0 * n.x * n.y, r2 + 2.0 * n.y * n.y) * f,
            DVec2::new(r2 + 2.0 * n.x * n.x, 2.0 * n.x * n.y) * f,
        ];
        Some(Projection { at: DVec2::new(cx, cy) + d * f, by_point: [by_x, by_y, by_z], by_lens })
    }

    /// Direction x/z, y/z of a pixel; by fixed-point steps, good to 1e-9 for lenses of phones.
    pub fn direction(&self, at: DVec2) -> DVec2 {
        let seen = (at - DVec2::new(self.0[1], self.0[2])) / self.0[0];
        let mut n = seen;
        for _ in 0..30 {
            n += seen - self.distorted(n);
        }
        n
    }
}

/// A rotation and a shift: a point p goes to turn p + shift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// Rotation.
    pub turn: DQuat,
    /// Shift, mm.
    pub shift: DVec3,
}

impl Pose {
    /// The pose that changes nothing.
    pub const IDENTITY: Pose = Pose { turn: DQuat::IDENTITY, shift: DVec3::ZERO };

    /// The image of a point.
    pub fn apply(&self, p: DVec3) -> DVec3 {
        self.turn * p + self.shift
    }

    /// First `other`, then this.
    pub fn after(&self, other: &Pose) -> Pose {
        Pose { turn: (self.turn * other.turn).normalize(), shift: self.apply(other.shift) }
    }

    /// The way back.
    pub fn inverse(&self) -> Pose {
        let turn = self.turn.inverse();
        Pose { turn, shift: -(turn * self.shift) }
    }

    /// Turned a little about the outer axes and shifted: three angles (rad), three lengths (mm).
    pub fn nudged(&self, by: &[f64]) -> Pose {
        let turn = DQuat::from_scaled_axis(DVec3::from_slice(by));
        Pose { turn: (turn * self.turn).normalize(), shift: self.shift + DVec3::from_slice(&by[3..]) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LENS: Lens = Lens([1500.0, 1000.0, 740.0, 0.07, -0.14, 0.06, 3e-4, -1e-4]);

    #[test]
    fn derivatives_are_those_of_small_steps() {
        let p = DVec3::new(210.0, -130.0, 640.0);
        let projection = LENS.projection(p).unwrap();
        for c in 0..3 {
            let mut q = p;
            q[c] += 1e-3;
            let slow = (LENS.project(q).unwrap() - projection.at) / 1e-3;
            assert!(slow.distance(projection.by_point[c]) < 1e-4);
        }
        for (i, by) in projection.by_lens.iter().enumerate() {
            let mut lens = LENS;
            let step = if i < 3 { 1e-3 } else { 1e-7 };
            lens.0[i] += step;
            let slow = (lens.project(p).unwrap() - projection.at) / step;
            assert!(slow.distance(*by) < 1e-3, "{i}");
        }
    }

    #[test]
    fn a_pixel_leads_back_to_its_direction() {
        let p = DVec3::new(310.0, 230.0, 640.0);
        let back = LENS.direction(LENS.project(p).unwrap());
        assert!(back.distance(DVec2::new(p.x, p.y) / p.z) < 1e-9);
    }
}
