//! Centrelines: from intersection points and radii (the trade's XYZ data) or from rows of length,
//! rotation and angle (LRA), and back.
//!
//! At an intersection point with unit directions u in and w out the tube turns by
//! a = atan2(|u x w|, u . w) on an arc of the bend's CLR R; the arc begins R tan(a/2) before the
//! point. LRA rotation is counted by the right-hand rule about the feed direction, in
//! (-180, 180] degrees, from one bend's plane to the next one's. All formulas are elementary
//! geometry; the laws (round trips, rigid moves) are held by the property tests.

use crate::{ANGLE_EPS, Arc, Element, Frame, LENGTH_EPS, Straight, Vec3};
use crate::{any_perpendicular, rotate_about, signed_angle};

/// Largest turn at one intersection point, rad (175 degrees).
///
/// At 175 degrees the tangent length is 23 times the CLR; beyond, the point runs off to infinity.
/// A U-turn is written as two points, each with half of it.
const MAX_TURN: f64 = 175.0 * std::f64::consts::PI / 180.0;

/// Turn above which [`Centreline::to_points`] writes a bend as equal parts, rad (135 degrees).
const SPLIT_TURN: f64 = 135.0 * std::f64::consts::PI / 180.0;

/// What is wrong with the points and radii of a route. Places are counted from 0.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CentrelineError {
    /// Fewer than two points.
    #[error("a route needs at least two points, its start and its end")]
    TooFewPoints,
    /// Not one radius for each point between the first and the last.
    #[error("{points} points need {} radii (one for each point between the first and the last), not {radii}", points - 2)]
    RadiusCount {
        /// Points given.
        points: usize,
        /// Radii given.
        radii: usize,
    },
    /// A coordinate, length, angle or radius that is not a finite number.
    #[error("point or row {at} holds a number that is not finite")]
    NotFinite {
        /// Index of the point or row.
        at: usize,
    },
    /// A radius or length that must be positive and is not.
    #[error("the radius at point or row {at} must be above 0")]
    BadRadius {
        /// Index of the point or row.
        at: usize,
        /// The value.
        value: f64,
    },
    /// A negative length or an angle outside (-360, 360) degrees.
    #[error("row {at} has a negative length or an angle beyond a full turn")]
    BadStep {
        /// Index of the row.
        at: usize,
    },
    /// Two points one upon the other.
    #[error("points {at} and {} coincide", at + 1)]
    Coincident {
        /// Index of the first of the two.
        at: usize,
    },
    /// A turn too sharp for one intersection point.
    #[error("the turn at point {at} is {turn_deg:.1} degrees; above 175 it needs two points, each with half of it")]
    TooSharp {
        /// Index of the point.
        at: usize,
        /// The turn, degrees.
        turn_deg: f64,
    },
    /// The bends at both ends of a leg need more than its length.
    #[error("the bends need more room than there is between points {at} and {}", at + 1)]
    Overlap {
        /// Index of the first of the two points.
        at: usize,
        /// How much is missing, mm.
        missing: f64,
    },
}

/// One row of bending data: feed, rotate, bend.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LraStep {
    /// Straight before the bend, mm.
    pub length: f64,
    /// Rotation of the bend plane about the feed direction, rad.
    pub rotation: f64,
    /// Angle of the bend, rad; a negative one bends the other way.
    pub angle: f64,
    /// Centreline radius, mm.
    pub clr: f64,
}

/// One bend of a centreline and where it lies along it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bend {
    /// Centreline length from the start of the tube to the start of the arc, mm.
    pub from: f64,
    /// The arc.
    pub arc: Arc,
}

/// A centreline: straights and arcs, each starting where the one before ends, with one tangent.
#[derive(Debug, Clone, PartialEq)]
pub struct Centreline {
    elements: Vec<Element>,
    /// Centreline length to the start of each element, and the whole length last, mm.
    stations: Vec<f64>,
    start: Frame,
}

