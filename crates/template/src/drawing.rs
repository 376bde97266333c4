//! A drawing at full size: lines, arcs and words on named layers.
//!
//! All coordinates in mm at 1:1, x to the right, y up; angles in rad, counter-clockwise from x.

use std::f64::consts::{FRAC_PI_2, TAU};

use crate::Vec2;

/// Purpose of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Layer {
    /// Cut through.
    Cut,
    /// Scribe or mark with a pen.
    Mark,
    /// Bend or roll here.
    Fold,
    /// Measures; not for the machine.
    Dimension,
    /// Words; not for the machine.
    Text,
}

impl Layer {
    /// All of them, in order.
    pub const ALL: [Layer; 5] = [Layer::Cut, Layer::Mark, Layer::Fold, Layer::Dimension, Layer::Text];

    /// Name of the layer in files.
    pub fn name(self) -> &'static str {
        match self {
            Layer::Cut => "CUT",
            Layer::Mark => "MARK",
            Layer::Fold => "FOLD",
            Layer::Dimension => "DIMENSION",
            Layer::Text => "TEXT",
        }
    }
}

/// A vertex of a polyline and the segment to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vertex {
    /// The place.
    pub at: Vec2,
    /// Tangent of a quarter of the arc's angle to the next vertex, positive when that arc turns
    /// counter-clockwise; 0: a straight line.
    pub bulge: f64,
}

/// A line of a drawing.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A straight line.
    Line {
        /// One end.
        from: Vec2,
        /// The other.
        to: Vec2,
    },
    /// An arc of a circle.
    Arc {
        /// Centre of the shape.
        centre: Vec2,
        /// Its radius, mm.
        radius: f64,
        /// Where it begins, rad.
        from: f64,
        /// How far it goes, rad; negative: clockwise.
        sweep: f64,
    },
    /// A whole circle.
    Circle {
        /// Centre of the shape.
        centre: Vec2,
        /// Its radius, mm.
        radius: f64,
    },
    /// Lines and arcs one after another.
    Polyline {
        /// Its vertices; the bulge of the last one counts only when `closed`.
        vertices: Vec<Vertex>,
        /// Whether it goes back to its first vertex.
        closed: bool,
    },
}

impl Shape {
    /// A polyline of straight lines.
    pub fn through(points: impl IntoIterator<Item = Vec2>, closed: bool) -> Shape {
        Shape::Polyline { vertices: points.into_iter().map(|at| Vertex { at, bulge: 0.0 }).collect(), closed }
    }

    /// Whether it comes back to where it began.
    pub fn is_closed(&self) -> bool {
        matches!(self, Shape::Circle { .. } | Shape::Polyline { closed: true, .. })
    }

    /// Its length, mm.
    pub fn length(&self) -> f64 {
        match self {
            Shape::Line { from, to } => from.distance(*to),
            Shape::Arc { radius, sweep, .. } => radius * sweep.abs(),
            Shape::Circle { radius, .. } => radius * TAU,
            Shape::Polyline { .. } => self.legs().iter().map(Shape::length).sum(),
        }
    }

    /// Its lines and arcs, one by one; a polyline is split.
    pub fn legs(&self) -> Vec<Shape> {
        let Shape::Polyline { vertices, closed } = self else { return vec![self.clone()] };
        let next = vertices.iter().skip(1).chain(vertices.first().filter(|_| *closed));
        vertices.iter().zip(next).map(|(a, b)| leg(a, b.at)).collect()
    }

    /// Points along it, no farther from it than `tolerance` mm between them; of a closed one the last is the first.
    pub fn points(&self, tolerance: f64) -> Vec<Vec2> {
        let mut points = self.open_points(tolerance);
        if self.is_closed() && points.len() > 1 {
            // Without the rounding of a whole turn.
            let last = points.len() - 1;
            points[last] = points[0];
        }
        points
    }

