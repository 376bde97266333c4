//! Gaps, point by point.

use geom::{Solid, Vec3};
use job::body::Body;
use job::inlets::entering_od;
use job::model::{Collector, Job, Keepout};
use job::parts::{PartWay, part_ways};
use job::routes::Routes;
use rayon::prelude::*;

use super::rules::{REACH_ODS, stands};
use super::traced::{PLACE_TOLERANCE, Traced};
use crate::finding::{Miss, Neighbour, Shortfall};
use crate::tools::tool_ways;

/// A run's points count against one another from this many outside diameters of arc length on.
const APART_ODS: f64 = 4.0;

/// The solids of each collector that has a body, where it stands.
type Bodies = [Vec<Solid>];

pub(super) fn count(job: &Job, routes: &Routes, runs: &[Traced], misses: &mut Vec<Miss>) {
    let solids = |c: &Collector| {
        let of = |body: &Body| body.solids(c, &stands(c, routes), entering_od(job, c));
        c.body.as_ref().map_or_else(Vec::new, of)
    };
    let bodies: &Bodies = &job.collectors.iter().map(solids).collect::<Vec<_>>();
    let keepouts: Vec<Keepout> = job.keepouts.iter().cloned().chain(tool_ways(job)).collect();
    let of_run = |(i, run): (usize, &Traced)| {
        let mut misses = Vec::new();
        for keepout in &keepouts {
            to_keepout(run, keepout, &mut misses);
        }
        to_bodies(job, bodies, run, &mut misses);
        to_itself(job, run, &mut misses);
        for other in &runs[i + 1..] {
            to_run(job, run, other, &mut misses);
        }
        misses
    };
    let found: Vec<Vec<Miss>> = runs.par_iter().enumerate().map(of_run).collect();
    misses.extend(found.into_iter().flatten());
    for (collector, solids) in job.collectors.iter().zip(bodies) {
        of_body(collector, solids, &keepouts, misses);
    }
    for placed in part_ways(job, routes) {
        of_part(&placed, runs, &keepouts, misses);
    }
}

/// What blocks a sensor on its way out of its bung, or comes too near to a joint: runs, but for the wall beside it, and obstacles.
fn of_part(placed: &PartWay, runs: &[Traced], keepouts: &[Keepout], misses: &mut Vec<Miss>) {
    for run in runs {
        let mut worst = Worst::none();
        for (p, &s) in run.trace.points.iter().zip(&run.trace.stations) {
            if run.route.run == placed.run && (s - placed.at).abs() < placed.beside {
                continue;
            }
            worst.see(placed.way.shape.distance(*p) - 0.5 * run.od(), placed.way.clearance, s);
        }
        worst.report(run, Neighbour::Keepout(placed.way.name.clone()), misses);
    }
    let Some(run) = runs.iter().find(|r| r.route.run == placed.run) else { return };
    let radius = placed.radius;
    let last = (placed.length - radius).max(radius.min(0.5 * placed.length) + 0.1);
    let steps = placed.length.ceil() as usize;
    let first = radius.min(0.5 * placed.length);
    for keepout in keepouts.iter().filter(|k| !(placed.stands && k.holds_ports)) {
        let mut worst = Worst::none();
        let need = if placed.stands { keepout.clearance } else { 0.0 };
        for i in 0..=steps {
            let out = first + (last - first) * i as f64 / steps as f64;
            let distance = keepout.shape.distance(placed.foot + placed.axis * out);
            worst.see(distance - radius, need, placed.at);
        }
        let name = format!("{} (with the {})", keepout.name, placed.way.name);
        worst.report(run, Neighbour::Keepout(name), misses);
    }
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

/// A run keeps the gap between tubes from every body but beside the inlets and the outlet that it has to do with.
fn to_bodies(job: &Job, bodies: &Bodies, run: &Traced, misses: &mut Vec<Miss>) {
    let beside = REACH_ODS * run.od();
    for (collector, solids) in job.collectors.iter().zip(bodies).filter(|(_, solids)| !solids.is_empty()) {
        let mut worst = Worst::none();
        for (p, &s) in run.trace.points.iter().zip(&run.trace.stations) {
            let enters = run.enters == Some(&collector.name) && run.trace.length() - s <= run.end_stub + beside;
            let leaves = run.leaves == Some(&collector.name) && s <= run.start_stub + beside;
            if enters || leaves {
                continue;
            }
            let distance = solids.iter().map(|solid| solid.distance(*p)).fold(f64::INFINITY, f64::min);
            worst.see(distance - 0.5 * run.od(), job.clearance.tubes, s);
        }
        worst.report(run, Neighbour::Body(collector.name.clone()), misses);
    }
}

/// A body keeps the gap of each obstacle and stays out of the ways of tools, but for what ports and collectors sit in.
fn of_body(collector: &Collector, solids: &[Solid], keepouts: &[Keepout], misses: &mut Vec<Miss>) {
    for keepout in keepouts.iter().filter(|k| !k.holds_ports) {
        let gaps = solids.iter().flat_map(balls).map(|(centre, radius)| keepout.shape.distance(centre) - radius);
        let gap = gaps.fold(f64::INFINITY, f64::min);
        let (short, to) = (keepout.clearance - gap, keepout.name.clone());
        if short > PLACE_TOLERANCE {
            let what = Shortfall::BodyTooClose { collector: collector.name.clone(), to, gap, need: keepout.clearance };
            misses.push(Miss { run: None, by: short, what });
        }
    }
}

/// Balls along a cylinder or cone, 5 mm apart: centre and radius, mm.
fn balls(solid: &Solid) -> Vec<(Vec3, f64)> {
    let (from, to, radii) = match solid {
        Solid::Cylinder { from, to, radius } => (*from, *to, [*radius; 2]),
        Solid::Cone { from, to, radii } => (*from, *to, *radii),
        _ => return Vec::new(),
    };
    let steps = ((to - from).length() / 5.0).ceil().max(1.0);
    let at = |i: usize| i as f64 / steps;
    (0..=steps as usize).map(|i| (from.lerp(to, at(i)), radii[0] + (radii[1] - radii[0]) * at(i))).collect()
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
    (run.trace.length() - s <= run.end_stub + REACH_ODS * run.od()).then_some(collector)
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
    let is_welded = |run: &Traced, s: f64| run.trace.length() - s <= run.welded;
    let radii = 0.5 * (a.od() + b.od());
    for (p, &s) in a.trace.points.iter().zip(&a.trace.stations) {
        let (inlet, outlet) = (near_inlet(job, a, s), near_outlet(job, a, s));
        let welded = is_welded(a, s);
        for ((q, &sb), (inlet_b, outlet_b)) in b.trace.points.iter().zip(&b.trace.stations).zip(&of_b) {
            let square = (*p - *q).length_squared();
            let most = radii + job.clearance.tubes;
            if square > most * most && worst.short > 0.0 {
                continue;
            }
            if welded && inlet == *inlet_b && is_welded(b, sb) {
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
