//! The tight band around discs: what a flange's edge and the mouth of a transition are.
//!
//! The band is convex: arcs of the discs and their common tangents. It is found by letting the outward
//! normal turn once around: on disc i with normal n the support is c.n + r; disc j takes over at the
//! first angle where its support is the same. Elementary geometry, exact to rounding.

use std::f64::consts::TAU;

use crate::Vec2;
use crate::drawing::{Shape, Vertex};

/// A disc: centre and radius, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Disc {
    pub centre: Vec2,
    pub radius: f64,
}

/// A stretch of the band: which disc it lies on and from which normal to which, rad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Band {
    pub disc: Disc,
    pub from: f64,
    pub to: f64,
}

/// The stretches of the band counter-clockwise, the first from the normal -90 degrees on; empty without
/// discs.
pub(crate) fn band(discs: &[Disc]) -> Vec<Band> {
    let support = |d: &Disc, angle: f64| d.centre.dot(Vec2::from_angle(angle)) + d.radius;
    let begin = -0.25 * TAU;
    let lowest = |a: &&Disc, b: &&Disc| {
        let by_support = support(a, begin).total_cmp(&support(b, begin));
        by_support.then(a.centre.x.total_cmp(&b.centre.x)).then(a.radius.total_cmp(&b.radius))
    };
    let Some(first) = discs.iter().max_by(lowest) else { return Vec::new() };
    let mut at = *first;
    let mut angle = begin;
    let mut stretches = Vec::new();
    while angle < begin + TAU {
        let next = discs.iter().filter_map(|d| Some((takes_over(&at, d, angle)?, *d)));
        // The farthest of those that take over together.
        let next = next.min_by(|a, b| {
            let far = |d: &Disc| -(d.centre - at.centre).length();
            if (a.0 - b.0).abs() <= 1e-9 { far(&a.1).total_cmp(&far(&b.1)) } else { a.0.total_cmp(&b.0) }
        });
        let (to, disc) = next.unwrap_or((begin + TAU, at));
        let to = to.min(begin + TAU);
        stretches.push(Band { disc: at, from: angle, to });
        if disc == at {
            break;
        }
        (at, angle) = (disc, to);
    }
    stretches
}

/// The first angle after `from` at which disc `b` reaches farther out than `a`.
fn takes_over(a: &Disc, b: &Disc, from: f64) -> Option<f64> {
    let way = b.centre - a.centre;
    let distance = way.length();
    let drop = a.radius - b.radius;
    if distance < 1e-9 || distance <= drop.abs() {
        return None;
    }
    // way.n = drop at heading -/+ acos(drop / distance); b is ahead between the two.
    let enters = way.to_angle() - (drop / distance).acos();
    let turns = (enters - from).rem_euclid(TAU);
    // Rounding must not bring back the change that was just made.
    Some(from + if TAU - turns < 1e-9 { 0.0 } else { turns })
}

/// The band as one closed line.
pub(crate) fn outline(discs: &[Disc]) -> Shape {
    let stretches = band(discs);
    let on = |s: &Band, angle: f64| s.disc.centre + Vec2::from_angle(angle) * s.disc.radius;
    if let [whole] = stretches[..] {
        return Shape::Circle { centre: whole.disc.centre, radius: whole.disc.radius };
    }
    let mut vertices: Vec<Vertex> = Vec::new();
    for s in &stretches {
        // An arc above a half turn would have a bulge above 1: two of half the turn.
        let parts = if s.to - s.from > 0.5 * TAU { 2 } else { 1 };
        let part = (s.to - s.from) / f64::from(parts);
        for i in 0..parts {
            vertices.push(Vertex { at: on(s, s.from + part * f64::from(i)), bulge: (0.25 * part).tan() });
        }
        vertices.push(Vertex { at: on(s, s.to), bulge: 0.0 });
    }
    // Stretches of no length leave one point twice.
    vertices.dedup_by(|b, a| {
        let same = a.at.distance(b.at) < 1e-9;
        if same {
            a.bulge = b.bulge;
        }
        same
    });
    if vertices.len() > 1 && vertices[0].at.distance(vertices[vertices.len() - 1].at) < 1e-9 {
        vertices.pop();
    }
    Shape::Polyline { vertices, closed: true }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn disc(x: f64, y: f64, radius: f64) -> Disc {
        Disc { centre: Vec2::new(x, y), radius }
    }

    #[test]
    fn two_equal_discs_make_a_stadium() {
        let shape = outline(&[disc(-10.0, 0.0, 5.0), disc(10.0, 0.0, 5.0)]);
        assert!((shape.length() - (40.0 + 10.0 * PI)).abs() < 1e-9, "{}", shape.length());
    }

    #[test]
    fn a_square_of_discs_and_one_inside() {
        let corners = [disc(0.0, 0.0, 1.0), disc(10.0, 0.0, 1.0), disc(10.0, 10.0, 1.0), disc(0.0, 10.0, 1.0)];
        let length = |discs: &[Disc]| outline(discs).length();
        assert!((length(&corners) - (40.0 + TAU)).abs() < 1e-9, "{}", length(&corners));
        let with_inner: Vec<Disc> = corners.iter().copied().chain([disc(5.0, 5.0, 2.0)]).collect();
        assert!((length(&with_inner) - (40.0 + TAU)).abs() < 1e-9);
        // A row on the lower edge changes nothing either.
        let row: Vec<Disc> = corners.iter().copied().chain([disc(5.0, 0.0, 1.0)]).collect();
        assert!((length(&row) - (40.0 + TAU)).abs() < 1e-9, "{}", length(&row));
    }

    #[test]
    fn a_small_disc_beside_a_large_one() {
        // Belt over two pulleys: radii 6 and 3, 10 apart.
        let (r1, r2, d) = (6.0_f64, 3.0_f64, 10.0_f64);
        let lean = ((r1 - r2) / d).asin();
        let belt = 2.0 * d * lean.cos() + r1 * (PI + 2.0 * lean) + r2 * (PI - 2.0 * lean);
        let shape = outline(&[disc(0.0, 0.0, r1), disc(d, 0.0, r2)]);
        assert!((shape.length() - belt).abs() < 1e-9, "{} {belt}", shape.length());
    }

    #[test]
    fn one_disc_is_a_circle() {
        assert!(matches!(outline(&[disc(1.0, 2.0, 3.0), disc(1.0, 2.5, 1.0)]), Shape::Circle { .. }));
    }
}
