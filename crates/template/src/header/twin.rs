//! The turbo's side of a twin entry: a plate with two openings and the bar between them that keeps the two groups of pulses
//! apart.
//!
//! Where nothing is said each opening is the tight band around the bores of its two tubes, so that tubes and openings are
//! flush; the bar is then as thick as the collector's gap and two walls.

use job::details::OpeningShape;
use job::model::Units;
use job::show;

use super::ends::{CollectorEnds, PLATE, RIM};
use crate::drawing::Drawing;
use crate::flange::{Flange, Hole, Port, flange};
use crate::{DrawingError, Vec2};

/// The turbo's flange of a twin entry, its words with lengths in `units`.
///
/// # Errors
/// What makes it no flange; a group of more than two inlets whose openings are not given, among it.
pub(super) fn flange_of(ends: &CollectorEnds<'_>, units: Units) -> Result<Drawing, DrawingError> {
    let half = ends.inlets.len() / 2;
    let (first, second) = ends.inlets.split_at(half);
    let ports = match ends.detail.entry {
        Some(entry) => {
            // The bar lies across the way from one group to the other.
            let across = (middle(second) - middle(first)).normalize_or(-Vec2::Y);
            let centre = 0.5 * (middle(first) + middle(second));
            let step = across * (0.5 * (entry.height + entry.divider));
            let (width, height, corner) = (entry.width, entry.height, entry.corner);
            let opening = OpeningShape::Rectangular { width, height, corner };
            let turn = upright(across.perp().to_angle());
            [(1, -step), (2, step)].map(|(number, by)| Port { number, at: centre + by, opening, turn }).to_vec()
        }
        None => vec![around(1, first, ends.bore)?, around(2, second, ends.bore)?],
    };
    let holes = ends.detail.holes.iter().map(|([x, y], diameter)| Hole { at: Vec2::new(*x, *y), diameter: *diameter });
    let plate =
        Flange { name: format!("{} entries", ends.name), thickness: PLATE, rim: RIM, ports, holes: holes.collect() };
    let mut drawing = flange(&plate, units)?;
    drawing.title = format!("Turbo side of {}: two entries", ends.name);
    let list = |from: usize, to: usize| (from..=to).map(|i| i.to_string()).collect::<Vec<_>>().join(" and ");
    drawing.notes = vec![
        format!("Plate {} thick, common practice without a source.", show::size_with_unit(PLATE, units)),
        format!(
            "Seen along the flow, up is up. Opening 1 takes inlets {}, opening 2 inlets {}. The bar between them keeps the two \
             groups of pulses apart: weld it gas-tight to the tubes.",
            list(1, half),
            list(half + 1, ends.inlets.len())
        ),
        "Check openings, bar and bolts against the turbo's own gasket before anything is cut.".into(),
    ];
    Ok(drawing)
}

fn middle(places: &[Vec2]) -> Vec2 {
    places.iter().copied().sum::<Vec2>() / places.len().max(1) as f64
}

/// The same line turned so that it is at most a right angle from x, rad.
fn upright(angle: f64) -> f64 {
    use std::f64::consts::{FRAC_PI_2, PI};
    if angle > FRAC_PI_2 + 1e-9 {
        angle - PI
    } else if angle < -FRAC_PI_2 + 1e-9 {
        angle + PI
    } else {
        angle
    }
}

/// The band around one or two bores.
fn around(number: u32, inlets: &[Vec2], bore: f64) -> Result<Port, DrawingError> {
    let (opening, turn) = match *inlets {
        [_] => (OpeningShape::Round { diameter: bore }, 0.0),
        [a, b] => (OpeningShape::Oval { width: a.distance(b) + bore, height: bore }, upright((b - a).to_angle())),
        _ => {
            let why = "its sizes in templates.toml: give the collector an `entry`";
            return Err(DrawingError::Opening { port: number, why });
        }
    };
    Ok(Port { number, at: middle(inlets), opening, turn })
}

