//! Flat patterns of sheet: cones and transitions.
//!
//! A cone between the radii A and B at the height H has the slant sqrt((A - B)^2 + H^2); unrolled it is a
//! ring sector with the radii A slant / (A - B) and B slant / (A - B) and the angle 2 pi (A - B) / slant.
//! Equal radii give a rectangle.
//!
//! A transition joins the tight band around some equal circles in one plane to a circle in a parallel plane, H
//! higher. Its surface is the developable one: a flat triangle for each straight of the band, its tip on the
//! circle where the outward normal is the same, and for each arc a part of an oblique cone between points of equal
//! normal. It is unrolled strip by strip, each strip one plane triangle or two, which for an arc divided into steps
//! of 1 degree leaves the true length by less than 0.01 mm in a metre.
//!
//! All radii are those of the middle of the wall (common practice, no source): give outside radii less half the sheet.

use std::f64::consts::{PI, TAU};

use job::model::Units;
use job::show;

use crate::cope::positive;
use crate::drawing::{Drawing, Layer, Shape, Vertex};
use crate::hull::{Band, Disc, band};
use crate::{DrawingError, Vec2};

/// Step of the arcs of a transition, rad (1 degree).
const STEP: f64 = PI / 180.0;

/// The flat pattern of a cone, or of a tube when both radii are one. Middle-of-wall radii and height in mm; its words have
/// lengths in `units`.
///
/// # Errors
/// [`DrawingError::NotPositive`].
pub fn cone(name: &str, radii: [f64; 2], height: f64, units: Units) -> Result<Drawing, DrawingError> {
    positive(&[("radius of a cone", radii[0]), ("radius of a cone", radii[1]), ("height of a cone", height)])?;
    let (wide, narrow) = (radii[0].max(radii[1]), radii[0].min(radii[1]));
    let exact = |l: f64| show::exact_with_unit(l, units);
    let [from, to] = radii.map(|r| exact(2.0 * r));
    let mut drawing = Drawing::new(name, format!("Cone, {from} to {to} diameter, {} high", exact(height)));
    let slant = (wide - narrow).hypot(height);
    drawing.note(format!("Diameters at mid-wall; slant {}. Seam: the two straight edges, butted.", exact(slant)));
    if wide - narrow < 1e-6 * wide {
        let (width, v) = (TAU * wide, Vec2::new);
        drawing.add(Layer::Cut, Shape::through([v(0.0, 0.0), v(width, 0.0), v(width, height), v(0.0, height)], true));
        return Ok(drawing);
    }
    let (outer, inner) = (wide * slant / (wide - narrow), narrow * slant / (wide - narrow));
    let angle = TAU * (wide - narrow) / slant;
    drawing.note(format!(
        "Pattern radii {} and {}, angle {:.3} degrees.",
        exact(outer),
        exact(inner),
        angle.to_degrees()
    ));
    drawing.add(Layer::Cut, sector(outer, inner, angle));
    for i in 1..8 {
        let way = Vec2::from_angle(PI / 2.0 - 0.5 * angle + angle * f64::from(i) / 8.0);
        drawing.line(Layer::Fold, way * inner, way * outer);
    }
    Ok(drawing)
}

/// A ring sector about the origin, its middle straight up, as one closed line.
fn sector(outer: f64, inner: f64, angle: f64) -> Shape {
    // Quarters, so that no bulge is above 1.
    let parts = 4;
    let bulge = (0.25 * angle / f64::from(parts)).tan();
    let way = |i: i32| Vec2::from_angle(PI / 2.0 - 0.5 * angle + angle * f64::from(i) / f64::from(parts));
    let mut vertices = Vec::new();
    for i in 0..=parts {
        vertices.push(Vertex { at: way(i) * outer, bulge: if i < parts { bulge } else { 0.0 } });
    }
    for i in (0..=parts).rev() {
        vertices.push(Vertex { at: way(i) * inner, bulge: if i > 0 { -bulge } else { 0.0 } });
    }
    Shape::Polyline { vertices, closed: true }
}

/// A transition. Middle-of-wall radii and lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Transition {
    /// Centres of the circles in the lower plane.
    pub centres: Vec<Vec2>,
    /// Their radius.
    pub radius: f64,
    /// Radius of the circle in the upper plane; its centre lies over the origin.
    pub outlet: f64,
    /// Height between the planes.
    pub height: f64,
}

