//! Merge collectors: straight tubes that lean towards one axis and are cut where they meet.
//!
//! n tubes of radius R, their axes at the radius d in the start plane, each leaning inward by b. Neighbours meet
//! on planes through the collector's axis, pi / n to either side of each tube:
//!   s(phi) = (d + R cos(phi) cos(b) - R |sin(phi)| cot(pi / n)) / sin(b),
//! phi = 0 on the outside, s along the tube from the start plane. At the height
//!   L = (d + R / cos(b) - Q) / tan(b)
//! the outermost line has come in to the outlet's radius Q; there all is cut square to the collector's axis:
//!   s(phi) = (L - R cos(phi) sin(b)) / cos(b).
//! The tube ends at the lower of the two curves. Elementary geometry of cylinders and planes;
//! `checks/templates` holds the curves to solids of a modelling kernel.

use std::f64::consts::PI;

use job::body::Bundle;
use job::model::Units;
use job::show;

use crate::cope::positive;
use crate::drawing::Drawing;
use crate::sheet::{Transition, cone};
use crate::wrap::{Wrapping, curve, how, template};
use crate::{DrawingError, Vec2};

/// Paper below the start plane, mm.
const EDGE: f64 = 10.0;

/// A merge collector of equal tubes around an axis. Lengths in mm, angles in rad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Merge {
    /// Number of tubes.
    pub tubes: usize,
    /// Outside diameter of each.
    pub od: f64,
    /// Gap between neighbours in the start plane.
    pub gap: f64,
    /// Inward lean of each tube.
    pub lean: f64,
    /// Outside diameter of the outlet.
    pub outlet_od: f64,
    /// Wall of tubes and sheet.
    pub wall: f64,
}

impl Merge {
    fn bundle(&self) -> Bundle {
        Bundle { tubes: self.tubes, od: self.od, gap: self.gap }
    }

    /// Radius of the circle of the tubes' axes in the start plane, mm.
    pub fn ring(&self) -> f64 {
        self.bundle().ring()
    }

    /// Height of the outlet above the start plane along the collector's axis, mm.
    pub fn height(&self) -> f64 {
        self.bundle().height(self.lean, self.outlet_od)
    }

    /// Length of a tube's axis from the start plane to the outlet, mm.
    fn axis_length(&self) -> f64 {
        self.height() / self.lean.cos()
    }

    /// Where a tube meets its neighbours at `phi` rad, mm along it from the start plane.
    pub fn meets(&self, phi: f64) -> f64 {
        let r = 0.5 * self.od;
        let cot = if self.tubes == 2 { 0.0 } else { 1.0 / (PI / self.tubes as f64).tan() };
        (self.ring() + r * phi.cos() * self.lean.cos() - r * phi.sin().abs() * cot) / self.lean.sin()
    }

    /// Where the outlet's plane cuts a tube at `phi` rad, mm along it from the start plane.
    pub fn outlet(&self, phi: f64) -> f64 {
        (self.height() - 0.5 * self.od * phi.cos() * self.lean.sin()) / self.lean.cos()
    }

    /// Where a tube ends at `phi` rad, mm along it from the start plane.
    pub fn end(&self, phi: f64) -> f64 {
        self.meets(phi).min(self.outlet(phi))
    }

    /// Centre of tube `i` (from 0) at the height `z` mm above the start plane.
    pub(crate) fn centre(&self, i: usize, z: f64) -> Vec2 {
        let angle = 0.5 * PI - 2.0 * PI * i as f64 / self.tubes as f64;
        Vec2::from_angle(angle) * (self.ring() - z * self.lean.tan())
    }

    /// # Errors
    /// The first invalid measure.
    pub fn check(&self) -> Result<(), DrawingError> {
        if self.tubes < 2 {
            return Err(DrawingError::TooFew { what: "tubes of a merge collector", count: self.tubes, least: 2 });
        }
        positive(&[
            ("diameter of the tubes", self.od),
            ("wall", self.wall),
            ("diameter of the outlet", self.outlet_od),
        ])?;
        if !(self.gap.is_finite() && self.gap >= 0.0) {
            return Err(DrawingError::NotPositive { what: "gap", value: self.gap });
        }
        let degrees = self.lean.to_degrees();
        if !(degrees > 1.0 && degrees < 45.0) {
            return Err(DrawingError::Angle { what: "the lean of the tubes", degrees, above: 1.0, below: 45.0 });
        }
        // Wider than the tubes stand it could not be reached; narrower than one tube the tubes are cut away.
        let most = 2.0 * (self.ring() + 0.5 * self.od / self.lean.cos());
        if !(self.outlet_od >= self.od && self.outlet_od < most) {
            return Err(DrawingError::Outlet { outlet: self.outlet_od, least: self.od, most });
        }
        Ok(())
    }

