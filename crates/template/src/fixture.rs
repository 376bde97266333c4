//! The plates of a fixture: a base with slots, saddles that stand in it, and what carries the flanges.
//!
//! Saddles come from [`route::fixture`]; a flange that lies on the table is bolted to the base, one above it to a shelf on
//! two ribs. A saddle over a lower tube is a bridge, with a leg on either side; a yoke holds its tube from above. Every standing
//! plate has two tabs that go through the base, flush with its underside; slots are wider than the sheet by the play. Outlines
//! are those of the finished plates; drawings for a laser are moved outward by half its kerf. Engraved marks name what a plate carries.

mod split;

use geom::Frame;
use job::model::Units;
use job::show;
use route::fixture::{Opening, Post, Stands, Upright};
use route::jig::Jig;

use crate::Vec2;
use crate::drawing::{Align, Drawing, Layer, Shape, Text};
use crate::header::PlacedFlange;
pub use split::Split;

/// Sheet and saw of a fixture. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FixtureSheet {
    /// Thickness of the sheet.
    pub thickness: f64,
    /// How much wider and longer slots are than what goes into them.
    pub play: f64,
    /// Width of the laser's cut; 0: the machine makes up for it.
    pub kerf: f64,
}

/// A plate in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct FixturePlate {
    /// `base`, `saddle 1B`, `shelf head`, `rib head 1`.
    pub name: String,
    /// Its edge and its openings, of straight lines and circles.
    pub outlines: Vec<Shape>,
    /// Words to engrave and the place of their middle.
    pub marks: Vec<(Vec2, String)>,
    /// Where it stands: x along `right()`, y along `up`, its sheet along `forward`, in the vehicle's axes.
    pub frame: Frame,
}

/// Faces that lie flatter than this are bolted flat, cosine of their tilt: 0.6 degrees.
const FLAT: f64 = 0.99995;
/// Heights of a face over the table below which it lies on it, mm.
const ON_TABLE: f64 = 0.5;
/// Metal of the base and of shelves around what stands on them, mm.
const AROUND: f64 = 20.0;
/// Longest tab, mm.
const TAB: f64 = 15.0;
/// From a plate's side to its tab, mm.
const SHOULDER: f64 = 4.0;
/// Height of engraved letters, mm.
const LETTERS: f64 = 6.0;

/// A flange over its table.
#[derive(Debug, Clone, PartialEq)]
pub struct Seat {
    /// Name of the flange, engraved beside it.
    pub name: String,
    /// Height of its gasket face over the table, mm.
    pub height: f64,
    /// Lower and upper corner of its plate on the table.
    pub span: [Vec2; 2],
    /// Its bolt holes on the table: centre and diameter.
    pub holes: Vec<(Vec2, f64)>,
}

/// Where flanges sit over the table, and the names of those that do not lie flat on it.
pub fn seats(jig: &Jig, flanges: &[PlacedFlange]) -> (Vec<Seat>, Vec<String>) {
    let mut seats = Vec::new();
    let mut tilted = Vec::new();
    for flange in flanges {
        let name = flange.detail.name.clone();
        let face = flange.face;
        if face.forward.dot(jig.table.up) < FLAT {
            tilted.push(name);
            continue;
        }
        let over = |p: Vec2| jig.over_table(face.origin + face.right() * p.x + face.up * p.y);
        let flat = |p: Vec2| Vec2::new(over(p)[0], over(p)[1]);
        let edge = flange.plate.outlines().ok().and_then(|o| o.into_iter().next());
        let points: Vec<Vec2> = edge.map(|e| e.points(0.2)).unwrap_or_default().into_iter().map(flat).collect();
        let low = points.iter().copied().fold(Vec2::INFINITY, Vec2::min);
        let high = points.iter().copied().fold(Vec2::NEG_INFINITY, Vec2::max);
        if points.is_empty() {
            continue;
        }
        let holes = flange.plate.holes.iter().map(|h| (flat(h.at), h.diameter)).collect();
        seats.push(Seat { name, height: over(Vec2::ZERO)[2], span: [low, high], holes });
    }
    (seats, tilted)
}

impl Seat {
    /// The room that it takes on the table.
    pub fn post(&self) -> Post {
        let [low, high] = self.span;
        let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
        let top = if self.height < ON_TABLE { 0.0 } else { self.height };
        Post { at: [middle.x, middle.y], half: [half.x + 2.0, half.y + 2.0], top }
    }
}

