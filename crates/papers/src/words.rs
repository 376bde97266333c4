//! Lengths, angles and marks as they are printed.

use cutplan::assembly::MarkLine;
use cutplan::{ItemShape, Reserve};
use geom::Vec3;
use job::model::Units;
use job::palette::run_colour;
use job::show;

use crate::sheet::{Dash, Ink};

/// How a line along the wall is written on tube and paper.
pub(crate) fn mark_line(line: &MarkLine) -> String {
    match line {
        MarkLine::Outside(piece) => piece.clone(),
        MarkLine::Up => "UP".into(),
        MarkLine::Front => "FRONT".into(),
        MarkLine::MergeOutside => "MERGE 0".into(),
    }
}

/// A length without its unit.
pub(crate) fn length(mm: f64, units: Units) -> String {
    let text = show::length(mm, units);
    if text == "-0.0" { "0.0".into() } else { text }
}

/// A length with its unit.
pub(crate) fn with_unit(mm: f64, units: Units) -> String {
    show::length_with_unit(mm, units)
}

/// A length that metal is cut or checked by, without its unit: tenths of a millimetre, thousandths of an inch. The pieces of a
/// plan that is shown in steps add up in it.
pub(crate) fn figure(mm: f64, units: Units) -> String {
    match units {
        Units::Mm => length(mm, units),
        Units::Inch => show::exact(mm, units),
    }
}

/// [`figure`] with its unit.
pub(crate) fn figure_with_unit(mm: f64, units: Units) -> String {
    format!("{} {}", figure(mm, units), show::unit(units))
}

/// [`exact`] with its unit.
pub(crate) fn exact_with_unit(mm: f64, units: Units) -> String {
    show::exact_with_unit(mm, units)
}

/// The name of a size without its unit: a diameter, a CLR.
pub(crate) fn size(mm: f64, units: Units) -> String {
    show::size(mm, units)
}

/// The name of a size with its unit.
pub(crate) fn size_with_unit(mm: f64, units: Units) -> String {
    show::size_with_unit(mm, units)
}

/// A head of a column of lengths.
pub(crate) fn head(name: &str, units: Units) -> String {
    format!("{name} {}", show::unit(units))
}

/// An angle in degrees with one decimal.
pub(crate) fn angle(rad: f64) -> String {
    format!("{:.1}°", rad.to_degrees() + 0.0)
}

/// An angle that metal is cut or turned by, in hundredths of a degree: a tenth at the far end of a long run is a millimetre.
pub(crate) fn fine_angle(rad: f64) -> String {
    format!("{:.2}°", rad.to_degrees() + 0.0)
}

/// What a piece is left longer than drawn: `leave 8 mm and 3 degrees`; `None` when it is not.
pub(crate) fn reserve(more: &Reserve, units: Units) -> Option<String> {
    let straight = (more.leg_in > 0.0) ^ (more.leg_out > 0.0) && more.angle <= 0.0;
    let leg = |mm: f64, which: &str| {
        let which = if straight { "" } else { which };
        let long = if units == Units::Mm { format!("{} mm", trimmed(mm)) } else { figure_with_unit(mm, units) };
        (mm > 0.0).then(|| format!("{long}{which}"))
    };
    let angle = (more.angle > 0.0).then(|| match trimmed(more.angle.to_degrees()).as_str() {
        "1" => "1 degree".to_string(),
        degrees => format!("{degrees} degrees"),
    });
    let parts: Vec<String> = [leg(more.leg_in, " on the entry leg"), leg(more.leg_out, " on the exit leg"), angle]
        .into_iter()
        .flatten()
        .collect();
    (!parts.is_empty()).then(|| format!("leave {}", parts.join(" and ")))
}

/// A turn about the flow with its sense for one who looks along the flow.
pub(crate) fn turn(rad: f64) -> String {
    let deg = rad.to_degrees();
    if deg.abs() < 0.005 {
        return "in line".into();
    }
    let sense = if deg > 0.0 { "clockwise" } else { "counter-clockwise" };
    format!("{:.2}° {sense}", deg.abs())
}

/// A place by its three coordinates, as [`figure`].
pub(crate) fn place(at: Vec3, units: Units) -> [String; 3] {
    [at.x, at.y, at.z].map(|c| figure(c, units))
}

/// Where a tape is too coarse: hundredths of a millimetre, thousandths of an inch, without its unit.
pub(crate) fn exact(mm: f64, units: Units) -> String {
    show::exact(mm, units)
}

/// A diameter and wall as tube is called: `44.45 x 1.65 mm`, `1 3/4 x 0.065 in`.
pub(crate) fn tube(od: f64, wall: f64, units: Units) -> String {
    match units {
        Units::Mm => format!("{} x {} mm", size(od, units), size(wall, units)),
        Units::Inch => format!("{} x {} in", size(od, units), show::exact(wall, units)),
    }
}

/// Up to two decimals, without trailing noughts.
pub(crate) fn trimmed(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// The shape of an item.
pub(crate) fn shape(shape: &ItemShape, units: Units) -> String {
    match shape {
        ItemShape::Bend { clr, angle: turn, legs } => format!(
            "bend of {}°, CLR {}, legs {} and {}",
            trimmed(turn.to_degrees()),
            size_with_unit(*clr, units),
            length(legs[0], units),
            with_unit(legs[1], units)
        ),
        ItemShape::Straight { length: l } => format!("straight of {}", with_unit(*l, units)),
    }
}

/// At most `most` characters, the rest as an ellipsis.
pub(crate) fn short(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_string();
    }
    let mut cut: String = text.chars().take(most.saturating_sub(1)).collect();
    cut.push('…');
    cut
}

/// Patterns that tell runs apart without colour.
const DASHES: [Dash; 8] = [
    Dash::Solid,
    Dash::Pattern(&[30, 12]),
    Dash::Pattern(&[8, 8]),
    Dash::Pattern(&[40, 10, 8, 10]),
    Dash::Pattern(&[15, 20]),
    Dash::Pattern(&[40, 8, 8, 8, 8, 8]),
    Dash::Pattern(&[60, 15]),
    Dash::Pattern(&[4, 12]),
];

/// Colour of a run: runs are coloured, never radii.
pub(crate) fn run_ink(index: usize) -> Ink {
    let [red, green, blue] = run_colour(index);
    Ink(red, green, blue)
}

/// Line pattern of a run.
pub(crate) fn run_dash(index: usize) -> Dash {
    DASHES[(index + index / DASHES.len()) % DASHES.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_say_their_sense() {
        assert_eq!(turn(1.0_f64.to_radians()), "1.00° clockwise");
        assert_eq!(turn(-90.0_f64.to_radians()), "90.00° counter-clockwise");
        assert_eq!(turn(1e-6), "in line");
    }

    #[test]
    fn tubes_are_called_as_the_trade_does() {
        assert_eq!(tube(44.45, 1.65, Units::Mm), "44.45 x 1.65 mm");
        assert_eq!(tube(44.45, 1.651, Units::Inch), "1 3/4 x 0.065 in");
    }

    #[test]
    fn long_names_are_shortened_by_characters() {
        assert_eq!(short("多気筒エンジン", 4), "多気筒…");
        assert_eq!(short("four", 4), "four");
    }
}
