//! Least distance between centreline elements, without tessellation.
//!
//! Each element is halved again and again. On an interval of angle d an arc of radius R stays
//! within its sagitta R (1 - cos(d/2)) of its chord, so the distance of the chords less both
//! sagittas is a lower bound, and the distance of any two points of the curves an upper one. Pairs of
//! intervals whose lower bound is not below the best upper bound are dropped; sagittas fall fourfold with each
//! halving. It stops when the bounds are within [`DISTANCE_EPS`]: the answer is never more than
//! that above the true one and never below it. A branch-and-bound on intervals in the sense of Moore, Interval
//! Analysis (1966); the chord distance is the classical clamped segment-segment distance
//! (Ericson, Real-Time Collision Detection, 2005, section 5.1.9; from memory).

use crate::{Arc, Centreline, Element, Vec3};

/// How far above the true least distance an answer may be, mm: a hundredth of what matters.
pub const DISTANCE_EPS: f64 = 1e-6;

/// The closest points of two things.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Closest {
    /// Least distance, mm.
    pub distance: f64,
    /// Arc length on the first from its start, mm.
    pub at_a: f64,
    /// Arc length on the second from its start, mm.
    pub at_b: f64,
}

/// Closest points of two elements, exact to 1e-6 mm.
pub fn distance_elements(a: &Element, b: &Element) -> Closest {
    let mut best = Closest { distance: f64::INFINITY, at_a: 0.0, at_b: 0.0 };
    closer(a, b, 0.0, 0.0, &mut best);
    best
}

/// Closest points of two whole centrelines, exact to 1e-6 mm.
///
/// With an empty one the distance is infinite.
pub fn distance_centrelines(a: &Centreline, b: &Centreline) -> Closest {
    let mut best = Closest { distance: f64::INFINITY, at_a: 0.0, at_b: 0.0 };
    for (from_a, ea) in a.stations() {
        for (from_b, eb) in b.stations() {
            closer(ea, eb, from_a, from_b, &mut best);
        }
    }
    best
}

/// Closest points of two elements if they are closer than `limit` mm, exact to 1e-6 mm.
pub fn distance_elements_below(a: &Element, b: &Element, limit: f64) -> Option<Closest> {
    let ((ca, ra), (cb, rb)) = (a.ball(), b.ball());
    if (ca - cb).length() - ra - rb >= limit {
        return None;
    }
    let mut best = Closest { distance: limit, at_a: f64::NAN, at_b: f64::NAN };
    closer(a, b, 0.0, 0.0, &mut best);
    (best.distance < limit).then_some(best)
}

/// Distance from a point to an element and where on it, in closed form.
pub fn distance_point_element(p: Vec3, element: &Element) -> (f64, f64) {
    let s = match element {
        Element::Straight(e) => (p - e.start).dot(e.direction).clamp(0.0, e.length),
        Element::Arc(a) => nearest_angle(p, a) * a.radius,
    };
    ((p - element.point(s)).length(), s)
}

/// Angle on the arc nearest to `p`.
fn nearest_angle(p: Vec3, a: &Arc) -> f64 {
    let from_centre = p - a.centre();
    // The start lies at -inward from the centre, and travel goes towards +tangent.
    let angle = from_centre.dot(a.tangent).atan2(-from_centre.dot(a.inward));
    let angle = if angle < 0.0 { angle + std::f64::consts::TAU } else { angle };
    if angle <= a.angle {
        angle
    } else if (p - a.point(a.angle)).length_squared() < (p - a.start).length_squared() {
        a.angle
    } else {
        0.0
    }
}

/// An interval of an element with its chord and sagitta.
#[derive(Clone, Copy)]
struct Interval {
    from: f64,
    to: f64,
    start: Vec3,
    end: Vec3,
    sagitta: f64,
}

impl Interval {
    fn new(element: &Element, from: f64, to: f64) -> Self {
        let sagitta = match element {
            Element::Straight(_) => 0.0,
            Element::Arc(a) => {
                let quarter = (0.25 * (to - from) / a.radius).sin();
                2.0 * a.radius * quarter * quarter
            }
        };
        Interval { from, to, start: element.point(from), end: element.point(to), sagitta }
    }

    fn halves(&self, element: &Element) -> [Interval; 2] {
        let mid = 0.5 * (self.from + self.to);
        [Interval::new(element, self.from, mid), Interval::new(element, mid, self.to)]
    }
}

/// Pieces of at most a quarter turn: on them the chord is a fair stand-in.
fn intervals(element: &Element) -> Vec<Interval> {
    let length = element.length();
    let count = match element {
        Element::Straight(_) => 1,
        Element::Arc(a) => (a.angle / std::f64::consts::FRAC_PI_2).ceil().max(1.0) as usize,
    };
    let step = length / count as f64;
    (0..count).map(|i| Interval::new(element, step * i as f64, step * (i + 1) as f64)).collect()
}

