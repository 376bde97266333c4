//! The slow truth: every requirement of a job counted again for given routes, the plain way.
//!
//! Nothing of the search or of the exact report is used: runs are traced from their points and radii
//! into points half a millimetre apart, and every point is held against every other and against
//! every solid. A gap found so is at most some thousandths of a millimetre too great, never too
//! small, so what is reported here is truly missed. Tests hold every answer of the search to it.

mod gaps;
mod rules;
mod trace;

use geom::Vec3;
use job::model::{Job, LengthWish, RunSpec};
use job::routes::{Route, Routes, RunId};
use job::show::exact_with_unit;

use trace::Trace;

/// Places and lengths may be off by this much, mm: routes are written with three decimals.
const PLACE_TOLERANCE: f64 = 0.01;

/// Directions may be off by this much, rad: the rounding of a point at the end of a stub.
const DIRECTION_TOLERANCE: f64 = 2e-4;

/// Turn allowed at one bend, degrees. Slighter ones are better left out, sharper ones are made as two;
/// common practice, no source.
const TURN_RANGE_DEG: [f64; 2] = [5.0, 165.0];

/// What is asked of routes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Requirement {
    /// One route for each run, each a tube.
    Runs,
    /// It starts at its port or collector, along its axis.
    Start,
    /// It ends at its inlet or place, along its axis.
    End,
    /// Its CLRs are in stock.
    Radii,
    /// Its bends turn neither too little nor too much.
    Turn,
    /// The straights at its ends are long enough.
    Stub,
    /// Its length, or the evenness of all.
    Length,
    /// A tail passes through its points.
    Via,
    /// The gap to another run.
    TubeGap,
    /// The gap to itself.
    SelfGap,
    /// The gap to a keep-out or a tool's way.
    KeepoutGap,
    /// It may enter there, and nothing else does.
    Inlet,
    /// Both entries of a twin flange take one group each.
    Twin,
    /// The inlets follow the firing order.
    Rotation,
    /// A collector stands where it may.
    Collector,
}

/// One requirement that is missed.
#[derive(Debug, Clone, PartialEq)]
pub struct Miss {
    /// Which.
    pub requirement: Requirement,
    /// By which run, where it is one run's.
    pub run: Option<RunId>,
    /// By how much: mm, or degrees for turns and directions; 1 where there is no amount.
    pub by: f64,
    /// In words, lengths in the job's unit.
    pub message: String,
}

impl std::fmt::Display for Miss {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match &self.run {
            Some(run) => write!(f, "{run}: {}", self.message),
            None => write!(f, "{}", self.message),
        }
    }
}

/// A run with all that is asked of it.
struct Traced<'a> {
    route: &'a Route,
    spec: &'a RunSpec,
    trace: Trace,
    start: Vec3,
    start_axis: Vec3,
    start_stub: f64,
    end: Vec3,
    end_axis: Vec3,
    end_stub: f64,
    via: &'a [Vec3],
    leaves: Option<&'a str>,
    /// The collector it enters, by name.
    enters: Option<&'a str>,
}

impl Traced<'_> {
    fn od(&self) -> f64 {
        self.spec.tube.od
    }
}

/// Everything that the routes miss of the job; empty when every requirement holds.
pub fn recount(job: &Job, routes: &Routes) -> Vec<Miss> {
    let (mut misses, runs) = rules_of(job, routes);
    gaps::count(job, &runs, &mut misses);
    misses
}

/// What the routes miss of everything but the gaps: quick, for routes that are being changed.
pub fn recount_but_gaps(job: &Job, routes: &Routes) -> Vec<Miss> {
    rules_of(job, routes).0
}

fn rules_of<'a>(job: &'a Job, routes: &'a Routes) -> (Vec<Miss>, Vec<Traced<'a>>) {
    let mut misses = Vec::new();
    let mut runs = Vec::new();
    for wanted in wanted_runs(job) {
        match routes.runs.iter().filter(|r| r.run == wanted).collect::<Vec<_>>()[..] {
            [route] => match rules::trace(job, routes, route) {
                Ok(traced) => runs.push(traced),
                Err(miss) => misses.push(miss),
            },
            ref several => misses.push(Miss {
                requirement: Requirement::Runs,
                run: Some(wanted),
                by: 1.0,
                message: format!("there are {} routes for it", several.len()),
            }),
        }
    }
    for run in &runs {
        rules::ends(job, run, &mut misses);
        rules::shape(job, run, &mut misses);
    }
    rules::collectors(job, routes, &mut misses);
    rules::inlets(job, &runs, &mut misses);
    lengths(job, &runs, &mut misses);
    (misses, runs)
}

/// The runs that a job must have.
fn wanted_runs(job: &Job) -> Vec<RunId> {
    let primaries = job.ports.iter().map(|p| RunId::Primary { cylinder: p.cylinder });
    let feeding = job.collectors.iter().filter(|c| c.feeds.is_some());
    let secondaries = feeding.map(|c| RunId::Secondary { from: c.name.clone() });
    let tails = job.tails.iter().map(|t| RunId::Tail { from: t.from.clone() });
    primaries.chain(secondaries).chain(tails).collect()
}

/// A wish and which runs it is for.
type Wish<'a> = (&'a LengthWish, fn(&RunId) -> bool);

fn lengths(job: &Job, runs: &[Traced], misses: &mut Vec<Miss>) {
    let long = |l: f64| exact_with_unit(l, job.units);
    let kinds: [Wish; 3] = [
        (&job.primary.length, |r| matches!(r, RunId::Primary { .. })),
        (&job.secondary.length, |r| matches!(r, RunId::Secondary { .. })),
        (&job.tail.length, |r| matches!(r, RunId::Tail { .. })),
    ];
    for (wish, is_kind) in kinds {
        let kind: Vec<&Traced> = runs.iter().filter(|r| is_kind(&r.route.run)).collect();
        if let Some(target) = wish.target {
            for run in kind {
                let over = (run.trace.length() - target).abs() - wish.tolerance;
                if over > PLACE_TOLERANCE {
                    let message = format!(
                        "{} long; {} within {} is wanted",
                        long(run.trace.length()),
                        long(target),
                        long(wish.tolerance)
                    );
                    let run = Some(run.route.run.clone());
                    misses.push(Miss { requirement: Requirement::Length, run, by: over, message });
                }
            }
            continue;
        }
        let by_length = |a: &&&Traced, b: &&&Traced| a.trace.length().total_cmp(&b.trace.length());
        let (Some(least), Some(most)) = (kind.iter().min_by(by_length), kind.iter().max_by(by_length)) else {
            continue;
        };
        let spread = most.trace.length() - least.trace.length();
        if spread - wish.tolerance > PLACE_TOLERANCE {
            misses.push(Miss {
                requirement: Requirement::Length,
                run: Some(most.route.run.clone()),
                by: spread - wish.tolerance,
                message: format!(
                    "{} longer than {}; within {} is wanted",
                    long(spread),
                    least.route.run,
                    long(wish.tolerance)
                ),
            });
        }
    }
}
