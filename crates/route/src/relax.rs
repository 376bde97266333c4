//! Which single relaxation of a job that can't be met would help most: each is tried by routing anew.

use geom::Vec3;
use job::model::{Job, MayMove, Rotation};
use job::show::size_with_unit;

use crate::clearance::{Other, clearance};
use crate::problem::Problem;
use crate::proof::{Impossible, close_impossible};
use crate::recount::{Miss, Requirement};
use crate::search::drive::{Settings, finds_ways};
use crate::search::solve::{miss_near, solve};
use job::routes::{Routes, RunId};

/// Most relaxations tried.
const MOST: usize = 12;

/// Most of them that are routed from the start when a walk from the nearest answer does not do.
const MOST_ANEW: usize = 3;

/// How far a collector is let move either way, mm: about a tube's diameter; common practice, no source.
const FREE: f64 = 40.0;

/// A relaxation that was tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Relaxation {
    /// What to change, in words.
    pub change: String,
    /// Whether every requirement holds then.
    pub met: bool,
    /// The largest miss left, mm.
    pub left: f64,
}

/// Takes a change in words and the edit of the job that makes it.
type AddTrial<'a> = dyn FnMut(String, &dyn Fn(&mut Job)) + 'a;

struct Trial {
    change: String,
    job: Job,
    /// Whether it is known to help, so that it is routed from the start when a walk does not do.
    helps: bool,
}

/// What is known of a job that can't be met.
pub struct Unmet<'a> {
    /// The nearest answer.
    pub nearest: Option<&'a Routes>,
    /// What it misses, the worst first.
    pub misses: &'a [Miss],
    /// What was shown to be impossible.
    pub impossible: &'a [Impossible],
    /// The keep-out that is touched when the header is put on.
    pub touched: Option<&'a str>,
    /// Runs that find no way even alone.
    pub blocked: &'a [usize],
    /// Runs that are kept.
    pub locked: &'a Routes,
}

/// Tries the relaxations that the misses of the nearest answer suggest; the most helpful first.
///
/// Each is tried by a short walk from the nearest answer; where none will do, the most promising are routed from the
/// start.
pub fn relaxations(job: &Job, unmet: &Unmet, settings: Settings) -> Vec<Relaxation> {
    let blocked = if unmet.impossible.is_empty() { unmet.blocked } else { &[] };
    let mut trials = blockers(job, unmet.locked, settings, blocked);
    for trial in self::trials(job, unmet) {
        if trials.iter().all(|t| t.change != trial.change) {
            trials.push(trial);
        }
    }
    trials.truncate(MOST);
    let mut tried: Vec<(f64, Trial)> = Vec::new();
    for trial in trials {
        if settings.stopped() {
            break;
        }
        let mut left = near(&trial.job, unmet, settings);
        if trial.helps && left > 0.0 {
            left = left.min(anew(&trial.job, unmet, settings));
        }
        let met = left == 0.0;
        tried.push((left, trial));
        // The trials stand in the order of what costs least to grant.
        if met {
            break;
        }
    }
    tried.sort_by(|a, b| a.0.total_cmp(&b.0));
    if tried.first().is_some_and(|t| t.0 > 0.0) {
        let promising = tried.iter_mut().filter(|t| t.0.is_finite() && !t.1.helps);
        for (left, trial) in promising.take(MOST_ANEW) {
            *left = left.min(anew(&trial.job, unmet, settings));
            if *left == 0.0 {
                break;
            }
        }
    }
    tried.sort_by(|a, b| a.0.total_cmp(&b.0));
    tried.into_iter().map(|(left, trial)| Relaxation { change: trial.change, met: left == 0.0, left }).collect()
}

/// What `job` misses when it is routed from the start, mm; infinite when nothing is drawn.
fn anew(job: &Job, unmet: &Unmet, settings: Settings) -> f64 {
    let outcome = solve(&Problem::new(job, &unmet.locked.runs), None, settings, &mut |_| false);
    if outcome.met { 0.0 } else { outcome.miss.map_or(f64::INFINITY, |m| m.0) }
}

/// What `job` misses after a short walk from the nearest answer, mm; infinite when it is shown to be impossible still.
fn near(job: &Job, unmet: &Unmet, settings: Settings) -> f64 {
    let mut problem = Problem::new(job, &unmet.locked.runs);
    if !close_impossible(&mut problem).is_empty() {
        return f64::INFINITY;
    }
    unmet.nearest.and_then(|n| miss_near(&problem, n, settings)).unwrap_or(1e6)
}

