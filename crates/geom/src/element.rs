//! The two things a centreline is made of: a straight and a true circular arc.

use crate::Vec3;

/// A straight stretch, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Straight {
    /// Where it begins.
    pub start: Vec3,
    /// Unit direction of travel.
    pub direction: Vec3,
    /// Length, mm, not negative.
    pub length: f64,
}

/// A circular arc, mm and rad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arc {
    /// Where it begins.
    pub start: Vec3,
    /// Unit direction of travel at the start.
    pub tangent: Vec3,
    /// Unit vector from the start towards the centre.
    pub inward: Vec3,
    /// Centreline radius (CLR), mm.
    pub radius: f64,
    /// Angle turned, rad, in (0, 2 pi).
    pub angle: f64,
}

impl Arc {
    /// Centre of the circle.
    pub fn centre(&self) -> Vec3 {
        self.start + self.inward * self.radius
    }

    /// Unit axis about which the travel turns by the right-hand rule.
    pub fn axis(&self) -> Vec3 {
        self.tangent.cross(self.inward)
    }

    /// Point after turning by `angle` rad.
    pub fn point(&self, angle: f64) -> Vec3 {
        // 1 - cos is formed from the half angle: no digits are lost on slight bends.
        let half = (0.5 * angle).sin();
        self.start + (self.tangent * angle.sin() + self.inward * (2.0 * half * half)) * self.radius
    }

    /// Unit tangent after turning by `angle` rad.
    pub fn direction(&self, angle: f64) -> Vec3 {
        self.tangent * angle.cos() + self.inward * angle.sin()
    }

    /// Unit vector towards the centre after turning by `angle` rad.
    pub fn inward_at(&self, angle: f64) -> Vec3 {
        self.inward * angle.cos() - self.tangent * angle.sin()
    }
}

/// One stretch of a centreline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Element {
    /// A straight.
    Straight(Straight),
    /// A bend.
    Arc(Arc),
}

impl Element {
    /// Length along the centreline, mm.
    pub fn length(&self) -> f64 {
        match self {
            Element::Straight(s) => s.length,
            Element::Arc(a) => a.radius * a.angle,
        }
    }

    /// Point `s` mm from its start.
    pub fn point(&self, s: f64) -> Vec3 {
        match self {
            Element::Straight(e) => e.start + e.direction * s,
            Element::Arc(a) => a.point(s / a.radius),
        }
    }

    /// Unit tangent `s` mm from its start.
    pub fn direction(&self, s: f64) -> Vec3 {
        match self {
            Element::Straight(e) => e.direction,
            Element::Arc(a) => a.direction(s / a.radius),
        }
    }

    /// End point, mm.
    pub fn end(&self) -> Vec3 {
        self.point(self.length())
    }

    /// The stretch of it from `from` to `to` mm, as a separate element.
    #[must_use]
    pub fn part(&self, from: f64, to: f64) -> Element {
        match self {
            Element::Straight(e) => Element::Straight(Straight { start: self.point(from), length: to - from, ..*e }),
            Element::Arc(a) => {
                let angle = from / a.radius;
                Element::Arc(Arc {
                    start: a.point(angle),
                    tangent: a.direction(angle),
                    inward: a.inward_at(angle),
                    radius: a.radius,
                    angle: (to - from) / a.radius,
                })
            }
        }
    }

    /// It, moved without turning.
    #[must_use]
    pub fn shifted(&self, by: Vec3) -> Element {
        match self {
            Element::Straight(e) => Element::Straight(Straight { start: e.start + by, ..*e }),
            Element::Arc(a) => Element::Arc(Arc { start: a.start + by, ..*a }),
        }
    }

    /// A point and a radius whose ball holds all of it.
    pub fn ball(&self) -> (Vec3, f64) {
        let middle = self.point(0.5 * self.length());
        match self {
            Element::Straight(e) => (middle, 0.5 * e.length),
            // No point of an arc is farther from its middle than its ends, or than the diameter.
            Element::Arc(a) => (middle, 2.0 * a.radius * (0.25 * a.angle).sin().abs()),
        }
    }
}
