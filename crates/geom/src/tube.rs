//! What a tube's wall does in a bend, and how much metal a tube holds.
//!
//! Two bounds for the wall on the outside of a bend, with t0 the wall before bending, R the CLR and
//! r = OD / 2, both from constant volume of the stretched metal (derived here, elementary):
//! - all of the stretch (1 + r/R) taken from the wall, none from the girth: t = t0 R / (R + r);
//! - stretched like a tensile bar, wall and girth giving alike: t = t0 / sqrt(1 + r/R).
//!
//! A mandrel bend lies between; at a CLR of 1.5 OD the outside wall is 75 to 87 % of what it was. On
//! the inside the wall is at most t0 R / (R - r), the first bound for the compressed side. Ovality is
//! not in it.

use std::f64::consts::PI;

/// Walls of a bend, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BendWall {
    /// Outside of the bend, at least.
    pub outside_least: f64,
    /// Outside of the bend, at most.
    pub outside_most: f64,
    /// Inside of the bend, at most.
    pub inside_most: f64,
}

/// Bounds of the wall of a bend made from a tube.
///
/// # Units
/// All mm; `clr` above half of `od`.
///
/// # Example
/// A bend with a CLR of one and a half diameters thins its outside by a quarter at most.
/// ```
/// let wall = geom::bend_wall(40.0, 2.0, 60.0).unwrap();
/// assert!((wall.outside_least - 1.5).abs() < 1e-12);
/// assert!((wall.inside_most - 3.0).abs() < 1e-12);
/// ```
///
/// `None` when the inside of the bend has no radius left or a value is not above 0.
pub fn bend_wall(od: f64, wall: f64, clr: f64) -> Option<BendWall> {
    let r = 0.5 * od;
    let sound = od > 0.0 && wall > 0.0 && clr > r && clr.is_finite() && wall.is_finite();
    sound.then(|| BendWall {
        outside_least: wall * clr / (clr + r),
        outside_most: wall / (1.0 + r / clr).sqrt(),
        inside_most: wall * clr / (clr - r),
    })
}

/// Volume of the metal of a tube, mm3, of whatever shape its centreline of `length` mm is.
///
/// By Pappus's second theorem the volume swept by a ring is its area times the way of its centre, as
/// long as the tube does not meet itself.
pub fn metal_volume(od: f64, wall: f64, length: f64) -> f64 {
    PI * wall * (od - wall) * length
}

/// Volume within the outside of a tube, mm3.
pub fn outside_volume(od: f64, length: f64) -> f64 {
    0.25 * PI * od * od * length
}

/// Volume within the bore of a tube, mm3.
pub fn bore_volume(od: f64, wall: f64, length: f64) -> f64 {
    outside_volume(od - 2.0 * wall, length)
}

/// Mass of a tube, kg, for a density in kg/m3.
///
/// # Example
/// A metre of 44.45 x 1.65 in a steel of 7900 kg/m3.
/// ```
/// assert!((geom::tube_mass(44.45, 1.65, 1000.0, 7900.0) - 1.753).abs() < 1e-3);
/// ```
pub fn tube_mass(od: f64, wall: f64, length: f64, density: f64) -> f64 {
    // 1e9 mm3 in a cubic metre.
    metal_volume(od, wall, length) * 1e-9 * density
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thinning_at_one_to_three_diameters() {
        for (ratio, least, most) in [(1.0, 33.3, 18.4), (1.5, 25.0, 13.4), (2.0, 20.0, 10.6), (3.0, 14.3, 7.4)] {
            let w = bend_wall(40.0, 1.0, 40.0 * ratio).unwrap();
            assert!((100.0 * (1.0 - w.outside_least) - least).abs() < 0.05);
            assert!((100.0 * (1.0 - w.outside_most) - most).abs() < 0.06);
        }
        assert_eq!(bend_wall(40.0, 1.0, 20.0), None);
        assert_eq!(bend_wall(f64::NAN, 1.0, 20.0), None);
    }
}
