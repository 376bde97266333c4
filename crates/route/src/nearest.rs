//! The nearest answer of a job that cannot be met: what cannot hold is eased by as little as it takes, and every other
//! requirement is kept.

use job::Monitor;
use job::model::{Job, Keepout};
use job::routes::{Routes, RunId};

use crate::finding::{Change, Impossibility, Miss, Shortfall};
use crate::problem::RoutingProblem;
use crate::proof::{Impossible, close_impossible};
use crate::search::outcome::{Outcome, solve};
use crate::search::search_run::have_clean_routes;
use crate::search::settings::Settings;

/// What a run whose target is out of reach is let be longer than its least length, as a share of it: the least length
/// knows nothing of obstacles, and a route around them takes some more.
const LONGER: f64 = 0.05;

/// What a run that finds no route of its length is let be longer, as a multiple of what its nearest attempt missed.
const LONGER_BY_MISS: f64 = 1.2;

/// Lengths tried.
const LENGTHS: usize = 4;

/// What an eased clearance is left short of its limit, mm.
const EASED: f64 = 0.1;

/// Rounds of proof and easing: closing one impossibility can uncover another.
const ROUNDS: usize = 4;

/// Most obstacles that are named as the cause of a blocked run.
const MOST_CAUSES: usize = 6;

/// Halvings by which the largest clearance is found that frees a blocked run.
const HALVINGS: usize = 4;

/// A run that finds no route even alone.
#[derive(Debug, Clone, PartialEq)]
pub struct Blocked {
    /// The run.
    pub run: RunId,
    /// The least amount by which an attempt missed, mm, when one was drawn.
    pub nearest: Option<f64>,
    /// Single changes after each of which it finds a route alone, the smallest first.
    pub freed_by: Vec<Change>,
}

impl Blocked {
    /// The miss of the run.
    pub fn miss(&self) -> Miss {
        let keepout = self.freed_by.iter().find_map(Change::keepout).map(ToString::to_string);
        let what = Shortfall::NoRouteAlone { nearest: self.nearest, keepout };
        Miss::of(&self.run, self.nearest.unwrap_or(1.0), what)
    }
}

/// The runs of `found`, each with its nearest miss in mm, with the changes that free them.
pub fn blocked(job: &Job, locked: &Routes, settings: Settings, found: &[(usize, f64)]) -> Vec<Blocked> {
    let names = RoutingProblem::new(job, &locked.runs).runs;
    let look = |&(run, miss): &(usize, f64)| Blocked {
        run: names[run].id.clone(),
        nearest: miss.is_finite().then_some(miss),
        freed_by: if settings.stopped() { Vec::new() } else { freeing(job, locked, settings, run) },
    };
    found.iter().map(look).collect()
}

/// The changes of one obstacle that free a blocked run: a smaller clearance where that is enough, then moving it.
fn freeing(job: &Job, locked: &Routes, settings: Settings, run: usize) -> Vec<Change> {
    let free_after = |change: &Change| {
        let mut changed = job.clone();
        change.apply(&mut changed);
        have_clean_routes(&RoutingProblem::new(&changed, &locked.runs), settings, &[run])
    };
    let (mut eased, mut moved) = (Vec::new(), Vec::new());
    for k in job.keepouts.iter().filter(|k| !k.holds_ports) {
        if settings.stopped() || moved.len() == MOST_CAUSES {
            break;
        }
        let without = Change::MoveKeepout { keepout: k.name.clone() };
        if free_after(&without) {
            eased.extend(largest_clearance(k, &free_after));
            moved.push(without);
        }
    }
    eased.append(&mut moved);
    eased
}

/// The largest clearance below today's that frees a run, when any does.
fn largest_clearance(keepout: &Keepout, free_after: &dyn Fn(&Change) -> bool) -> Option<Change> {
    let (name, from) = (&keepout.name, keepout.clearance);
    let with = |to: f64| Change::ReduceClearance { keepout: name.clone(), from, to };
    if from <= 0.0 || !free_after(&with(0.0)) {
        return None;
    }
    let (mut low, mut high) = (0.0, from);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if free_after(&with(middle)) { low = middle } else { high = middle }
    }
    Some(with((10.0 * low).floor() / 10.0))
}

