//! Copes: the end of a tube that is to sit on the side of another tube, straight or bent.
//!
//! Against a straight run of radius Q the branch of radius r, at the angle theta between the axes and
//! with its axis e aside, ends at
//!   s(phi) = (sqrt(Q^2 - (e + r sin phi)^2) + r cos phi cos theta) / sin theta,
//! counted along the branch from the foot of its axis on the run's axis, phi = 0 on the acute side. This is
//! the intersection of two cylinders (elementary geometry); it needs |e| + r <= Q.
//!
//! Against a bend the run is a torus: (sqrt(x^2 + y^2) - CLR)^2 + z^2 = Q^2. The exact depth below it is known,
//! so that a step of that depth along a line of the branch never passes it: the line is followed outwards from its
//! deepest place near the foot until it is there, to 1e-10 mm.
//!
//! Outer lines are for the outside of the branch. Where the wall is thick the inside touches first: the same
//! formula with the inside radius. `checks/templates` holds both to solids of a modelling kernel.

use std::f64::consts::TAU;

use job::model::Units;
use job::show;

use crate::DrawingError;
use crate::drawing::Drawing;
use crate::wrap::{Wrapping, curve, template};

/// Nearest to the run's axis that a branch may lie, deg.
const LEAST_ANGLE_DEG: f64 = 10.0;

/// Places on each side of the foot at which a line of the branch is looked for within the bend.
const SAMPLES: i32 = 200;

/// A branch on a straight run. Lengths in mm, angle in rad. Around the branch phi goes by the right-hand rule about its
/// axis, away from the run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cope {
    /// Outside diameter of the branch.
    pub branch_od: f64,
    /// Outside diameter of the run.
    pub run_od: f64,
    /// Angle between the axes, at most a right angle.
    pub angle: f64,
    /// How far the branch's axis passes the run's, in the direction of phi = 90 degrees.
    pub offset: f64,
}

impl Cope {
    fn check(&self) -> Result<(), DrawingError> {
        positive(&[("branch diameter", self.branch_od), ("run diameter", self.run_od)])?;
        let degrees = self.angle.to_degrees();
        if !(degrees > LEAST_ANGLE_DEG && degrees <= 90.0 + 1e-9) {
            return Err(DrawingError::Angle {
                what: "the angle of the branch",
                degrees,
                above: LEAST_ANGLE_DEG,
                below: 90.0,
            });
        }
        let reach = self.offset.abs() + 0.5 * self.branch_od;
        if reach.is_nan() || reach > 0.5 * self.run_od + 1e-9 {
            let Cope { branch_od, run_od, offset, .. } = *self;
            return Err(DrawingError::NoSaddle { branch_od, run_od, offset });
        }
        Ok(())
    }

    /// Where the branch ends at `phi` rad around it, mm from the foot of its axis.
    pub fn at(&self, phi: f64) -> f64 {
        let (r, q) = (0.5 * self.branch_od, 0.5 * self.run_od);
        let aside = self.offset + r * phi.sin();
        // Rounding may take the touching case a hair below 0.
        ((q * q - aside * aside).max(0.0).sqrt() + r * phi.cos() * self.angle.cos()) / self.angle.sin()
    }

    /// The template for the branch, its words with lengths in `units`.
    ///
    /// # Errors
    /// [`DrawingError::NoSaddle`], [`DrawingError::Angle`], [`DrawingError::NotPositive`].
    pub fn template(&self, name: &str, units: Units) -> Result<Drawing, DrawingError> {
        self.check()?;
        let size = |l: f64| show::size_with_unit(l, units);
        let mut drawing = Drawing::new(
            name,
            format!("Cope (fishmouth): {} tube on {} tube", size(self.branch_od), size(self.run_od)),
        );
        let aside = show::exact_with_unit(self.offset, units);
        drawing.note(format!("Axes at {:.1} degrees, {aside} offset.", self.angle.to_degrees()));
        drawing.note("0 is on the acute side. Heights are measured from where the axes meet.");
        let quarters = ["acute", "aside", "obtuse", "other side"];
        wrapped(&mut drawing, self.branch_od, &curve(|phi| self.at(phi)), quarters, units);
        Ok(drawing)
    }
}