impl Centreline {
    /// The centreline through intersection points with a CLR at each point between first and last.
    ///
    /// Straights shorter than [`LENGTH_EPS`] and turns below [`ANGLE_EPS`] are left out. Tangent
    /// lengths may overlap by up to 0.001 mm (points written with three decimals); the excess is
    /// dropped.
    ///
    /// # Errors
    /// [`CentrelineError`] for the first thing that makes the points no tube.
    ///
    /// # Example
    /// A right-angle bend of CLR 100 between two legs of 150: each straight keeps 50.
    /// ```
    /// # use geom::{Centreline, Vec3};
    /// let points = [Vec3::ZERO, Vec3::new(150.0, 0.0, 0.0), Vec3::new(150.0, 150.0, 0.0)];
    /// let tube = Centreline::from_points(&points, &[100.0]).unwrap();
    /// assert!((tube.length() - (50.0 + 157.07963267948966 + 50.0)).abs() < 1e-9);
    /// ```
    pub fn from_points(points: &[Vec3], radii: &[f64]) -> Result<Self, CentrelineError> {
        if points.len() < 2 {
            return Err(CentrelineError::TooFewPoints);
        }
        if radii.len() != points.len() - 2 {
            return Err(CentrelineError::RadiusCount { points: points.len(), radii: radii.len() });
        }
        if let Some(at) = points.iter().position(|p| !p.is_finite()) {
            return Err(CentrelineError::NotFinite { at });
        }
        if let Some(i) = radii.iter().position(|r| !(r.is_finite() && *r > 0.0)) {
            return Err(CentrelineError::BadRadius { at: i + 1, value: radii[i] });
        }
        let mut directions = Vec::with_capacity(points.len() - 1);
        for (at, pair) in points.windows(2).enumerate() {
            let leg = pair[1] - pair[0];
            directions.push(
                leg.try_normalize().filter(|_| leg.length() > LENGTH_EPS).ok_or(CentrelineError::Coincident { at })?,
            );
        }
        let mut builder = Builder::new(points[0], directions[0]);
        let mut used = 0.0;
        for at in 1..points.len() {
            let leg = (points[at] - points[at - 1]).length();
            let (turn, setback) = if at + 1 < points.len() {
                let (u, w) = (directions[at - 1], directions[at]);
                let turn = u.cross(w).length().atan2(u.dot(w));
                if turn > MAX_TURN {
                    return Err(CentrelineError::TooSharp { at, turn_deg: turn.to_degrees() });
                }
                (turn, if turn > ANGLE_EPS { radii[at - 1] * (0.5 * turn).tan() } else { 0.0 })
            } else {
                (0.0, 0.0)
            };
            let straight = leg - used - setback;
            if straight < -1e-3 {
                return Err(CentrelineError::Overlap { at: at - 1, missing: -straight });
            }
            builder.straight(straight.max(0.0));
            if turn > ANGLE_EPS {
                let inward = directions[at].reject_from_normalized(directions[at - 1]).normalize();
                // Start from the exact tangent point: rounding does not add up along the tube.
                builder.at.origin = points[at] - directions[at - 1] * setback;
                builder.arc(inward, radii[at - 1], turn);
                builder.at.origin = points[at] + directions[at] * setback;
                builder.turn_to(directions[at]);
            }
            used = setback;
        }
        Ok(builder.finish())
    }

    /// The centreline fed from `start`, one row after another, and a last straight.
    ///
    /// The first bend with rotation 0 bends towards `start.up`. A bend may turn up to a full turn;
    /// rows with angle 0 add only their straight (and their rotation).
    ///
    /// # Errors
    /// [`CentrelineError::NotFinite`], [`CentrelineError::BadStep`], [`CentrelineError::BadRadius`].
    pub fn from_steps(start: Frame, steps: &[LraStep], last: f64) -> Result<Self, CentrelineError> {
        let mut builder = Builder::new(start.origin, start.forward);
        builder.at.up = start.up;
        builder.start.up = start.up;
        let mut plane = start.up;
        for (at, step) in steps.iter().enumerate() {
            if ![step.length, step.rotation, step.angle, step.clr].iter().all(|v| v.is_finite()) {
                return Err(CentrelineError::NotFinite { at });
            }
            if step.length < 0.0 || step.angle.abs() >= std::f64::consts::TAU {
                return Err(CentrelineError::BadStep { at });
            }
            builder.straight(step.length);
            plane = rotate_about(plane, builder.at.forward, step.rotation);
            if step.angle.abs() > ANGLE_EPS {
                if step.clr <= 0.0 {
                    return Err(CentrelineError::BadRadius { at, value: step.clr });
                }
                let inward = plane * step.angle.signum();
                let axis = builder.at.forward.cross(inward);
                builder.arc(inward, step.clr, step.angle.abs());
                plane = rotate_about(plane, axis, step.angle.abs());
            }
        }
        if !(last.is_finite() && last >= 0.0) {
            return Err(CentrelineError::BadStep { at: steps.len() });
        }
        builder.straight(last);
        Ok(builder.finish())
    }