/// All plates: the base first. `labels` name the saddles in their order.
pub fn plates(
    jig: &Jig,
    stands: &Stands,
    seats: &[Seat],
    labels: &[String],
    sheet: &FixtureSheet,
) -> Vec<FixturePlate> {
    let mut made = Maker { jig, sheet, standing: Vec::new(), base: Vec::new(), marks: Vec::new(), span: Vec::new() };
    for (saddle, label) in stands.saddles.iter().zip(labels) {
        made.stand(&saddle.plate, label, false);
    }
    for seat in seats {
        made.span.extend(seat.span);
        let middle = 0.5 * (seat.span[0] + seat.span[1]);
        if seat.height < ON_TABLE {
            made.base.extend(seat.holes.iter().map(|(c, d)| Shape::Circle { centre: *c, radius: 0.5 * d }));
            made.marks.push((middle, format!("flange {}", seat.name)));
        } else {
            made.shelf(seat);
        }
    }
    let low = made.span.iter().copied().fold(Vec2::INFINITY, Vec2::min) - Vec2::splat(AROUND);
    let high = made.span.iter().copied().fold(Vec2::NEG_INFINITY, Vec2::max) + Vec2::splat(AROUND);
    let table = jig.table;
    let frame = Frame { origin: table.origin, forward: -table.up, up: table.up.cross(table.forward) };
    let outlines = std::iter::once(rectangle(low, high)).chain(made.base).collect();
    let base = FixturePlate { name: "base".into(), outlines, marks: made.marks, frame };
    std::iter::once(base).chain(made.standing).collect()
}

struct Maker<'a> {
    jig: &'a Jig,
    sheet: &'a FixtureSheet,
    standing: Vec<FixturePlate>,
    /// Openings of the base.
    base: Vec<Shape>,
    marks: Vec<(Vec2, String)>,
    /// Places on the table that the base must hold.
    span: Vec<Vec2>,
}

impl Maker<'_> {
    /// A plate that stands in the base; `above`: it has tabs on its upper edge too, which is level.
    fn stand(&mut self, plate: &Upright, label: &str, above: bool) {
        let (t, wide) = (self.sheet.thickness, plate.half_width());
        let tabs = tabs(wide);
        let v = Vec2::new;
        let foot = |[from, to]: [f64; 2]| [v(from, 0.0), v(from, -t), v(to, -t), v(to, 0.0)];
        let mut line = vec![v(-wide, 0.0)];
        line.extend(foot(tabs[0]));
        if let Some([first, .., last]) = plate.opening.as_ref().map(|o| &o.line[..]) {
            line.push(v(first[0], 0.0));
            line.extend(plate.opening.iter().flat_map(|o| &o.line).map(|p| v(p[0], p[1])));
            line.push(v(last[0], 0.0));
        }
        line.extend(foot(tabs[1]));
        line.push(v(wide, 0.0));
        if above {
            let top = plate.edge[0][1];
            line.push(v(wide, top));
            for [from, to] in tabs.into_iter().rev() {
                line.extend([v(to, top), v(to, top + t), v(from, top + t), v(from, top)]);
            }
            line.push(v(-wide, top));
        } else {
            line.extend(plate.edge.iter().rev().map(|p| v(p[0], p[1])));
        }
        let place = |forward: f64, right: f64| Vec2::from(plate.place(forward, right));
        for tab in tabs {
            self.base.push(self.slot(tab, &place));
        }
        self.span.extend([-wide, wide].map(|right| place(0.0, right)));
        self.marks.push((place(0.5 * t + 6.0, 0.0), label.into()));
        let table = self.jig.table;
        let across = table.up.cross(table.forward);
        let (sin, cos) = plate.heading.sin_cos();
        let foot = place(-0.5 * t, 0.0);
        let frame = Frame {
            origin: table.origin + table.forward * foot.x + across * foot.y,
            forward: table.forward * cos + across * sin,
            up: table.up,
        };
        let low = plate.edge.iter().map(|p| p[1]).fold(f64::INFINITY, f64::min);
        let marks =
            vec![(v(0.0, 0.5 * (low + plate.opening.as_ref().map_or(0.0, Opening::height))), label.to_string())];
        self.standing.push(FixturePlate {
            name: label.into(),
            outlines: vec![Shape::through(line, true)],
            marks,
            frame,
        });
    }

    /// The slot that a tab goes through.
    fn slot(&self, [from, to]: [f64; 2], place: &dyn Fn(f64, f64) -> Vec2) -> Shape {
        let (deep, play) = (0.5 * (self.sheet.thickness + self.sheet.play), 0.5 * self.sheet.play);
        let corners = [(-deep, from - play), (-deep, to + play), (deep, to + play), (deep, from - play)];
        Shape::through(corners.map(|(f, r)| place(f, r)), true)
    }

    /// A shelf on two ribs along the table's X.
    fn shelf(&mut self, seat: &Seat) {
        let [low, high] = seat.span;
        let t = self.sheet.thickness;
        let middle = 0.5 * (low + high);
        let half = 0.5 * (high - low);
        let (long, side) = ((half.x - 3.0).max(10.0), (half.y - 0.5 * t - 3.0).max(t));
        let mut slots = Vec::new();
        for (k, aside) in [-side, side].into_iter().enumerate() {
            let top = seat.height - t;
            let heading = std::f64::consts::FRAC_PI_2;
            let edge = vec![[-long, top], [long, top]];
            let rib = Upright { at: [middle.x, middle.y + aside], heading, edge, opening: None };
            let place = |forward: f64, right: f64| Vec2::from(rib.place(forward, right));
            slots.extend(tabs(long).map(|tab| self.slot(tab, &place)));
            self.stand(&rib, &format!("rib {} {}", seat.name, k + 1), true);
        }
        let table = self.jig.table;
        let origin = table.origin + table.up * seat.height;
        let frame = Frame { origin, forward: -table.up, up: table.up.cross(table.forward) };
        let holes = seat.holes.iter().map(|(c, d)| Shape::Circle { centre: *c, radius: 0.5 * d });
        let edge = rectangle(low - Vec2::splat(2.0), high + Vec2::splat(2.0));
        let outlines = std::iter::once(edge).chain(holes).chain(slots).collect();
        let name = format!("shelf {}", seat.name);
        self.standing.push(FixturePlate {
            name,
            outlines,
            marks: vec![(middle, format!("flange {}", seat.name))],
            frame,
        });
    }
}

