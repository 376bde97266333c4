//! Lengths, angles, tube sizes and money as the trade writes them.

use crate::catalogue::{self, gauge_wall, nominal_of, parse_inches, pipe_by_dn, pipe_by_nps};
use crate::suggest::either;

/// What is wrong with a written quantity: what was expected and how to fix it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unreadable {
    /// What is wrong.
    pub message: String,
    /// How to fix it.
    pub hint: String,
}

fn unreadable(message: impl Into<String>, hint: impl Into<String>) -> Unreadable {
    Unreadable { message: message.into(), hint: hint.into() }
}

/// How to write a length with a unit.
pub const LENGTH_FORMS: &str = "a length such as 41.3 mm, 1 5/8 in, 1-5/8 in, 1.625 in or 1 5/8\"";

/// Units of length and the millimetres in one; longer names first.
const LENGTH_UNITS: [(&str, f64); 15] = [
    ("millimetres", 1.0),
    ("millimeters", 1.0),
    ("inches", 25.4),
    ("inch", 25.4),
    ("feet", 304.8),
    ("foot", 304.8),
    ("mm", 1.0),
    ("cm", 10.0),
    ("in", 25.4),
    ("ft", 304.8),
    ("m", 1000.0),
    ("\"", 25.4),
    ("\u{2033}", 25.4),
    ("''", 25.4),
    ("'", 304.8),
];

/// Splits a unit of length off the end: what stands before it and the millimetres in one.
fn split_unit(text: &str) -> Option<(&str, f64)> {
    let lower = text.to_ascii_lowercase();
    LENGTH_UNITS.iter().find_map(|(name, mm)| {
        let rest = lower.strip_suffix(name)?;
        let before = &text[..rest.len()];
        let clean = before.chars().last().is_none_or(|c| !c.is_alphabetic());
        clean.then_some((before.trim_end(), *mm))
    })
}

/// A number, whole, decimal or with a fraction, with an optional sign in front.
fn number(text: &str) -> Option<f64> {
    let text = text.trim();
    let (sign, rest) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (-1.0, rest),
        None => (1.0, text.strip_prefix('+').unwrap_or(text)),
    };
    let spelled: String = rest.chars().map(vulgar).collect();
    let value = parse_inches(&spelled).or_else(|| {
        let exponent = spelled.bytes().all(|b| b.is_ascii_digit() || b"+-.eE".contains(&b));
        if exponent && spelled.starts_with(|c: char| c.is_ascii_digit()) { spelled.parse().ok() } else { None }
    })?;
    value.is_finite().then_some(sign * value)
}

/// A fraction in one character as a blank and three plain ones.
fn vulgar(c: char) -> String {
    let plain = match c {
        '\u{bc}' => "1/4",
        '\u{bd}' => "1/2",
        '\u{be}' => "3/4",
        '\u{215b}' => "1/8",
        '\u{215c}' => "3/8",
        '\u{215d}' => "5/8",
        '\u{215e}' => "7/8",
        '\u{2044}' => return "/".to_string(),
        '\u{a0}' => return " ".to_string(),
        c => return c.to_string(),
    };
    format!(" {plain}")
}

/// A length in mm from a value in a unit of `mm` millimetres, rounded to a thousand-millionth of a
/// millimetre: 3 in and 76.2 mm are then the same number.
pub fn in_mm(value: f64, mm: f64) -> f64 {
    (value * mm * 1e9).round() / 1e9
}

/// A length with its unit, mm.
///
/// # Errors
/// [`Unreadable`] when there is no number, no unit or an unknown unit.
///
/// # Example
/// ```
/// assert_eq!(job::quantity::length("1 5/8 in").unwrap(), 41.275);
/// assert_eq!(job::quantity::length("-1-5/8\"").unwrap(), -41.275);
/// ```
pub fn length(text: &str) -> Result<f64, Unreadable> {
    let trimmed = text.trim();
    if let Some((before, mm)) = split_unit(trimmed)
        && let Some(value) = number(before)
    {
        return Ok(in_mm(value, mm));
    }
    if number(trimmed).is_some() {
        return Err(unreadable(
            format!("`{trimmed}` has no unit"),
            format!("write \"{trimmed} mm\" or \"{trimmed} in\", or the bare number without quotes"),
        ));
    }
    Err(unreadable(format!("`{trimmed}` is not a length"), comma_hint(trimmed)))
}

