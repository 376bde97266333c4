//! Which single change of a job that cannot be met would help most: each is tried by routing again.

use geom::Vec3;
use job::Monitor;
use job::inlets::end_stub;
use job::model::{Job, MayMove, Rotation};
use job::routes::{Routes, RunId};

use crate::clearance::{Other, clearance};
use crate::finding::{Change, Impossibility, Miss, Requirement};
use crate::nearest::Blocked;
use crate::problem::RoutingProblem;
use crate::proof::{Impossible, close_impossible};
use crate::search::outcome::{miss_near, solve};
use crate::search::settings::Settings;

/// Most changes tried.
const MOST: usize = 12;

/// Most of them that are routed from the start when a walk from the nearest answer does not do.
const MOST_REROUTED: usize = 3;

/// Most locked runs that are tried without their lock.
const MOST_UNLOCKED: usize = 4;

/// How far a collector is let move either way, mm: about a tube's diameter; common practice, no source.
const FREE: f64 = 40.0;

/// A change that was tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Relaxation {
    /// What to change.
    pub change: Change,
    /// Whether every requirement holds then.
    pub met: bool,
    /// The largest miss left, mm.
    pub left: f64,
}

/// A change to try.
struct Trial {
    change: Change,
    /// Whether it is known to help, so that it is routed from the start when a walk does not do.
    helps: bool,
}

/// What is known of a job that cannot be met.
pub struct Unmet<'a> {
    /// The nearest answer.
    pub nearest: Option<&'a Routes>,
    /// What it misses, the worst first.
    pub misses: &'a [Miss],
    /// What was shown to be impossible.
    pub impossible: &'a [Impossible],
    /// The obstacle that is touched when the header is put on.
    pub touched: Option<&'a str>,
    /// Runs that find no route even alone.
    pub blocked: &'a [Blocked],
    /// Runs that are kept.
    pub locked: &'a Routes,
}

/// Tries the changes that the misses of the nearest answer suggest; the most helpful first.
///
/// Each is tried by a short walk from the nearest answer; where none will do, the most promising are routed from the
/// start.
pub fn relaxations(job: &Job, unmet: &Unmet, settings: Settings) -> Vec<Relaxation> {
    let mut tried: Vec<(f64, Trial)> = Vec::new();
    for trial in trials(job, unmet) {
        if settings.stopped() {
            break;
        }
        let changed = with(job, unmet.locked, &trial.change);
        let mut left = near(&changed, unmet.nearest, settings);
        if trial.helps && left > 0.0 {
            left = left.min(reroute(&changed, settings));
        }
        tried.push((left, trial));
        // The trials stand in the order of what costs least to grant.
        if left == 0.0 {
            break;
        }
    }
    tried.sort_by(|a, b| a.0.total_cmp(&b.0));
    if tried.first().is_some_and(|t| t.0 > 0.0) {
        let promising = tried.iter_mut().filter(|t| t.0.is_finite() && !t.1.helps);
        for (left, trial) in promising.take(MOST_REROUTED) {
            *left = left.min(reroute(&with(job, unmet.locked, &trial.change), settings));
            if *left == 0.0 {
                break;
            }
        }
    }
    tried.sort_by(|a, b| a.0.total_cmp(&b.0));
    tried.into_iter().map(|(left, trial)| Relaxation { change: trial.change, met: left == 0.0, left }).collect()
}

/// The problem of a job after a change.
fn with(job: &Job, locked: &Routes, change: &Change) -> RoutingProblem {
    let mut changed = job.clone();
    change.apply(&mut changed);
    let kept = locked.runs.iter().filter(|r| !matches!(change, Change::Unlock { run } if *run == r.run));
    RoutingProblem::new(&changed, &kept.cloned().collect::<Vec<_>>())
}

/// What a problem misses when it is routed from the start, mm; infinite when nothing is drawn.
fn reroute(problem: &RoutingProblem, settings: Settings) -> f64 {
    let mut monitor = Monitor::new(settings.stop, |_| ());
    let outcome = solve(problem, None, settings, &mut monitor);
    if outcome.met { 0.0 } else { outcome.miss.map_or(f64::INFINITY, |m| m.0) }
}

