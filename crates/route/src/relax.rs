//! Which single relaxation of a job that can't be met would help most: each is tried by routing anew.

use geom::Vec3;
use job::model::{Job, MayMove, Rotation};

use crate::clearance::{Other, clearance};
use crate::problem::Problem;
use crate::proof::close_impossible;
use crate::recount::{Miss, Requirement};
use crate::search::drive::{Settings, finds_ways};
use crate::search::solve::{Outcome, solve};
use job::routes::{Routes, RunId};

/// Most relaxations tried.
const MOST: usize = 8;

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
}

/// Tries the relaxations that the misses of the nearest answer suggest; the most helpful first.
/// `blocked`: runs that find no way even alone.
pub fn relaxations(
    job: &Job,
    nearest: Option<&Routes>,
    misses: &[Miss],
    locked: &Routes,
    settings: Settings,
    blocked: &[usize],
) -> Vec<Relaxation> {
    let mut tried: Vec<Relaxation> = Vec::new();
    let mut trials = blockers(job, locked, settings.seed, blocked);
    trials.extend(self::trials(job, nearest, misses));
    for trial in trials.into_iter().take(MOST) {
        let outcome = attempt(&trial.job, locked, settings);
        let left = outcome.miss.map_or(0.0, |m| m.0);
        tried.push(Relaxation { change: trial.change, met: outcome.met, left });
        // The trials stand in the order of what costs least to grant.
        if outcome.met {
            break;
        }
    }
    tried.sort_by(|a, b| b.met.cmp(&a.met).then(a.left.total_cmp(&b.left)));
    tried
}

fn attempt(job: &Job, locked: &Routes, settings: Settings) -> Outcome {
    let mut problem = Problem::new(job, &locked.runs);
    if !close_impossible(&mut problem).is_empty() {
        let miss = Some((f64::INFINITY, crate::search::evaluate::Kind::Fit));
        return Outcome { met: false, answers: Vec::new(), miss, blocked: Vec::new(), assignable: false };
    }
    solve(&problem, None, settings, &mut |_| false)
}

/// The keep-outs that stand in the way of the blocked runs: without one of them each finds a way alone.
fn blockers(job: &Job, locked: &Routes, seed: u64, blocked: &[usize]) -> Vec<Trial> {
    if blocked.is_empty() {
        return Vec::new();
    }
    let mut trials = Vec::new();
    for k in job.keepouts.iter().filter(|k| !k.holds_ports) {
        let mut without = job.clone();
        without.keepouts.retain(|o| o.name != k.name);
        let problem = Problem::new(&without, &locked.runs);
        if finds_ways(&problem, seed, blocked) {
            trials.push(Trial { change: format!("move {} out of the way", k.name), job: without });
        }
    }
    trials
}

fn trials(job: &Job, nearest: Option<&Routes>, misses: &[Miss]) -> Vec<Trial> {
    let mut trials = Vec::new();
    let mut add = |change: String, edit: &dyn Fn(&mut Job)| {
        let mut job = job.clone();
        edit(&mut job);
        trials.push(Trial { change, job });
    };
    if let Some(by) = stub_misses(job, misses) {
        add(format!("make the stubs {by:.0} mm longer"), &|job| {
            job.ports.iter_mut().for_each(|p| p.stub += by);
        });
    }
    let worst = |requirement| misses.iter().filter(|m| m.requirement == requirement).map(|m| m.by).fold(0.0, f64::max);
    for name in near_keepouts(job, nearest) {
        let Some(k) = job.keepouts.iter().find(|k| k.name == name) else { continue };
        let less = (k.clearance - worst(Requirement::KeepoutGap) - 1.0).max(0.0);
        if less < k.clearance - 0.1 {
            let what = format!("let the tubes come within {less:.1} mm of {name} instead of {:.1} mm", k.clearance);
            add(what, &|job| set_clearance(job, &name, less));
        }
    }
    if worst(Requirement::TubeGap) > 0.0 && job.clearance.tubes > 0.0 {
        let less = (job.clearance.tubes - worst(Requirement::TubeGap) - 0.5).max(0.0);
        let what =
            format!("let the tubes come within {less:.1} mm of one another instead of {:.1} mm", job.clearance.tubes);
        add(what, &|job| job.clearance.tubes = less);
    }
    length_trials(job, nearest, misses, &mut add);
    for c in &job.collectors {
        if c.may_move == MayMove::default() {
            let what = format!("let the collector \"{}\" move by up to 40 mm and roll as it likes", c.name);
            add(what, &|job| {
                let free = MayMove { along: 40.0, aside: 40.0, roll: std::f64::consts::PI };
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
        add(format!("buy bends of CLR {clr:.1} mm as well"), &|job| {
            let mut tighter: Vec<_> = job.stock.bends.iter().filter(|b| b.clr == least).cloned().collect();
            tighter.iter_mut().for_each(|b| b.clr = clr);
            job.stock.bends.extend(tighter);
        });
    }
    add("make all stubs half as long".into(), &|job| {
        job.ports.iter_mut().for_each(|p| p.stub *= 0.5);
        job.collectors.iter_mut().for_each(|c| c.stub *= 0.5);
    });
    for name in near_keepouts(job, nearest) {
        add(format!("move {name} out of the way"), &|job| job.keepouts.retain(|k| k.name != name));
    }
    trials
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
            add(format!("make the primaries {rounded:.0} mm long instead of {target:.0} mm"), &|job| {
                job.primary.length.target = Some(rounded);
            });
        }
    }
    let wider = (wish.tolerance + 1.2 * off).max(10.0 * wish.tolerance).ceil();
    let what = format!("let the lengths differ by {wider:.0} mm instead of {:.1} mm", wish.tolerance);
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

/// The two keep-outs that the nearest answer comes too close to most, or nearest of all.
fn near_keepouts(job: &Job, nearest: Option<&Routes>) -> Vec<String> {
    let Some(report) = nearest.and_then(|n| clearance(job, n).ok()) else {
        return job.keepouts.iter().filter(|k| !k.holds_ports).map(|k| k.name.clone()).take(2).collect();
    };
    let mut near: Vec<(f64, String)> = Vec::new();
    for approach in report.runs.iter().flat_map(|r| &r.keepouts) {
        if let Other::Keepout(name) = &approach.to {
            match near.iter_mut().find(|n| n.1 == *name) {
                Some(n) => n.0 = n.0.max(approach.short()),
                None => near.push((approach.short(), name.clone())),
            }
        }
    }
    near.sort_by(|a, b| b.0.total_cmp(&a.0));
    near.into_iter().filter(|n| n.0 > -2.0).map(|n| n.1).take(3).collect()
}