fn comma_hint(text: &str) -> String {
    let swapped = text.replace(',', ".");
    if text.contains(',') && split_unit(&swapped).is_some_and(|(before, _)| number(before).is_some()) {
        return format!("decimals are written with a point: \"{swapped}\"");
    }
    format!("write {LENGTH_FORMS}")
}

/// A wall, mm: a length or a tube gauge (BWG).
///
/// # Errors
/// [`Unreadable`].
///
/// # Example
/// ```
/// assert!((job::quantity::wall("16 ga").unwrap() - 1.651).abs() < 1e-9);
/// ```
pub fn wall(text: &str) -> Result<f64, Unreadable> {
    let lower = text.trim().to_ascii_lowercase();
    let gauge = ["gauge", "ga.", "ga", "bwg", "swg", "g"]
        .iter()
        .find_map(|unit| Some((lower.strip_suffix(unit)?.trim(), *unit)));
    let Some((number, unit)) = gauge else { return length(text) };
    let number = number.strip_suffix("bwg").unwrap_or(number).trim();
    let Ok(gauge) = number.parse::<u32>() else { return length(text) };
    if unit == "swg" {
        return Err(unreadable(
            format!("`{}` is a sheet or wire gauge", text.trim()),
            "tube is sold by the Birmingham gauge: write \"16 ga\" or \"16 BWG\", or the wall as a length",
        ));
    }
    gauge_wall(gauge).ok_or_else(|| {
        let known: Vec<u32> = catalogue::gauges().iter().map(|g| g.gauge).collect();
        let (least, most) = (known.iter().min().copied().unwrap_or(0), known.iter().max().copied().unwrap_or(0));
        unreadable(
            format!("there is no tube gauge {gauge} here"),
            format!("gauges {least} to {most} (BWG) are known; write the wall as a length otherwise"),
        )
    })
}

/// An angle with its unit, rad: `15 deg`, `15\u{b0}`, `0.26 rad`.
///
/// # Errors
/// [`Unreadable`].
pub fn angle(text: &str) -> Result<f64, Unreadable> {
    let trimmed = text.trim();
    let lower = trimmed.to_ascii_lowercase();
    for (unit, to_rad) in [("degrees", true), ("deg", true), ("\u{b0}", true), ("rad", false)] {
        if let Some(value) = lower.strip_suffix(unit).and_then(number) {
            return Ok(if to_rad { value.to_radians() } else { value });
        }
    }
    Err(unreadable(format!("`{trimmed}` is not an angle"), "write the degrees as a bare number, or \"15 deg\""))
}

/// A tube's size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Size {
    /// Outside diameter, mm.
    pub od: f64,
    /// Wall, mm.
    pub wall: f64,
    /// Nominal pipe size in inches, when it is pipe.
    pub nominal: Option<f64>,
}

/// How to write the size of a tube.
pub const SIZE_FORMS: &str = "\"1 3/4 in x 16 ga\", \"42.4 x 2.0 mm\", \"1 1/2 NPS sch 10S\" or \"DN 40 sch 10\"";

/// The size of a tube in one text.
///
/// # Errors
/// [`Unreadable`].
///
/// # Example
/// ```
/// let pipe = job::quantity::size("1 1/2 NPS sch 10S").unwrap();
/// assert_eq!((pipe.od, pipe.wall, pipe.nominal), (48.3, 2.77, Some(1.5)));
/// ```
pub fn size(text: &str) -> Result<Size, Unreadable> {
    let lower = text.trim().to_lowercase();
    if ["nps", "dn", "sch"].iter().any(|word| lower.contains(word)) {
        return pipe_size(&lower);
    }
    let Some((od_text, wall_text)) = split_times(text) else {
        return Err(unreadable(format!("`{}` is not a tube size", text.trim()), format!("write {SIZE_FORMS}")));
    };
    let wall = wall(wall_text)?;
    let od = match length(od_text) {
        Ok(od) => od,
        // "42.4 x 2.0 mm": the unit at the end counts for both.
        Err(wrong) => match (number(od_text), split_unit(wall_text.trim())) {
            (Some(value), Some((_, mm))) => in_mm(value, mm),
            _ => return Err(wrong),
        },
    };
    Ok(Size { od, wall, nominal: nominal_of(od) })
}

