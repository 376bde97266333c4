//! Lengths as they are printed, in three ways: for a tape ([`length`]), for calipers and machines ([`exact`]), and as the
//! name of a size ([`size`]). Torque, power and pressure go with them.

use crate::model::Units;

/// Finest fraction of an inch that is printed: what a tape shows.
const FINEST: u32 = 32;

/// A length of `mm` for people, without its unit: `812.4`, or `31 31/32`.
///
/// Inches are rounded to the nearest 1/32.
///
/// # Example
/// ```
/// # use job::{model::Units, show::length};
/// assert_eq!(length(41.275, Units::Inch), "1 5/8");
/// assert_eq!(length(41.275, Units::Mm), "41.3");
/// ```
pub fn length(mm: f64, units: Units) -> String {
    match units {
        Units::Mm => format!("{:.1}", mm + 0.0),
        Units::Inch => fraction(mm / 25.4, FINEST),
    }
}

/// A length of `mm` as an inch tape shows it to the nearest 1/64, without its unit: `31 63/64`.
///
/// # Example
/// ```
/// # use job::show::sixty_fourths;
/// assert_eq!(sixty_fourths(41.7), "1 41/64");
/// ```
pub fn sixty_fourths(mm: f64) -> String {
    fraction(mm / 25.4, 64)
}

/// A torque of `nm` N m in the unit that goes with lengths, and that unit's name.
pub fn torque(nm: f64, units: Units) -> (f64, &'static str) {
    match units {
        Units::Mm => (nm, "Nm"),
        Units::Inch => (0.737_562 * nm, "lb ft"),
    }
}

/// A pressure of `kpa` kPa in the unit that goes with lengths, and that unit's name.
pub fn pressure(kpa: f64, units: Units) -> (f64, &'static str) {
    match units {
        Units::Mm => (kpa, "kPa"),
        Units::Inch => (0.145_038 * kpa, "psi"),
    }
}

/// A power of `kw` kW in the unit that goes with lengths, and that unit's name.
pub fn power(kw: f64, units: Units) -> (f64, &'static str) {
    match units {
        Units::Mm => (kw, "kW"),
        Units::Inch => (1.341_022 * kw, "hp"),
    }
}

/// The unit's name as it stands beside numbers.
pub fn unit(units: Units) -> &'static str {
    units.word()
}

/// A length with its unit: `812.4 mm`, `31 31/32 in`.
pub fn length_with_unit(mm: f64, units: Units) -> String {
    format!("{} {}", length(mm, units), unit(units))
}

/// A length where a tape is too coarse, without its unit: a machined hole, the height of a template, what a requirement is
/// missed by. Hundredths of a millimetre, thousandths of an inch.
///
/// # Example
/// ```
/// # use job::{model::Units, show::exact};
/// assert_eq!(exact(8.8, Units::Mm), "8.80");
/// assert_eq!(exact(8.8, Units::Inch), "0.346");
/// ```
pub fn exact(mm: f64, units: Units) -> String {
    let places = match units {
        Units::Mm => 2,
        Units::Inch => 3,
    };
    // Without the sign of a nought.
    let rounded = format!("{:.places$}", mm / units.in_mm());
    if rounded.trim_start_matches('-').bytes().all(|b| matches!(b, b'0' | b'.')) {
        return rounded.trim_start_matches('-').to_string();
    }
    rounded
}

/// [`exact`] with its unit: `8.80 mm`, `0.346 in`.
pub fn exact_with_unit(mm: f64, units: Units) -> String {
    format!("{} {}", exact(mm, units), unit(units))
}

/// A nominal size without its unit, as tubes and holes are called: `44.45`, `1 3/4`; inches that are no fraction of a tape
/// with three decimals: `1.900`.
///
/// # Example
/// ```
/// # use job::{model::Units, show::size};
/// assert_eq!(size(44.45, Units::Mm), "44.45");
/// assert_eq!(size(44.45, Units::Inch), "1 3/4");
/// assert_eq!(size(48.26, Units::Inch), "1.900");
/// ```
pub fn size(mm: f64, units: Units) -> String {
    match units {
        Units::Mm => {
            let text = exact(mm, units);
            text.trim_end_matches('0').trim_end_matches('.').to_string()
        }
        Units::Inch => {
            let parts = mm / 25.4 * f64::from(FINEST);
            let off = (parts - parts.round()).abs() / f64::from(FINEST);
            if off < 0.0005 { fraction(mm / 25.4, FINEST) } else { exact(mm, units) }
        }
    }
}

/// [`size`] with its unit: `44.45 mm`, `1 3/4 in`.
pub fn size_with_unit(mm: f64, units: Units) -> String {
    format!("{} {}", size(mm, units), unit(units))
}

/// Inches to the nearest of `finest` parts, the fraction reduced.
fn fraction(inches: f64, finest: u32) -> String {
    if !inches.is_finite() {
        return inches.to_string();
    }
    let parts = (inches.abs() * f64::from(finest)).round() as u64;
    let (whole, mut top, mut bottom) = (parts / u64::from(finest), parts % u64::from(finest), u64::from(finest));
    while top > 0 && top.is_multiple_of(2) {
        (top, bottom) = (top / 2, bottom / 2);
    }
    let sign = if inches < 0.0 && parts > 0 { "-" } else { "" };
    match (whole, top) {
        (w, 0) => format!("{sign}{w}"),
        (0, t) => format!("{sign}{t}/{bottom}"),
        (w, t) => format!("{sign}{w} {t}/{bottom}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_are_reduced_and_carried() {
        assert_eq!(fraction(0.75, 32), "3/4");
        assert_eq!(fraction(-2.5, 32), "-2 1/2");
        assert_eq!(fraction(1.999, 32), "2");
        assert_eq!(fraction(0.0, 32), "0");
        assert_eq!(fraction(0.03125, 32), "1/32");
    }

    #[test]
    fn sizes_keep_their_noughts_before_the_point_and_lose_no_sign() {
        assert_eq!(size(100.0, Units::Mm), "100");
        assert_eq!(size(0.0, Units::Mm), "0");
        assert_eq!(exact(-0.001, Units::Mm), "0.00");
        assert_eq!(exact(-0.01, Units::Mm), "-0.01");
        // 0.4 thousandths off a 32nd is that 32nd, 0.6 is not.
        assert_eq!(size(25.4 * 1.7504, Units::Inch), "1 3/4");
        assert_eq!(size(25.4 * 1.7506, Units::Inch), "1.751");
    }
}
