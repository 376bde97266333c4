//! Friction, bends and heat to the wall.
//!
//! - Friction (Darcy): smooth turbulent flow f = 0.316 Re^-0.25 (H. Blasius, 1913; 4e3 to 1e5, within 5 % of Prandtl's
//!   law there and 10 % below it at 4e5); fully rough f = (1.14 - 2 lg(e/D))^-2 (J. Nikuradse, 1933, as in every
//!   handbook); the greater of the two.
//! - Heat: Colburn's analogy St Pr^(2/3) = f / 8 (A. P. Colburn, 1933), times a factor for the pulses of an engine:
//!   Nu = 0.07 Re^0.75 for its exhaust (C. Depcik, D. Assanis, SAE 2002-01-0372) is 2.2 to 2.6 times steady flow at Re
//!   5e3 to 1e5.
//! - Bends: tabled below.

use crate::arithmetic::{Arithmetic, inverse_fourth_root};

/// Pr^(-2/3) at Pr = 0.707.
const PRANDTL_POWER: f64 = 1.26;

/// Viscosity of exhaust over T^0.75, Pa s/K^0.75.
const VISCOSITY: f64 = 2.31e-7;
/// Reynolds numbers below this are taken as this: the flow turns round many times a cycle.
const LEAST_REYNOLDS: f64 = 3000.0;

/// Viscosity of exhaust, Pa s: 3.129e-7 T^0.7055 (within 0.45 % of Cantera between 600 and 1400 K) written with T^0.75 so
/// that two roots give it; within 5 % between 300 and 1600 K, which is 1.3 % of friction.
#[inline(always)]
pub fn viscosity_quick(t: f64) -> f64 {
    let root = t.sqrt();
    VISCOSITY * root * root.sqrt()
}

/// Darcy friction factor of a smooth pipe by Blasius.
#[inline(always)]
pub fn friction_smooth(reynolds: f64) -> f64 {
    0.316 / reynolds.sqrt().sqrt()
}

/// The same for gas of `t` K that flows with `flow` kg/(m2 s) times the diameter, kg/(m s), without a root or a division.
///
/// The viscosity is that of [`viscosity_quick`]. Within 2e-5 of itself.
#[inline(always)]
pub fn friction_quick<A: Arithmetic>(flow: f64, t: f64) -> f64 {
    let cool = inverse_fourth_root::<A>(t);
    let reynolds = flow * (1.0 / VISCOSITY) * cool * cool * cool;
    // A comparison, because `max` also takes care of NaN.
    let reynolds = if reynolds > LEAST_REYNOLDS { reynolds } else { LEAST_REYNOLDS };
    0.316 * inverse_fourth_root::<A>(reynolds)
}

/// Darcy friction factor of a fully rough pipe; `roughness` over the diameter, 0 for smooth.
pub fn friction_rough(roughness: f64) -> f64 {
    if roughness <= 0.0 {
        return 0.0;
    }
    let root = 1.14 - 2.0 * roughness.log10();
    1.0 / (root * root)
}

/// Stanton number of a Darcy friction factor, by Colburn's analogy.
#[inline(always)]
pub fn stanton(f: f64) -> f64 {
    f / 8.0 * PRANDTL_POWER
}

/// Radii over diameter of [`BEND`].
const BEND_RADIUS: [f64; 8] = [0.5, 0.6, 0.8, 1.0, 2.0, 3.0, 5.0, 10.0];
/// Angles of [`BEND`], degrees.
const BEND_ANGLE: [f64; 10] = [0.0, 10.0, 20.0, 30.0, 45.0, 60.0, 90.0, 120.0, 150.0, 180.0];
/// Loss coefficient of a bend at Re = 1e6, friction included: D. S. Miller, Internal Flow Systems, 1978, p. 141, as tabled
/// in CalculiX; the row of 45 degrees is half-way between 40 and 50.
const BEND: [[f64; 8]; 10] = [
    [0.0; 8],
    [0.03, 0.025, 0.021, 0.016, 0.022, 0.03, 0.036, 0.044],
    [0.056, 0.046, 0.034, 0.034, 0.045, 0.054, 0.066, 0.08],
    [0.122, 0.094, 0.063, 0.056, 0.063, 0.071, 0.082, 0.11],
    [0.28, 0.2025, 0.124, 0.101, 0.0885, 0.093, 0.108, 0.1475],
    [0.48, 0.35, 0.196, 0.15, 0.115, 0.116, 0.131, 0.181],
    [1.0, 0.755, 0.333, 0.247, 0.159, 0.155, 0.185, 0.236],
    [1.26, 0.983, 0.45, 0.281, 0.18, 0.188, 0.234, 0.291],
    [1.335, 1.06, 0.536, 0.289, 0.189, 0.214, 0.272, 0.346],
    [1.35, 1.1, 0.6, 0.29, 0.19, 0.225, 0.305, 0.4],
];

/// Loss coefficient of a bend beside the friction of its length, referred to the velocity in it.
///
/// # Units
/// `angle_deg` 0 to 180, `radius` of the centreline over the inside diameter; both are held to the table.
///
/// # Range and accuracy
/// Miller's table times 1.4, its correction for Re = 1e5 at r/D 1.5 (1.22 at 1, 1.47 from 2), less smooth friction at that
/// Re along the arc. Published sources scatter 10 to 30 % at 90 degrees and threefold at 30.
///
/// # Example
/// ```
/// let k = gas::losses::bend(90.0, 1.0);
/// assert!((k - (0.247 * 1.4 - 0.0178 * std::f64::consts::FRAC_PI_2)).abs() < 2e-3);
/// ```
pub fn bend(angle_deg: f64, radius: f64) -> f64 {
    let (i, s) = bracket(&BEND_ANGLE, angle_deg);
    let (j, t) = bracket(&BEND_RADIUS, radius);
    let row = |i: usize| BEND[i][j] + t * (BEND[i][j + 1] - BEND[i][j]);
    let tabled = row(i) + s * (row(i + 1) - row(i));
    let friction = friction_smooth(1e5) * radius * angle_deg.clamp(0.0, 180.0).to_radians();
    (1.4 * tabled - friction).max(0.0)
}

fn bracket(table: &[f64], x: f64) -> (usize, f64) {
    let last = table.len() - 2;
    let i = table.iter().rposition(|v| *v <= x).unwrap_or(0).min(last);
    (i, ((x - table[i]) / (table[i + 1] - table[i])).clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn friction_is_that_of_the_charts() {
        assert!((friction_smooth(1e5) - 0.0178).abs() < 1e-4);
        // e/D 0.001: 0.0196 (Moody's chart).
        assert!((friction_rough(0.001) - 0.0196).abs() < 2e-4);
        assert!(friction_rough(0.0) < 1e-12);
    }

    #[test]
    fn quick_viscosity_is_within_five_percent() {
        for t in [300.0_f64, 600.0, 1000.0, 1400.0, 1600.0] {
            let fit = 3.129e-7 * t.powf(0.7055);
            assert!((viscosity_quick(t) / fit - 1.0).abs() < 0.06, "{t}");
        }
    }

    #[test]
    fn bends_are_held_to_the_table_and_grow_with_their_angle() {
        assert!(bend(0.0, 2.0) < 1e-12);
        assert!((bend(400.0, 20.0) - bend(180.0, 20.0)).abs() < 1.0);
        for r in [0.6, 1.0, 1.5, 2.5] {
            assert!(bend(90.0, r) > bend(45.0, r));
        }
    }
}