/// The keep-outs that stand in the way of the blocked runs: without one of them each finds a way alone.
fn blockers(job: &Job, locked: &Routes, settings: Settings, blocked: &[usize]) -> Vec<Trial> {
    if blocked.is_empty() {
        return Vec::new();
    }
    let mut trials = Vec::new();
    for k in job.keepouts.iter().filter(|k| !k.holds_ports) {
        if settings.stopped() || trials.len() == MOST {
            break;
        }
        let mut without = job.clone();
        without.keepouts.retain(|o| o.name != k.name);
        let problem = Problem::new(&without, &locked.runs);
        if finds_ways(&problem, settings, blocked) {
            trials.push(Trial { change: format!("move {} out of the way", k.name), job: without, helps: true });
        }
    }
    trials
}

fn trials(job: &Job, unmet: &Unmet) -> Vec<Trial> {
    let (nearest, misses) = (unmet.nearest, unmet.misses);
    let long = |l: f64| size_with_unit(l, job.units);
    let mut trials = Vec::new();
    let mut add = |change: String, edit: &dyn Fn(&mut Job)| {
        let mut job = job.clone();
        edit(&mut job);
        trials.push(Trial { change, job, helps: false });
    };
    if let Some(by) = stub_misses(job, misses) {
        add(format!("make the stubs {} longer", long(by)), &|job| {
            job.ports.iter_mut().for_each(|p| p.stub += by);
        });
    }
    let in_the_way = near_keepouts(job, unmet);
    let worst = |requirement| misses.iter().filter(|m| m.requirement == requirement).map(|m| m.by).fold(0.0, f64::max);
    for name in &in_the_way {
        let Some(k) = job.keepouts.iter().find(|k| k.name == *name) else { continue };
        let less = (k.clearance - worst(Requirement::KeepoutGap) - 1.0).max(0.0);
        if less < k.clearance - 0.1 {
            let what = format!("let the tubes come within {} of {name} instead of {}", long(less), long(k.clearance));
            add(what, &|job| set_clearance(job, name, less));
        }
    }
    let by = worst(Requirement::KeepoutGap);
    if by > 0.0 && in_the_way.len() > 1 {
        add(format!("let the tubes come {} closer to every keep-out", long(by + 1.0)), &|job| {
            job.keepouts.iter_mut().for_each(|k| k.clearance = (k.clearance - by - 1.0).max(0.0));
        });
    }
    for less in tube_gaps(job.clearance.tubes, worst(Requirement::TubeGap), misses) {
        let asked = long(job.clearance.tubes);
        let what = format!("let the tubes come within {} of one another instead of {asked}", long(less));
        add(what, &|job| job.clearance.tubes = less);
    }
    for name in in_the_way.iter().filter(|n| job.keepouts.iter().any(|k| k.name == **n && !k.holds_ports)) {
        add(format!("move {name} out of the way"), &|job| job.keepouts.retain(|k| k.name != *name));
    }
    length_trials(job, nearest, misses, &mut add);
    for c in &job.collectors {
        if c.may_move == MayMove::default() {
            let what = format!("let the collector \"{}\" move by up to {} and roll as it likes", c.name, long(FREE));
            add(what, &|job| {
                let free = MayMove { along: FREE, aside: FREE, roll: std::f64::consts::PI };
                job.collectors.iter_mut().filter(|o| o.name == c.name).for_each(|o| o.may_move = free);
            });
        }
    }
    if job.collectors.iter().any(|c| c.rotation == Rotation::Firing || !c.inlet_of.is_empty()) {
        add("let the router choose the inlets freely".into(), &|job| {
            for c in &mut job.collectors {
                c.rotation = Rotation::Any;
                c.inlet_of.clear();
            }
        });
    }
    if let Some(least) = job.stock.bends.iter().map(|b| b.clr).min_by(f64::total_cmp) {
        let clr = (0.75 * least).max(0.55 * job.primary.tube.od);
        add(format!("buy bends of CLR {} as well", long(clr)), &|job| {
            let mut tighter: Vec<_> = job.stock.bends.iter().filter(|b| b.clr == least).cloned().collect();
            tighter.iter_mut().for_each(|b| b.clr = clr);
            job.stock.bends.extend(tighter);
        });
    }
    add("make all stubs half as long".into(), &|job| {
        job.ports.iter_mut().for_each(|p| p.stub *= 0.5);
        job.collectors.iter_mut().for_each(|c| c.stub *= 0.5);
    });
    // What the nearest answer keeps clear of may be why it misses something else.
    for k in job.keepouts.iter().filter(|k| !k.holds_ports && !in_the_way.contains(&k.name)) {
        add(format!("move {} out of the way", k.name), &|job| job.keepouts.retain(|o| o.name != k.name));
    }
    trials
}