fn split_times(text: &str) -> Option<(&str, &str)> {
    let at = text.find(['x', 'X', '\u{d7}', '*'])?;
    let width = text[at..].chars().next().map_or(1, char::len_utf8);
    let (od, wall) = (text[..at].trim(), text[at + width..].trim());
    (!od.is_empty() && !wall.is_empty()).then_some((od, wall))
}

fn pipe_size(lower: &str) -> Result<Size, Unreadable> {
    let bad = || {
        unreadable(
            format!("`{lower}` is not a pipe size"),
            "write \"1 1/2 NPS sch 10S\" or \"DN 40 sch 10\"".to_string(),
        )
    };
    let (size_text, schedule) = lower.split_once("sch").ok_or_else(|| {
        unreadable(format!("`{lower}` names no schedule"), format!("write \"{} sch 10S\"", lower.to_uppercase()))
    })?;
    let schedule = schedule.trim_start_matches("edule").trim_start_matches('.').trim().to_uppercase();
    let size_text = size_text.trim().trim_end_matches(',').trim();
    let pipe = if let Some(dn) = size_text.strip_prefix("dn") {
        let dn: u32 = dn.trim().parse().map_err(|_| bad())?;
        if !catalogue::pipes().iter().any(|p| p.dn == dn) {
            return Err(unknown_pipe(format!("DN {dn}"), catalogue::pipes().iter().map(|p| format!("DN {}", p.dn))));
        }
        pipe_by_dn(dn, &schedule)
    } else {
        let inches = size_text.replace("nps", " ").replace(['"', '\u{2033}'], " ");
        let inches = inches.trim().trim_end_matches("inch").trim_end_matches("in").trim();
        let spelled: String = inches.chars().map(vulgar).collect();
        let nominal = parse_inches(&spelled).ok_or_else(bad)?;
        if !catalogue::pipes().iter().any(|p| p.nominal == nominal) {
            return Err(unknown_pipe(format!("NPS {inches}"), catalogue::pipes().iter().map(|p| p.nps.clone())));
        }
        pipe_by_nps(nominal, &schedule)
    };
    let Some(pipe) = pipe else {
        let mut known: Vec<&str> = Vec::new();
        for p in catalogue::pipes() {
            if !known.contains(&p.schedule.as_str()) {
                known.push(&p.schedule);
            }
        }
        return Err(unreadable(
            format!("schedule `{schedule}` is not known"),
            format!("known schedules: {}", either(&known)),
        ));
    };
    Ok(Size { od: pipe.od, wall: pipe.wall, nominal: Some(pipe.nominal) })
}

fn unknown_pipe(what: String, known: impl Iterator<Item = String>) -> Unreadable {
    let mut list: Vec<String> = known.collect();
    list.dedup();
    unreadable(format!("there is no pipe {what}"), format!("known sizes: {}", either(&list)))
}