/// What a problem misses after a short walk from the nearest answer, mm; infinite when it is shown to be impossible still.
fn near(problem: &RoutingProblem, nearest: Option<&Routes>, settings: Settings) -> f64 {
    let mut closed = problem.clone();
    if !close_impossible(&mut closed).is_empty() {
        return f64::INFINITY;
    }
    nearest.and_then(|n| miss_near(&closed, n, settings)).unwrap_or(1e6)
}

/// The changes to try, each once: those known to free a blocked run first, then by what they cost to grant.
fn trials(job: &Job, unmet: &Unmet) -> Vec<Trial> {
    let freeing = unmet.blocked.iter().flat_map(|b| &b.freed_by);
    let locks = unmet.locked.runs.iter().take(MOST_UNLOCKED).map(|r| Change::Unlock { run: r.run.clone() });
    let mut trials: Vec<Trial> = locks.map(|change| Trial { change, helps: true }).collect();
    trials.extend(freeing.map(|change| Trial { change: change.clone(), helps: true }));
    trials.extend(suggestions(job, unmet).into_iter().map(|change| Trial { change, helps: false }));
    let mut distinct: Vec<Trial> = Vec::new();
    for trial in trials {
        if distinct.iter().all(|t| t.change != trial.change) {
            distinct.push(trial);
        }
    }
    distinct.truncate(MOST);
    distinct
}

/// The changes that the misses suggest, in the order of what they cost to grant.
fn suggestions(job: &Job, unmet: &Unmet) -> Vec<Change> {
    let (nearest, misses) = (unmet.nearest, unmet.misses);
    let mut changes: Vec<Change> =
        stub_misses(job, misses).into_iter().map(|by| Change::LengthenPortStubs { by }).collect();
    let close = near_keepouts(job, unmet);
    changes.extend(clearance_changes(job, &close, misses));
    let movable = |name: &&String| job.keepouts.iter().any(|k| k.name == **name && !k.holds_ports);
    changes.extend(close.iter().filter(movable).map(|name| Change::MoveKeepout { keepout: name.clone() }));
    changes.extend(length_changes(job, nearest, misses));
    let fixed = job.collectors.iter().filter(|c| c.may_move == MayMove::default());
    changes.extend(fixed.map(|c| Change::FreeCollector { collector: c.name.clone(), travel: FREE }));
    if job.collectors.iter().any(|c| c.rotation == Rotation::Firing || !c.inlet_of.is_empty()) {
        changes.push(Change::FreeInlets);
    }
    if let Some(least) = job.stock.bends.iter().map(|b| b.clr).min_by(f64::total_cmp) {
        changes.push(Change::AddTighterBend { clr: (0.75 * least).max(0.55 * job.primary.tube.od) });
    }
    changes.push(Change::HalveStubs);
    // What the nearest answer keeps clear of may be why it misses something else.
    let others = job.keepouts.iter().filter(|k| !k.holds_ports && !close.contains(&k.name));
    changes.extend(others.map(|k| Change::MoveKeepout { keepout: k.name.clone() }));
    changes
}

/// The largest miss of a requirement, mm.
fn worst(misses: &[Miss], requirement: Requirement) -> f64 {
    misses.iter().filter(|m| m.requirement() == requirement).map(|m| m.by).fold(0.0, f64::max)
}

/// Less clearance to the obstacles `close` by, to all of them, and between tubes.
fn clearance_changes(job: &Job, close: &[String], misses: &[Miss]) -> Vec<Change> {
    let mut changes = Vec::new();
    let by = worst(misses, Requirement::KeepoutGap);
    for k in close.iter().filter_map(|name| job.keepouts.iter().find(|k| k.name == *name)) {
        let to = (k.clearance - by - 1.0).max(0.0);
        if to < k.clearance - 0.1 {
            changes.push(Change::ReduceClearance { keepout: k.name.clone(), from: k.clearance, to });
        }
    }
    if by > 0.0 && close.len() > 1 {
        changes.push(Change::ReduceAllClearances { by: by + 1.0 });
    }
    let from = job.clearance.tubes;
    let less = tube_gaps(from, worst(misses, Requirement::TubeGap), misses);
    changes.extend(less.into_iter().map(|to| Change::ReduceTubeClearance { from, to }));
    changes
}

