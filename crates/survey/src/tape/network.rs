//! Points and the readings between them.

use std::sync::Arc;

use glam::DVec3;

use super::component::Component;

/// What was read. Points are numbers from 0.
#[derive(Debug, Clone, PartialEq)]
pub enum ReadingKind {
    /// Length between two points, mm.
    Distance([usize; 2]),
    /// How much higher the second point is against gravity, mm.
    Height([usize; 2]),
    /// Angle of the line from the first to the second above the horizontal, rad.
    Incline([usize; 2]),
    /// Distance of the last point from the plane of the first three, mm.
    Flush([usize; 4]),
    /// Offset of the last point from the line of the first two within the plane of the first three, mm.
    Row([usize; 4]),
    /// A part of the shape that photos give to some points, mm.
    Shape(Arc<Component>),
}

/// One reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// What was read, and where.
    pub kind: ReadingKind,
    /// Value, mm or rad.
    pub value: f64,
    /// Standard deviation, mm or rad.
    pub sd: f64,
}

/// A row of derivatives by (unknown, value); unknown 3 p + c is coordinate c of point p.
pub type Derivatives = Vec<(usize, f64)>;

impl Reading {
    /// The points that it joins.
    pub fn points(&self) -> &[usize] {
        match &self.kind {
            ReadingKind::Distance(p) | ReadingKind::Height(p) | ReadingKind::Incline(p) => p,
            ReadingKind::Flush(p) | ReadingKind::Row(p) => p,
            ReadingKind::Shape(component) => component.points(),
        }
    }

    /// Whether it may be called wrong: what photos say of a shape is not, only the size given to it.
    pub fn may_slip(&self) -> bool {
        if let ReadingKind::Shape(component) = &self.kind { component.may_slip } else { true }
    }

    /// Whether it refers to gravity.
    pub fn is_level(&self) -> bool {
        matches!(self.kind, ReadingKind::Height(_) | ReadingKind::Incline(_))
    }

    /// What would be read of points at `x`, mm or rad.
    pub fn computed(&self, x: &[DVec3]) -> f64 {
        match self.kind {
            ReadingKind::Shape(ref component) => component.computed(x),
            ReadingKind::Distance([a, b]) => (x[b] - x[a]).length(),
            ReadingKind::Height([a, b]) => x[b].z - x[a].z,
            ReadingKind::Incline([a, b]) => {
                let d = x[b] - x[a];
                d.z.atan2(d.x.hypot(d.y))
            }
            ReadingKind::Flush([a, b, c, p]) => (x[p] - x[a]).dot((x[b] - x[a]).cross(x[c] - x[a]).normalize_or_zero()),
            ReadingKind::Row([a, b, c, p]) => {
                let along = (x[b] - x[a]).normalize_or_zero();
                let side = x[c] - x[a];
                (x[p] - x[a]).dot((side - along * side.dot(along)).normalize_or_zero())
            }
        }
    }

    /// Reading less what is computed, in standard deviations.
    pub fn residual(&self, x: &[DVec3]) -> f64 {
        (self.value - self.computed(x)) / self.sd
    }

    /// Derivatives of what is computed, by the unknowns.
    pub fn derivatives(&self, x: &[DVec3]) -> Derivatives {
        let pair = |a: usize, b: usize, g: DVec3| {
            let g = g.to_array();
            let at = |p: usize, sign: f64| (0..3).map(move |c| (3 * p + c, sign * g[c]));
            at(a, -1.0).chain(at(b, 1.0)).collect()
        };
        match self.kind {
            ReadingKind::Shape(ref component) => component.derivatives(x),
            ReadingKind::Distance([a, b]) => pair(a, b, (x[b] - x[a]).normalize_or_zero()),
            ReadingKind::Height([a, b]) => pair(a, b, DVec3::Z),
            ReadingKind::Incline([a, b]) => {
                let d = x[b] - x[a];
                let flat = d.x.hypot(d.y).max(1e-6);
                let square = d.length_squared().max(1e-12);
                pair(a, b, DVec3::new(-d.x * d.z / flat, -d.y * d.z / flat, flat) / square)
            }
            ReadingKind::Flush(_) | ReadingKind::Row(_) => self.differences(x),
        }
    }

