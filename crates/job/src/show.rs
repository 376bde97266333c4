//! Lengths and angles as they are printed: mm with one decimal, inches as fractions.

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
        Units::Inch => fraction(mm / 25.4),
    }
}

/// The unit's name as it stands beside numbers.
pub fn unit(units: Units) -> &'static str {
    match units {
        Units::Mm => "mm",
        Units::Inch => "in",
    }
}

/// A length with its unit: `812.4 mm`, `31 31/32 in`.
pub fn length_with_unit(mm: f64, units: Units) -> String {
    format!("{} {}", length(mm, units), unit(units))
}

/// Inches to the nearest 1/32, the fraction reduced.
fn fraction(inches: f64) -> String {
    if !inches.is_finite() {
        return inches.to_string();
    }
    let parts = (inches.abs() * f64::from(FINEST)).round() as u64;
    let (whole, mut top, mut bottom) = (parts / u64::from(FINEST), parts % u64::from(FINEST), u64::from(FINEST));
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
        assert_eq!(fraction(0.75), "3/4");
        assert_eq!(fraction(-2.5), "-2 1/2");
        assert_eq!(fraction(1.999), "2");
        assert_eq!(fraction(0.0), "0");
        assert_eq!(fraction(0.03125), "1/32");
    }
}