/// Smaller gaps between tubes worth a try, mm: by what is missed of them, and by far more, since a search shares what it
/// cannot meet out among the requirements.
fn tube_gaps(asked: f64, missed: f64, misses: &[Miss]) -> Vec<f64> {
    let worst = misses.first().map_or(0.0, |m| m.by);
    let mut gaps: Vec<f64> = [missed + 0.5, missed + 2.5 * worst].map(|by| (asked - by).max(0.0)).to_vec();
    gaps.retain(|gap| missed > 0.0 && *gap < asked - 0.1);
    gaps.dedup();
    gaps
}

/// How much longer port stubs would have to be to clear what holds the ports, mm, where that is missed.
fn stub_misses(job: &Job, misses: &[Miss]) -> Option<f64> {
    let holds_ports = |name: &str| job.keepouts.iter().any(|k| k.holds_ports && k.name == name);
    let about = |m: &&Miss| m.keepout().is_some_and(holds_ports);
    let by = misses.iter().filter(about).map(|m| m.by).fold(0.0, f64::max);
    (by > 0.0).then(|| (by + 2.0).ceil())
}

/// Another target that can be reached, and a wider tolerance.
fn length_changes(job: &Job, nearest: Option<&Routes>, misses: &[Miss]) -> Vec<Change> {
    let off = worst(misses, Requirement::Length);
    let wanted = job.primary.length;
    if !wanted.tolerance.is_finite() {
        return Vec::new();
    }
    let mut changes = Vec::new();
    if let Some(target) = wanted.target {
        // What the nearest answer has, or a little beyond the longest straight line.
        let chord = job.ports.iter().map(|p| shortest(job, p.at + p.axis * p.stub, p.stub)).fold(0.0, f64::max);
        let longest = nearest.map_or(0.0, |n| lengths(n).fold(0.0, f64::max));
        let longer = if chord > target { 1.12 * chord } else { longest.max(1.12 * target) };
        for length in [longest, longer] {
            let to = (length / 10.0).ceil() * 10.0;
            if to > target + wanted.tolerance {
                changes.push(Change::ChangeTarget { from: target, to });
            }
        }
    }
    let to = (wanted.tolerance + 1.2 * off).max(10.0 * wanted.tolerance).ceil();
    changes.push(Change::WidenTolerance { from: wanted.tolerance, to });
    changes
}

fn lengths(routes: &Routes) -> impl Iterator<Item = f64> + '_ {
    let primaries = routes.runs.iter().filter(|r| matches!(r.run, RunId::Primary { .. }));
    primaries.filter_map(|r| r.centreline().ok()).map(|c| c.length())
}

/// Straight-line length from a stub's end to the nearest collector's, with both stubs, mm.
fn shortest(job: &Job, from: Vec3, stub: f64) -> f64 {
    let to = |c: &job::model::Collector| {
        // The inlets of a merge lean evenly about its axis: its middle stands for them.
        let (beyond, asked) = (end_stub(c) - c.stub, end_stub(c));
        stub + asked + (c.at + c.axis * (beyond - asked) - from).length()
    };
    job.collectors.iter().map(to).fold(f64::INFINITY, f64::min)
}

/// The obstacles shown to be the cause, then those that the nearest answer comes too close to most, or nearest of all.
fn near_keepouts(job: &Job, unmet: &Unmet) -> Vec<String> {
    let shown = unmet.impossible.iter().map(|i| &i.why).filter_map(Impossibility::keepout);
    let causes: Vec<&str> = unmet.touched.into_iter().chain(shown).collect();
    let mut names: Vec<String> =
        job.keepouts.iter().filter(|k| causes.contains(&k.name.as_str())).map(|k| k.name.clone()).collect();
    let mut near: Vec<(f64, String)> = Vec::new();
    let report = unmet.nearest.and_then(|n| clearance(job, n).ok());
    for approach in report.iter().flat_map(|r| &r.runs).flat_map(|r| &r.keepouts) {
        if let Other::Keepout(name) = &approach.to {
            match near.iter_mut().find(|n| n.1 == *name) {
                Some(n) => n.0 = n.0.max(approach.short()),
                None => near.push((approach.short(), name.clone())),
            }
        }
    }
    near.sort_by(|a, b| b.0.total_cmp(&a.0));
    names.extend(near.into_iter().filter(|n| n.0 > -2.0).map(|n| n.1).take(3));
    let mut distinct: Vec<String> = Vec::new();
    for name in names {
        if !distinct.contains(&name) {
            distinct.push(name);
        }
    }
    distinct
}