/// Lowers `best` where elements `a` and `b` (starting at the given stations) come closer.
fn closer(a: &Element, b: &Element, from_a: f64, from_b: f64, best: &mut Closest) {
    let mut open = Vec::new();
    for ia in intervals(a) {
        for ib in intervals(b) {
            consider(ia, ib, (a, b), (from_a, from_b), best, &mut open);
        }
    }
    while let Some((bound, ia, ib)) = open.pop() {
        if bound >= best.distance - DISTANCE_EPS {
            continue;
        }
        if ia.sagitta >= ib.sagitta {
            for half in ia.halves(a) {
                consider(half, ib, (a, b), (from_a, from_b), best, &mut open);
            }
        } else {
            for half in ib.halves(b) {
                consider(ia, half, (a, b), (from_a, from_b), best, &mut open);
            }
        }
    }
}

fn consider(
    ia: Interval,
    ib: Interval,
    (a, b): (&Element, &Element),
    (from_a, from_b): (f64, f64),
    best: &mut Closest,
    open: &mut Vec<(f64, Interval, Interval)>,
) {
    let (chord, t, _) = distance_segments(ia.start, ia.end, ib.start, ib.end);
    let bound = chord - ia.sagitta - ib.sagitta;
    if bound >= best.distance - DISTANCE_EPS {
        return;
    }
    let mut sa = ia.from + (ia.to - ia.from) * t;
    // One step of alternating projection brings the upper bound down to the curves.
    let (mut distance, sb) = distance_point_element(a.point(sa), b);
    let (d, s) = distance_point_element(b.point(sb), a);
    if d < distance {
        (distance, sa) = (d, s);
    }
    if distance < best.distance {
        *best = Closest { distance, at_a: from_a + sa, at_b: from_b + sb };
    }
    if ia.sagitta > 0.0 || ib.sagitta > 0.0 {
        open.push((bound, ia, ib));
    }
}

/// Distance of the segments `p0 p1` and `q0 q1`, with the fractions along both.
pub(crate) fn distance_segments(p0: Vec3, p1: Vec3, q0: Vec3, q1: Vec3) -> (f64, f64, f64) {
    let (d, e, r) = (p1 - p0, q1 - q0, p0 - q0);
    let (a, c, f) = (d.length_squared(), e.length_squared(), e.dot(r));
    let tiny = 1e-24;
    let (mut s, mut t);
    if a <= tiny && c <= tiny {
        (s, t) = (0.0, 0.0);
    } else if a <= tiny {
        s = 0.0;
        t = (f / c).clamp(0.0, 1.0);
    } else {
        let g = d.dot(r);
        if c <= tiny {
            t = 0.0;
            s = (-g / a).clamp(0.0, 1.0);
        } else {
            let b = d.dot(e);
            let denominator = a * c - b * b;
            s = if denominator > 1e-12 * a * c { ((b * f - g * c) / denominator).clamp(0.0, 1.0) } else { 0.0 };
            t = (b * s + f) / c;
            if t < 0.0 {
                t = 0.0;
                s = (-g / a).clamp(0.0, 1.0);
            } else if t > 1.0 {
                t = 1.0;
                s = ((b - g) / a).clamp(0.0, 1.0);
            }
        }
    }
    ((r + d * s - e * t).length(), s, t)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Straight;
    use std::f64::consts::PI;

    fn arc(start: Vec3, tangent: Vec3, inward: Vec3, radius: f64, angle: f64) -> Element {
        Element::Arc(Arc { start, tangent, inward, radius, angle })
    }

    #[test]
    fn crossed_straights_20_apart() {
        let a = Element::Straight(Straight { start: Vec3::ZERO, direction: Vec3::X, length: 100.0 });
        let b = Element::Straight(Straight { start: Vec3::new(40.0, -50.0, 20.0), direction: Vec3::Y, length: 100.0 });
        let c = distance_elements(&a, &b);
        assert!((c.distance - 20.0).abs() < 1e-9 && (c.at_a - 40.0).abs() < 1e-9 && (c.at_b - 50.0).abs() < 1e-9);
    }

    #[test]
    fn half_rings_side_by_side_are_their_offset_apart() {
        let a = arc(Vec3::ZERO, Vec3::X, Vec3::Y, 50.0, PI);
        let b = arc(Vec3::new(0.0, 0.0, 30.0), Vec3::X, Vec3::Y, 50.0, PI);
        assert!((distance_elements(&a, &b).distance - 30.0).abs() < 1e-6);
    }

    #[test]
    fn concentric_rings_are_the_difference_of_radii_apart() {
        let a = arc(Vec3::new(0.0, -50.0, 0.0), Vec3::X, Vec3::Y, 50.0, PI);
        let b = arc(Vec3::new(0.0, -80.0, 0.0), Vec3::X, Vec3::Y, 80.0, PI);
        assert!((distance_elements(&a, &b).distance - 30.0).abs() < 1e-6);
    }

    #[test]
    fn a_straight_through_the_ring_touches_it_where_it_should() {
        let a = arc(Vec3::new(50.0, 0.0, 0.0), Vec3::Y, -Vec3::X, 50.0, PI);
        let b = Element::Straight(Straight { start: Vec3::new(0.0, 70.0, -100.0), direction: Vec3::Z, length: 200.0 });
        let c = distance_elements(&a, &b);
        assert!((c.distance - 20.0).abs() < 1e-6 && (c.at_b - 100.0).abs() < 1e-2);
    }
}
