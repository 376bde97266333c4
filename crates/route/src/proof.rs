//! What can be shown to be impossible without a search.
//!
//! - A run is at least as long as its stubs and the chord between their ends (through its waypoints).
//! - Stubs are fixed in space: one that lies too close to a keep-out, or two port stubs too close to one
//!   another, can't be mended by any route.
//!
//! Ends that are shown impossible are closed before the search; a run without any end left, or runs with too few
//! ends between them, prove that the job as given can't be met.

use geom::{Element, Straight, Vec3, distance_elements};
use job::show::exact_with_unit;

use crate::problem::{End, Problem, Run};
use crate::recount::Requirement;
use crate::search::assign::assignments;

/// A requirement shown to be beyond reach.
#[derive(Debug, Clone, PartialEq)]
pub struct Impossible {
    /// Index of the run.
    pub run: usize,
    /// Which requirement.
    pub requirement: Requirement,
    /// By how much it is missed at least, mm.
    pub by: f64,
    /// Why, in words.
    pub why: String,
    /// The keep-out that is in the way, where it is one.
    pub keepout: Option<String>,
}

/// A miss below this is not held against a job, mm.
const SURE: f64 = 0.02;

/// Closes the ends that are shown impossible and tells what can't be met at all; empty when nothing was shown.
pub fn close_impossible(problem: &mut Problem) -> Vec<Impossible> {
    let mut shown = Vec::new();
    let drawn: Vec<Vec<End>> = problem.runs.iter().map(|r| r.ends.clone()).collect();
    let mut closed: Vec<Impossible> = Vec::new();
    for r in 0..problem.runs.len() {
        if problem.runs[r].locked.is_some() {
            continue;
        }
        shown.extend(start_blocked(problem, r));
        let verdicts: Vec<Option<Impossible>> =
            (0..problem.runs[r].ends.len()).map(|e| end_blocked(problem, r, e)).collect();
        if verdicts.iter().all(Option::is_some) {
            // All ends stay open so that a nearest answer can still be drawn.
            shown.extend(verdicts.into_iter().flatten().min_by(|a, b| a.by.total_cmp(&b.by)));
        } else {
            let mut keep = verdicts.iter().map(Option::is_none);
            problem.runs[r].ends.retain(|_| keep.next().unwrap_or(true));
            closed.extend(verdicts.into_iter().flatten());
        }
    }
    if !closed.is_empty() && !assignable(problem) {
        // Too few ends are left between the runs. All are opened again for the nearest answer.
        problem.runs.iter_mut().zip(drawn).for_each(|(run, ends)| run.ends = ends);
        let least = closed.into_iter().min_by(|a, b| a.by.total_cmp(&b.by)).filter(|_| assignable(problem));
        shown
            .extend(least.map(|c| Impossible { why: format!("too few inlets are left for all runs: {}", c.why), ..c }));
    }
    shown.extend(ports_too_close(problem));
    shown
}

/// Whether the runs can be shared out among their ends.
fn assignable(problem: &Problem) -> bool {
    let open: Vec<Vec<bool>> = problem.runs.iter().map(|r| vec![true; r.ends.len()]).collect();
    !assignments(problem, &open, 0).is_empty()
}

fn stub(start: Vec3, direction: Vec3, length: f64) -> Element {
    Element::Straight(Straight { start, direction, length })
}

/// The stub of a port against the keep-outs.
fn start_blocked(problem: &Problem, r: usize) -> Option<Impossible> {
    let run = &problem.runs[r];
    if run.leaves.is_some() {
        return None;
    }
    let (short, name) = stub_shortfall(problem, run, (run.start, run.axis), run.stub)?;
    let long = |l: f64| exact_with_unit(l, problem.units);
    let why = format!("the first {} straight out of the port come {} too close to {name}", long(run.stub), long(short));
    Some(Impossible { run: r, requirement: Requirement::KeepoutGap, by: short, why, keepout: Some(name.into()) })
}

/// The end `e` of run `r`: its stub against the keep-outs, and the least possible length.
fn end_blocked(problem: &Problem, r: usize, e: usize) -> Option<Impossible> {
    let run = &problem.runs[r];
    let end = &run.ends[e];
    let long = |l: f64| exact_with_unit(l, problem.units);
    // How far either end may go towards the other.
    let reach = |c: Option<usize>, at: Vec3| c.map_or(0.0, |c| problem.seats[c].reach(at));
    let nearer = reach(end.collector, end.at) + reach(run.leaves, run.start);
    if nearer == 0.0
        && let Some((short, name)) = stub_shortfall(problem, run, (end.at, -end.axis), end.stub)
    {
        let why =
            format!("the last {} straight into the inlet come {} too close to {name}", long(end.stub), long(short));
        return Some(Impossible {
            run: r,
            requirement: Requirement::KeepoutGap,
            by: short,
            why,
            keepout: Some(name.into()),
        });
    }
    let wish = problem.wishes[run.wish];
    let most = wish.target? + wish.tolerance;
    let mut chain = vec![run.start + run.axis * run.stub];
    chain.extend_from_slice(&run.via);
    chain.push(end.at - end.axis * end.stub);
    let drawn = run.stub + end.stub + chain.windows(2).map(|w| (w[1] - w[0]).length()).sum::<f64>();
    let least = drawn - nearer;
    (least > most + SURE).then(|| Impossible {
        run: r,
        requirement: Requirement::Length,
        by: least - most,
        why: format!("the straight line alone is {} long; at most {} are allowed", long(least), long(most)),
        keepout: None,
    })
}

/// By how much the stub from a place along an axis is too close to a keep-out, and to which.
fn stub_shortfall<'a>(
    problem: &'a Problem,
    run: &Run,
    (from, axis): (Vec3, Vec3),
    length: f64,
) -> Option<(f64, &'a str)> {
    let mut worst: Option<(f64, &str)> = None;
    for o in &problem.obstacles {
        let need = run.radius + o.clearance;
        // From what holds ports only the stub's far end must keep away.
        let mut s = if o.holds_ports { length } else { 0.0 };
        loop {
            let distance = o.solid.nearest(from + axis * s, need + 200.0).distance;
            let short = need - distance;
            if short > SURE && worst.is_none_or(|w| short > w.0) {
                worst = Some((short, &o.name));
            }
            if s >= length {
                break;
            }
            s = (s + (-short).max(0.5)).min(length);
        }
    }
    worst
}

/// Two port stubs whose tubes are closer than tubes may be.
fn ports_too_close(problem: &Problem) -> Vec<Impossible> {
    let mut shown = Vec::new();
    let ports: Vec<(usize, &Run)> =
        problem.runs.iter().enumerate().filter(|(_, r)| r.leaves.is_none() && r.locked.is_none()).collect();
    for (k, (i, a)) in ports.iter().enumerate() {
        for (_, b) in &ports[k + 1..] {
            let d = distance_elements(&stub(a.start, a.axis, a.stub), &stub(b.start, b.axis, b.stub)).distance;
            let short = a.radius + b.radius + problem.tube_gap - d;
            if short > SURE {
                let short_words = exact_with_unit(short, problem.units);
                let why = format!("its port stands {short_words} too close to that of {} for tubes of this size", b.id);
                shown.push(Impossible { run: *i, requirement: Requirement::TubeGap, by: short, why, keepout: None });
            }
        }
    }
    shown
}