    /// Rows of bending data and the last straight; the first rotation is counted from the start
    /// frame's `up`.
    pub fn to_steps(&self) -> (Vec<LraStep>, f64) {
        let mut steps = Vec::new();
        let mut length = 0.0;
        let mut plane = self.start.up;
        for element in &self.elements {
            match element {
                Element::Straight(s) => length += s.length,
                Element::Arc(a) => {
                    let rotation = signed_angle(plane, a.inward, a.tangent);
                    steps.push(LraStep { length, rotation, angle: a.angle, clr: a.radius });
                    plane = a.inward_at(a.angle);
                    length = 0.0;
                }
            }
        }
        (steps, length)
    }

    /// Intersection points and radii. A bend above 135 degrees is written as two or more equal
    /// parts, each with its own point.
    pub fn to_points(&self) -> (Vec<Vec3>, Vec<f64>) {
        let mut points = vec![self.start.origin];
        let mut radii = Vec::new();
        for bend in self.bends() {
            let parts = (bend.arc.angle / SPLIT_TURN).ceil().max(1.0);
            let part = bend.arc.angle / parts;
            for i in 0..parts as usize {
                let from = part * i as f64;
                let setback = bend.arc.radius * (0.5 * part).tan();
                points.push(bend.arc.point(from) + bend.arc.direction(from) * setback);
                radii.push(bend.arc.radius);
            }
        }
        points.push(self.end().origin);
        (points, radii)
    }

    /// Its straights and arcs in order; none is shorter than [`LENGTH_EPS`].
    pub fn elements(&self) -> &[Element] {
        &self.elements
    }

    /// Each element with the centreline length at its start, mm.
    pub fn stations(&self) -> impl Iterator<Item = (f64, &Element)> {
        self.stations.iter().copied().zip(&self.elements)
    }

    /// The bends in order.
    pub fn bends(&self) -> impl Iterator<Item = Bend> + '_ {
        self.stations().filter_map(|(from, element)| match element {
            Element::Arc(arc) => Some(Bend { from, arc: *arc }),
            Element::Straight(_) => None,
        })
    }

    /// Whole length along the centreline, mm.
    pub fn length(&self) -> f64 {
        self.stations[self.elements.len()]
    }

    /// Sum of all bend angles, rad.
    pub fn turn(&self) -> f64 {
        self.bends().map(|b| b.arc.angle).sum()
    }

    /// The frame at the start; `up` is the reference line of clocking.
    pub fn start(&self) -> Frame {
        self.start
    }

    /// The frame at the end.
    pub fn end(&self) -> Frame {
        self.at(self.length())
    }

    /// The frame `s` mm along; beyond the ends it is the end's.
    ///
    /// `up` follows a line drawn along the tube wall: it does not roll on straights and turns with
    /// the tube in bends.
    pub fn at(&self, s: f64) -> Frame {
        let mut frame = self.start;
        for (from, element) in self.stations() {
            let along = (s - from).clamp(0.0, element.length());
            frame = advance(frame, element, along);
            if s <= from + element.length() {
                break;
            }
        }
        frame
    }

    /// The stretch from `from` to `to` mm as a separate centreline, with the reference line carried along.
    pub fn stretch(&self, from: f64, to: f64) -> Centreline {
        let start = self.at(from);
        let mut builder = Builder { at: start, start, elements: Vec::new() };
        for (station, element) in self.stations() {
            let a = (from - station).clamp(0.0, element.length());
            let b = (to - station).clamp(0.0, element.length());
            if b - a <= LENGTH_EPS {
                continue;
            }
            match element {
                Element::Straight(_) => builder.straight(b - a),
                Element::Arc(arc) => builder.arc(arc.inward_at(a / arc.radius), arc.radius, (b - a) / arc.radius),
            }
        }
        builder.finish()
    }
}

/// `frame` carried `along` mm into `element`.
fn advance(frame: Frame, element: &Element, along: f64) -> Frame {
    match element {
        Element::Straight(s) => Frame { origin: s.start + s.direction * along, ..frame },
        Element::Arc(a) => {
            let angle = along / a.radius;
            Frame { origin: a.point(angle), forward: a.direction(angle), up: rotate_about(frame.up, a.axis(), angle) }
        }
    }
}

/// Builds a centreline from its start onwards.
struct Builder {
    start: Frame,
    at: Frame,
    elements: Vec<Element>,
}

