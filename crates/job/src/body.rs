//! The body of a collector: all of it between its inlet plane and its outlet.
//!
//! A merge of n tubes of radius R whose axes stand on the radius d in the inlet plane and lean inward by b reaches its
//! outlet of radius Q where the outermost line has come in to it, at the height
//!   L = (d + R / cos(b) - Q) / tan(b)
//! above the plane. Elementary geometry of cylinders.

use std::f64::consts::PI;

use geom::Vec3;

use crate::money::Money;

/// Lean of a merge's tubes of which nothing is said, rad (common practice, no source).
pub const USUAL_LEAN: f64 = 7.5 * PI / 180.0;
/// Most that the tubes of a merge may lean, rad.
pub const MOST_LEAN: f64 = 30.0 * PI / 180.0;
/// Length of an outlet cone of which nothing is said, mm (common practice, no source).
pub const USUAL_CONE: f64 = 100.0;
/// Length from plate or sleeves to the outlet when nothing is said, mm (common practice, no source).
pub const USUAL_BODY: f64 = 120.0;
/// Diametral clearance of a slip joint of which nothing is said, mm (common practice, no source).
pub const USUAL_CLEARANCE: f64 = 0.5;
/// Least length of a slip joint, mm (common practice, no source).
pub const LEAST_INSERTION: f64 = 25.0;
/// Least metal between two holes of a plate, mm (common practice, no source).
pub const LEAST_LIGAMENT: f64 = 3.0;

/// How a collector is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Making {
    /// The tubes lean together, are cut where they meet, and are welded.
    Merge {
        /// How far each leans inward, rad.
        lean: f64,
    },
    /// The tubes slide into sleeves.
    Slip {
        /// How far they slide in, mm.
        insertion: f64,
        /// Diametral clearance, mm.
        clearance: f64,
    },
    /// A plate that the tubes end in, and a body of sheet from it to the outlet.
    Plate,
    /// Bought.
    Bought,
}

/// The cone between the collector's own outlet and the tube after it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutletCone {
    /// Outside diameter at its end, mm.
    pub to: f64,
    /// Length, mm.
    pub length: f64,
}

/// The body of a collector.
#[derive(Debug, Clone, PartialEq)]
pub struct Body {
    /// How it is made.
    pub making: Making,
    /// From the inlet plane to the outlet along the axis, cone included, mm.
    pub length: f64,
    /// Outside diameter before the cone, mm.
    pub outlet_od: f64,
    /// The cone at its outlet.
    pub cone: Option<OutletCone>,
    /// Wall of its sheet, mm.
    pub wall: f64,
    /// Centre of the outlet as (along, right, up) from the middle of the inlet plane, mm.
    pub outlet: Vec3,
    /// Unit direction of flow there as (along, right, up).
    pub outlet_axis: Vec3,
    /// Mass, kg, where it is given.
    pub mass: Option<f64>,
    /// Price, where it is given.
    pub price: Option<Money>,
}

impl Body {
    /// How far the tubes lean inward, rad.
    pub fn lean(&self) -> f64 {
        if let Making::Merge { lean } = self.making { lean } else { 0.0 }
    }

    /// From the inlet plane along a tube's axis to its end, mm.
    pub fn beyond(&self) -> f64 {
        match self.making {
            Making::Merge { lean } => self.own_length() / lean.cos(),
            Making::Slip { insertion, .. } => insertion,
            Making::Plate | Making::Bought => 0.0,
        }
    }

    /// Length without the cone, mm.
    pub fn own_length(&self) -> f64 {
        self.length - self.cone.map_or(0.0, |c| c.length)
    }

    /// Outside diameter at the outlet, mm.
    pub fn end_od(&self) -> f64 {
        self.cone.map_or(self.outlet_od, |c| c.to)
    }
}

/// Tubes that lean together. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bundle {
    /// Number of tubes.
    pub tubes: usize,
    /// Outside diameter of each.
    pub od: f64,
    /// Gap between neighbours in the inlet plane.
    pub gap: f64,
}

impl Bundle {
    /// Radius of the circle of the tubes' axes in the inlet plane, mm.
    pub fn ring(&self) -> f64 {
        0.5 * (self.od + self.gap) / (PI / self.tubes as f64).sin()
    }

    /// Height above the inlet plane at which an outlet of `outlet_od` mm is reached, for tubes leaning `lean` rad, mm.
    pub fn height(&self, lean: f64, outlet_od: f64) -> f64 {
        (self.ring() + 0.5 * self.od / lean.cos() - 0.5 * outlet_od) / lean.tan()
    }

    /// The lean with which that height is `height` mm, rad; `None` when even [`MOST_LEAN`] leaves it higher.
    pub fn lean_for(&self, height: f64, outlet_od: f64) -> Option<f64> {
        let (mut flat, mut steep) = (1e-3, MOST_LEAN);
        if self.height(steep, outlet_od) > height || self.height(flat, outlet_od) < height {
            return None;
        }
        // The height falls as the lean grows.
        for _ in 0..60 {
            let middle = 0.5 * (flat + steep);
            if self.height(middle, outlet_od) > height {
                flat = middle;
            } else {
                steep = middle;
            }
        }
        Some(0.5 * (flat + steep))
    }
}

/// Outside diameter of an outlet of which nothing is said: twice the area of one tube (common practice, no source), mm.
pub fn usual_outlet(bore: f64, wall: f64) -> f64 {
    bore * std::f64::consts::SQRT_2 + 2.0 * wall
}

/// How far tubes slide in when nothing is said: their diameter, at least [`LEAST_INSERTION`], mm.
pub fn usual_insertion(od: f64) -> f64 {
    od.max(LEAST_INSERTION)
}

#[cfg(test)]
mod tests {
    use super::*;

    const FOUR: Bundle = Bundle { tubes: 4, od: 44.45, gap: 0.0 };

    #[test]
    fn four_of_44_45_leaning_7_5_degrees_into_76_2_are_119_6_high() {
        assert!((FOUR.height(USUAL_LEAN, 76.2) - 119.6).abs() < 0.05);
    }

    #[test]
    fn the_lean_for_a_height_gives_that_height() {
        let lean = FOUR.lean_for(150.0, 76.2).unwrap();
        assert!((FOUR.height(lean, 76.2) - 150.0).abs() < 1e-6 && lean < USUAL_LEAN);
        assert!(FOUR.lean_for(10.0, 76.2).is_none());
    }
}