/// A branch on a bend. Lengths in mm, angles in rad.
///
/// The bend's circle lies in the plane x, y around the origin, from the angle 0 on. The branch's axis meets
/// the centreline at the angle `at` and leaves it in the plane across the tube there: `out` = 0 straight away from
/// the bend's centre, a quarter turn towards +z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BendCope {
    /// Outside diameter of the branch.
    pub branch_od: f64,
    /// Outside diameter of the bent tube.
    pub run_od: f64,
    /// Centreline radius of the bend.
    pub clr: f64,
    /// Angle of the bend.
    pub bend: f64,
    /// Position of the branch along the bend.
    pub at: f64,
    /// Which way across the tube the branch leaves.
    pub out: f64,
    /// How far it leans from square towards the end of the bend.
    pub lean: f64,
}

/// A vector in the frame of the bend.
type Triple = [f64; 3];

fn sum(a: Triple, b: Triple, by: f64) -> Triple {
    [a[0] + b[0] * by, a[1] + b[1] * by, a[2] + b[2] * by]
}

impl BendCope {
    /// Foot and direction of the branch's axis, and across it the ways of phi = 0 (towards the end of the bend) and
    /// of phi = 90 degrees.
    fn axes(&self) -> (Triple, Triple, Triple, Triple) {
        let (sin, cos) = self.at.sin_cos();
        let (radial, along) = ([cos, sin, 0.0], [-sin, cos, 0.0]);
        let square =
            sum([radial[0] * self.out.cos(), radial[1] * self.out.cos(), 0.0], [0.0, 0.0, 1.0], self.out.sin());
        let (lean_sin, lean_cos) = self.lean.sin_cos();
        let way = sum(square.map(|v| v * lean_cos), along, lean_sin);
        let first = sum(along.map(|v| v * lean_cos), square, -lean_sin);
        let second = [
            way[1] * first[2] - way[2] * first[1],
            way[2] * first[0] - way[0] * first[2],
            way[0] * first[1] - way[1] * first[0],
        ];
        (radial.map(|v| v * self.clr), way, first, second)
    }

    /// Distance of a point from the bent tube's outside, negative within.
    fn distance(&self, p: Triple) -> f64 {
        (p[0].hypot(p[1]) - self.clr).hypot(p[2]) - 0.5 * self.run_od
    }

    /// Where the branch ends at `phi` rad around it, mm from the foot of its axis.
    ///
    /// # Errors
    /// [`DrawingError::MissesBend`].
    pub fn end(&self, phi: f64) -> Result<f64, DrawingError> {
        let misses = || DrawingError::MissesBend { at_deg: phi.to_degrees() };
        let (foot, way, first, second) = self.axes();
        let r = 0.5 * self.branch_od;
        let from = sum(sum(foot, first, r * phi.cos()), second, r * phi.sin());
        let gap = |s: f64| self.distance(sum(from, way, s));
        // The deepest place of the line near the foot; from there it leaves the tube once.
        // Beyond the bend's axis its other side would be met.
        let reach = (r + self.run_od).min(self.clr);
        let places = (-SAMPLES..=SAMPLES).map(|i| reach * f64::from(i) / f64::from(SAMPLES));
        let deepest = places.min_by(|a, b| gap(*a).total_cmp(&gap(*b)));
        let mut s = deepest.filter(|s| gap(*s) < 0.0).ok_or_else(misses)?;
        for _ in 0..10_000 {
            let depth = -gap(s);
            if depth < 1e-10 {
                let p = sum(from, way, s);
                let angle = p[1].atan2(p[0]).rem_euclid(TAU);
                let within = angle <= self.bend + 1e-9 || angle >= TAU - 1e-9;
                return if within { Ok(s) } else { Err(misses()) };
            }
            s += depth;
        }
        Err(misses())
    }

