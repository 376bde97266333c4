//! The exact report: how close every run comes to what, where, and whether that is enough.
//!
//! A gap is from surface to surface: the centreline's distance less the radii. The gap needed between
//! two runs is the job's gap between tubes, except
//! - where both points lie within stub + 1.5 OD of arc length from inlets of the same collector: there
//!   it is the smaller of that gap and the collector's own;
//! - where one point lies so near an inlet of a collector and the other as near to the start of the
//!   run that leaves the same collector: they are one welded body, and no gap is asked.
//!
//! A run keeps the gap between tubes from itself between points more than 4 OD of arc length apart. A
//! keep-out's gap is asked along the whole run, except from one that holds ports within the stubs at
//! the run's ends. The ways of tools ([`crate::tools`]) are keep-outs too.
//!
//! Runs are cut where the needed gap changes; on each pair of pieces it is one number and the least
//! distance is found exactly (error at most 0.001 mm outside of solids, no tessellation).

use geom::{distance_elements_below, distance_self};
use job::inlets::welded;
use job::model::{Job, Keepout};
use job::routes::{Routes, RunId};

use crate::approach::nearest_on;
use crate::bodies::{BodySolid, NEAR_INLET_ODS, bodies};
use crate::laid::{Laid, LaidElement, LaidError, frame_of, lay};
use crate::sensors::to_sensors;
use crate::tools::tool_ways;

pub use crate::approach::{Approach, Other, RunClearance, TOLERANCE};

/// Points of one run count against one another from this arc length on, in outside diameters.
pub const SELF_APART_ODS: f64 = 4.0;

/// A run's gap to itself is looked for up to this, in outside diameters. A little more than 3 is what
/// every straight has by the rule of 4 OD.
const SELF_LOOK_ODS: f64 = 2.0;

/// The report on all runs.
#[derive(Debug, Clone, PartialEq)]
pub struct Clearance {
    /// In the order of the routes.
    pub runs: Vec<RunClearance>,
    /// Every pair that comes too close, the worst first; a pair of runs stands once for each kind of
    /// gap.
    pub violations: Vec<(RunId, Approach)>,
}

/// Measures every gap of a job's routes.
///
/// # Errors
/// [`LaidError`] when a route is not a valid tube.
pub fn clearance(job: &Job, routes: &Routes) -> Result<Clearance, LaidError> {
    let runs = lay(job, routes)?;
    let keepouts: Vec<Keepout> = job.keepouts.iter().cloned().chain(tool_ways(job)).collect();
    let bodies = bodies(job, |c| frame_of(job, routes, c));
    let mut report: Vec<RunClearance> = runs.iter().map(|run| alone(job, run, &keepouts, &bodies)).collect();
    to_sensors(job, routes, &runs, (&keepouts, &bodies), &mut report);
    let mut violations = Vec::new();
    for (run, own) in runs.iter().zip(&report) {
        let all = own.keepouts.iter().chain(&own.itself);
        violations.extend(all.filter(|a| !a.holds()).map(|a| (run.id.clone(), a.clone())));
    }
    for i in 0..runs.len() {
        for j in i + 1..runs.len() {
            for (kind, found) in pair(job, &runs[i], &runs[j]) {
                let there = mirrored(&found, &runs[i], &runs[j]);
                if !found.holds() {
                    violations.push((runs[i].id.clone(), found.clone()));
                }
                lower(kind.slot(&mut report[i]), found);
                lower(kind.slot(&mut report[j]), there);
            }
        }
    }
    violations.sort_by(|a, b| b.1.short().total_cmp(&a.1.short()));
    Ok(Clearance { runs: report, violations })
}

/// The gaps of one run to keep-outs and to itself.
fn alone(job: &Job, run: &Laid, keepouts: &[Keepout], bodies: &[BodySolid]) -> RunClearance {
    let mut found: Vec<Approach> = keepouts.iter().filter_map(|k| to_keepout(run, k)).collect();
    for (collector, drawn) in job.collectors.iter().enumerate() {
        let own = bodies.iter().filter(|b| b.collector == collector).filter_map(|b| to_body(run, b));
        let nearest = own.min_by(|a, b| a.gap.total_cmp(&b.gap));
        found.extend(nearest.map(|a| Approach { to: Other::Body(drawn.name.clone()), ..a }));
    }
    found.sort_by(|a, b| a.gap.total_cmp(&b.gap));
    RunClearance {
        run: run.id.clone(),
        tubes: None,
        at_inlets: None,
        keepouts: found,
        itself: to_itself(run, job.clearance.tubes),
    }
}

/// The least gap to a keep-out; `None` where nothing of the run counts against it.
fn to_keepout(run: &Laid, keepout: &Keepout) -> Option<Approach> {
    let (from, to) =
        if keepout.holds_ports { (run.start_stub, run.line.length() - run.end_stub) } else { (0.0, run.line.length()) };
    to_solid(run, (from, to), keepout)
}

/// The least gap to one solid of a collector's body.
fn to_body(run: &Laid, body: &BodySolid) -> Option<Approach> {
    to_solid(run, body.counts(run), &body.keepout)
}

fn to_solid(run: &Laid, (from, to): (f64, f64), keepout: &Keepout) -> Option<Approach> {
    let (approach, stretch) = nearest_on(&run.stretches(from, to), &keepout.shape)?;
    Some(Approach {
        to: Other::Keepout(keepout.name.clone()),
        gap: approach.distance - run.radius,
        need: keepout.clearance,
        at: stretch.station + approach.at,
        place: stretch.element.point(approach.at),
    })
}