    fn open_points(&self, tolerance: f64) -> Vec<Vec2> {
        match self {
            Shape::Line { from, to } => vec![*from, *to],
            Shape::Arc { centre, radius, from, sweep } => arc_points(*centre, *radius, *from, *sweep, tolerance),
            Shape::Circle { centre, radius } => arc_points(*centre, *radius, 0.0, TAU, tolerance),
            Shape::Polyline { .. } => {
                let mut points: Vec<Vec2> = Vec::new();
                for part in self.legs() {
                    let more = part.open_points(tolerance);
                    points.extend(&more[usize::from(!points.is_empty())..]);
                }
                points
            }
        }
    }

    /// The least box that holds it: lower left and upper right corner.
    pub fn bounds(&self) -> Option<[Vec2; 2]> {
        let mut corners = Vec::new();
        for part in self.legs() {
            match part {
                Shape::Line { from, to } => corners.extend([from, to]),
                Shape::Circle { centre, radius } => {
                    corners.extend([centre - Vec2::splat(radius), centre + Vec2::splat(radius)]);
                }
                Shape::Arc { centre, radius, from, sweep } => {
                    let at = |angle: f64| centre + Vec2::from_angle(angle) * radius;
                    corners.extend([at(from), at(from + sweep)]);
                    let (low, high) = (from.min(from + sweep), from.max(from + sweep));
                    let first = (low / FRAC_PI_2).ceil() as i64;
                    let quarters = (first..).map(|k| k as f64 * FRAC_PI_2).take_while(|a| *a <= high);
                    corners.extend(quarters.map(at));
                }
                Shape::Polyline { .. } => {}
            }
        }
        bounds_of(corners)
    }

    /// It, moved by `by`.
    #[must_use]
    pub fn shifted(&self, by: Vec2) -> Shape {
        let mut moved = self.clone();
        match &mut moved {
            Shape::Line { from, to } => {
                *from += by;
                *to += by;
            }
            Shape::Arc { centre, .. } | Shape::Circle { centre, .. } => *centre += by,
            Shape::Polyline { vertices, .. } => vertices.iter_mut().for_each(|v| v.at += by),
        }
        moved
    }
}

/// The line or arc from a vertex to the next.
fn leg(from: &Vertex, to: Vec2) -> Shape {
    let chord = to - from.at;
    if from.bulge.abs() < 1e-12 || chord.length() < 1e-12 {
        return Shape::Line { from: from.at, to };
    }
    // bulge = tan(sweep / 4); the centre lies on the chord's middle line.
    let sweep = 4.0 * from.bulge.atan();
    let centre = from.at + 0.5 * chord + chord.perp() * (0.5 / (0.5 * sweep).tan());
    let start = from.at - centre;
    Shape::Arc { centre, radius: start.length(), from: start.to_angle(), sweep }
}

fn arc_points(centre: Vec2, radius: f64, from: f64, sweep: f64, tolerance: f64) -> Vec<Vec2> {
    let step = if radius > tolerance { 2.0 * (1.0 - tolerance / radius).acos() } else { FRAC_PI_2 };
    let parts = (sweep.abs() / step.max(1e-3)).ceil().max(1.0) as usize;
    (0..=parts).map(|i| centre + Vec2::from_angle(from + sweep * i as f64 / parts as f64) * radius).collect()
}

fn bounds_of(points: impl IntoIterator<Item = Vec2>) -> Option<[Vec2; 2]> {
    points.into_iter().fold(None, |found, p| match found {
        None => Some([p, p]),
        Some([low, high]) => Some([low.min(p), high.max(p)]),
    })
}

/// A line and what it is for.
#[derive(Debug, Clone, PartialEq)]
pub struct Path {
    /// Purpose of the line.
    pub layer: Layer,
    /// Geometry of the line.
    pub shape: Shape,
}

/// Which part of a text stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Left end.
    Left,
    /// Centred on the point.
    Middle,
    /// Right end.
    Right,
}