    /// The template of the cut, its words with lengths in `units`; it is the same for every tube.
    ///
    /// # Errors
    /// As [`Merge::check`].
    pub fn template(&self, name: &str, units: Units) -> Result<Drawing, DrawingError> {
        self.check()?;
        let exact = |l: f64| show::exact_with_unit(l, units);
        let od = show::size_with_unit(self.od, units);
        let mut drawing = Drawing::new(name, format!("Merge collector, {} x {od}: cut for each tube", self.tubes));
        drawing.note(format!(
            "{} needed, all the same. Each tube leans {:.2} degrees; axes {} from the centre in the start plane; outlet {} diameter, {} above it.",
            self.tubes,
            self.lean.to_degrees(),
            exact(self.ring()),
            exact(self.outlet_od),
            exact(self.height())
        ));
        drawing.note(format!(
            "0 lies on the side away from the middle of the collector: the line MERGE 0 on the clocking strip. Lay the straight edge \
             {} from the square end of the tube, measured along it ({} before the start plane).",
            exact(EDGE + self.axis_length()),
            exact(EDGE)
        ));
        let s = curve(|phi| self.end(phi));
        let lowest = s.iter().copied().fold(f64::INFINITY, f64::min);
        if lowest < 5.0 {
            drawing.note(format!(
                "The tubes meet {} after the start plane: allow more clearance or a straight if they must be welded all round first.",
                exact(lowest)
            ));
        }
        let short = s.iter().copied().fold(f64::NEG_INFINITY, f64::max) - self.axis_length();
        if short > 0.1 {
            drawing.note(format!(
                "Towards the middle the square end of the tube is up to {} short of the line: fill that with weld at the outlet.",
                exact(short)
            ));
        }
        drawing.note(how(units));
        template(&mut drawing, Wrapping::of(self.od), &s, -EDGE, ["outside", "side", "middle", "side"]);
        Ok(drawing)
    }

    /// The transition from the outlines of the tubes, `from` mm above the start plane, to the round outlet: a sheet around
    /// the merged tubes.
    ///
    /// # Errors
    /// As [`Merge::check`], and where nothing of the height is left.
    pub fn transition(&self, name: &str, from: f64, units: Units) -> Result<Drawing, DrawingError> {
        self.check()?;
        let centres = (0..self.tubes).map(|i| self.centre(i, from)).collect();
        let half = 0.5 * self.wall;
        let transition = Transition {
            centres,
            radius: 0.5 * self.od + half,
            outlet: 0.5 * self.outlet_od - half,
            height: self.height() - from,
        };
        let mut drawing = transition.pattern(name, units)?;
        drawing.note("Fits around the tubes: its inside touches their outside.");
        Ok(drawing)
    }

    /// The cone from the outlet to a tube of `od` mm over `length` mm.
    ///
    /// # Errors
    /// As [`cone`].
    pub fn outlet_cone(&self, name: &str, od: f64, length: f64, units: Units) -> Result<Drawing, DrawingError> {
        self.check()?;
        positive(&[("diameter after the cone", od - self.wall)])?;
        let radii = [self.outlet_od, od].map(|d| 0.5 * (d - self.wall));
        let mut drawing = cone(name, radii, length, units)?;
        let total = 2.0 * (0.5 * (od - self.outlet_od) / length).atan().to_degrees().abs();
        drawing.note(format!("Included angle {total:.2} degrees."));
        Ok(drawing)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn four() -> Merge {
        let lean = 7.5_f64.to_radians();
        Merge { tubes: 4, od: 44.45, gap: 0.0, lean, outlet_od: 76.2, wall: 1.65 }
    }

    #[test]
    fn four_into_76_2_is_119_6_high() {
        assert!((four().height() - 119.6).abs() < 0.05, "{}", four().height());
    }

    #[test]
    fn the_two_curves_leave_a_tube_that_ends_in_the_outlet() {
        let merge = four();
        // On the outside only the outlet's plane cuts; near the middle only the neighbours.
        assert_eq!(merge.end(0.0), merge.outlet(0.0));
        assert_eq!(merge.end(0.75 * PI), merge.meets(0.75 * PI));
        let r = 0.5 * merge.od;
        let outermost = merge.ring() - merge.end(0.0) * merge.lean.sin() + r * merge.lean.cos();
        assert!((outermost - 38.1).abs() < 1e-9);
    }

    #[test]
    fn patterns_are_drawn_and_bad_measures_refused() {
        let merge = Merge { gap: 2.0, ..four() };
        assert!(merge.template("m", Units::Mm).is_ok() && merge.transition("t", 60.0, Units::Mm).is_ok());
        assert!(merge.outlet_cone("c", 63.5, 80.0, Units::Mm).is_ok());
        assert!(matches!(Merge { outlet_od: 30.0, ..merge }.check(), Err(DrawingError::Outlet { .. })));
        assert!(matches!(Merge { outlet_od: 140.0, ..merge }.check(), Err(DrawingError::Outlet { .. })));
        assert!(matches!(Merge { lean: 0.0, ..merge }.check(), Err(DrawingError::Angle { .. })));
        assert!(matches!(Merge { tubes: 1, ..merge }.check(), Err(DrawingError::TooFew { .. })));
    }
}