/// A ruling of the surface: its foot in the lower plane and its head in the upper.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ruling {
    pub foot: [f64; 3],
    pub head: [f64; 3],
    /// Whether the sheet is folded here rather than rolled.
    pub fold: bool,
}

/// The band around some discs, the seam where an arc begins: its first and last stretch are one when they lie on one disc.
pub(crate) fn whole_band(discs: &[Disc]) -> Vec<Band> {
    let mut stretches = band(discs);
    if stretches.len() > 1 && stretches[0].disc == stretches[stretches.len() - 1].disc {
        let last = stretches.len() - 1;
        stretches[0].from = stretches[last].from - TAU;
        stretches.pop();
    }
    stretches
}

/// Rulings once around, the first again at the end, from stretches of a convex edge in the plane z = 0 to the place that
/// `head` gives for their normal.
pub(crate) fn rulings(stretches: &[Band], head: impl Fn(Vec2) -> [f64; 3]) -> Vec<Ruling> {
    let mut rulings = Vec::new();
    for s in stretches {
        let parts = ((s.to - s.from) / STEP).ceil().max(1.0) as usize;
        for i in 0..=parts {
            let normal = Vec2::from_angle(s.from + (s.to - s.from) * i as f64 / parts as f64);
            let foot = s.disc.centre + normal * s.disc.radius;
            rulings.push(Ruling { foot: [foot.x, foot.y, 0.0], head: head(normal), fold: i == 0 || i == parts });
        }
    }
    rulings.extend(rulings.first().copied());
    rulings
}

/// Feet and heads of rulings, without the first one's again at the end.
pub(crate) fn edge_places(rulings: &[Ruling]) -> [Vec<[f64; 3]>; 2] {
    let once = &rulings[..rulings.len().saturating_sub(1)];
    [once.iter().map(|r| r.foot).collect(), once.iter().map(|r| r.head).collect()]
}

fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    ((a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2) + (a[2] - b[2]).powi(2)).sqrt()
}

impl Transition {
    fn bands(&self) -> Vec<Band> {
        let discs: Vec<Disc> = self.centres.iter().map(|c| Disc { centre: *c, radius: self.radius }).collect();
        whole_band(&discs)
    }

    fn rulings(&self) -> Vec<Ruling> {
        rulings(&self.bands(), |normal| [normal.x * self.outlet, normal.y * self.outlet, self.height])
    }

    /// Places once around its lower and its upper edge, mm, each two of one number joined by a straight of the surface.
    pub fn edge_places(&self) -> [Vec<[f64; 3]>; 2] {
        edge_places(&self.rulings())
    }

    /// The flat pattern: edges on [`Layer::Cut`], where it is bent on [`Layer::Fold`]; its words have lengths in `units`.
    ///
    /// # Errors
    /// [`DrawingError::NotPositive`], [`DrawingError::TooFew`].
    pub fn pattern(&self, name: &str, units: Units) -> Result<Drawing, DrawingError> {
        positive(&[
            ("radius of the inlets", self.radius),
            ("radius of the outlet", self.outlet),
            ("height of a transition", self.height),
        ])?;
        if self.centres.is_empty() {
            return Err(DrawingError::TooFew { what: "inlets of a transition", count: 0, least: 1 });
        }
        let [across, high] = [2.0 * self.outlet, self.height].map(|l| show::exact_with_unit(l, units));
        let mut drawing = Drawing::new(name, format!("Transition, {} inlets to {across}", self.centres.len()));
        drawing.note(format!(
            "{high} high; dimensions at mid-wall. Fold along the lines; roll where lines are close together. Seam: the two short edges."
        ));
        draw_unrolled(&mut drawing, &self.rulings());
        Ok(drawing)
    }

    /// Length of the lower and of the upper edge, mm: what the pattern's edges must measure.
    pub fn edges(&self) -> [f64; 2] {
        let discs: Vec<Disc> = self.centres.iter().map(|c| Disc { centre: *c, radius: self.radius }).collect();
        [crate::hull::outline(&discs).length(), TAU * self.outlet]
    }
}

