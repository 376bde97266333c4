//! The routing problem as the search sees it: plain arrays, every name replaced by an index.

use geom::{Frame, Vec3};
use job::inlets::{collector_frame, end_stub, entering_od, inlets, outlet, welded};
use job::model::{Groups, Job, LengthTarget, MayMove, Rotation, RunSpec};
use job::routes::{Route, RunId};

use crate::bodies::NEAR_INLET_ODS;
use crate::bodies::{BodySolid, bodies};
use crate::obstacle::Obstacle;

/// Everything the search needs to know.
#[derive(Debug, Clone)]
pub struct RoutingProblem {
    /// The runs: primaries, secondaries, tails, each in the job's order.
    pub runs: Vec<Run>,
    /// The collectors in the job's order.
    pub seats: Vec<Seat>,
    /// Keep-outs and the ways of tools.
    pub obstacles: Vec<Obstacle>,
    /// Bodies of the collectors, as they were drawn.
    pub bodies: Vec<BodySolid>,
    /// Places of the header while it is put on, from the first to the seated one at 0; empty when not asked for.
    pub slide: Vec<Vec3>,
    /// Gap to keep between tubes, mm.
    pub tube_gap: f64,
    /// Targets for the lengths of primaries, secondaries and tails.
    pub length_targets: [LengthTarget; 3],
}

/// One run to be routed.
#[derive(Debug, Clone)]
pub struct Run {
    /// The run.
    pub id: RunId,
    /// Where it starts (of a run that leaves a collector: as the collector was drawn).
    pub start: Vec3,
    /// Unit direction there.
    pub axis: Vec3,
    /// The collector it leaves.
    pub leaves: Option<usize>,
    /// Least straight at the start, mm.
    pub stub: f64,
    /// Outside radius of the tube, mm.
    pub radius: f64,
    /// Centreline radii that can be bought, mm, ascending.
    pub clrs: Vec<f64>,
    /// The longest leg that a bought bend of each CLR brings, mm.
    pub legs: Vec<f64>,
    /// Shortest straight that can be a piece of its own, mm.
    pub least_straight: f64,
    /// Where it may end.
    pub ends: Vec<End>,
    /// Index of its target in [`RoutingProblem::length_targets`].
    pub wanted: usize,
    /// Length added to that target for this run alone, mm; above 0 only where the target is out of reach.
    pub extra: f64,
    /// Points that it must pass through.
    pub via: Vec<Vec3>,
    /// The route it must keep.
    pub locked: Option<Route>,
}

/// One place where a run may end.
#[derive(Debug, Clone)]
pub struct End {
    /// The collector, `None` for a tail.
    pub collector: Option<usize>,
    /// Inlet number from 1, 0 for a tail.
    pub inlet: usize,
    /// Centre of the inlet, as drawn.
    pub at: Vec3,
    /// Unit direction of flow there.
    pub axis: Vec3,
    /// Least straight before it, mm.
    pub stub: f64,
    /// Length before it within which tubes of the same collector are one body, mm.
    pub welded: f64,
    /// Gap to neighbours that is enough close to it, mm.
    pub gap: f64,
    /// How much too near the nearest neighbour still is where that gap is enough no longer, when both come straight from
    /// there, mm; not above 0: far enough.
    pub apart: f64,
}

/// A collector and how far it may be moved.
#[derive(Debug, Clone)]
pub struct Seat {
    /// Name of the collector.
    pub name: String,
    /// Where it was drawn.
    pub frame: Frame,
    /// How far it may go.
    pub may_move: MayMove,
    /// Number of inlets.
    pub inlets: usize,
    /// Least straight before and after it, mm.
    pub stub: f64,
    /// Cylinders in the order around it that is asked for; empty: any.
    pub rotation: Vec<u32>,
    /// The two groups of a divided entry; empty: none.
    pub twin: Vec<Vec<u32>>,
}

impl Seat {
    /// Whether anything of it may move.
    pub fn moves(&self) -> bool {
        self.may_move != MayMove::default()
    }

