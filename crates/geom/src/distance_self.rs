//! How close a tube comes to itself.
//!
//! Only points more than a given arc length apart count. Pairs of stretches are halved as for two
//! elements; a pair counts in full, in part (it is halved, and its farthest two points are a
//! candidate) or not at all.

use crate::distance::{distance_point_element, distance_segments};
use crate::{Centreline, Closest, Element};

/// How far above the true least the answer may be, mm.
const EPS: f64 = 1e-3;

/// A stretch of one element of the centreline.
#[derive(Clone, Copy)]
struct ElementPart<'a> {
    element: &'a Element,
    /// Centreline length at the element's start, mm.
    station: f64,
    from: f64,
    to: f64,
}

impl ElementPart<'_> {
    fn sagitta(&self) -> f64 {
        match self.element {
            Element::Straight(_) => 0.0,
            Element::Arc(a) => {
                let quarter = (0.25 * (self.to - self.from) / a.radius).sin();
                2.0 * a.radius * quarter * quarter
            }
        }
    }

    fn halves(self) -> [Self; 2] {
        let mid = 0.5 * (self.from + self.to);
        [ElementPart { to: mid, ..self }, ElementPart { from: mid, ..self }]
    }
}

/// Closest points of a centreline at least `apart` mm of arc length from one another, if closer than
/// `limit` mm; exact to 0.001 mm.
///
/// With a `limit` not far above `apart` every straight would count; give one below it.
pub fn distance_self(line: &Centreline, apart: f64, limit: f64) -> Option<Closest> {
    let mut best = Closest { distance: limit, at_a: f64::NAN, at_b: f64::NAN };
    let parts: Vec<ElementPart> = line
        .stations()
        .flat_map(|(station, element)| {
            let count = match element {
                Element::Straight(_) => 1,
                Element::Arc(a) => (a.angle / std::f64::consts::FRAC_PI_2).ceil().max(1.0) as usize,
            };
            let step = element.length() / count as f64;
            (0..count).map(move |i| ElementPart { element, station, from: step * i as f64, to: step * (i + 1) as f64 })
        })
        .collect();
    let mut open = Vec::new();
    for i in 0..parts.len() {
        open.extend((i..parts.len()).map(|j| (parts[i], parts[j])));
    }
    while let Some((a, b)) = open.pop() {
        let farthest = (b.station + b.to) - (a.station + a.from);
        if farthest < apart {
            continue;
        }
        let wholly = (b.station + b.from) - (a.station + a.to) >= apart;
        let ends = [a.from, a.to].map(|s| a.element.point(s));
        let other = [b.from, b.to].map(|s| b.element.point(s));
        let (chord, share, _) = distance_segments(ends[0], ends[1], other[0], other[1]);
        let sagittas = a.sagitta() + b.sagitta();
        if chord - sagittas >= best.distance - EPS {
            continue;
        }
        let sa = if wholly { a.from + (a.to - a.from) * share } else { a.from };
        let (distance, sb) = if wholly {
            distance_point_element(a.element.point(sa), &b.element.part(b.from, b.to))
        } else {
            ((ends[0] - other[1]).length(), b.to - b.from)
        };
        if distance < best.distance {
            best = Closest { distance, at_a: a.station + sa, at_b: b.station + b.from + sb };
        }
        if wholly && sagittas == 0.0 {
            continue;
        }
        if a.to - a.from >= b.to - b.from {
            open.extend(a.halves().map(|half| (half, b)));
        } else {
            open.extend(b.halves().map(|half| (a, half)));
        }
    }
    (best.distance < limit).then_some(best)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Frame, LraStep, Vec3};
    use std::f64::consts::PI;

    fn tube(steps: &[LraStep], last: f64) -> Centreline {
        let start = Frame { origin: Vec3::ZERO, forward: Vec3::X, up: Vec3::Z };
        Centreline::from_steps(start, steps, last).unwrap()
    }

    #[test]
    fn a_u_bend_is_its_diameter_from_itself() {
        let u = tube(&[LraStep { length: 200.0, rotation: 0.0, angle: PI, clr: 60.0 }], 150.0);
        let c = distance_self(&u, 190.0, 180.0).unwrap();
        assert!((c.distance - 120.0).abs() < 1e-3, "{c:?}");
        assert!(c.at_b - c.at_a >= 190.0 - 1e-9);
        // Nearer along the tube, two points of the arc are 2 R sin(arc / 2 R) apart.
        let c = distance_self(&u, 160.0, 150.0).unwrap();
        assert!((c.distance - 120.0 * (160.0f64 / 120.0).sin()).abs() < 1e-3, "{c:?}");
    }

    #[test]
    fn a_straight_is_never_near_itself() {
        assert_eq!(distance_self(&tube(&[], 2000.0), 160.0, 150.0), None);
    }

    #[test]
    fn a_knot_crosses_where_it_should() {
        // Three quarter turns of CLR 100 in one plane with straights of 200: the end crosses the first leg.
        let q = |length| LraStep { length, rotation: 0.0, angle: PI / 2.0, clr: 100.0 };
        let knot = tube(&[q(300.0), q(200.0), q(200.0)], 500.0);
        let c = distance_self(&knot, 160.0, 150.0).unwrap();
        assert!(c.distance < 1e-3, "{c:?}");
    }
}