    /// The template for the branch, its words with lengths in `units`.
    ///
    /// # Errors
    /// [`DrawingError::MissesBend`], [`DrawingError::NotPositive`], [`DrawingError::Angle`].
    pub fn template(&self, name: &str, units: Units) -> Result<Drawing, DrawingError> {
        positive(&[("branch diameter", self.branch_od), ("diameter of the bend", self.run_od), ("CLR", self.clr)])?;
        positive(&[("CLR less half the diameter", self.clr - 0.5 * self.run_od)])?;
        let degrees = self.lean.to_degrees();
        if degrees.is_nan() || degrees.abs() >= 90.0 - LEAST_ANGLE_DEG {
            return Err(DrawingError::Angle {
                what: "the lean of the branch",
                degrees,
                above: LEAST_ANGLE_DEG - 90.0,
                below: 80.0,
            });
        }
        let mut s = Vec::new();
        for i in 0..=crate::wrap::STEPS {
            s.push(self.end(TAU * i as f64 / crate::wrap::STEPS as f64)?);
        }
        let [branch, run, clr] = [self.branch_od, self.run_od, self.clr].map(|l| show::size_with_unit(l, units));
        let title = format!("Cope (fishmouth): {branch} tube on a bend of {run} tube, CLR {clr}");
        let mut drawing = Drawing::new(name, title);
        drawing.note(format!(
            "At {:.1} degrees of the bend, {:.1} degrees around it from its outside, leaning {:.1} degrees.",
            self.at.to_degrees(),
            self.out.to_degrees(),
            degrees
        ));
        drawing.note("0 is towards the end of the bend. Heights are measured from the bend's centreline.");
        let quarters = ["end of bend", "left", "start of bend", "right"];
        wrapped(&mut drawing, self.branch_od, &s, quarters, units);
        Ok(drawing)
    }
}

/// Refuses the first value that is not above 0.
pub(crate) fn positive(values: &[(&'static str, f64)]) -> Result<(), DrawingError> {
    match values.iter().find(|(_, v)| !(v.is_finite() && *v > 0.0)) {
        Some(&(what, value)) => Err(DrawingError::NotPositive { what, value }),
        None => Ok(()),
    }
}

/// A template whose paper is below the cut.
fn wrapped(drawing: &mut Drawing, od: f64, s: &[f64], quarters: [&str; 4], units: Units) {
    let lowest = s.iter().copied().fold(f64::INFINITY, f64::min);
    let highest = s.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let [low, high, edge] = [lowest, highest, highest + 10.0].map(|l| show::exact_with_unit(l, units));
    drawing.note(format!("Low point {low}, high point {high}; straight edge at {edge} (square)."));
    drawing.note(crate::wrap::how(units));
    // The branch lies above the cut: the straight edge is on the side that stays.
    template(drawing, Wrapping::of(od), s, highest + 10.0, quarters);
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{FRAC_PI_2, FRAC_PI_4};

    #[test]
    fn an_equal_tee_is_a_cosine() {
        let tee = Cope { branch_od: 44.45, run_od: 44.45, angle: FRAC_PI_2, offset: 0.0 };
        for i in 0..=24 {
            let phi = TAU * f64::from(i) / 24.0;
            assert!((tee.at(phi) - 22.225 * phi.cos().abs()).abs() < 1e-9);
        }
        assert!(tee.template("tee", Units::Mm).is_ok());
    }

    #[test]
    fn a_branch_that_is_too_wide_or_too_far_aside_is_refused() {
        let cope = Cope { branch_od: 40.0, run_od: 44.0, angle: FRAC_PI_4, offset: 3.0 };
        assert!(matches!(cope.template("x", Units::Mm), Err(DrawingError::NoSaddle { .. })));
        assert!(matches!(
            Cope { angle: 0.05, offset: 0.0, ..cope }.template("x", Units::Mm),
            Err(DrawingError::Angle { .. })
        ));
        assert!(matches!(
            Cope { branch_od: f64::NAN, ..cope }.template("x", Units::Mm),
            Err(DrawingError::NotPositive { .. })
        ));
    }

    #[test]
    fn a_bend_of_a_huge_radius_is_a_straight_run() {
        let bend = BendCope { branch_od: 38.1, run_od: 44.45, clr: 1e7, bend: 1.0, at: 0.5, out: 0.3, lean: 0.4 };
        let straight = Cope { branch_od: 38.1, run_od: 44.45, angle: FRAC_PI_2 - 0.4, offset: 0.0 };
        for i in 0..24 {
            let phi = TAU * f64::from(i) / 24.0;
            assert!((bend.end(phi).unwrap() - straight.at(phi)).abs() < 1e-3, "{phi}");
        }
    }

    #[test]
    fn a_branch_off_the_end_of_the_bend_is_said() {
        let bend = BendCope { branch_od: 38.1, run_od: 44.45, clr: 76.2, bend: 1.0, at: 0.1, out: 0.0, lean: 0.0 };
        assert!(matches!(bend.template("x", Units::Mm), Err(DrawingError::MissesBend { .. })));
        assert!(BendCope { at: 0.5, ..bend }.template("x", Units::Mm).is_ok());
    }
}