    /// How far a place on the collector can come to lie from where it was drawn, at most, mm.
    pub fn reach(&self, at: Vec3) -> f64 {
        let may = &self.may_move;
        let off = at - self.frame.origin;
        let arm = (off - self.frame.forward * off.dot(self.frame.forward)).length();
        let rolled = 2.0 * arm * (0.5 * may.roll.min(std::f64::consts::PI)).sin();
        may.along + std::f64::consts::SQRT_2 * may.aside + rolled
    }

    /// The frame after a move of (along, right, up, roll) in mm and rad.
    pub fn moved(&self, q: &[f64; 4]) -> Frame {
        let f = &self.frame;
        Frame { origin: self.origin(q), forward: f.forward, up: geom::rotate_about(f.up, f.forward, q[3]) }
    }

    fn origin(&self, q: &[f64; 4]) -> Vec3 {
        let f = &self.frame;
        f.origin + f.forward * q[0] + f.right() * q[1] + f.up * q[2]
    }

    /// A place on the collector after a move.
    pub fn carried(&self, at: Vec3, q: &[f64; 4]) -> Vec3 {
        self.origin(q) + self.turned(at - self.frame.origin, q)
    }

    /// A direction on the collector after a move.
    pub fn turned(&self, direction: Vec3, q: &[f64; 4]) -> Vec3 {
        if q[3] == 0.0 { direction } else { geom::rotate_about(direction, self.frame.forward, q[3]) }
    }

    /// Where a place must lie, as the collector was drawn, to be met by it after a move as `at` is.
    pub fn back(&self, at: Vec3, q: &[f64; 4]) -> Vec3 {
        let off = at - self.origin(q);
        self.frame.origin + self.turned(off, &[0.0, 0.0, 0.0, -q[3]])
    }

    /// The nearest move that is allowed.
    pub fn clamp(&self, q: &mut [f64; 4]) {
        let m = &self.may_move;
        q[0] = q[0].clamp(-m.along, m.along);
        let aside = q[1].hypot(q[2]);
        if aside > m.aside {
            q[1] *= m.aside / aside;
            q[2] *= m.aside / aside;
        }
        q[3] = q[3].clamp(-m.roll, m.roll);
    }
}

impl RoutingProblem {
    /// The problem of a checked job. `locked` routes stay as they are.
    pub fn new(job: &Job, locked: &[Route]) -> Self {
        let tools = crate::tools::tool_ways(job);
        let obstacles = job
            .keepouts
            .iter()
            .map(|k| Obstacle::new(k, false))
            .chain(tools.iter().map(|k| Obstacle::new(k, true)))
            .collect();
        let bodies = bodies(job, |c| collector_frame(&job.collectors[c]));
        let seats: Vec<Seat> = job.collectors.iter().map(|c| seat(job, c)).collect();
        let mut runs = Vec::new();
        for port in &job.ports {
            let id = RunId::Primary { cylinder: port.cylinder };
            let ends = primary_ends(job, port.cylinder);
            runs.push(run(job, &job.primary, id, (port.at, port.axis, port.stub), None, ends, 0));
        }
        for (i, c) in job.collectors.iter().enumerate() {
            if let Some(to) = &c.feeds {
                let id = RunId::Secondary { from: c.name.clone() };
                let ends = collector_ends(job, to);
                let from = outlet(c, &collector_frame(c));
                runs.push(run(job, &job.secondary, id, (from.at, from.axis, c.stub), Some(i), ends, 1));
            }
        }
        for tail in &job.tails {
            let Some((i, c)) = job.collectors.iter().enumerate().find(|(_, c)| c.name == tail.from) else { continue };
            let id = RunId::Tail { from: tail.from.clone() };
            let end = End {
                collector: None,
                inlet: 0,
                at: tail.to,
                axis: tail.axis,
                stub: 0.0,
                welded: 0.0,
                gap: 0.0,
                apart: 0.0,
            };
            let from = outlet(c, &collector_frame(c));
            let mut run = run(job, &job.tail, id, (from.at, from.axis, c.stub), Some(i), vec![end], 2);
            run.via = tail.via.clone();
            runs.push(run);
        }
        for run in &mut runs {
            run.locked = locked.iter().find(|r| r.run == run.id).cloned();
            if let Some(route) = &run.locked {
                let name = &route.collector;
                run.ends.retain(|e| e.collector.is_none_or(|c| seats[c].name == *name && e.inlet == route.inlet));
            }
        }
        let length_targets = [job.primary.length, job.secondary.length, job.tail.length];
        RoutingProblem {
            runs,
            seats,
            obstacles,
            bodies,
            slide: slide(job),
            tube_gap: job.clearance.tubes,
            length_targets,
        }
    }

