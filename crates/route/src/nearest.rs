//! The nearest answer of a job that cannot be met: what cannot hold is eased by as little as it takes, and every other
//! requirement is kept.

use job::Monitor;
use job::model::{Job, Keepout};
use job::routes::{Routes, RunId};

use crate::finding::{Change, Impossibility, Miss, Shortfall};
use crate::problem::Problem;
use crate::proof::{Impossible, close_impossible};
use crate::search::drive::finds_ways;
use crate::search::settings::Settings;
use crate::search::solve::{Outcome, solve};

/// What a run is let be longer than its least length, as shares of it, until routes of that length are found: the least
/// length knows nothing of obstacles, and a route around them takes some more.
const LONGER: [f64; 3] = [0.03, 0.1, 0.3];

/// What an eased clearance is left short of its limit, mm.
const EASED: f64 = 0.1;

/// Rounds of proof and easing: closing one impossibility can uncover another.
const ROUNDS: usize = 4;

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
    let names = Problem::new(job, &locked.runs).runs;
    let look = |&(run, miss): &(usize, f64)| Blocked {
        run: names[run].id.clone(),
        nearest: miss.is_finite().then_some(miss),
        freed_by: if settings.stopped() { Vec::new() } else { freeing(job, locked, settings.seed, run) },
    };
    found.iter().map(look).collect()
}

/// The changes of one obstacle that free a blocked run: a smaller clearance where that is enough, then moving it.
fn freeing(job: &Job, locked: &Routes, seed: u64, run: usize) -> Vec<Change> {
    let free_after = |change: &Change| {
        let mut changed = job.clone();
        change.apply(&mut changed);
        finds_ways(&Problem::new(&changed, &locked.runs), seed, &[run])
    };
    let (mut eased, mut moved) = (Vec::new(), Vec::new());
    for k in job.keepouts.iter().filter(|k| !k.holds_ports) {
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

/// Routes a job of which `impossible` and `blocked` cannot hold, with these eased.
pub fn nearest(job: &Job, locked: &Routes, blocked: &[Blocked], settings: Settings) -> Outcome {
    let mut freed = job.clone();
    blocked.iter().filter_map(|b| b.freed_by.first()).for_each(|change| change.apply(&mut freed));
    let quick = Settings { effort: 0, rounds: 3, pools: 1, draw_nearest: true, room: 0.0, ..settings };
    let mut outcome: Option<Outcome> = None;
    for longer in LONGER {
        let (problem, lengths) = eased(&freed, locked, longer);
        let found = solve(&problem, None, quick, &mut Monitor::new(settings.stop, |_| ()));
        let done = found.met || !lengths || settings.stopped();
        let nearer = outcome.as_ref().is_none_or(|o| miss(&found) < miss(o));
        if nearer {
            outcome = Some(found);
        }
        if done {
            break;
        }
    }
    outcome.expect("one share at least is tried")
}

fn miss(outcome: &Outcome) -> f64 {
    if outcome.met { 0.0 } else { outcome.miss.map_or(f64::INFINITY, |m| m.0) }
}

/// The problem of a job with all that is shown to be impossible eased, and whether a length is among it.
fn eased(job: &Job, locked: &Routes, longer: f64) -> (Problem, bool) {
    let mut problem = Problem::new(job, &locked.runs);
    let mut lengths = false;
    for _ in 0..ROUNDS {
        let shown = close_impossible(&mut problem.clone());
        if shown.is_empty() {
            break;
        }
        for Impossible { run, why } in &shown {
            lengths |= ease(&mut problem, run, why, longer);
        }
    }
    close_impossible(&mut problem);
    (problem, lengths)
}

/// Eases one requirement; whether it is a length.
fn ease(problem: &mut Problem, run: &RunId, why: &Impossibility, longer: f64) -> bool {
    match why {
        Impossibility::StraightLineTooLong { line: least, .. } | Impossibility::ShortestRouteTooLong { least, .. } => {
            let of_run = problem.runs.iter_mut().filter(|r| r.id == *run);
            of_run.for_each(|r| r.extra += why.by() + longer * least);
            return true;
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
        Impossibility::TooFewInlets(inner) => return ease(problem, run, inner, longer),
    }
    false
}
