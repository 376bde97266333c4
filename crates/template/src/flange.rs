//! Flanges: plates with an opening for each port and a hole for each bolt.
//!
//! Seen along the flow, from the side of the head: x to the right, y up. The edge is the tight band
//! around openings and holes, `rim` away from both, so that it is made of lines and arcs only. Every place of an opening or
//! hole stands in the drawing's table, measured from the first opening: no dimension is drawn that could lie on the edge of
//! a page.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use job::details::OpeningShape;
use job::model::Units;
use job::show;

use crate::drawing::{Align, Drawing, Layer, Shape, Text, Vertex};
use crate::hull::{Disc, outline};
use crate::{DrawingError, Vec2};

/// An opening in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Port {
    /// Its number: the cylinder.
    pub number: u32,
    /// Its centre, mm.
    pub at: Vec2,
    /// Shape of the port.
    pub opening: OpeningShape,
    /// How far it is turned counter-clockwise, rad.
    pub turn: f64,
}

impl Port {
    /// An opening alone, its centre at the origin.
    pub(crate) fn at_origin(opening: OpeningShape, turn: f64) -> Port {
        Port { number: 0, at: Vec2::ZERO, opening, turn }
    }
}

/// A bolt hole in its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hole {
    /// Its centre, mm.
    pub at: Vec2,
    /// Its diameter, mm.
    pub diameter: f64,
}

/// A flange.
#[derive(Debug, Clone, PartialEq)]
pub struct Flange {
    /// Name of the flange.
    pub name: String,
    /// Thickness of the plate, mm.
    pub thickness: f64,
    /// Metal around openings and holes, mm.
    pub rim: f64,
    /// Openings of the flange.
    pub ports: Vec<Port>,
    /// Bolt holes.
    pub holes: Vec<Hole>,
}

/// The flange as a drawing: edge, openings and holes on [`Layer::Cut`], centre lines on [`Layer::Mark`]; words and table
/// have lengths in `units`.
///
/// # Errors
/// [`DrawingError`] for a size that makes no opening, for openings or holes that run into one another, and
/// for a flange without a port.
pub fn flange(flange: &Flange, units: Units) -> Result<Drawing, DrawingError> {
    check(flange)?;
    let mut drawing = Drawing::new(&flange.name, flange.name.clone());
    let thick = show::size_with_unit(flange.thickness, units);
    drawing.note(format!("Plate {thick} thick. Seen looking downstream, from the head side."));
    drawing.add(Layer::Cut, flange.edge());
    for port in &flange.ports {
        drawing.add(Layer::Cut, opening(port));
        cross(&mut drawing, port.at, 4.0);
        drawing.label(port.at + Vec2::new(0.0, 2.0), 5.0, port.number.to_string());
    }
    for (i, hole) in flange.holes.iter().enumerate() {
        let radius = 0.5 * hole.diameter;
        drawing.add(Layer::Cut, Shape::Circle { centre: hole.at, radius });
        cross(&mut drawing, hole.at, radius + 2.0);
        let beside = hole.at + Vec2::splat(0.71 * radius + 0.8);
        let (layer, align, text) = (Layer::Text, Align::Left, letter(i));
        drawing.texts.push(Text { layer, at: beside, height: 2.5, angle: 0.0, align, text });
    }
    drawing.table = places(flange, units);
    Ok(drawing)
}

/// The name of a hole: a to z, then a2 and so on.
fn letter(index: usize) -> String {
    let name = char::from(b'a' + (index % 26) as u8).to_string();
    if index < 26 { name } else { format!("{name}{}", index / 26 + 1) }
}

/// The table of a flange: what each opening and hole is and where, from the middle of the first opening.
fn places(flange: &Flange, units: Units) -> Vec<Vec<String>> {
    let (origin, unit) = (flange.ports[0].at, show::unit(units));
    let head = ["".into(), "feature".into(), format!("across {unit}"), format!("up {unit}")].to_vec();
    let row = |name: String, what: String, at: Vec2| {
        let way = at - origin;
        vec![name, what, show::exact(way.x, units), show::exact(way.y, units)]
    };
    let ports = flange.ports.iter().map(|p| row(p.number.to_string(), in_words(p, units), p.at));
    let holes = flange.holes.iter().enumerate();
    let holes = holes.map(|(i, h)| row(letter(i), format!("hole {}", show::exact(h.diameter, units)), h.at));
    std::iter::once(head).chain(ports).chain(holes).collect()
}