#[cfg(test)]
mod tests {
    use super::super::ends::BodyMeasures;
    use super::*;
    use crate::drawing::Layer;
    use job::details::{CollectorDetail, EntryDetail};
    use job::inlets::inlet_offsets;
    use job::model::{Collector, Groups, MayMove, Pattern, Rotation};

    fn collector(pattern: Pattern, inlets: usize) -> Collector {
        Collector {
            name: "turbo".into(),
            at: geom::Vec3::ZERO,
            axis: geom::Vec3::Z,
            up: geom::Vec3::X,
            inlets,
            groups: Groups::Twin,
            pattern,
            gap: 2.0,
            stub: 20.0,
            cylinders: Vec::new(),
            inlet_of: Vec::new(),
            rotation: Rotation::Any,
            feeds: None,
            may_move: MayMove::default(),
            body: None,
        }
    }

    fn drawn(pattern: Pattern, inlets: usize, entry: Option<EntryDetail>) -> Result<Drawing, DrawingError> {
        let collector = collector(pattern, inlets);
        let detail = CollectorDetail { entry, ..CollectorDetail::usual("turbo") };
        let (od, wall) = (48.3, 2.8);
        let places =
            inlet_offsets(pattern, inlets, od, collector.gap).into_iter().map(|[x, y]| Vec2::new(x, y)).collect();
        let bore = od - 2.0 * wall;
        let made = BodyMeasures::of_detail(&detail, od, 60.0, None);
        let name = "turbo".into();
        let ends = CollectorEnds { collector: &collector, detail: &detail, name, inlets: places, od, bore, wall, made };
        flange_of(&ends, Units::Mm)
    }

    /// Boxes of the two openings: the lines that are cut after the edge.
    fn openings(drawing: &Drawing) -> Vec<[Vec2; 2]> {
        let cut = drawing.paths.iter().filter(|p| p.layer == Layer::Cut).skip(1);
        cut.map(|p| p.shape.bounds().unwrap()).collect()
    }

    #[test]
    fn the_bar_of_a_square_is_the_gap_and_two_walls_and_openings_are_as_wide_as_the_bores() {
        let openings = openings(&drawn(Pattern::Square, 4, None).unwrap());
        let [upper, lower] = openings[..] else { panic!("{openings:?}") };
        assert!((upper[0].y - lower[1].y - (2.0 + 2.0 * 2.8)).abs() < 1e-9, "{openings:?}");
        // Pitch 50.3 and bore 42.7.
        assert!((upper[1].x - upper[0].x - 93.0).abs() < 1e-9 && (upper[1].y - upper[0].y - 42.7).abs() < 1e-9);
    }

    #[test]
    fn entries_that_are_given_stand_on_either_side_of_the_bar() {
        let entry = EntryDetail { width: 50.0, height: 26.0, corner: 5.0, divider: 6.0 };
        let square = openings(&drawn(Pattern::Square, 4, Some(entry)).unwrap());
        assert!((square[0][0].y - 3.0).abs() < 1e-9 && (square[0][1].y - 29.0).abs() < 1e-9, "{square:?}");
        assert!((square[1][0].y + 29.0).abs() < 1e-9 && (square[1][1].x - 25.0).abs() < 1e-9, "{square:?}");
        // Side by side in a line the bar stands upright.
        let line = openings(&drawn(Pattern::Line, 4, Some(entry)).unwrap());
        assert!((line[0][1].x + 3.0).abs() < 1e-9 && (line[0][1].y - 25.0).abs() < 1e-9, "{line:?}");
    }

    #[test]
    fn six_inlets_need_the_entry_to_be_given() {
        let problem = drawn(Pattern::Line, 6, None).unwrap_err();
        assert!(matches!(problem, DrawingError::Opening { why, .. } if why.contains("`entry`")), "{problem:?}");
    }
}