/// Where the two tabs of a plate of that half width begin and end.
fn tabs(wide: f64) -> [[f64; 2]; 2] {
    let length = TAB.min((2.0 * (wide - SHOULDER) / 3.0).max(2.0));
    let outer = wide - SHOULDER;
    [[-outer, length - outer], [outer - length, outer]]
}

fn rectangle(low: Vec2, high: Vec2) -> Shape {
    Shape::through([low, Vec2::new(high.x, low.y), high, Vec2::new(low.x, high.y)], true)
}

impl FixturePlate {
    /// Lower and upper corner of its edge.
    pub fn bounds(&self) -> [Vec2; 2] {
        self.outlines.first().and_then(Shape::bounds).unwrap_or([Vec2::ZERO; 2])
    }

    /// Length of all that is cut, mm.
    pub fn cut_length(&self) -> f64 {
        self.outlines.iter().map(Shape::length).sum()
    }

    /// The plate at full size for a laser: what is cut, moved by half the kerf, and what is engraved.
    pub fn drawing(&self, sheet: &FixtureSheet, units: Units) -> Drawing {
        let exact = |l: f64| show::exact_with_unit(l, units);
        let mut drawing = Drawing::new(format!("fixture {}", self.name), format!("Fixture: {}", self.name));
        for (k, outline) in self.outlines.iter().enumerate() {
            drawing.add(Layer::Cut, offset(outline, if k == 0 { 0.5 } else { -0.5 } * sheet.kerf));
        }
        for (at, text) in &self.marks {
            let text = text.clone();
            drawing.texts.push(Text {
                layer: Layer::Mark,
                at: *at,
                height: LETTERS,
                angle: 0.0,
                align: Align::Middle,
                text,
            });
        }
        drawing.note(match sheet.kerf > 0.0 {
            true => format!(
                "Sheet {}. Lines are moved outward for a kerf of {}.",
                exact(sheet.thickness),
                exact(sheet.kerf)
            ),
            false => {
                format!("Sheet {}. Lines are the finished edges: set the machine's own kerf.", exact(sheet.thickness))
            }
        });
        drawing.note(format!("Slots are {} wider than the sheet. Engrave the words.", exact(sheet.play)));
        drawing
    }
}

/// A closed line of straights, or a circle, moved outward, mm.
fn offset(shape: &Shape, out: f64) -> Shape {
    if let Shape::Circle { centre, radius } = shape {
        return Shape::Circle { centre: *centre, radius: radius + out };
    }
    let Some(points) = corners(shape) else { return shape.clone() };
    let n = points.len();
    let area: f64 = (0..n).map(|i| points[i].perp_dot(points[(i + 1) % n])).sum();
    let side = out * area.signum();
    let moved = (0..n).map(|i| {
        let (a, b, c) = (points[(i + n - 1) % n], points[i], points[(i + 1) % n]);
        let outward = |from: Vec2, to: Vec2| -(to - from).normalize_or_zero().perp();
        let (first, second) = (outward(a, b), outward(b, c));
        // The corner of the two moved lines.
        b + (first + second) * (side / (1.0 + first.dot(second)).max(0.1))
    });
    Shape::through(moved, true)
}

/// The corners of a closed line of straights.
fn corners(shape: &Shape) -> Option<Vec<Vec2>> {
    let Shape::Polyline { vertices, closed: true } = shape else { return None };
    let mut points: Vec<Vec2> = vertices.iter().map(|v| v.at).collect();
    points.dedup_by(|b, a| a.distance(*b) < 1e-9);
    Some(points)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_moved_outward_is_a_larger_square_either_way_round() {
        let v = Vec2::new;
        let square = [v(0.0, 0.0), v(10.0, 0.0), v(10.0, 10.0), v(0.0, 10.0)];
        let mut turned = square;
        turned.reverse();
        for points in [square, turned] {
            let [low, high] = offset(&Shape::through(points, true), 0.5).bounds().unwrap();
            assert!(low.distance(v(-0.5, -0.5)) < 1e-12 && high.distance(v(10.5, 10.5)) < 1e-12, "{low} {high}");
        }
    }

    #[test]
    fn tabs_lie_within_their_plate_and_slots_are_wider_by_the_play() {
        for wide in [12.0, 34.0, 80.0] {
            let [[a, b], [c, d]] = tabs(wide);
            assert!(-wide < a && a < b && b < c && c < d && d < wide, "{wide}: {a} {b} {c} {d}");
        }
    }
}