/// Routes a job of which something is shown to be impossible, or some runs are `blocked`, with these eased.
pub fn nearest(job: &Job, locked: &Routes, blocked: &[Blocked], settings: Settings) -> Outcome {
    let mut freed = job.clone();
    blocked.iter().filter_map(|b| b.freed_by.first()).for_each(|change| change.apply(&mut freed));
    let quick = Settings { effort: 0, rounds: 3, pools: 1, draw_nearest: true, room: 0.0, ..settings };
    let routed = |problem: &RoutingProblem| solve(problem, None, quick, &mut Monitor::new(settings.stop, |_| ()));
    let mut problem = eased(&freed, locked, &[]);
    let mut best = routed(&problem);
    for _ in 1..LENGTHS {
        let lengths_eased = problem.runs.iter().any(|r| r.extra > 0.0);
        if best.met || !lengths_eased || settings.stopped() {
            break;
        }
        problem = eased(&freed, locked, &longer(&problem, &best));
        let found = routed(&problem);
        if miss(&found) <= miss(&best) {
            best = found;
        }
    }
    best
}

/// What each run is let be longer next, mm: more for those that found no route alone, else for all that were let be longer.
fn longer(problem: &RoutingProblem, found: &Outcome) -> Vec<f64> {
    let mut extras: Vec<f64> = problem.runs.iter().map(|r| r.extra).collect();
    for (run, extra) in extras.iter_mut().enumerate() {
        let Some(target) = problem.target(run) else { continue };
        match found.blocked.iter().find(|b| b.0 == run) {
            Some(&(_, miss)) if miss.is_finite() => *extra += LONGER_BY_MISS * miss,
            _ if found.blocked.is_empty() && *extra > 0.0 => *extra += LONGER * target,
            _ => {}
        }
    }
    extras
}

fn miss(outcome: &Outcome) -> f64 {
    if outcome.met { 0.0 } else { outcome.miss.map_or(f64::INFINITY, |m| m.0) }
}

/// The problem of a job with all that is shown to be impossible eased; `extras`: how much longer each run may be, mm.
fn eased(job: &Job, locked: &Routes, extras: &[f64]) -> RoutingProblem {
    let mut problem = RoutingProblem::new(job, &locked.runs);
    problem.runs.iter_mut().zip(extras).for_each(|(run, extra)| run.extra = *extra);
    for _ in 0..ROUNDS {
        let shown = close_impossible(&mut problem.clone());
        if shown.is_empty() {
            break;
        }
        shown.iter().for_each(|Impossible { run, why }| ease(&mut problem, run, why));
    }
    close_impossible(&mut problem);
    problem
}

/// Eases one requirement of a run.
fn ease(problem: &mut RoutingProblem, run: &RunId, why: &Impossibility) {
    match why {
        Impossibility::StraightLineTooLong { least, .. } | Impossibility::ShortestRouteTooLong { least, .. } => {
            let of_run = problem.runs.iter_mut().filter(|r| r.id == *run);
            of_run.for_each(|r| r.extra += why.by() + LONGER * least);
        }
        Impossibility::StubTooClose { keepout, by, .. } => {
            let radius = problem.runs.iter().find(|r| r.id == *run).map_or(0.0, |r| r.radius);
            let of_name = problem.obstacles.iter_mut().filter(|o| o.name == *keepout);
            of_name.for_each(|o| o.clearance -= by + EASED);
            // A stub whose middle lies in the obstacle has nothing left to keep to there.
            problem.obstacles.retain(|o| o.clearance > -radius);
        }
        Impossibility::StubFoulsDuringFitting { keepout, .. } => {
            problem.obstacles.iter_mut().filter(|o| o.name == *keepout).for_each(|o| o.tool = true);
        }
        Impossibility::PortsTooClose { by, .. } => problem.tube_gap -= by + EASED,
        Impossibility::TooFewInlets(inner) => ease(problem, run, inner),
    }
}
