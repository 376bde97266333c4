//! From the plane of a thing, mm with y upwards, to the place where it is drawn.

use std::f64::consts::PI;

use super::drawing::{PenStep, Point, arc};

/// Turns, scales and moves a plane with y upwards onto a drawing with y downwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placing {
    /// Where the plane's origin lies on the drawing, mm.
    pub origin: Point,
    /// Drawn mm for one mm of the thing.
    pub scale: f64,
    /// Turn of the plane counter-clockwise, rad.
    pub turn: f64,
}

impl Placing {
    /// Where a point of the plane lies on the drawing.
    pub fn at(&self, p: Point) -> Point {
        let way = self.way(p);
        [self.origin[0] + way[0], self.origin[1] + way[1]]
    }

    /// Where a direction or difference of the plane points on the drawing, scaled.
    pub fn way(&self, p: Point) -> Point {
        let (sin, cos) = self.turn.sin_cos();
        [self.scale * (p[0] * cos - p[1] * sin), -self.scale * (p[0] * sin + p[1] * cos)]
    }

    /// The curves of an arc about `centre` from angle `from` to `to`, rad, counter-clockwise in the plane; the
    /// pen stands at its start.
    pub fn arc(&self, centre: Point, radius: f64, from: f64, to: f64) -> Vec<PenStep> {
        arc(self.at(centre), radius * self.scale, -(from + self.turn), -(to + self.turn))
    }

    /// The placing that lays points of a plane, turned, into a drawing's box with its corner at `corner` and that
    /// `size`, at `scale` or, without one, as large as it goes; in the middle.
    pub fn fit(points: &[Point], turn: f64, corner: Point, size: Point, scale: Option<f64>) -> Placing {
        let unplaced = Placing { origin: [0.0, 0.0], scale: 1.0, turn };
        let placed: Vec<Point> = points.iter().map(|p| unplaced.at(*p)).collect();
        let least = |k: usize| placed.iter().map(|p| p[k]).fold(f64::INFINITY, f64::min);
        let most = |k: usize| placed.iter().map(|p| p[k]).fold(f64::NEG_INFINITY, f64::max);
        let span = [most(0) - least(0), most(1) - least(1)];
        let scale = scale.unwrap_or_else(|| (size[0] / span[0].max(1e-9)).min(size[1] / span[1].max(1e-9)));
        let origin = [0, 1].map(|k| corner[k] + 0.5 * (size[k] - scale * span[k]) - scale * least(k));
        Placing { origin, scale, turn }
    }

    /// An angle of the plane, rad counter-clockwise, as a text is turned: clockwise, and never upside down.
    pub fn reading(&self, angle: f64) -> f64 {
        let mut turn = (-(angle + self.turn)).rem_euclid(2.0 * PI);
        if turn > 0.5 * PI + 1e-6 && turn < 1.5 * PI + 1e-6 {
            turn -= PI;
        }
        turn
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_is_fitted_into_the_middle() {
        let placing = Placing::fit(&[[-10.0, 0.0], [10.0, 10.0]], 0.0, [5.0, 5.0], [100.0, 100.0], None);
        assert!((placing.scale - 5.0).abs() < 1e-12);
        let (a, b) = (placing.at([-10.0, 10.0]), placing.at([10.0, 0.0]));
        assert!((a[0] - 5.0).abs() < 1e-9 && (a[1] - 30.0).abs() < 1e-9, "{a:?}");
        assert!((b[0] - 105.0).abs() < 1e-9 && (b[1] - 80.0).abs() < 1e-9, "{b:?}");
    }

    #[test]
    fn arcs_end_where_points_do() {
        let placing = Placing { origin: [3.0, 4.0], scale: 2.0, turn: 0.7 };
        let end = match placing.arc([1.0, 2.0], 5.0, 0.3, 1.9).pop() {
            Some(PenStep::Curve(_, _, end)) => end,
            other => panic!("{other:?}"),
        };
        let there = placing.at([1.0 + 5.0 * 1.9_f64.cos(), 2.0 + 5.0 * 1.9_f64.sin()]);
        assert!((end[0] - there[0]).abs() < 1e-9 && (end[1] - there[1]).abs() < 1e-9);
    }
}
