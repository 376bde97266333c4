//! The front of the router: a job in, routes out.

use std::sync::atomic::AtomicBool;

use job::model::Job;
use job::routes::Routes;
use job::show::exact_with_unit;

use crate::goes_on::{Contact, goes_on};
use crate::problem::Problem;
use crate::proof::{Impossible, close_impossible};
use crate::recount::{Miss, Requirement, recount};
use crate::relax::{Relaxation, Unmet, relaxations};
use crate::search::drive::Settings;
use crate::search::solve::{Answer, Outcome, solve};

/// Rounds of picks before a job is given up.
const ROUNDS: usize = 6;

/// Pools before a job is given up.
const POOLS: usize = 2;

/// How the router works.
#[derive(Debug, Clone, Copy)]
pub struct RouteSettings {
    /// Seed: the same job, settings and seed give the same routes.
    pub seed: u64,
    /// Steps of improvement after the first answer, in hundreds; 0 stops at the first answer.
    pub effort: usize,
    /// Threads; 0: as many as there are cores. The answer does not depend on it.
    pub threads: usize,
    /// Whether answers that differ are looked for beyond the best one.
    pub varied: bool,
}

impl Default for RouteSettings {
    fn default() -> Self {
        RouteSettings { seed: 1, effort: 24, threads: 0, varied: false }
    }
}

/// What the router found.
#[derive(Debug, Clone)]
pub struct Routed {
    /// Whether every requirement holds.
    pub met: bool,
    /// Answers that hold every requirement, best first; when there is none, the nearest one.
    pub answers: Vec<Answer>,
    /// What the nearest answer misses, the worst first; empty when met.
    pub misses: Vec<Miss>,
    /// What was shown to be impossible before any search.
    pub impossible: Vec<Impossible>,
    /// Runs that find no way of their own, with the nearest miss, mm.
    pub blocked: Vec<(usize, f64)>,
    /// Whether the runs can be assigned to inlets at all.
    pub assignable: bool,
    /// Single relaxations tried, the most helpful first.
    pub relaxations: Vec<Relaxation>,
    /// The first contact when the header is put on, where that was asked and it does not go on.
    pub contact: Option<Contact>,
}

/// Routes every run of `job`. `last`: an earlier answer; its locked runs are kept, and with `effort` 0 a mended
/// version of it is the answer when there is one. `tell` hears of each better answer and may stop the search.
pub fn route(
    job: &Job,
    last: Option<&Routes>,
    settings: RouteSettings,
    tell: &mut (dyn FnMut(&Answer) -> bool + Send),
) -> Routed {
    route_until(job, last, settings, &AtomicBool::new(false), tell)
}

/// Routes as [`route`], and ends with the best so far soon after `stop` became true: then without answers that
/// differ and without relaxations.
pub fn route_until(
    job: &Job,
    last: Option<&Routes>,
    settings: RouteSettings,
    stop: &AtomicBool,
    tell: &mut (dyn FnMut(&Answer) -> bool + Send),
) -> Routed {
    match rayon::ThreadPoolBuilder::new().num_threads(settings.threads).build() {
        Ok(pool) => pool.install(|| route_here(job, last, settings, stop, tell)),
        // No threads to be had: the calling one does it all.
        Err(_) => route_here(job, last, settings, stop, tell),
    }
}

fn route_here(
    job: &Job,
    last: Option<&Routes>,
    settings: RouteSettings,
    stop: &AtomicBool,
    tell: &mut (dyn FnMut(&Answer) -> bool + Send),
) -> Routed {
    let locked: Routes = Routes {
        runs: last.map_or(Vec::new(), |l| l.runs.iter().filter(|r| r.locked).cloned().collect()),
        collectors: Vec::new(),
    };
    let mut problem = Problem::new(job, &locked.runs);
    let impossible = close_impossible(&mut problem);
    let search = Settings {
        seed: settings.seed,
        effort: settings.effort,
        rounds: ROUNDS,
        pools: POOLS,
        draw_nearest: true,
        room: 0.0,
        stop,
    };
    let hopeless = Settings { effort: 0, pools: 0, ..search };
    let mut outcome = solve(&problem, last, if impossible.is_empty() { search } else { hopeless }, tell);
    outcome.met &= impossible.is_empty();
    if settings.varied && outcome.met {
        roomy(&problem, search, &mut outcome);
    }
    report(job, &locked, search, outcome, impossible)
}

