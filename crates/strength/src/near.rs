//! What stands near a hot tube: how warm a small thing gets in its radiation.
//!
//! A small surface that faces a long tube of radius r at the distance d from its axis sees it with F = r / d (J. R. Howell, "A
//! Catalog of Radiation Heat Transfer Configuration Factors": differential element facing a long cylinder; from memory, checked
//! by integration in a test). The balance of a surface at T:
//!   e s [sum F Ts^4 + (1 - sum F) Ta^4 - T^4] = h (T - Ta).
//! Greatest: the face that looks at the tube loses heat to its own side only. Least: a round hose that spreads its heat all
//! around: it takes in over its width what it gives off over its girth, so that F / pi stands for F. Heat carried up by air that
//! the tube has warmed is not in it.

use std::f64::consts::PI;

use crate::heat::STEFAN;

/// Emissivity of hose, wire and paint over that of the tube's face: both grey (handbook range 0.85 to 0.95 each, from memory).
const EMISSIVITY: f64 = 0.85;

/// Heat transfer to air, W/m2K: a 12 mm hose in a cross wind of 1 m/s by S. W. Churchill, M. Bernstein (1977).
const TRANSFER: f64 = 30.0;

/// A tube in sight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InSight {
    /// Outside radius over the distance from its axis, at most 1.
    pub factor: f64,
    /// Its skin, K.
    pub skin: f64,
}

/// Temperature of a small thing near hot tubes, K: all around, and of the face that looks at them. `air`, K, is also what it
/// sees elsewhere.
pub fn warmed(tubes: &[InSight], air: f64) -> [f64; 2] {
    let whole: f64 = tubes.iter().map(|t| t.factor).sum::<f64>();
    // Tubes beside one another fill the view at most.
    let scale = if whole > 1.0 { 1.0 / whole } else { 1.0 };
    [1.0 / PI, 1.0].map(|share| {
        let seen = |t: &InSight| scale * share * t.factor * (t.skin.powi(4) - air.powi(4));
        let taken = EMISSIVITY * STEFAN * tubes.iter().map(seen).sum::<f64>();
        balance(taken, air)
    })
}

/// Emissivity of a bright metal sheet (handbook range 0.2 to 0.4, from memory).
const SHEET: f64 = 0.3;

/// A sheet between a tube and what stands near.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sheet {
    /// From the tube's axis to the sheet, in tube radii.
    pub radii: f64,
    /// Half its width over the distance from it to the thing.
    pub wide: f64,
}

/// Temperature of a bright sheet before a tube, K, and what a thing behind it then sees. The sheet takes in what it sees of the tube,
/// e s F (T1^4 - Ts^4) with F = 1 / `radii`, and gives off e s (Ts^4 - Ta^4) from its far face and, as far as it sees past the tube, from
/// the near one, and to the air on both faces: grey faces, every thing small beside its surroundings (worked out here). The thing sees
/// the sheet as a strip that fills w / sqrt(1 + w^2) of its view, as bright as e Ts^4 + (1 - e) Ta^4, and beside it what the strip leaves of
/// the tube.
pub fn shielded(tube: InSight, sheet: Sheet, air: f64) -> (f64, [InSight; 2]) {
    let seen = (1.0 / sheet.radii).clamp(0.0, 1.0);
    let mut t = air;
    for _ in 0..60 {
        let taken = SHEET * STEFAN * seen * (tube.skin.powi(4) - t.powi(4));
        let given = SHEET * STEFAN * (2.0 - seen) * (t.powi(4) - air.powi(4)) + 2.0 * TRANSFER * (t - air);
        let step = (taken - given) / (8.0 * SHEET * STEFAN * t.powi(3) + 2.0 * TRANSFER);
        t += step;
        if step.abs() < 1e-9 * t {
            break;
        }
    }
    let strip = sheet.wide / sheet.wide.hypot(1.0);
    let bright = (air.powi(4) + SHEET * (t.powi(4) - air.powi(4))).sqrt().sqrt();
    let left = (tube.factor - strip).max(0.0);
    (t, [InSight { factor: strip, skin: bright }, InSight { factor: left, skin: tube.skin }])
}

