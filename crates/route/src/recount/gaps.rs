//! Gaps, point by point.

use job::model::{Job, Keepout};
use rayon::prelude::*;

use super::{PLACE_TOLERANCE, Traced};
use crate::finding::{Miss, Neighbour, Shortfall};
use crate::tools::tool_ways;

/// A collector's own gap reaches this many outside diameters beyond its stub.
pub(super) const REACH_ODS: f64 = 1.5;

/// A run's points count against one another from this many outside diameters of arc length on.
const APART_ODS: f64 = 4.0;

pub(super) fn count(job: &Job, runs: &[Traced], misses: &mut Vec<Miss>) {
    let keepouts: Vec<Keepout> = job.keepouts.iter().cloned().chain(tool_ways(job)).collect();
    let of_run = |(i, run): (usize, &Traced)| {
        let mut misses = Vec::new();
        for keepout in &keepouts {
            to_keepout(run, keepout, &mut misses);
        }
        to_itself(job, run, &mut misses);
        for other in &runs[i + 1..] {
            to_run(job, run, other, &mut misses);
        }
        misses
    };
    let found: Vec<Vec<Miss>> = runs.par_iter().enumerate().map(of_run).collect();
    misses.extend(found.into_iter().flatten());
}

/// The worst of what was found: how much is missing, and where.
struct Worst {
    short: f64,
    gap: f64,
    need: f64,
    at: f64,
}

impl Worst {
    fn none() -> Self {
        Worst { short: f64::NEG_INFINITY, gap: 0.0, need: 0.0, at: 0.0 }
    }

    fn see(&mut self, gap: f64, need: f64, at: f64) {
        if need - gap > self.short {
            *self = Worst { short: need - gap, gap, need, at };
        }
    }

    fn report(self, run: &Traced, to: Neighbour, misses: &mut Vec<Miss>) {
        if self.short > PLACE_TOLERANCE {
            let what = Shortfall::TooClose { to, gap: self.gap, need: self.need, at: self.at };
            misses.push(Miss::of(&run.route.run, self.short, what));
        }
    }
}

fn to_keepout(run: &Traced, keepout: &Keepout, misses: &mut Vec<Miss>) {
    let mut worst = Worst::none();
    let length = run.trace.length();
    for (p, &s) in run.trace.points.iter().zip(&run.trace.stations) {
        if keepout.holds_ports && (s < run.start_stub || s > length - run.end_stub) {
            continue;
        }
        let far = 0.5 * run.od() + keepout.clearance + 1.0;
        let distance = keepout.shape.nearest(*p, far).distance;
        worst.see(distance - 0.5 * run.od(), keepout.clearance, s);
    }
    worst.report(run, Neighbour::Keepout(keepout.name.clone()), misses);
}

fn to_itself(job: &Job, run: &Traced, misses: &mut Vec<Miss>) {
    let mut worst = Worst::none();
    let (points, stations) = (&run.trace.points, &run.trace.stations);
    for i in 0..points.len() {
        let first = stations.partition_point(|s| *s <= stations[i] + APART_ODS * run.od());
        for j in first..points.len() {
            worst.see((points[i] - points[j]).length() - run.od(), job.clearance.tubes, stations[i]);
        }
    }
    worst.report(run, Neighbour::Itself, misses);
}

/// Whether a point is near the inlet of the collector that the run enters.
fn near_inlet(job: &Job, run: &Traced, s: f64) -> Option<usize> {
    let collector = job.collectors.iter().position(|c| Some(c.name.as_str()) == run.enters)?;
    let reach = job.collectors[collector].stub + REACH_ODS * run.od();
    (run.trace.length() - s <= reach).then_some(collector)
}

/// Whether a point is near the outlet of the collector that the run leaves.
fn near_outlet(job: &Job, run: &Traced, s: f64) -> Option<usize> {
    let collector = job.collectors.iter().position(|c| Some(c.name.as_str()) == run.leaves)?;
    (s <= job.collectors[collector].stub + REACH_ODS * run.od()).then_some(collector)
}

fn to_run(job: &Job, a: &Traced, b: &Traced, misses: &mut Vec<Miss>) {
    let mut worst = Worst::none();
    let of_b: Vec<(Option<usize>, Option<usize>)> =
        b.trace.stations.iter().map(|&s| (near_inlet(job, b, s), near_outlet(job, b, s))).collect();
    let radii = 0.5 * (a.od() + b.od());
    for (p, &s) in a.trace.points.iter().zip(&a.trace.stations) {
        let (inlet, outlet) = (near_inlet(job, a, s), near_outlet(job, a, s));
        for (q, (inlet_b, outlet_b)) in b.trace.points.iter().zip(&of_b) {
            let square = (*p - *q).length_squared();
            let most = radii + job.clearance.tubes;
            if square > most * most && worst.short > 0.0 {
                continue;
            }
            if (inlet.is_some() && inlet == *outlet_b) || (outlet.is_some() && outlet == *inlet_b) {
                continue;
            }
            let need = match inlet.filter(|_| inlet == *inlet_b) {
                Some(c) => job.collectors[c].gap.min(job.clearance.tubes),
                None => job.clearance.tubes,
            };
            worst.see(square.sqrt() - radii, need, s);
        }
    }
    worst.report(a, Neighbour::Run(b.route.run.clone()), misses);
}