/// Draws a surface laid flat: its edge, and where it is bent.
pub(crate) fn draw_unrolled(drawing: &mut Drawing, rulings: &[Ruling]) {
    let (feet, heads) = unrolled(rulings);
    let edge = feet.iter().copied().chain(heads.iter().rev().copied());
    let mut line: Vec<Vec2> = Vec::new();
    for p in edge {
        if line.last().is_none_or(|q| q.distance(p) > 1e-9) {
            line.push(p);
        }
    }
    drawing.add(Layer::Cut, Shape::through(line, true));
    for (i, ruling) in rulings.iter().enumerate().skip(1).take(rulings.len().saturating_sub(2)) {
        if ruling.fold || i % 10 == 0 {
            drawing.line(Layer::Fold, feet[i], heads[i]);
        }
    }
}

/// Feet and heads of the rulings laid flat, each strip as two triangles with a common edge.
pub(crate) fn unrolled(rulings: &[Ruling]) -> (Vec<Vec2>, Vec<Vec2>) {
    let first = rulings[0];
    let mut feet = vec![Vec2::ZERO];
    let mut heads = vec![Vec2::new(0.0, distance(first.foot, first.head))];
    for pair in rulings.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let (foot, head) = (feet[feet.len() - 1], heads[heads.len() - 1]);
        let next_foot = beside(foot, head, distance(a.foot, b.foot), distance(a.head, b.foot));
        let next_head = beside(next_foot, head, distance(b.foot, b.head), distance(a.head, b.head));
        feet.push(next_foot);
        heads.push(next_head);
    }
    (feet, heads)
}

/// The point right of the line from `a` to `b` that is `from_a` and `from_b` away from them.
fn beside(a: Vec2, b: Vec2, from_a: f64, from_b: f64) -> Vec2 {
    let way = b - a;
    let base = way.length();
    let along = (from_a * from_a - from_b * from_b + base * base) / (2.0 * base);
    let aside = (from_a * from_a - along * along).max(0.0).sqrt();
    let unit = way / base;
    a + unit * along - unit.perp() * aside
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cone_with_slant_twice_the_difference_is_half_a_ring() {
        // Radii 30 and 20, slant 20: the angle is 2 pi x 10 / 20.
        let drawing = cone("c", [30.0, 20.0], (400.0_f64 - 100.0).sqrt(), Units::Mm).unwrap();
        let edge = &drawing.paths[0].shape;
        assert!((edge.length() - (TAU * 30.0 + TAU * 20.0 + 40.0)).abs() < 1e-9, "{}", edge.length());
        let [low, high] = edge.bounds().unwrap();
        assert!((high.y - 60.0).abs() < 1e-9 && low.y.abs() < 1e-9);
    }

    #[test]
    fn a_transition_from_one_circle_is_a_cone() {
        let transition = Transition { centres: vec![Vec2::ZERO], radius: 30.0, outlet: 20.0, height: 40.0 };
        let drawing = transition.pattern("t", Units::Mm).unwrap();
        let slant = 10.0_f64.hypot(40.0);
        let wanted = TAU * 50.0 + 2.0 * slant;
        assert!((drawing.length(Layer::Cut) - wanted).abs() < 0.02, "{} {wanted}", drawing.length(Layer::Cut));
    }

    #[test]
    fn the_edges_of_a_square_transition_have_their_lengths() {
        let v = Vec2::new;
        let centres = vec![v(-23.0, 23.0), v(23.0, 23.0), v(23.0, -23.0), v(-23.0, -23.0)];
        let transition = Transition { centres, radius: 22.0, outlet: 38.0, height: 90.0 };
        let [low, high] = transition.edges();
        let rulings = transition.rulings();
        let (feet, heads) = unrolled(&rulings);
        let way = |p: &[Vec2]| p.windows(2).map(|q| q[0].distance(q[1])).sum::<f64>();
        assert!((way(&feet) - low).abs() < 0.01 && (way(&heads) - high).abs() < 0.01);
        // The seam's two edges are one line of the surface.
        let seam = |i: usize| feet[i].distance(heads[i]);
        assert!((seam(0) - seam(feet.len() - 1)).abs() < 1e-9);
        assert!((low - (4.0 * 46.0 + TAU * 22.0)).abs() < 1e-9);
    }
}