    /// Target length of run `run`, mm.
    pub fn target(&self, run: usize) -> Option<f64> {
        let run = &self.runs[run];
        self.length_targets[run.wanted].target.map(|target| target + run.extra)
    }

    /// The end `end` of run `run` when its collector has been moved by `moves`.
    pub fn end_place(&self, run: usize, end: usize, moves: &[[f64; 4]]) -> Vec3 {
        let e = &self.runs[run].ends[end];
        match e.collector {
            Some(c) if self.seats[c].moves() => self.seats[c].carried(e.at, &moves[c]),
            _ => e.at,
        }
    }

    /// The direction of flow at the end `end` of run `run` when its collector has been moved by `moves`.
    pub fn end_axis(&self, run: usize, end: usize, moves: &[[f64; 4]]) -> Vec3 {
        let e = &self.runs[run].ends[end];
        e.collector.map_or(e.axis, |c| self.seats[c].turned(e.axis, &moves[c]))
    }

    /// The direction of flow at the start of run `run` when the collector it leaves has been moved by `moves`.
    pub fn start_axis(&self, run: usize, moves: &[[f64; 4]]) -> Vec3 {
        let r = &self.runs[run];
        r.leaves.map_or(r.axis, |c| self.seats[c].turned(r.axis, &moves[c]))
    }

    /// The start of run `run` when the collector it leaves has been moved by `moves`.
    pub fn start_place(&self, run: usize, moves: &[[f64; 4]]) -> Vec3 {
        match self.runs[run].leaves {
            Some(c) if self.seats[c].moves() => self.seats[c].carried(self.runs[run].start, &moves[c]),
            _ => self.runs[run].start,
        }
    }
}

/// The places that the job's moves lead through, seen from the seated one.
fn slide(job: &Job) -> Vec<Vec3> {
    let Some(moves) = job.goes_on.as_ref().filter(|m| !m.is_empty()) else { return Vec::new() };
    let mut at = -moves.iter().sum::<Vec3>();
    let mut places = vec![at];
    for step in moves {
        at += *step;
        places.push(at);
    }
    places
}

fn run(
    job: &Job,
    spec: &RunSpec,
    id: RunId,
    (start, axis, stub): (Vec3, Vec3, f64),
    leaves: Option<usize>,
    ends: Vec<End>,
    wanted: usize,
) -> Run {
    let clrs = usable_clrs(job, spec);
    Run {
        id,
        start,
        axis,
        leaves,
        stub,
        radius: 0.5 * spec.tube.od,
        legs: longest_legs(job, spec, &clrs),
        clrs,
        least_straight: job.saw.min_straight,
        ends,
        wanted,
        extra: 0.0,
        via: Vec::new(),
        locked: None,
    }
}

impl Run {
    /// The longest straight that a bend of CLR `clr` can carry on one side, mm.
    pub fn carry(&self, clr: f64) -> f64 {
        let at = self.clrs.iter().position(|c| (c - clr).abs() < 1e-6);
        at.map_or(0.0, |i| self.legs[i])
    }
}