impl Builder {
    fn new(origin: Vec3, forward: Vec3) -> Self {
        let start = Frame { origin, forward, up: any_perpendicular(forward) };
        Builder { start, at: start, elements: Vec::new() }
    }

    fn push(&mut self, element: Element) {
        self.at = advance(self.at, &element, element.length());
        self.elements.push(element);
    }

    fn straight(&mut self, length: f64) {
        if length > LENGTH_EPS {
            self.push(Element::Straight(Straight { start: self.at.origin, direction: self.at.forward, length }));
        }
    }

    fn arc(&mut self, inward: Vec3, radius: f64, angle: f64) {
        self.push(Element::Arc(Arc { start: self.at.origin, tangent: self.at.forward, inward, radius, angle }));
    }

    /// Takes out the rounding of the last arc.
    fn turn_to(&mut self, forward: Vec3) {
        self.at.forward = forward;
        self.at.up = self.at.up.reject_from_normalized(forward).normalize();
    }

    fn finish(self) -> Centreline {
        let mut stations = vec![0.0];
        let mut total = 0.0;
        for element in &self.elements {
            total += element.length();
            stations.push(total);
        }
        Centreline { elements: self.elements, stations, start: self.start }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    #[test]
    fn a_u_bend_of_clr_76_2_with_101_6_legs_is_442_589_long() {
        let start = Frame { origin: Vec3::ZERO, forward: Vec3::X, up: Vec3::Z };
        let step = LraStep { length: 101.6, rotation: 0.0, angle: PI, clr: 76.2 };
        let tube = Centreline::from_steps(start, &[step], 101.6).unwrap();
        assert!((tube.length() - 442.589).abs() < 1e-3);
        assert!((tube.end().origin - Vec3::new(0.0, 0.0, 152.4)).length() < 1e-9);
        let (points, radii) = tube.to_points();
        assert_eq!(radii, vec![76.2, 76.2]);
        let again = Centreline::from_points(&points, &radii).unwrap();
        assert!((again.length() - tube.length()).abs() < 1e-9);
    }

    #[test]
    fn clocking_is_by_the_right_hand_rule_about_the_feed() {
        // Forward along x, first bend up (z), then a quarter turn: by the right hand about the
        // feed (now z) the plane turns from -x towards -y.
        let start = Frame { origin: Vec3::ZERO, forward: Vec3::X, up: Vec3::Z };
        let quarter = |rotation| LraStep { length: 10.0, rotation, angle: PI / 2.0, clr: 50.0 };
        let tube = Centreline::from_steps(start, &[quarter(0.0), quarter(PI / 2.0)], 10.0).unwrap();
        assert!((tube.end().forward - -Vec3::Y).length() < 1e-12);
        let (steps, last) = tube.to_steps();
        assert!((steps[1].rotation - PI / 2.0).abs() < 1e-12 && (last - 10.0).abs() < 1e-12);
    }

    #[test]
    fn bad_points_are_named() {
        let p = |x: f64, y: f64| Vec3::new(x, y, 0.0);
        let err = |points: &[Vec3], radii: &[f64]| Centreline::from_points(points, radii).unwrap_err();
        assert_eq!(err(&[p(0.0, 0.0)], &[]), CentrelineError::TooFewPoints);
        assert_eq!(err(&[p(0.0, 0.0), p(0.0, 0.0)], &[]), CentrelineError::Coincident { at: 0 });
        assert!(matches!(
            err(&[p(0.0, 0.0), p(9.0, 0.0), p(9.0, 9.0)], &[10.0]),
            CentrelineError::Overlap { at: 0, .. }
        ));
        assert!(matches!(
            err(&[p(0.0, 0.0), p(9.0, 0.0), p(0.0, 0.1)], &[1.0]),
            CentrelineError::TooSharp { at: 1, .. }
        ));
        assert!(matches!(err(&[p(0.0, 0.0), p(9.0, 0.0), p(9.0, 9.0)], &[-1.0]), CentrelineError::BadRadius { .. }));
    }

    #[test]
    fn a_stretch_keeps_length_and_place() {
        let points = [Vec3::ZERO, Vec3::new(150.0, 0.0, 0.0), Vec3::new(150.0, 150.0, 0.0)];
        let tube = Centreline::from_points(&points, &[100.0]).unwrap();
        let part = tube.stretch(30.0, 130.0);
        assert!((part.length() - 100.0).abs() < 1e-9);
        assert!((part.end().origin - tube.at(130.0).origin).length() < 1e-9);
    }
}
