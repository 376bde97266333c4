//! Slip collectors: sleeves that the primaries slide into, held by a plate, and a body of sheet from them to the outlet.
//!
//! Sleeve inside diameter = tube OD + clearance. A diametral clearance of 0.5 mm and an insertion of the tube's OD, at least
//! 25 mm, are common practice without a source. The upstream tube lies inside the sleeve, so that the gas does not blow
//! into the joint.

use job::body::LEAST_LIGAMENT;
use job::model::Units;
use job::show;

use crate::cope::positive;
use crate::drawing::{Drawing, Layer, Shape};
use crate::hull::{Disc, outline};
use crate::sheet::Transition;
use crate::{DrawingError, Vec2};

/// A slip collector. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Slip {
    /// Centres of the inlets in (right, up), seen along the flow.
    pub inlets: Vec<Vec2>,
    /// Outside diameter of the tubes that slide in.
    pub od: f64,
    /// Diametral clearance between tube and sleeve.
    pub clearance: f64,
    /// Wall of sleeves and sheet.
    pub wall: f64,
    /// Insertion length of the tubes.
    pub insertion: f64,
    /// Outside diameter of the outlet.
    pub outlet_od: f64,
    /// Length of the body from the sleeves to the outlet.
    pub body: f64,
}

impl Slip {
    /// Inside diameter of a sleeve, mm.
    pub fn sleeve_id(&self) -> f64 {
        self.od + self.clearance
    }

    /// Outside diameter of a sleeve, mm.
    pub fn sleeve_od(&self) -> f64 {
        self.sleeve_id() + 2.0 * self.wall
    }

    /// # Errors
    /// What makes it no collector; sleeves that overlap among it.
    pub fn check(&self) -> Result<(), DrawingError> {
        if self.inlets.is_empty() {
            return Err(DrawingError::TooFew { what: "inlets of a slip collector", count: 0, least: 1 });
        }
        let lengths = [("diameter of the tubes", self.od), ("clearance", self.clearance), ("wall", self.wall)];
        positive(&lengths)?;
        positive(&[
            ("insertion", self.insertion),
            ("outlet", self.outlet_od - self.wall),
            ("length of the body", self.body),
        ])?;
        for (i, a) in self.inlets.iter().enumerate() {
            for (j, b) in self.inlets.iter().enumerate().skip(i + 1) {
                let more = self.sleeve_od() - a.distance(*b);
                if more > -LEAST_LIGAMENT {
                    let more = more + LEAST_LIGAMENT;
                    let gap = self.sleeve_od() - self.od + LEAST_LIGAMENT;
                    return Err(DrawingError::SleevesMeet { inlets: [i + 1, j + 1], more, gap });
                }
            }
        }
        Ok(())
    }

    /// Plate that holds the sleeves, and the flat pattern of the body; their words have lengths in `units`.
    ///
    /// # Errors
    /// As [`Slip::check`].
    pub fn drawings(&self, name: &str, units: Units) -> Result<Vec<Drawing>, DrawingError> {
        self.check()?;
        let r = 0.5 * self.sleeve_od();
        let mut plate = Drawing::new(
            format!("{name}-plate"),
            format!("Plate for a slip collector with {} inlets", self.inlets.len()),
        );
        let [inside, outside] = [self.sleeve_id(), self.sleeve_od()].map(|d| show::exact_with_unit(d, units));
        let (od, deep) = (show::size_with_unit(self.od, units), show::length_with_unit(self.insertion, units));
        plate.note(format!(
            "Sleeves {inside} inside, {outside} outside; tubes of {od} slide in {deep}. Seen looking downstream."
        ));
        plate.note("Clearance and insertion: common practice, no source. The inner tube expands more than the sleeve: check the fit hot.");
        let discs: Vec<Disc> = self.inlets.iter().map(|c| Disc { centre: *c, radius: r + self.wall }).collect();
        plate.add(Layer::Cut, outline(&discs));
        for (i, centre) in self.inlets.iter().enumerate() {
            plate.add(Layer::Cut, Shape::Circle { centre: *centre, radius: r });
            plate.label(*centre, 5.0, (i + 1).to_string());
        }
        let middle = self.inlets.iter().copied().sum::<Vec2>() / self.inlets.len() as f64;
        let body = Transition {
            centres: self.inlets.iter().map(|c| *c - middle).collect(),
            radius: r + 0.5 * self.wall,
            outlet: 0.5 * (self.outlet_od - self.wall),
            height: self.body,
        };
        Ok(vec![plate, body.pattern(&format!("{name}-body"), units)?])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slip(pitch: f64) -> Slip {
        let h = 0.5 * pitch;
        let inlets = vec![Vec2::new(-h, h), Vec2::new(h, h), Vec2::new(h, -h), Vec2::new(-h, -h)];
        Slip { inlets, od: 44.45, clearance: 0.5, wall: 1.65, insertion: 44.45, outlet_od: 76.2, body: 120.0 }
    }

    #[test]
    fn sleeves_go_over_the_tubes() {
        let slip = slip(52.0);
        assert!((slip.sleeve_od() - 48.25).abs() < 1e-9);
        let drawings = slip.drawings("c", Units::Mm).unwrap();
        assert_eq!(drawings.len(), 2);
        assert_eq!(drawings[0].paths.len(), 5);
    }

    #[test]
    fn sleeves_that_overlap_are_said_with_the_gap_they_need() {
        // 44.45 + 0.5 + 2 x 1.65 = 48.25 from sleeve to sleeve and 3 of metal: a gap of 6.8 between the tubes.
        let problem = slip(46.45).drawings("c", Units::Mm).unwrap_err();
        assert_eq!(problem, DrawingError::SleevesMeet { inlets: [1, 2], more: 51.25 - 46.45, gap: 51.25 - 44.45 });
    }
}