/// The temperature at which a face gives off `taken` W/m2 more than it takes from surroundings at `air`.
fn balance(taken: f64, air: f64) -> f64 {
    let mut t = air;
    // What is given off rises with the temperature and bends upwards: Newton from below oversteps once and then falls.
    for _ in 0..60 {
        let given = EMISSIVITY * STEFAN * (t.powi(4) - air.powi(4)) + TRANSFER * (t - air);
        let step = (taken - given) / (4.0 * EMISSIVITY * STEFAN * t.powi(3) + TRANSFER);
        t += step;
        if step.abs() < 1e-9 * t {
            break;
        }
    }
    t
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_face_sees_a_long_tube_with_its_radius_over_its_distance() {
        // The face at the origin looks along z at a cylinder along x around (y, z) = (0, d): by the crossed strings of each
        // plane across it, F = sin of half the angle under which it appears, r / d.
        let (r, d) = (0.022_f64, 0.1_f64);
        let steps = 200_000;
        let half = (r / d).asin();
        let each = 2.0 * half / f64::from(steps);
        let sum: f64 = (0..steps).map(|k| 0.5 * (-half + (f64::from(k) + 0.5) * each).cos() * each).sum();
        assert!((sum - r / d).abs() < 1e-9, "{sum}");
    }

    #[test]
    fn what_is_far_is_as_warm_as_the_air_and_what_touches_is_below_the_skin() {
        let (air, skin) = (353.0, 923.0);
        let at = |factor| warmed(&[InSight { factor, skin }], air);
        assert!(at(0.0).iter().all(|t| (t - air).abs() < 1e-9));
        let [mean, front] = at(1.0);
        assert!(air < mean && mean < front && front < skin, "{mean} {front}");
        let [_, near] = at(0.5);
        assert!(at(0.2)[1] < near && near < front);
        // The face alone, by hand: 0.5 x 0.85 x 5.670e-8 x (923^4 - 353^4) = 17 117 W/m2 is given off at 654 K (8828 - 748 + 9036).
        let given = EMISSIVITY * STEFAN * (near.powi(4) - air.powi(4)) + TRANSFER * (near - air);
        let taken = 0.5 * EMISSIVITY * STEFAN * (skin.powi(4) - air.powi(4));
        assert!((given - taken).abs() < 1e-3 && (near - 654.2).abs() < 0.1, "{near} {taken}");
    }

    #[test]
    fn a_sheet_between_takes_most_of_the_heat_away() {
        let (air, tube) = (353.0, InSight { factor: 0.5, skin: 923.0 });
        let (sheet, behind) = shielded(tube, Sheet { radii: 1.5, wide: 4.0 }, air);
        // By hand at 569 K: taken 0.3 x 5.670e-8 x (923^4 - 569^4) / 1.5 = 7042 W/m2, given 0.3 x 5.670e-8 x 4/3 x (569^4 - 353^4) and the air.
        let taken = SHEET * STEFAN * (923_f64.powi(4) - sheet.powi(4)) / 1.5;
        let given = SHEET * STEFAN * 4.0 / 3.0 * (sheet.powi(4) - air.powi(4)) + 2.0 * TRANSFER * (sheet - air);
        assert!((taken - given).abs() < 1e-2 && sheet > air && sheet < 923.0, "{sheet}: {taken} {given}");
        assert!(behind[1].factor == 0.0, "it covers the tube");
        let [mean, front] = warmed(&behind, air);
        let [open_mean, open_front] = warmed(&[tube], air);
        assert!(mean < open_mean && front - air < 0.5 * (open_front - air), "{front} {open_front}");
        // A sheet of no width shields nothing.
        let (_, none) = shielded(tube, Sheet { radii: 1.5, wide: 0.0 }, air);
        assert!((warmed(&none, air)[1] - open_front).abs() < 1e-9);
    }

    #[test]
    fn two_tubes_warm_more_than_one_and_never_fill_more_than_the_view() {
        let one = InSight { factor: 0.3, skin: 900.0 };
        assert!(warmed(&[one, one], 350.0)[1] > warmed(&[one], 350.0)[1]);
        let wide = InSight { factor: 0.9, skin: 900.0 };
        let full = InSight { factor: 1.0, skin: 900.0 };
        assert!((warmed(&[wide, wide], 350.0)[1] - warmed(&[full], 350.0)[1]).abs() < 1e-9);
    }
}