/// An opening's shape, sizes and turn.
pub(crate) fn in_words(port: &Port, units: Units) -> String {
    let exact = |l: f64| show::exact(l, units);
    let shape = match port.opening {
        OpeningShape::Round { diameter } => return format!("round {}", exact(diameter)),
        OpeningShape::Ellipse { width, height } => format!("ellipse {} x {}", exact(width), exact(height)),
        OpeningShape::Oval { width, height } => format!("oval {} x {}", exact(width), exact(height)),
        OpeningShape::Rectangular { width, height, corner } => {
            format!("rectangle {} x {}, corners {}", exact(width), exact(height), exact(corner))
        }
        OpeningShape::D { diameter, flat } => format!("D {}, flat {} from the centre", exact(diameter), exact(flat)),
    };
    let turn = port.turn.to_degrees();
    if turn.abs() < 0.05 { shape } else { format!("{shape}, turned {turn:.1} degrees counter-clockwise") }
}

fn disc(centre: Vec2, radius: f64) -> Disc {
    Disc { centre, radius }
}

fn cross(drawing: &mut Drawing, at: Vec2, arm: f64) {
    for way in [Vec2::X, Vec2::Y] {
        drawing.line(Layer::Mark, at - way * arm, at + way * arm);
    }
}

/// Discs whose tight band is the opening, or holds it.
pub(crate) fn corners(port: &Port) -> Vec<Disc> {
    let place = |x: f64, y: f64| port.at + Vec2::from_angle(port.turn).rotate(Vec2::new(x, y));
    match port.opening {
        OpeningShape::Round { diameter } | OpeningShape::D { diameter, .. } => vec![disc(port.at, 0.5 * diameter)],
        OpeningShape::Ellipse { .. } => ellipse(port).into_iter().map(|p| disc(p, 0.0)).collect(),
        OpeningShape::Oval { width, height } => {
            let x = 0.5 * (width - height);
            vec![disc(place(-x, 0.0), 0.5 * height), disc(place(x, 0.0), 0.5 * height)]
        }
        OpeningShape::Rectangular { width, height, corner } => {
            let (x, y) = (0.5 * width - corner, 0.5 * height - corner);
            [(-x, -y), (x, -y), (x, y), (-x, y)].map(|(x, y)| disc(place(x, y), corner)).to_vec()
        }
    }
}

/// Corners of an ellipse's line. 180 of them on one 100 mm long leave it by less than 0.01 mm.
fn ellipse(port: &Port) -> Vec<Vec2> {
    let OpeningShape::Ellipse { width, height } = port.opening else { return Vec::new() };
    let turn = Vec2::from_angle(port.turn);
    let around = (0..180).map(|i| Vec2::from_angle(TAU * f64::from(i) / 180.0));
    around.map(|p| port.at + turn.rotate(Vec2::new(0.5 * width * p.x, 0.5 * height * p.y))).collect()
}

/// The line of an opening.
fn opening(port: &Port) -> Shape {
    let (diameter, flat) = match port.opening {
        OpeningShape::D { diameter, flat } => (diameter, flat),
        OpeningShape::Ellipse { .. } => return Shape::through(ellipse(port), true),
        _ => return outline(&corners(port)),
    };
    let r = 0.5 * diameter;
    // The arc goes counter-clockwise from the right end of the flat over the top to its left end.
    let half = FRAC_PI_2 + (flat / r).asin();
    let at = |angle: f64| port.at + Vec2::from_angle(port.turn + angle) * r;
    let bulge = (0.25 * half).tan();
    Shape::Polyline {
        vertices: vec![
            Vertex { at: at(FRAC_PI_2 - half), bulge },
            Vertex { at: at(FRAC_PI_2), bulge },
            Vertex { at: at(FRAC_PI_2 + half), bulge: 0.0 },
        ],
        closed: true,
    }
}

impl Flange {
    /// Whether it is cut as the other one is: the same plate but for its name and the numbers of its ports.
    pub fn is_cut_as(&self, other: &Flange) -> bool {
        /// What no cutter shows, mm and rad.
        const SAME: f64 = 5e-3;
        let near = |a: f64, b: f64| (a - b).abs() < SAME;
        let places = |a: Vec2, b: Vec2| a.distance(b) < SAME;
        near(self.thickness, other.thickness)
            && near(self.rim, other.rim)
            && self.ports.len() == other.ports.len()
            && self.holes.len() == other.holes.len()
            && self
                .ports
                .iter()
                .zip(&other.ports)
                .all(|(a, b)| places(a.at, b.at) && a.opening.is_near(&b.opening, SAME) && near(a.turn, b.turn))
            && self.holes.iter().all(|a| other.holes.iter().any(|b| places(a.at, b.at) && near(a.diameter, b.diameter)))
    }

