//! The front of the router: a job in, routes out.

use job::Monitor;
use job::model::Job;
use job::routes::{Routes, RunId};

use crate::finding::{Miss, Requirement, Shortfall};
use crate::goes_on::{Contact, HeaderPart, can_be_put_on, goes_on};
use crate::nearest::{Blocked, blocked, nearest};
use crate::problem::RoutingProblem;
use crate::proof::{Impossible, close_impossible};
use crate::recount::{recount, recount_but_gaps};
use crate::relax::{Relaxation, Unmet, relaxations};
use crate::search::outcome::{Answer, Outcome, solve};
use crate::search::search_run::steps_ahead;
use crate::search::settings::Settings;

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
    /// Every requirement that is missed, causes first, then what else the nearest answer misses, the worst first; empty
    /// when met.
    pub misses: Vec<Miss>,
    /// What was shown to be impossible before any search.
    pub impossible: Vec<Impossible>,
    /// Runs that find no route even alone.
    pub blocked: Vec<Blocked>,
    /// Single changes tried, the most helpful first.
    pub relaxations: Vec<Relaxation>,
    /// The first contact when the header is put on, where that was asked and it does not go on.
    pub contact: Option<Contact>,
}

/// Routes every run of `job`. `last`: an earlier answer; its locked runs are kept, and with `effort` 0 a repaired
/// version of it is the answer when there is one. `monitor` hears of each better answer; when it is stopped, the best so
/// far is the answer, without alternatives and without relaxations.
pub fn route(job: &Job, last: Option<&Routes>, settings: RouteSettings, monitor: &mut Monitor<Answer>) -> Routed {
    match rayon::ThreadPoolBuilder::new().num_threads(settings.threads).build() {
        Ok(pool) => pool.install(|| route_here(job, last, settings, monitor)),
        // No threads to be had: the calling one does it all.
        Err(_) => route_here(job, last, settings, monitor),
    }
}

fn route_here(job: &Job, last: Option<&Routes>, settings: RouteSettings, monitor: &mut Monitor<Answer>) -> Routed {
    let locked: Routes = Routes {
        runs: last.map_or(Vec::new(), |l| l.runs.iter().filter(|r| r.locked).cloned().collect()),
        collectors: Vec::new(),
    };
    let mut problem = RoutingProblem::new(job, &locked.runs);
    let impossible = close_impossible(&mut problem);
    let search = Settings {
        seed: settings.seed,
        effort: settings.effort,
        rounds: ROUNDS,
        pools: POOLS,
        draw_nearest: true,
        room: 0.0,
        stop: monitor.stop_flag(),
        pace: monitor.pace(),
    };
    let roomier = search.pace.ahead(if settings.varied { steps_ahead(settings.effort / 2) } else { 0 });
    let mut outcome =
        if impossible.is_empty() { solve(&problem, last, search, monitor) } else { nearest(job, &locked, &[], search) };
    outcome.met &= impossible.is_empty();
    // The search for more room counts its own steps.
    roomier.give_back();
    if settings.varied && outcome.met {
        add_roomier(&problem, search, &mut outcome);
    }
    let blocked = if impossible.is_empty() { blocked(job, &locked, search, &outcome.blocked) } else { Vec::new() };
    if blocked.iter().any(|b| !b.freed_by.is_empty()) && !search.stopped() {
        outcome.answers = nearest(job, &locked, &blocked, search).answers;
    }
    report(job, &locked, search, outcome, impossible, blocked)
}

/// Adds answers with more room, found by asking for it: as much as can be had in halving steps.
fn add_roomier(problem: &RoutingProblem, settings: Settings, outcome: &mut Outcome) {
    for room in [12.0, 6.0, 3.0] {
        if settings.stopped() {
            return;
        }
        let wider = Settings { room, effort: settings.effort / 2, rounds: 2, pools: 1, ..settings };
        let start = outcome.answers.first().map(|a| a.routes.clone());
        let found = solve(problem, start.as_ref(), wider, &mut Monitor::new(settings.stop, |_| ()));
        if found.met {
            outcome.answers.extend(found.answers.into_iter().take(3));
            return;
        }
    }
}