/// Words in one line.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// Purpose of the text.
    pub layer: Layer,
    /// Place on the base line, mm.
    pub at: Vec2,
    /// Height of capitals, mm.
    pub height: f64,
    /// Direction of the base line, rad.
    pub angle: f64,
    /// The point of the text that lies at `at`.
    pub align: Align,
    /// The words; never more than one line.
    pub text: String,
}

/// A drawing at full size.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawing {
    /// Short name, unique in a job: what a file is called after.
    pub name: String,
    /// What it shows, for a person.
    pub title: String,
    /// What one must know to use it, a sentence each.
    pub notes: Vec<String>,
    /// A table of its measures, heads first; empty without one.
    pub table: Vec<Vec<String>>,
    /// Lines of the drawing.
    pub paths: Vec<Path>,
    /// Words of the drawing.
    pub texts: Vec<Text>,
}

impl Drawing {
    /// An empty drawing.
    pub fn new(name: impl Into<String>, title: impl Into<String>) -> Self {
        Drawing { name: name.into(), title: title.into(), ..Drawing::default() }
    }

    /// Adds a line.
    pub fn add(&mut self, layer: Layer, shape: Shape) {
        self.paths.push(Path { layer, shape });
    }

    /// Adds a straight line.
    pub fn line(&mut self, layer: Layer, from: Vec2, to: Vec2) {
        self.add(layer, Shape::Line { from, to });
    }

    /// Adds words on [`Layer::Text`], level, their middle at `at`.
    pub fn label(&mut self, at: Vec2, height: f64, text: impl Into<String>) {
        let text = text.into();
        self.texts.push(Text { layer: Layer::Text, at, height, angle: 0.0, align: Align::Middle, text });
    }

    /// Adds a sentence to the notes.
    pub fn note(&mut self, text: impl Into<String>) {
        self.notes.push(text.into());
    }

    /// The least box that holds its lines and the places of its words: lower left and upper right
    /// corner; `None` when it is empty.
    pub fn bounds(&self) -> Option<[Vec2; 2]> {
        let lines = self.paths.iter().filter_map(|p| p.shape.bounds()).flatten();
        bounds_of(lines.chain(self.texts.iter().map(|t| t.at)))
    }

    /// Length of all lines on `layer`, mm.
    pub fn length(&self, layer: Layer) -> f64 {
        self.paths.iter().filter(|p| p.layer == layer).map(|p| p.shape.length()).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn v(x: f64, y: f64) -> Vec2 {
        Vec2::new(x, y)
    }

    #[test]
    fn a_half_circle_has_bulge_one() {
        let vertices = vec![Vertex { at: v(0.0, 0.0), bulge: 1.0 }, Vertex { at: v(10.0, 0.0), bulge: 0.0 }];
        let half = Shape::Polyline { vertices: vertices.clone(), closed: false };
        assert!((half.length() - 5.0 * PI).abs() < 1e-12);
        // Counter-clockwise from left to right goes below.
        let [low, high] = half.bounds().unwrap();
        assert!((low - v(0.0, -5.0)).length() < 1e-12 && (high - v(10.0, 0.0)).length() < 1e-9, "{low} {high}");
        let closed = Shape::Polyline { vertices, closed: true };
        assert!((closed.length() - 5.0 * PI - 10.0).abs() < 1e-12 && closed.is_closed());
    }

    #[test]
    fn points_keep_to_the_tolerance() {
        let circle = Shape::Circle { centre: v(1.0, 2.0), radius: 20.0 };
        let points = circle.points(0.01);
        for pair in points.windows(2) {
            let middle = (pair[0] + pair[1]) * 0.5;
            assert!(20.0 - middle.distance(v(1.0, 2.0)) < 0.0101);
        }
        assert!((points[0] - points[points.len() - 1]).length() < 1e-9);
    }

    #[test]
    fn the_box_of_an_arc_holds_its_quarter_points() {
        let arc = Shape::Arc { centre: v(0.0, 0.0), radius: 2.0, from: 0.25 * PI, sweep: 0.5 * PI };
        assert!((arc.bounds().unwrap()[1].y - 2.0).abs() < 1e-12);
    }
}