    /// Its edge, its openings and its holes as closed lines, the edge first, for solids.
    ///
    /// # Errors
    /// As [`flange`].
    pub fn outlines(&self) -> Result<Vec<Shape>, DrawingError> {
        check(self)?;
        let holes = self.holes.iter().map(|h| Shape::Circle { centre: h.at, radius: 0.5 * h.diameter });
        Ok(std::iter::once(self.edge()).chain(self.ports.iter().map(opening)).chain(holes).collect())
    }

    /// The tight band around openings and holes.
    fn edge(&self) -> Shape {
        let mut discs: Vec<Disc> = self.holes.iter().map(|h| disc(h.at, 0.5 * h.diameter + self.rim)).collect();
        for port in &self.ports {
            discs.extend(corners(port).into_iter().map(|d| disc(d.centre, d.radius + self.rim)));
        }
        outline(&discs)
    }
}

/// Area of an opening, mm2: what the flow has.
pub fn area(opening: &OpeningShape) -> f64 {
    match *opening {
        OpeningShape::Round { diameter } => 0.25 * PI * diameter * diameter,
        OpeningShape::Ellipse { width, height } => 0.25 * PI * width * height,
        OpeningShape::Oval { width, height } => 0.25 * PI * height * height + (width - height) * height,
        OpeningShape::Rectangular { width, height, corner } => width * height - (4.0 - PI) * corner * corner,
        OpeningShape::D { diameter, flat } => {
            let r = 0.5 * diameter;
            let half = (flat / r).acos();
            PI * r * r - (r * r * half - flat * (r * r - flat * flat).sqrt())
        }
    }
}

fn check(flange: &Flange) -> Result<(), DrawingError> {
    if flange.ports.is_empty() {
        return Err(DrawingError::NoPort);
    }
    let sound = |value: f64| value.is_finite() && value > 0.0;
    for (what, value) in [("thickness", flange.thickness), ("rim", flange.rim)] {
        if !sound(value) {
            return Err(DrawingError::NotPositive { what, value });
        }
    }
    for port in &flange.ports {
        check_opening(port)?;
    }
    for (i, hole) in flange.holes.iter().enumerate() {
        if !sound(hole.diameter) {
            return Err(DrawingError::NotPositive { what: "diameter of a bolt hole", value: hole.diameter });
        }
        let runs_in = |d: &Disc| d.centre.distance(hole.at) < d.radius + 0.5 * hole.diameter;
        for port in &flange.ports {
            if corners(port).iter().any(runs_in) || inside(&opening(port), hole.at) {
                return Err(DrawingError::HoleInOpening { hole: i + 1, port: port.number });
            }
        }
    }
    for (i, a) in flange.ports.iter().enumerate() {
        for b in &flange.ports[i + 1..] {
            if meet(&opening(a), &opening(b)) {
                return Err(DrawingError::OpeningsMeet { ports: [a.number, b.number] });
            }
        }
    }
    Ok(())
}

fn check_opening(port: &Port) -> Result<(), DrawingError> {
    let bad = |why| Err(DrawingError::Opening { port: port.number, why });
    let sound = |values: &[f64]| values.iter().all(|v| v.is_finite() && *v > 0.0);
    match port.opening {
        OpeningShape::Round { diameter } if !sound(&[diameter]) => bad("a diameter above 0"),
        OpeningShape::Ellipse { width, height } | OpeningShape::Oval { width, height }
            if !sound(&[width, height]) || width < height =>
        {
            bad("a width and a height above 0, the width not below the height")
        }
        OpeningShape::Rectangular { width, height, corner }
            if !sound(&[width, height]) || !(0.0..=0.5 * width.min(height)).contains(&corner) =>
        {
            bad("a width and a height above 0 and corners of at most half the shorter")
        }
        OpeningShape::D { diameter, flat } if !(sound(&[diameter]) && (0.0..0.5 * diameter).contains(&flat)) => {
            bad("a flat between the centre and the edge of its circle")
        }
        _ => Ok(()),
    }
}

/// Whether a point lies within a closed line, to 0.01 mm.
fn inside(shape: &Shape, at: Vec2) -> bool {
    let points = shape.points(0.01);
    let crossings = points.windows(2).filter(|p| {
        let (a, b) = (p[0], p[1]);
        (a.y > at.y) != (b.y > at.y) && at.x < a.x + (at.y - a.y) / (b.y - a.y) * (b.x - a.x)
    });
    crossings.count() % 2 == 1
}