/// Adds answers with more room, found by asking for it: as much as can be had in halving steps.
fn roomy(problem: &Problem, settings: Settings, outcome: &mut Outcome) {
    for room in [12.0, 6.0, 3.0] {
        if settings.stopped() {
            return;
        }
        let wider = Settings { room, effort: settings.effort / 2, rounds: 2, pools: 1, ..settings };
        let start = outcome.answers.first().map(|a| a.routes.clone());
        let found = solve(problem, start.as_ref(), wider, &mut |_| true);
        if found.met {
            outcome.answers.extend(found.answers.into_iter().take(3));
            return;
        }
    }
}

fn report(job: &Job, locked: &Routes, search: Settings, outcome: Outcome, impossible: Vec<Impossible>) -> Routed {
    let mut routed = Routed {
        met: outcome.met,
        answers: outcome.answers,
        misses: Vec::new(),
        impossible,
        blocked: outcome.blocked,
        assignable: outcome.assignable,
        relaxations: Vec::new(),
        contact: None,
    };
    if let Some(moves) = &job.goes_on {
        // Of the answers, one that goes on comes first.
        let contact = |a: &Answer| goes_on(job, &a.routes, moves).ok().flatten();
        if let Some(first) = routed.answers.iter().position(|a| contact(a).is_none()) {
            routed.answers[..=first].rotate_right(1);
        } else {
            routed.contact = routed.answers.first().and_then(contact);
        }
        routed.met &= routed.contact.is_none();
    }
    if !routed.met {
        let nearest = routed.answers.first().map(|a| &a.routes);
        routed.misses = nearest.map_or(Vec::new(), |n| recount(job, n));
        routed.misses.sort_by(|a, b| b.by.total_cmp(&a.by));
        routed.answers.truncate(1);
        let blocked: Vec<usize> = routed.blocked.iter().map(|b| b.0).collect();
        let quick = Settings { effort: 0, rounds: 2, pools: 1, draw_nearest: false, ..search };
        let nearest = routed.answers.first().map(|a| &a.routes);
        let (misses, impossible) = (&routed.misses[..], &routed.impossible[..]);
        let touched = routed.contact.as_ref().map(|c| &*c.keepout);
        let unmet = Unmet { nearest, misses, impossible, touched, blocked: &blocked, locked };
        if !search.stopped() {
            routed.relaxations = relaxations(job, &unmet, quick);
        }
    }
    routed
}

impl Routed {
    /// Every requirement that is not met, in words; empty when met.
    pub fn unmet(&self, job: &Job) -> Vec<Miss> {
        if self.met {
            return Vec::new();
        }
        let names = Problem::new(job, &[]);
        let long = |l: f64| exact_with_unit(l, job.units);
        let mut unmet: Vec<Miss> = self
            .impossible
            .iter()
            .map(|i| Miss {
                requirement: i.requirement,
                run: Some(names.runs[i.run].id.clone()),
                by: i.by,
                message: format!("this can't be met by any route: {}", i.why),
            })
            .collect();
        let shown = |run: usize| self.impossible.iter().any(|i| i.run == run);
        for &(run, miss) in self.blocked.iter().filter(|b| !shown(b.0)) {
            let amount =
                if miss.is_finite() { format!("; the nearest way misses by {}", long(miss)) } else { String::new() };
            unmet.push(Miss {
                requirement: Requirement::Runs,
                run: Some(names.runs[run].id.clone()),
                by: if miss.is_finite() { miss } else { 1.0 },
                message: format!("no way was found for this run even without the others{amount}"),
            });
        }
        if !self.assignable && self.impossible.is_empty() {
            unmet.push(Miss {
                requirement: Requirement::Inlet,
                run: None,
                by: 1.0,
                message: "the runs can't be shared out among the inlets that each of them can reach".into(),
            });
        }
        if let Some(c) = &self.contact {
            unmet.push(Miss {
                requirement: Requirement::KeepoutGap,
                run: Some(c.run.clone()),
                by: c.before_seated,
                message: format!(
                    "when the header is put on it touches {} in move {}, {} before it is seated",
                    c.keepout,
                    c.step,
                    long(c.before_seated)
                ),
            });
        }
        unmet.extend(self.misses.iter().cloned());
        unmet
    }
}