fn report(
    job: &Job,
    locked: &Routes,
    search: Settings,
    outcome: Outcome,
    impossible: Vec<Impossible>,
    blocked: Vec<Blocked>,
) -> Routed {
    let mut routed = Routed {
        met: outcome.met,
        answers: outcome.answers,
        misses: Vec::new(),
        impossible,
        blocked,
        relaxations: Vec::new(),
        contact: None,
    };
    // The search does not see how the header is put on, nor sensors, whose places go with the runs: of the answers, one that
    // goes on and leaves them free comes first.
    match routed.answers.iter().position(|a| can_be_put_on(job, &a.routes)) {
        Some(first) => routed.answers[..=first].rotate_right(1),
        None => {
            let contact = |a: &Answer| goes_on(job, &a.routes, job.goes_on.as_ref()?).ok().flatten();
            routed.contact = routed.answers.first().and_then(contact);
            routed.met = false;
        }
    }
    if !routed.met {
        routed.answers.retain(|a| is_tube(job, &a.routes));
        routed.answers.truncate(1);
        routed.relax(job, locked, search);
        routed.misses = routed.causes_first(outcome.assignable);
    }
    routed
}

/// A contact during fitting as a miss.
fn fouls(contact: &Contact) -> Miss {
    let (run, collector) = match &contact.part {
        HeaderPart::Run(run) => (Some(run.clone()), None),
        HeaderPart::Body(name) => (None, Some(name.clone())),
    };
    let Contact { keepout, step, before_seated, .. } = contact.clone();
    Miss { run, by: before_seated, what: Shortfall::FoulsDuringFitting { collector, keepout, step, before_seated } }
}

/// Whether every run is a valid tube that starts and ends where it belongs.
fn is_tube(job: &Job, routes: &Routes) -> bool {
    let never = [Requirement::Runs, Requirement::Start, Requirement::End];
    recount_but_gaps(job, routes).iter().all(|m| !never.contains(&m.requirement()))
}

impl Routed {
    /// What the nearest answer misses, and the changes that help.
    fn relax(&mut self, job: &Job, locked: &Routes, search: Settings) {
        let nearest = self.answers.first().map(|a| &a.routes);
        let mut misses = nearest.map_or(Vec::new(), |n| recount(job, n));
        misses.sort_by(|a, b| b.by.total_cmp(&a.by));
        self.misses = misses;
        if search.stopped() {
            return;
        }
        let quick = Settings { effort: 0, rounds: 2, pools: 1, draw_nearest: false, ..search };
        let unmet = Unmet {
            nearest,
            misses: &self.misses,
            impossible: &self.impossible,
            touched: self.contact.as_ref().map(|c| &*c.keepout),
            blocked: &self.blocked,
            locked,
        };
        self.relaxations = relaxations(job, &unmet, quick);
    }

    /// The misses with what causes them in front; what a cause already says is left out.
    fn causes_first(&self, assignable: bool) -> Vec<Miss> {
        let impossible = |i: &Impossible| Miss::of(&i.run, i.why.by(), Shortfall::Impossible(i.why.clone()));
        let mut causes: Vec<Miss> = self.impossible.iter().map(impossible).collect();
        causes.extend(self.blocked.iter().map(Blocked::miss));
        if !assignable && causes.is_empty() {
            causes.push(Miss { run: None, by: 1.0, what: Shortfall::Unassignable });
        }
        causes.extend(self.contact.as_ref().map(fouls));
        let said = |m: &Miss| causes.iter().any(|cause| covers(cause, m));
        let others: Vec<Miss> = self.misses.iter().filter(|m| !said(m)).cloned().collect();
        causes.extend(others);
        causes
    }
}

/// Whether a cause already says what a miss of the nearest answer says.
fn covers(cause: &Miss, miss: &Miss) -> bool {
    let same_run = |run: &Option<RunId>| run.is_some() && *run == cause.run;
    match &cause.what {
        Shortfall::Impossible(_) => {
            same_run(&miss.run) && cause.requirement() == miss.requirement() && cause.keepout() == miss.keepout()
        }
        Shortfall::NoRouteAlone { keepout: Some(name), .. } => miss.keepout() == Some(name),
        _ => false,
    }
}
