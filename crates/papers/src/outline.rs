//! The outline of an item of stock in its own plane.
//!
//! Leg 1 runs along x to the first tangent line at x = 0; the arc turns counter-clockwise about (0, CLR); the
//! outside of the bend is on the right of the way. A stick runs along x from 0. All mm.

use std::f64::consts::FRAC_PI_2;

use cutplan::{Item, ItemShape};

use crate::sheet::{Drawing, PenStep, Placing, Point, Stroke};

/// An item in its plane.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Outline {
    shape: ItemShape,
    clr: f64,
    angle: f64,
    legs: [f64; 2],
    /// Half of the outside diameter.
    pub radius: f64,
}

impl Outline {
    pub(crate) fn of(item: &Item) -> Self {
        let (clr, angle, legs) = match item.shape {
            ItemShape::Bend { clr, angle, legs } => (clr, angle, legs),
            ItemShape::Straight { length } => (0.0, 0.0, [length, 0.0]),
        };
        Outline { shape: item.shape, clr, angle, legs, radius: 0.5 * item.od }
    }

    /// Whether it has an arc.
    pub(crate) fn bent(&self) -> bool {
        self.angle > 0.0
    }

    /// Length of its centreline.
    pub(crate) fn length(&self) -> f64 {
        self.legs[0] + self.arc_length() + self.legs[1]
    }

    fn arc_length(&self) -> f64 {
        self.clr * self.angle
    }

    /// Places of the two tangent lines along the centreline.
    pub(crate) fn tangents(&self) -> [f64; 2] {
        [self.legs[0], self.legs[0] + self.arc_length()]
    }

    /// Angle of the way at `s` along the centreline, rad from x.
    pub(crate) fn heading(&self, s: f64) -> f64 {
        self.shape.heading(s)
    }

    /// The point at `s` along the centreline and `out` towards the outside of the bend.
    pub(crate) fn point(&self, s: f64, out: f64) -> Point {
        self.shape.point(s, out)
    }

    /// Points all around it, close enough together to be fitted by.
    pub(crate) fn around(&self) -> Vec<Point> {
        let [first, second] = self.tangents();
        let mut stations = vec![0.0, first, second, self.length()];
        stations.extend((1..36).map(|i| first + (second - first) * f64::from(i) / 36.0));
        stations.iter().flat_map(|&s| [self.point(s, self.radius), self.point(s, -self.radius)]).collect()
    }

    /// An edge from `from` to `to` (either way) at `out`; the pen stands at its start.
    fn edge(&self, from: f64, to: f64, out: f64, placing: &Placing) -> Vec<PenStep> {
        let [first, second] = self.tangents();
        let mut steps = Vec::new();
        let (low, high) = (from.min(to), from.max(to));
        let within: Vec<f64> = [first, second].into_iter().filter(|t| *t > low && *t < high).collect();
        let mut stops = if from < to { within } else { within.into_iter().rev().collect() };
        stops.push(to);
        let mut at = from;
        for stop in stops {
            let middle = 0.5 * (at + stop);
            if self.bent() && middle > first && middle < second {
                let (a, b) = (self.heading(at) - FRAC_PI_2, self.heading(stop) - FRAC_PI_2);
                steps.extend(placing.arc([0.0, self.clr], self.clr + out, a, b));
            } else {
                steps.push(PenStep::Line(placing.at(self.point(stop, out))));
            }
            at = stop;
        }
        steps
    }

    /// The closed border of the stretch from `from` to `to`.
    pub(crate) fn border(&self, from: f64, to: f64, placing: &Placing) -> Vec<PenStep> {
        let r = self.radius;
        let mut steps = vec![PenStep::Move(placing.at(self.point(from, r)))];
        steps.extend(self.edge(from, to, r, placing));
        steps.push(PenStep::Line(placing.at(self.point(to, -r))));
        steps.extend(self.edge(to, from, -r, placing));
        steps.push(PenStep::Close);
        steps
    }

    /// A line square across at `s`, from `inside` beyond the inside wall to `outside` beyond the outside one.
    pub(crate) fn across(&self, d: &mut Drawing, placing: &Placing, s: f64, beyond: [f64; 2], stroke: Stroke) {
        let from = placing.at(self.point(s, -self.radius - beyond[0]));
        let to = placing.at(self.point(s, self.radius + beyond[1]));
        d.line(from, to, stroke);
    }

    /// The centreline from `from` to `to`.
    pub(crate) fn centre(&self, from: f64, to: f64, placing: &Placing) -> Vec<PenStep> {
        let mut steps = vec![PenStep::Move(placing.at(self.point(from, 0.0)))];
        steps.extend(self.edge(from, to, 0.0, placing));
        steps
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn u_bend() -> Outline {
        let (clr, angle, legs) = (50.0, PI, [30.0, 40.0]);
        Outline { shape: ItemShape::Bend { clr, angle, legs }, clr, angle, legs, radius: 20.0 }
    }

    fn near(a: Point, b: Point) {
        assert!((a[0] - b[0]).abs() < 1e-9 && (a[1] - b[1]).abs() < 1e-9, "{a:?} {b:?}");
    }

    #[test]
    fn a_u_bend_comes_back_two_radii_higher() {
        let u = u_bend();
        near(u.point(0.0, 0.0), [-30.0, 0.0]);
        near(u.point(30.0 + 25.0 * PI, 20.0), [70.0, 50.0]);
        near(u.point(u.length(), 0.0), [-40.0, 100.0]);
        near(u.point(u.length(), 20.0), [-40.0, 120.0]);
    }

    #[test]
    fn a_border_ends_where_it_began() {
        let u = u_bend();
        let placing = Placing { origin: [0.0, 0.0], scale: 1.0, turn: 0.0 };
        let steps = u.border(10.0, 150.0, &placing);
        let Some(PenStep::Move(begin)) = steps.first() else { panic!() };
        let end = steps.iter().rev().find_map(|s| match s {
            PenStep::Line(p) | PenStep::Curve(_, _, p) => Some(*p),
            _ => None,
        });
        near(placing.at(u.point(10.0, -20.0)), end.unwrap());
        near(placing.at(u.point(10.0, 20.0)), *begin);
    }
}