fn longest_legs(job: &Job, spec: &RunSpec, clrs: &[f64]) -> Vec<f64> {
    let leg = |clr: f64| {
        let bends =
            job.stock.bends.iter().filter(|b| spec.tube.is_same_size(b.od, b.wall) && (b.clr - clr).abs() < 1e-6);
        bends.map(|b| b.legs[0].max(b.legs[1])).fold(0.0, f64::max)
    };
    clrs.iter().map(|&clr| leg(clr)).collect()
}

/// The CLRs that can be bought or lie on the shelf for a tube, ascending.
pub fn usable_clrs(job: &Job, spec: &RunSpec) -> Vec<f64> {
    let mut clrs: Vec<f64> =
        job.stock.bends.iter().filter(|b| spec.tube.is_same_size(b.od, b.wall)).map(|b| b.clr).collect();
    clrs.sort_by(f64::total_cmp);
    clrs.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    clrs
}

fn primary_ends(job: &Job, cylinder: u32) -> Vec<End> {
    let mut ends = Vec::new();
    for c in &job.collectors {
        let fed = job.collectors.iter().any(|other| other.feeds.as_deref() == Some(&c.name));
        let listed = c.cylinders.contains(&cylinder);
        if !listed && (fed || !c.cylinders.is_empty()) {
            continue;
        }
        let fixed = c.inlet_of.iter().find(|(k, _)| *k == cylinder).map(|(_, inlet)| *inlet);
        let taken = |inlet: usize| c.inlet_of.iter().any(|(k, i)| *i == inlet && *k != cylinder);
        for end in collector_ends(job, &c.name) {
            if fixed.map_or(!taken(end.inlet), |inlet| inlet == end.inlet) {
                ends.push(end);
            }
        }
    }
    // A cylinder that one collector names, or pins to an inlet, goes there and nowhere else.
    let named = |e: &End| {
        let c = &job.collectors[e.collector.expect("a primary ends at a collector")];
        c.cylinders.contains(&cylinder) || c.inlet_of.iter().any(|(k, _)| *k == cylinder)
    };
    if ends.iter().any(named) {
        ends.retain(named);
    }
    ends
}

fn collector_ends(job: &Job, name: &str) -> Vec<End> {
    let Some((i, c)) = job.collectors.iter().enumerate().find(|(_, c)| c.name == name) else { return Vec::new() };
    let od = entering_od(job, c);
    let inlets = inlets(c, &collector_frame(c), od);
    // Where the collector's own gap ends, on the line that each inlet's tube comes along.
    let border: Vec<Vec3> = inlets.iter().map(|i| i.in_plane - i.axis * (c.stub + NEAR_INLET_ODS * od)).collect();
    let apart = |k: usize| {
        let others = border.iter().enumerate().filter(|(other, _)| *other != k);
        let nearest = others.map(|(_, p)| (*p - border[k]).length()).fold(f64::INFINITY, f64::min);
        od + job.clearance.tubes - nearest
    };
    inlets
        .iter()
        .enumerate()
        .map(|(k, inlet)| End {
            collector: Some(i),
            inlet: k + 1,
            at: inlet.at,
            axis: inlet.axis,
            stub: end_stub(c),
            welded: welded(c, od),
            gap: c.gap.min(job.clearance.tubes),
            apart: apart(k),
        })
        .collect()
}

fn seat(job: &Job, c: &job::model::Collector) -> Seat {
    let order = job.engine.as_ref().and_then(|e| e.firing_order.clone()).unwrap_or_default();
    let cylinders: Vec<u32> = job.ports.iter().map(|p| p.cylinder).collect();
    let here: Vec<u32> = if c.cylinders.is_empty() { cylinders } else { c.cylinders.clone() };
    Seat {
        name: c.name.clone(),
        frame: collector_frame(c),
        may_move: c.may_move,
        inlets: c.inlets,
        stub: c.stub,
        rotation: if c.rotation == Rotation::Firing { order.clone() } else { Vec::new() },
        twin: if c.groups == Groups::Twin {
            job::firing::groups(&order, &here, 2).unwrap_or_default()
        } else {
            Vec::new()
        },
    }
}