    /// Derivatives by central differences of 0.01 mm; their error is below 1e-8.
    fn differences(&self, x: &[DVec3]) -> Derivatives {
        const STEP: f64 = 0.01;
        let mut moved: Vec<DVec3> = self.points().iter().map(|p| x[*p]).collect();
        let local = Reading { kind: self.local(), ..self.clone() };
        let mut row = Vec::with_capacity(12);
        for (k, p) in self.points().iter().enumerate() {
            for c in 0..3 {
                let kept = moved[k];
                moved[k][c] = kept[c] + STEP;
                let more = local.computed(&moved);
                moved[k][c] = kept[c] - STEP;
                let less = local.computed(&moved);
                moved[k] = kept;
                row.push((3 * p + c, (more - less) / (2.0 * STEP)));
            }
        }
        row
    }

    /// The same reading of its own points numbered 0, 1, 2, 3.
    fn local(&self) -> ReadingKind {
        match self.kind {
            ReadingKind::Flush(_) => ReadingKind::Flush([0, 1, 2, 3]),
            ReadingKind::Row(_) => ReadingKind::Row([0, 1, 2, 3]),
            ReadingKind::Distance(_) => ReadingKind::Distance([0, 1]),
            ReadingKind::Height(_) => ReadingKind::Height([0, 1]),
            ReadingKind::Incline(_) => ReadingKind::Incline([0, 1]),
            ReadingKind::Shape(ref component) => ReadingKind::Shape(component.clone()),
        }
    }
}

/// All points and readings of a survey.
#[derive(Debug, Clone, Default)]
pub struct Network {
    /// Number of points.
    pub points: usize,
    /// The readings.
    pub readings: Vec<Reading>,
    /// Readings of each point, by number.
    pub of_point: Vec<Vec<usize>>,
}

impl Network {
    /// A network of `points` points.
    ///
    /// # Panics
    /// When a reading names a point that is not there.
    pub fn new(points: usize, readings: Vec<Reading>) -> Self {
        let mut of_point = vec![Vec::new(); points];
        for (i, reading) in readings.iter().enumerate() {
            for p in reading.points() {
                of_point[*p].push(i);
            }
        }
        Network { points, readings, of_point }
    }

    /// Whether any reading refers to gravity: then z is up.
    pub fn has_levels(&self) -> bool {
        self.readings.iter().any(Reading::is_level)
    }

    /// Motions that no reading can see: three shifts and three turns, or three and one with levels.
    pub fn gauge(&self) -> usize {
        if self.has_levels() { 4 } else { 6 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn derivatives_are_those_of_small_steps() {
        let x = [[0.0, 0.0, 0.0], [310.0, 5.0, -8.0], [40.0, 20.0, 90.0], [120.0, 30.0, 10.0]].map(DVec3::from_array);
        let kinds = [
            ReadingKind::Distance([0, 1]),
            ReadingKind::Height([1, 2]),
            ReadingKind::Incline([0, 2]),
            ReadingKind::Flush([0, 1, 2, 3]),
            ReadingKind::Row([0, 1, 2, 3]),
        ];
        for kind in kinds {
            let reading = Reading { kind, value: 0.0, sd: 1.0 };
            let (mut plain, mut slow) = (reading.derivatives(&x), reading.differences(&x));
            plain.sort_by_key(|d| d.0);
            slow.sort_by_key(|d| d.0);
            for (a, b) in plain.iter().zip(&slow) {
                assert!(a.0 == b.0 && (a.1 - b.1).abs() < 1e-8, "{reading:?}");
            }
        }
    }

    #[test]
    fn a_row_is_seen_in_its_plane_and_flush_across_it() {
        let x = [[0.0, 0.0, 0.0], [100.0, 0.0, 0.0], [0.0, 0.0, 50.0], [40.0, 2.0, 3.0]].map(DVec3::from_array);
        let value = |kind| Reading { kind, value: 0.0, sd: 1.0 }.computed(&x);
        assert!((value(ReadingKind::Row([0, 1, 2, 3])) - 3.0).abs() < 1e-12);
        assert!((value(ReadingKind::Flush([0, 1, 2, 3])).abs() - 2.0).abs() < 1e-12);
    }
}