/// Whether two closed lines overlap, to 0.01 mm.
fn meet(a: &Shape, b: &Shape) -> bool {
    a.points(0.01).iter().any(|p| inside(b, *p)) || b.points(0.01).iter().any(|p| inside(a, *p))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(opening: OpeningShape) -> Flange {
        let port = Port { number: 1, at: Vec2::new(0.0, 0.0), opening, turn: 0.0 };
        let hole = |x| Hole { at: Vec2::new(x, 0.0), diameter: 9.0 };
        Flange {
            name: "one".into(),
            thickness: 10.0,
            rim: 8.0,
            ports: vec![port],
            holes: vec![hole(-40.0), hole(40.0)],
        }
    }

    /// Area within a closed line by the shoelace formula.
    fn area_of(shape: &Shape) -> f64 {
        shape.points(1e-5).windows(2).map(|p| 0.5 * p[0].perp_dot(p[1])).sum()
    }

    #[test]
    fn a_round_port_with_two_bolts() {
        let drawing = flange(&one(OpeningShape::Round { diameter: 44.0 }), Units::Mm).unwrap();
        let [low, high] = drawing.paths[0].shape.bounds().unwrap();
        assert!((high.x - 52.5).abs() < 1e-9 && (low.x + 52.5).abs() < 1e-9);
        assert!((high.y - 30.0).abs() < 1e-9 && (low.y + 30.0).abs() < 1e-9);
    }

    #[test]
    fn openings_have_the_area_of_the_closed_form() {
        for shape in [
            OpeningShape::Round { diameter: 44.0 },
            OpeningShape::Ellipse { width: 50.0, height: 44.0 },
            OpeningShape::Oval { width: 50.0, height: 32.0 },
            OpeningShape::Rectangular { width: 46.0, height: 34.0, corner: 6.0 },
            OpeningShape::Rectangular { width: 46.0, height: 34.0, corner: 0.0 },
            OpeningShape::D { diameter: 42.0, flat: 13.0 },
        ] {
            let port = Port { number: 1, at: Vec2::new(3.0, -2.0), opening: shape, turn: 0.4 };
            let drawn = opening(&port);
            assert!(drawn.is_closed());
            let off = if matches!(shape, OpeningShape::Ellipse { .. }) { 0.4 } else { 0.01 };
            assert!((area_of(&drawn) - area(&shape)).abs() < off, "{shape:?}: {} {}", area_of(&drawn), area(&shape));
        }
    }

    #[test]
    fn the_table_names_every_opening_and_hole_in_the_wanted_unit() {
        let mut plate = one(OpeningShape::Ellipse { width: 50.8, height: 44.45 });
        plate.ports[0].turn = 0.5 * PI;
        let table = flange(&plate, Units::Mm).unwrap().table;
        assert_eq!(table[1], ["1", "ellipse 50.80 x 44.45, turned 90.0 degrees counter-clockwise", "0.00", "0.00"]);
        assert_eq!(table[2], ["a", "hole 9.00", "-40.00", "0.00"]);
        let inches = flange(&plate, Units::Inch).unwrap();
        assert_eq!(inches.table[0], ["", "feature", "across in", "up in"]);
        assert_eq!(inches.table[3], ["b", "hole 0.354", "1.575", "0.000"]);
        assert!(inches.notes.iter().all(|n| !n.contains("mm")), "{:?}", inches.notes);
    }

    #[test]
    fn openings_side_by_side_at_one_height_do_not_meet() {
        let mut two = one(OpeningShape::Round { diameter: 40.0 });
        two.holes.clear();
        two.ports[0].at = Vec2::new(-21.0, 23.225);
        two.ports.push(Port { number: 2, at: Vec2::new(21.0, 23.225), ..two.ports[0].clone() });
        assert!(flange(&two, Units::Mm).is_ok());
    }

    #[test]
    fn what_makes_no_flange_is_said() {
        assert_eq!(
            flange(&one(OpeningShape::Round { diameter: 72.0 }), Units::Mm),
            Err(DrawingError::HoleInOpening { hole: 1, port: 1 })
        );
        assert!(matches!(
            flange(&one(OpeningShape::Oval { width: 20.0, height: 30.0 }), Units::Mm),
            Err(DrawingError::Opening { .. })
        ));
        assert!(matches!(
            flange(&one(OpeningShape::D { diameter: 20.0, flat: 10.0 }), Units::Mm),
            Err(DrawingError::Opening { .. })
        ));
        let mut two = one(OpeningShape::Round { diameter: 30.0 });
        two.ports.push(Port { number: 2, at: Vec2::new(20.0, 0.0), ..two.ports[0].clone() });
        assert_eq!(flange(&two, Units::Mm), Err(DrawingError::OpeningsMeet { ports: [1, 2] }));
    }
}
