//! Mitred bends: a bend made of straight segments, for sizes that can't be bought bent.
//!
//! A bend of the angle D in n segments has n - 1 mitres, each turning by D / (n - 1); the cut is tilted by
//! half of that, a = D / (2 (n - 1)), from square. On a tube of radius R the cut is s(phi) = R tan(a) cos(phi),
//! high on the outside of the bend; the face is an ellipse with semi-axes R and R / cos a. A middle segment is
//! 2 CLR tan(a) long along its axis, an end segment half of that and its leg. Elementary geometry of the cut
//! cylinder; the segments touch the circle of radius CLR.

use job::model::Units;
use job::show;

use crate::DrawingError;
use crate::cope::positive;
use crate::drawing::Drawing;
use crate::wrap::{Wrapping, between, curve, how};

/// A mitred bend. Lengths in mm, angle in rad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MitredBend {
    /// Outside diameter of the tube.
    pub od: f64,
    /// Radius of the circle that the segments' axes touch.
    pub clr: f64,
    /// Angle of the whole bend.
    pub angle: f64,
    /// Segments, the two ends counted.
    pub segments: usize,
    /// Straight before the first and after the last point where the circle begins.
    pub legs: [f64; 2],
}

impl MitredBend {
    /// Tilt of each cut from square, rad.
    pub fn tilt(&self) -> f64 {
        0.5 * self.angle / (self.segments - 1) as f64
    }

    /// Length of each segment along its axis, mm.
    pub fn lengths(&self) -> Vec<f64> {
        let half = self.clr * self.tilt().tan();
        let last = self.segments - 1;
        (0..self.segments)
            .map(|i| match i {
                0 => self.legs[0] + half,
                i if i == last => half + self.legs[1],
                _ => 2.0 * half,
            })
            .collect()
    }

    /// The length of tube for all of it when segments are turned by half a turn from one to the next, so that
    /// neighbours share a cut, mm; kerfs are not in it.
    pub fn tube(&self) -> f64 {
        self.lengths().iter().sum()
    }

    /// Templates: of the first segment, of the middle ones, of the last; their words with lengths in `units`.
    ///
    /// # Errors
    /// [`DrawingError::TooFew`], [`DrawingError::Angle`], [`DrawingError::NotPositive`] (also where the segments would be shorter
    /// on the inside than nothing).
    pub fn templates(&self, name: &str, units: Units) -> Result<Vec<Drawing>, DrawingError> {
        if self.segments < 2 {
            return Err(DrawingError::TooFew { what: "segments of a mitred bend", count: self.segments, least: 2 });
        }
        positive(&[
            ("diameter", self.od),
            ("CLR", self.clr),
            ("CLR less half the diameter", self.clr - 0.5 * self.od),
        ])?;
        if let Some(leg) = self.legs.iter().find(|l| !(l.is_finite() && **l >= 0.0)) {
            return Err(DrawingError::NotPositive { what: "leg", value: *leg });
        }
        let degrees = self.tilt().to_degrees();
        if !(degrees > 0.0 && degrees < 60.0) {
            return Err(DrawingError::Angle { what: "the tilt of a mitre", degrees, above: 0.0, below: 60.0 });
        }
        let lengths = self.lengths();
        let last = self.segments - 1;
        let mut wanted = vec![("first", lengths[0], [false, true], 1)];
        if self.segments > 2 {
            wanted.push(("middle", lengths[1], [true, true], self.segments - 2));
        }
        wanted.push(("last", lengths[last], [true, false], 1));
        let drawn =
            |(which, length, mitred, count)| self.segment(&format!("{name}-{which}"), length, mitred, count, units);
        Ok(wanted.into_iter().map(drawn).collect())
    }

    /// One segment: which of its ends is a mitre.
    fn segment(&self, name: &str, length: f64, mitred: [bool; 2], count: usize, units: Units) -> Drawing {
        let rise = 0.5 * self.od * self.tilt().tan();
        let which = match mitred {
            [false, _] => "First segment",
            [true, true] => "Middle segment",
            [true, false] => "Last segment",
        };
        let [od, clr] = [self.od, self.clr].map(|l| show::size_with_unit(l, units));
        let mut drawing = Drawing::new(name, format!("{which} of a mitred (pie-cut) bend, {od}, CLR {clr}"));
        let [length_words, fall] = [length, 2.0 * rise].map(|l| show::exact_with_unit(l, units));
        drawing.note(format!(
            "{count} needed. {length_words} along the axis; cut angle {:.3} degrees, {fall} long side to short side.",
            self.tilt().to_degrees()
        ));
        drawing.note("0 is on the outside of the bend.");
        drawing.note(how(units));
        let end = |mitre: bool, sign: f64| curve(move |phi| if mitre { sign * rise * phi.cos() } else { 0.0 });
        let low = end(mitred[0], -1.0);
        let high: Vec<f64> = end(mitred[1], 1.0).iter().map(|s| s + length).collect();
        between(&mut drawing, Wrapping::of(self.od), &low, &high, ["outside", "side", "inside", "side"]);
        drawing
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_PI_2;

    fn bend() -> MitredBend {
        MitredBend { od: 44.45, clr: 76.2, angle: FRAC_PI_2, segments: 4, legs: [0.0, 0.0] }
    }

    #[test]
    fn four_segments_turn_thirty_degrees_at_each_mitre() {
        let b = bend();
        assert!((b.tilt().to_degrees() - 15.0).abs() < 1e-12);
        // High to low at 15 degrees: OD tan a = 11.910 mm.
        let drawings = b.templates("bend", Units::Mm).unwrap();
        let [low, high] = drawings[0].paths.iter().filter_map(|p| p.shape.bounds()).next().unwrap();
        assert!(drawings.len() == 3 && (high.y - low.y).is_finite());
        assert!((b.lengths()[1] - 2.0 * 76.2 * 15f64.to_radians().tan()).abs() < 1e-12);
        assert!((2.0 * 0.5 * b.od * b.tilt().tan() - 11.910).abs() < 5e-4);
    }

    #[test]
    fn a_bend_of_one_segment_or_too_sharp_is_refused() {
        assert!(matches!(
            MitredBend { segments: 1, ..bend() }.templates("x", Units::Mm),
            Err(DrawingError::TooFew { .. })
        ));
        assert!(matches!(
            MitredBend { clr: 20.0, ..bend() }.templates("x", Units::Mm),
            Err(DrawingError::NotPositive { .. })
        ));
        assert!(matches!(
            MitredBend { segments: 2, angle: 2.5, ..bend() }.templates("x", Units::Mm),
            Err(DrawingError::Angle { .. })
        ));
    }
}