/// Smaller gaps between tubes worth a try, mm: by what is missed of them, and by far more, since a search shares what it
/// can't meet out among the requirements.
fn tube_gaps(asked: f64, missed: f64, misses: &[Miss]) -> Vec<f64> {
    let worst = misses.first().map_or(0.0, |m| m.by);
    let mut gaps: Vec<f64> = [missed + 0.5, missed + 2.5 * worst].map(|by| (asked - by).max(0.0)).to_vec();
    gaps.retain(|gap| missed > 0.0 && *gap < asked - 0.1);
    gaps.dedup();
    gaps
}

/// How much longer port stubs would have to be to clear what holds the ports, mm, where that is missed.
fn stub_misses(job: &Job, misses: &[Miss]) -> Option<f64> {
    let holders: Vec<&str> = job.keepouts.iter().filter(|k| k.holds_ports).map(|k| k.name.as_str()).collect();
    let about = |m: &&Miss| m.requirement == Requirement::KeepoutGap && holders.iter().any(|h| m.message.contains(h));
    let by = misses.iter().filter(about).map(|m| m.by).fold(0.0, f64::max);
    (by > 0.0).then(|| (by + 2.0).ceil())
}

fn length_trials(job: &Job, nearest: Option<&Routes>, misses: &[Miss], add: &mut AddTrial) {
    let off = misses.iter().filter(|m| m.requirement == Requirement::Length).map(|m| m.by).fold(0.0, f64::max);
    let wish = job.primary.length;
    let long = |l: f64| size_with_unit(l, job.units);
    if !wish.tolerance.is_finite() {
        return;
    }
    if let Some(target) = wish.target {
        // A little beyond the longest straight line, or what the nearest answer has.
        let chord = job.ports.iter().map(|p| shortest(job, p.at + p.axis * p.stub, p.stub)).fold(0.0, f64::max);
        let longest = nearest.map_or(0.0, |n| lengths(n).fold(0.0, f64::max));
        let reachable = if chord > target { 1.12 * chord } else { longest.max(1.12 * target) };
        let rounded = (reachable / 10.0).ceil() * 10.0;
        if rounded > target + wish.tolerance {
            add(format!("make the primaries {} long instead of {}", long(rounded), long(target)), &|job| {
                job.primary.length.target = Some(rounded);
            });
        }
    }
    let wider = (wish.tolerance + 1.2 * off).max(10.0 * wish.tolerance).ceil();
    let what = format!("let the lengths differ by {} instead of {}", long(wider), long(wish.tolerance));
    add(what, &|job| job.primary.length.tolerance = wider);
}

fn lengths(routes: &Routes) -> impl Iterator<Item = f64> + '_ {
    let primaries = routes.runs.iter().filter(|r| matches!(r.run, RunId::Primary { .. }));
    primaries.filter_map(|r| r.centreline().ok()).map(|c| c.length())
}

/// Straight-line length from a stub's end to the nearest collector's, with both stubs, mm.
fn shortest(job: &Job, from: Vec3, stub: f64) -> f64 {
    let to = |c: &job::model::Collector| stub + c.stub + (c.at - c.axis * c.stub - from).length();
    job.collectors.iter().map(to).fold(f64::INFINITY, f64::min)
}

fn set_clearance(job: &mut Job, name: &str, clearance: f64) {
    job.keepouts.iter_mut().filter(|k| k.name == name).for_each(|k| k.clearance = clearance);
}

/// The keep-outs shown to be in the way, then those that the nearest answer comes too close to most, or nearest of all.
fn near_keepouts(job: &Job, unmet: &Unmet) -> Vec<String> {
    let named = |k: &&job::model::Keepout| {
        unmet.touched == Some(&k.name) || unmet.impossible.iter().any(|i| i.keepout.as_ref() == Some(&k.name))
    };
    let mut names: Vec<String> = job.keepouts.iter().filter(named).map(|k| k.name.clone()).collect();
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
