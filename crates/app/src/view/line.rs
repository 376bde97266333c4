//! A run's centreline as a page draws it: points close together, and the gap at each.
//!
//! Points stand at the ends of elements, in bends every 4 degrees at most, on straights every 25 mm at most. The
//! gap at a point is that of the tube's section there to the nearest other thing, taken as the distance of the
//! centreline's point less the radii: never smaller than the exact least gap of the run, which stands beside it.

use geom::{Centreline, Element, Vec3, distance_point_element};
use job::model::{Job, Keepout};
use route::laid::Laid;
use route::tools::tool_ways;
use serde::Serialize;
use utoipa::ToSchema;

use super::{Xyz, xyz};
use crate::summary::rounded;

/// Most turn between two points, rad.
const TURN: f64 = 4.0 * std::f64::consts::PI / 180.0;

/// Most length between two points on a straight, mm.
const STEP: f64 = 25.0;

/// Clearances above this are reported as this, mm: far from anything.
pub const FAR: f64 = 50.0;

/// A centreline.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LineView {
    /// Length from the start at each point.
    pub at_mm: Vec<f64>,
    /// The points.
    pub xyz: Vec<Xyz>,
    /// Clearance at each point, at most 50 mm.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub gap_mm: Vec<f64>,
}

/// Kind of an element of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum ElementKind {
    /// A straight.
    Straight,
    /// A bend.
    Bend,
}

/// A straight or bend of a run.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ElementView {
    /// Straight or bend.
    pub kind: ElementKind,
    /// Start along the run, mm.
    pub from_mm: f64,
    /// Where it ends.
    pub to_mm: f64,
    /// Angle of a bend.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub angle_deg: Option<f64>,
    /// CLR of a bend, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clr: Option<f64>,
    /// Turn of a bend's plane from that of the bend before, by the right-hand rule about the flow.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub roll_deg: Option<f64>,
}

/// Places along a centreline that are drawn.
fn stations(line: &Centreline) -> Vec<f64> {
    let mut at = vec![0.0];
    for (from, element) in line.stations() {
        let parts = match element {
            Element::Straight(s) => (s.length / STEP).ceil(),
            Element::Arc(a) => (a.angle / TURN).ceil(),
        }
        .max(1.0);
        at.extend((1..=parts as usize).map(|i| from + element.length() * i as f64 / parts));
    }
    at
}

/// The points of a centreline without gaps.
pub fn bare_line(line: &Centreline) -> LineView {
    let at = stations(line);
    let xyz = points(line, &at).into_iter().map(xyz).collect();
    LineView { at_mm: at.into_iter().map(rounded).collect(), xyz, gap_mm: Vec::new() }
}

/// Points at places in ascending order.
fn points(line: &Centreline, at: &[f64]) -> Vec<Vec3> {
    let elements: Vec<(f64, &Element)> = line.stations().collect();
    let mut i = 0;
    at.iter()
        .map(|&s| {
            while i + 1 < elements.len() && s >= elements[i + 1].0 {
                i += 1;
            }
            elements[i].1.point((s - elements[i].0).clamp(0.0, elements[i].1.length()))
        })
        .collect()
}

/// The lines of all runs with their gaps.
pub fn lines(job: &Job, laid: &[Laid]) -> Vec<LineView> {
    let keepouts: Vec<Keepout> = job.keepouts.iter().cloned().chain(tool_ways(job)).collect();
    laid.iter()
        .enumerate()
        .map(|(i, run)| {
            let mut line = bare_line(&run.line);
            let at = stations(&run.line);
            let places = points(&run.line, &at);
            line.gap_mm = at.iter().zip(places).map(|(&s, p)| rounded(gap(&keepouts, laid, i, s, p))).collect();
            line
        })
        .collect()
}

/// The gap of run `i` at `s` mm along it.
fn gap(keepouts: &[Keepout], laid: &[Laid], i: usize, s: f64, p: Vec3) -> f64 {
    let run = &laid[i];
    let mut least = FAR + run.radius;
    for other in laid.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, o)| o) {
        // Behind its own collector a run is one body with what leaves it.
        let one_body = (run.enters.is_some() && run.enters == other.leaves)
            || (run.leaves.is_some() && run.leaves == other.enters);
        if one_body {
            continue;
        }
        for element in other.line.elements() {
            let (centre, reach) = element.ball();
            if (p - centre).length() - reach - other.radius < least {
                least = least.min(distance_point_element(p, element).0 - other.radius);
            }
        }
    }
    for keepout in keepouts {
        let within = s < run.start_stub || s > run.line.length() - run.end_stub;
        if !(keepout.holds_ports && within) {
            least = least.min(keepout.shape.nearest(p, least).distance);
        }
    }
    least - run.radius
}

/// The straights and bends of a centreline.
pub fn elements(line: &Centreline) -> Vec<ElementView> {
    let (steps, _) = line.to_steps();
    let mut bend = steps.iter().enumerate();
    line.stations()
        .map(|(from, element)| {
            let (from_mm, to_mm) = (rounded(from), rounded(from + element.length()));
            match element {
                Element::Straight(_) => ElementView {
                    kind: ElementKind::Straight,
                    from_mm,
                    to_mm,
                    angle_deg: None,
                    clr: None,
                    roll_deg: None,
                },
                Element::Arc(arc) => {
                    let step = bend.next();
                    let roll = step.filter(|(i, _)| *i > 0).map(|(_, s)| rounded(s.rotation.to_degrees()));
                    let angle_deg = Some(rounded(arc.angle.to_degrees()));
                    ElementView {
                        kind: ElementKind::Bend,
                        from_mm,
                        to_mm,
                        angle_deg,
                        clr: Some(rounded(arc.radius)),
                        roll_deg: roll,
                    }
                }
            }
        })
        .collect()
}