fn to_itself(run: &Laid, need: f64) -> Option<Approach> {
    let od = 2.0 * run.radius;
    // Below the 4 OD that any straight has from itself.
    let look = (od * (1.0 + SELF_LOOK_ODS)).max(need + od + 1.0).min((SELF_APART_ODS - 0.5) * od);
    let closest = distance_self(&run.line, SELF_APART_ODS * od, look)?;
    Some(Approach {
        to: Other::Itself { at: closest.at_b },
        gap: closest.distance - od,
        need,
        at: closest.at_a,
        place: run.line.at(closest.at_a).origin,
    })
}

/// Which gap is needed.
#[derive(Debug, Clone, Copy, PartialEq)]
enum ApproachKind {
    Tubes,
    Inlets,
}

impl ApproachKind {
    fn slot(self, report: &mut RunClearance) -> &mut Option<Approach> {
        match self {
            ApproachKind::Tubes => &mut report.tubes,
            ApproachKind::Inlets => &mut report.at_inlets,
        }
    }
}

fn lower(slot: &mut Option<Approach>, found: Approach) {
    if slot.as_ref().is_none_or(|old| found.gap < old.gap) {
        *slot = Some(found);
    }
}

/// Which end of a run a piece is near to.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Near {
    /// Near an inlet of the collector it enters.
    inlet: bool,
    /// Near the outlet of the collector it leaves.
    outlet: bool,
    /// Within the collector it enters, one body with its other tubes.
    welded: bool,
}

/// The pieces of a run, cut where what they are near to changes.
fn zones(job: &Job, run: &Laid) -> Vec<(Near, Vec<LaidElement>)> {
    let length = run.line.length();
    let beside = NEAR_INLET_ODS * 2.0 * run.radius;
    let outlet = run.leaves.map_or(0.0, |_| (run.start_stub + beside).min(length));
    let inlet = run.enters.map_or(length, |_| (length - run.end_stub - beside).max(0.0));
    let own = run.enters.map_or(0.0, |c| welded(&job.collectors[c], 2.0 * run.radius));
    let mut cuts = [0.0, outlet, inlet, (length - own).max(0.0), length];
    cuts.sort_by(f64::total_cmp);
    cuts.windows(2)
        .filter(|w| w[1] - w[0] > geom::LENGTH_EPS)
        .map(|w| {
            let middle = 0.5 * (w[0] + w[1]);
            let near = Near {
                inlet: run.enters.is_some() && middle > inlet,
                outlet: run.leaves.is_some() && middle < outlet,
                welded: middle > length - own,
            };
            (near, run.stretches(w[0], w[1]))
        })
        .collect()
}

/// The least gaps between two runs, one for each kind of needed gap that occurs.
fn pair(job: &Job, a: &Laid, b: &Laid) -> Vec<(ApproachKind, Approach)> {
    let shared = a.enters.filter(|_| a.enters == b.enters);
    let mut best: [Option<(Approach, f64)>; 2] = [None, None];
    let zones_b = zones(job, b);
    for (near_a, parts_a) in zones(job, a) {
        for (near_b, parts_b) in &zones_b {
            let one_body = (shared.is_some() && near_a.welded && near_b.welded)
                || (near_a.inlet && near_b.outlet && a.enters == b.leaves)
                || (near_b.inlet && near_a.outlet && b.enters == a.leaves);
            if one_body {
                continue;
            }
            let (kind, need) = match shared.filter(|_| near_a.inlet && near_b.inlet) {
                Some(c) => (ApproachKind::Inlets, job.clearance.tubes.min(job.collectors[c].gap)),
                None => (ApproachKind::Tubes, job.clearance.tubes),
            };
            let slot = &mut best[kind as usize];
            let limit = slot.as_ref().map_or(f64::INFINITY, |(_, distance)| *distance);
            if let Some(found) = closest(&parts_a, parts_b, limit) {
                *slot = Some((approach(a, b, found, need), found.0));
            }
        }
    }
    let kinds = [ApproachKind::Tubes, ApproachKind::Inlets];
    kinds.into_iter().zip(best).filter_map(|(kind, found)| Some((kind, found?.0))).collect()
}

/// Least distance of two sets of pieces, with the places along the runs, if below `limit`.
fn closest(a: &[LaidElement], b: &[LaidElement], limit: f64) -> Option<(f64, f64, f64)> {
    let mut best = (limit, 0.0, 0.0);
    for p in a {
        for q in b {
            if let Some(c) = distance_elements_below(&p.element, &q.element, best.0) {
                best = (c.distance, p.station + c.at_a, q.station + c.at_b);
            }
        }
    }
    (best.0 < limit).then_some(best)
}

fn approach(a: &Laid, b: &Laid, (distance, at, at_b): (f64, f64, f64), need: f64) -> Approach {
    Approach {
        to: Other::Run { run: b.id.clone(), at: at_b },
        gap: distance - a.radius - b.radius,
        need,
        at,
        place: a.line.at(at).origin,
    }
}

/// The same approach, seen from the other run.
fn mirrored(found: &Approach, a: &Laid, b: &Laid) -> Approach {
    let at = match found.to {
        Other::Run { at, .. } | Other::Itself { at } => at,
        Other::Keepout(_) | Other::Body(_) => found.at,
    };
    Approach { to: Other::Run { run: a.id.clone(), at: found.at }, at, place: b.line.at(at).origin, ..found.clone() }
}
