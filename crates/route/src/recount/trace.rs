//! A route as many points.

use geom::Vec3;

/// Greatest distance along the centreline from one point to the next, mm.
const STEP: f64 = 0.5;

/// How far beside a place it is looked at, mm.
const BESIDE: f64 = 1e-6;

/// A centreline as points, with its straights and bends.
pub(super) struct Trace {
    /// Points along it.
    pub points: Vec<Vec3>,
    /// Arc length from the start at each point, mm.
    pub stations: Vec<f64>,
    /// Lengths of the straights: one before each bend and one last, mm; negative where bends overlap.
    pub straights: Vec<f64>,
    /// Turn of each bend, degrees.
    pub turns_deg: Vec<f64>,
}

impl Trace {
    /// Walks from point to point; `None` where that is not a valid tube at all.
    pub fn new(points: &[Vec3], radii: &[f64]) -> Option<Self> {
        if points.len() < 2 || radii.len() + 2 != points.len() || points.iter().any(|p| !p.is_finite()) {
            return None;
        }
        let mut out = Trace { points: vec![points[0]], stations: vec![0.0], straights: vec![], turns_deg: vec![] };
        let mut from = points[0];
        for (i, &radius) in radii.iter().enumerate() {
            let corner = points[i + 1];
            let u = (corner - points[i]).try_normalize()?;
            let w = (points[i + 2] - corner).try_normalize()?;
            // Half the angle between the legs, seen from the corner.
            let opening = 0.5 * (-u).angle_between(w);
            let turn = std::f64::consts::PI - 2.0 * opening;
            if radius <= 0.0 || !radius.is_finite() || opening < 1e-3 {
                return None;
            }
            let setback = radius / opening.tan();
            out.straight(from, corner - u * setback, u);
            out.turns_deg.push(turn.to_degrees());
            if turn > 1e-9 {
                let centre = corner + (w - u).try_normalize()? * (radius / opening.sin());
                out.arc(corner - u * setback, centre, u.cross(w).try_normalize()?, turn, radius);
            }
            from = corner + w * setback;
        }
        let end = points[points.len() - 1];
        out.straight(from, end, (end - points[points.len() - 2]).try_normalize()?);
        Some(out)
    }

    /// Whole length, mm.
    pub fn length(&self) -> f64 {
        self.stations[self.stations.len() - 1]
    }

    /// Adds a point just before and just after a place along it, where what is asked changes.
    pub fn mark(&mut self, s: f64) {
        for at in [s - BESIDE, s + BESIDE] {
            let i = self.stations.partition_point(|station| *station <= at);
            if i == 0 || i == self.stations.len() {
                continue;
            }
            let share = (at - self.stations[i - 1]) / (self.stations[i] - self.stations[i - 1]);
            self.points.insert(i, self.points[i - 1].lerp(self.points[i], share));
            self.stations.insert(i, at);
        }
    }

    fn straight(&mut self, from: Vec3, to: Vec3, direction: Vec3) {
        let length = (to - from).dot(direction);
        self.straights.push(length);
        if length > 0.0 {
            let steps = (length / STEP).ceil();
            let start = self.length();
            for i in 1..=steps as usize {
                let share = i as f64 / steps;
                self.points.push(from.lerp(to, share));
                self.stations.push(start + length * share);
            }
        }
    }

    fn arc(&mut self, from: Vec3, centre: Vec3, axis: Vec3, turn: f64, radius: f64) {
        let steps = (turn * radius / STEP).ceil();
        let start = self.length();
        let spoke = from - centre;
        let side = axis.cross(spoke);
        for i in 1..=steps as usize {
            let angle = turn * i as f64 / steps;
            self.points.push(centre + spoke * angle.cos() + side * angle.sin());
            self.stations.push(start + angle * radius);
        }
    }
}