/// An amount of money in thousandths, from its digits as written.
///
/// # Errors
/// [`Unreadable`] for more than three decimals, a negative amount or one beyond a thousand million.
pub fn money(digits: &str) -> Result<i64, Unreadable> {
    let plain: String = digits.chars().filter(|c| *c != '_').collect();
    let value: f64 = plain.parse().unwrap_or(f64::NAN);
    if !value.is_finite() {
        return Err(unreadable("an amount of money must be a finite number", "write the amount, e.g. 24.50"));
    }
    if value < 0.0 {
        return Err(unreadable(format!("{digits} is below 0"), "an amount of money is 0 or more"));
    }
    if value > 1e9 {
        return Err(unreadable(format!("{digits} is beyond any price"), "amounts up to 1 000 000 000 are taken"));
    }
    let thousandths = (value * 1000.0).round();
    let decimals = plain.split_once('.').map_or("", |(_, d)| d).trim_end_matches('0');
    let exponent = plain.contains(['e', 'E']);
    if (exponent && (value * 1000.0 - thousandths).abs() > 1e-6) || (!exponent && decimals.len() > 3) {
        return Err(unreadable(
            format!("{digits} has more than three decimals"),
            format!("round it, e.g. {:.3}", thousandths / 1000.0),
        ));
    }
    Ok(thousandths as i64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_read_as_the_trade_writes_them() {
        let inches = [
            ("1 5/8 in", 1.625),
            ("1-5/8 in", 1.625),
            ("1 5/8\"", 1.625),
            ("1.625in", 1.625),
            ("5/8 inch", 0.625),
            ("1\u{215d} in", 1.625),
            ("-2 1/4\u{2033}", -2.25),
            ("3 ft", 36.0),
        ];
        for (text, inches) in inches {
            assert!((length(text).unwrap() - inches * 25.4).abs() < 1e-9, "{text}");
        }
        assert_eq!(length("41.3 mm").unwrap(), 41.3);
        assert_eq!(length("1.2e3mm").unwrap(), 1200.0);
        assert_eq!(length("0.5 m").unwrap(), 500.0);
    }

    #[test]
    fn what_is_no_length_says_why() {
        assert!(length("41.3").unwrap_err().hint.contains("\"41.3 mm\""));
        assert!(length("41,3 mm").unwrap_err().hint.contains("\"41.3 mm\""));
        for text in
            ["", "mm", "1 5/0 in", "1 9/8 in", "1.5 1/2 in", "nan mm", "inf in", "5 furlong", "1/2/3 in", "--1 in"]
        {
            assert!(length(text).is_err(), "{text}");
        }
    }

    #[test]
    fn sizes_in_all_forms() {
        let near = |text: &str, od: f64, wall: f64| {
            let size = size(text).unwrap();
            assert!((size.od - od).abs() < 1e-9 && (size.wall - wall).abs() < 1e-9, "{text}: {size:?}");
            size.nominal
        };
        assert_eq!(near("1 3/4 in x 16 ga", 44.45, 1.651), None);
        assert_eq!(near("1-3/4\" x 0.065\"", 44.45, 1.651), None);
        assert_eq!(near("42.4 x 2.0 mm", 42.4, 2.0), None);
        assert_eq!(near("1 1/2 NPS sch 10S", 48.3, 2.77), Some(1.5));
        assert_eq!(near("NPS 1 1/4 Schedule 10", 42.2, 2.77), Some(1.25));
        assert_eq!(near("DN 40 sch 10", 48.3, 2.77), Some(1.5));
        assert_eq!(near("DN40 sch. 40s", 48.3, 3.68), Some(1.5));
        assert_eq!(near("48.3 mm x 16 BWG", 48.3, 1.651), Some(1.5));
        for text in [
            "1 3/4 in",
            "DN 41 sch 10",
            "1 1/2 NPS",
            "1 1/2 NPS sch 11",
            "44.45 x 1.65",
            "x",
            "2 in x 99 ga",
            "1.6 NPS sch 10",
        ] {
            assert!(size(text).is_err(), "{text}");
        }
    }

    #[test]
    fn money_keeps_three_decimals_and_no_more() {
        assert_eq!(money("24.5").unwrap(), 24_500);
        assert_eq!(money("0.125").unwrap(), 125);
        assert_eq!(money("1_000").unwrap(), 1_000_000);
        assert_eq!(money("24.5000").unwrap(), 24_500);
        for text in ["0.1255", "-1", "nan", "inf", "1e10"] {
            assert!(money(text).is_err(), "{text}");
        }
    }

    #[test]
    fn gauges_are_birmingham_and_angles_degrees() {
        assert!((wall("16 ga").unwrap() - 1.651).abs() < 1e-9);
        assert!((wall("18 BWG").unwrap() - 1.2446).abs() < 1e-9);
        assert_eq!(wall("1.5 mm").unwrap(), 1.5);
        assert!(wall("16 swg").unwrap_err().hint.contains("Birmingham"));
        assert!((angle("90 deg").unwrap() - std::f64::consts::FRAC_PI_2).abs() < 1e-12);
        assert!(angle("90").is_err());
    }
}
