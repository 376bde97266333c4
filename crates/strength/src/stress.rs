//! Stress range of a stretch of tube from what its ends carry, and how many such ranges it may bear.
//!
//! S = sqrt((|N| / A + sqrt((i_in M_in)^2 + (i_out M_out)^2) / Z)^2 + 4 (T / 2Z)^2), ASME B31.3 eq. 17 with the axial term of
//! its newer editions (from memory). i_in = 0.9 / h^(2/3) and i_out = 0.75 / h^(2/3), at least 1, over the arc of a bend
//! (table D300, read in a reproduction); against solid models right within 5 % for bends of 90 degrees and safe below.
//!
//! Cycles: A. R. C. Markl, Trans. ASME 74 (1952) 287: S = 3378 MPa N^-0.2 for a girth weld in mild steel at room temperature,
//! and a line at half that stress (from memory). It ranks designs; it is not a life.

use geom::Element;

use crate::frame::{Six, StretchForces};
use crate::section::Section;

/// Fatigue line of a girth weld for one cycle: range, Pa.
const MARKL: f64 = 3378e6;

/// Factors in the plane of a bend and across it. `clr` m.
pub fn intensification(section: &Section, clr: f64) -> [f64; 2] {
    let h = section.characteristic(clr).powf(2.0 / 3.0);
    [(0.9 / h).max(1.0), (0.75 / h).max(1.0)]
}

impl StretchForces {
    /// Stress range at the near and the far end, Pa: from cold and free to these forces. `welds`: factors of a weld there.
    pub fn ranges(&self, section: &Section, welds: [f64; 2]) -> [f64; 2] {
        [0, 1].map(|side| self.range(section, side, welds[side]))
    }

    fn range(&self, section: &Section, side: usize, weld: f64) -> f64 {
        let length = self.shape.length();
        let tangent = self.shape.direction(if side == 0 { 0.0 } else { length });
        let [force, moment] = halves(&self.ends[side]);
        let (along, twist) = (force.dot(tangent), moment.dot(tangent));
        let bending = moment - tangent * twist;
        let bent = match &self.shape {
            Element::Straight(_) => weld * bending.length(),
            Element::Arc(arc) => {
                let [inside, across] = intensification(section, arc.radius / 1000.0).map(|i| i.max(weld));
                let axis = arc.axis();
                let in_plane = bending.dot(axis);
                (inside * in_plane).hypot(across * (bending - axis * in_plane).length())
            }
        };
        let modulus = section.modulus();
        (along.abs() / section.area() + bent / modulus).hypot(twist / modulus)
    }
}

fn halves(six: &Six) -> [geom::Vec3; 2] {
    [0, 3].map(|first| geom::Vec3::new(six[first], six[first + 1], six[first + 2]))
}

/// The greatest stress range of a tube.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Worst {
    /// Range, Pa.
    pub range: f64,
    /// Where, m from the start of the tube.
    pub at: f64,
}

/// The greatest stress range of a tube's stretches; `end_weld`: stress factor of the welds at its two ends.
pub fn worst_range(section: &Section, stretches: &[StretchForces], end_weld: f64) -> Worst {
    let mut worst = Worst::default();
    let last = stretches.len().saturating_sub(1);
    for (i, stretch) in stretches.iter().enumerate() {
        let welds = [if i == 0 { end_weld } else { 1.0 }, if i == last { end_weld } else { 1.0 }];
        let places = [stretch.from, stretch.from + stretch.shape.length() / 1000.0];
        for (range, at) in stretch.ranges(section, welds).into_iter().zip(places) {
            if range > worst.range {
                worst = Worst { range, at };
            }
        }
    }
    worst
}

/// Cycles that a range, Pa, may be borne: by the line at half the stress, and by the mean line.
pub fn cycles(range: f64) -> [f64; 2] {
    [0.5, 1.0].map(|part| (part * MARKL / range.max(1.0)).powi(5))
}

/// Allowable range f (1.25 Sc + 0.25 Sh), f = 6 N^-0.2, at most 1.2 (ASME B31.3 302.3.5). Pa.
pub fn allowable(cold: f64, hot: f64, cycles: f64) -> f64 {
    (6.0 * cycles.powf(-0.2)).min(1.2) * (1.25 * cold + 0.25 * hot)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_published_bend_has_its_intensification() {
        // Outside 711.2, wall 9.4, CLR 1066.8 mm: i_in 4.79 and i_out 3.99 (a published worked sheet, read in a reproduction).
        let [inside, across] = intensification(&Section { od: 0.7112, wall: 0.0094 }, 1.0668);
        assert!((inside - 4.79).abs() < 0.005 && (across - 3.99).abs() < 0.005, "{inside} {across}");
    }

    #[test]
    fn a_pull_and_a_moment_add_in_a_straight() {
        let section = Section { od: 0.04445, wall: 0.00165 };
        let straight = geom::Straight { start: geom::Vec3::ZERO, direction: geom::Vec3::X, length: 100.0 };
        let ends = [[221.86, 0.0, 0.0, 0.0, 0.0, 22.8913], [0.0; 6]];
        let stretch = StretchForces { from: 0.0, shape: Element::Straight(straight), ends };
        let [near, far] = stretch.ranges(&section, [1.0, 1.0]);
        // 1 MPa over 221.86 mm2, and 22.89 Nm over 2289 mm3: 10 MPa.
        assert!((near / 1e6 - 11.0).abs() < 0.01 && far == 0.0, "{near}");
        assert_eq!(cycles(MARKL), [1.0 / 32.0, 1.0]);
        assert!((allowable(100e6, 80e6, 7776.0) - 145e6).abs() < 1.0, "6 N^-0.2 = 1 at 7776 cycles");
    }
}
