//! What can be shown to be impossible without a search.
//!
//! - A run is at least as long as its stubs and the shortest way between their ends (through its waypoints) that
//!   turns nowhere tighter than the tightest CLR.
//! - Stubs are fixed in space: one that lies too close to a keep-out, that touches one while the header is put on, or
//!   two port stubs too close to one another, cannot be cured by any route.
//!
//! Ends that are shown impossible are closed before the search; a run without any end left, or runs with too few
//! ends between them, prove that the job as given cannot be met.

use geom::{Element, Straight, Vec3, distance_elements};
use job::routes::RunId;

use crate::finding::{Impossibility, RunEnd};
use crate::obstacle::Obstacle;
use crate::problem::{End, RoutingProblem, Run};
use crate::search::assign::assignments;

/// A requirement of one run that no route can meet.
#[derive(Debug, Clone, PartialEq)]
pub struct Impossible {
    /// The run.
    pub run: RunId,
    /// Why.
    pub why: Impossibility,
}

/// A miss below this is not held against a job, mm.
const SURE: f64 = 0.02;

/// Closes the ends that are shown impossible and tells what can't be met at all; empty when nothing was shown.
pub fn close_impossible(problem: &mut RoutingProblem) -> Vec<Impossible> {
    let mut shown: Vec<Impossible> = Vec::new();
    let drawn: Vec<Vec<End>> = problem.runs.iter().map(|r| r.ends.clone()).collect();
    let mut closed: Vec<Impossible> = Vec::new();
    for r in 0..problem.runs.len() {
        if problem.runs[r].locked.is_some() {
            continue;
        }
        let id = problem.runs[r].id.clone();
        let of_run = |why: Impossibility| Impossible { run: id.clone(), why };
        shown.extend(start_blocked(problem, r).map(of_run));
        let verdicts: Vec<Option<Impossible>> =
            (0..problem.runs[r].ends.len()).map(|e| end_blocked(problem, r, e).map(of_run)).collect();
        if verdicts.iter().all(Option::is_some) {
            // All ends stay open so that a nearest answer can still be drawn.
            shown.extend(verdicts.into_iter().flatten().min_by(|a, b| a.why.by().total_cmp(&b.why.by())));
        } else {
            let mut keep = verdicts.iter().map(Option::is_none);
            problem.runs[r].ends.retain(|_| keep.next().unwrap_or(true));
            closed.extend(verdicts.into_iter().flatten());
        }
    }
    if !closed.is_empty() && !assignable(problem) {
        // Too few ends are left between the runs. All are opened again for the nearest answer.
        problem.runs.iter_mut().zip(drawn).for_each(|(run, ends)| run.ends = ends);
        let least = closed.into_iter().min_by(|a, b| a.why.by().total_cmp(&b.why.by())).filter(|_| assignable(problem));
        shown.extend(least.map(|c| Impossible { why: Impossibility::TooFewInlets(Box::new(c.why)), ..c }));
    }
    shown.extend(ports_too_close(problem));
    shown
}

/// Whether the runs can be shared out among their ends.
fn assignable(problem: &RoutingProblem) -> bool {
    let open: Vec<Vec<bool>> = problem.runs.iter().map(|r| vec![true; r.ends.len()]).collect();
    !assignments(problem, &open, 0).is_empty()
}

fn stub(start: Vec3, direction: Vec3, length: f64) -> Element {
    Element::Straight(Straight { start, direction, length })
}

/// The stub of a port against the keep-outs.
fn start_blocked(problem: &RoutingProblem, r: usize) -> Option<Impossibility> {
    let run = &problem.runs[r];
    if run.leaves.is_some() {
        return None;
    }
    stub_blocked(problem, r, (run.start, run.axis, run.stub), RunEnd::Start)
}

/// The end `e` of run `r`: its stub against the keep-outs, and the least possible length.
fn end_blocked(problem: &RoutingProblem, r: usize, e: usize) -> Option<Impossibility> {
    let run = &problem.runs[r];
    let end = &run.ends[e];
    // How far either end may go towards the other.
    let reach = |c: Option<usize>, at: Vec3| c.map_or(0.0, |c| problem.seats[c].reach(at));
    let nearer = reach(end.collector, end.at) + reach(run.leaves, run.start);
    if nearer == 0.0 {
        let blocked = stub_blocked(problem, r, (end.at, -end.axis, end.stub), RunEnd::End);
        if blocked.is_some() {
            return blocked;
        }
    }
    let most = problem.target(r)? + problem.length_targets[run.wanted].tolerance;
    let tightest = run.clrs.first().copied().unwrap_or(0.0);
    let [least, line] = [tightest, 0.0].map(|clr| least_length(run, end, clr, nearer));
    if line > most + SURE {
        return Some(Impossibility::StraightLineTooLong { line, least, most });
    }
    (least > most + SURE).then_some(Impossibility::ShortestRouteTooLong { least, most })
}

/// No route of the run to this end that turns nowhere tighter than `clr` is shorter, mm, when both may come nearer to one
/// another by `nearer` in all. With a `clr` of 0: the stubs and the straight lines between them.
fn least_length(run: &Run, end: &End, clr: f64, nearer: f64) -> f64 {
    let mut chain = vec![run.start + run.axis * run.stub];
    chain.extend_from_slice(&run.via);
    chain.push(end.at - end.axis * end.stub);
    let last = chain.len() - 2;
    let legs = chain.windows(2).enumerate().map(|(i, w)| {
        let directions = [(i == 0).then_some(run.axis), (i == last).then_some(end.axis)];
        least_leg(w[1] - w[0], directions, clr, nearer)
    });
    run.stub + end.stub + legs.sum::<f64>() - nearer
}

/// A curve from a place to one `off` away, which turns nowhere tighter than `clr` and has the given directions where it
/// starts and ends, is at least this long, mm; where its ends may come nearer to one another by `nearer`, at least this
/// less `nearer`.
///
/// Whatever direction it is watched along, a curve that leaves at an angle `a` to it goes at most `clr sin a` that way
/// before it has turned there, on a length of `clr a`, and likewise at its end; beyond that it goes at most its own
/// length. The best direction to watch along is that of the straight of the shortest such curve (arc, straight, arc),
/// found by going from one to the next; every one gives a bound that holds.
fn least_leg(off: Vec3, directions: [Option<Vec3>; 2], clr: f64, nearer: f64) -> f64 {
    let mut most = off.length();
    let Some(mut watched) = off.try_normalize() else { return most };
    for _ in 0..12 {
        let (mut bound, mut turned, mut straight) = (off.dot(watched), 0.0, off);
        for direction in directions.into_iter().flatten() {
            let angle = direction.angle_between(watched);
            bound += clr * (angle - angle.sin());
            turned += clr * angle;
            straight -= direction * (clr * (0.5 * angle).tan());
        }
        // A shorter curve would have no room to turn to the direction and back.
        if bound - nearer >= turned {
            most = most.max(bound);
        }
        let Some(next) = straight.try_normalize() else { break };
        watched = next;
    }
    most
}

/// What the stub of the end `end`, from a place along a direction, comes too close to, or touches on its way on.
fn stub_blocked(
    problem: &RoutingProblem,
    r: usize,
    (from, axis, stub): (Vec3, Vec3, f64),
    end: RunEnd,
) -> Option<Impossibility> {
    let run = &problem.runs[r];
    let seated = |o: &Obstacle, s: f64| {
        let need = run.radius + o.clearance;
        need - o.solid.nearest(from + axis * s, need + 200.0).distance
    };
    if let Some((by, name)) = worst_along(&problem.obstacles, stub, seated) {
        return Some(Impossibility::StubTooClose { end, stub, keepout: name.into(), by });
    }
    let sliding = |o: &Obstacle, s: f64| {
        let touched = if o.tool { None } else { o.worst_on(&problem.slide, from + axis * s, run.radius) };
        touched.map_or(0.0, |(by, _)| by)
    };
    let (by, name) = worst_along(&problem.obstacles, stub, sliding)?;
    Some(Impossibility::StubFoulsDuringFitting { end, stub, keepout: name.into(), by })
}

/// The obstacle that a stub misses most, by `short(obstacle, place along the stub)`, mm; `None` when it misses none.
/// From what holds ports only the stub's far end must keep away.
fn worst_along(obstacles: &[Obstacle], length: f64, short: impl Fn(&Obstacle, f64) -> f64) -> Option<(f64, &str)> {
    let mut worst: Option<(f64, &str)> = None;
    for o in obstacles {
        let mut s = if o.holds_ports { length } else { 0.0 };
        loop {
            let by = short(o, s);
            if by > SURE && worst.is_none_or(|w| by > w.0) {
                worst = Some((by, &o.name));
            }
            if s >= length {
                break;
            }
            s = (s + (-by).max(0.5)).min(length);
        }
    }
    worst
}

/// Two port stubs whose tubes are closer than tubes may be.
fn ports_too_close(problem: &RoutingProblem) -> Vec<Impossible> {
    let mut shown = Vec::new();
    let ports: Vec<(usize, &Run)> =
        problem.runs.iter().enumerate().filter(|(_, r)| r.leaves.is_none() && r.locked.is_none()).collect();
    for (k, (_, a)) in ports.iter().enumerate() {
        for (_, b) in &ports[k + 1..] {
            let d = distance_elements(&stub(a.start, a.axis, a.stub), &stub(b.start, b.axis, b.stub)).distance;
            let short = a.radius + b.radius + problem.tube_gap - d;
            if short > SURE {
                let why = Impossibility::PortsTooClose { other: b.id.clone(), by: short };
                shown.push(Impossible { run: a.id.clone(), why });
            }
        }
    }
    shown
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{FRAC_PI_2, PI};

    use super::*;

    #[test]
    fn the_least_length_is_that_of_arc_straight_arc() {
        // Out along x, in along y, 50 either way: a quarter turn of CLR 50 and nothing else.
        let least = least_leg(Vec3::new(50.0, 50.0, 0.0), [Some(Vec3::X), Some(Vec3::Y)], 50.0, 0.0);
        assert!((least - 50.0 * FRAC_PI_2).abs() < 1e-3, "{least}");
        // Turned round: two quarter turns of CLR 50 with 200 between them.
        let least = least_leg(Vec3::new(0.0, 300.0, 0.0), [Some(Vec3::X), Some(-Vec3::X)], 50.0, 0.0);
        assert!((least - (200.0 + 50.0 * PI)).abs() < 1e-3, "{least}");
        // Straight on: the chord, and no more.
        assert_eq!(least_leg(Vec3::new(80.0, 0.0, 0.0), [Some(Vec3::X), Some(Vec3::X)], 50.0, 0.0), 80.0);
        // Ends that may come so near that there is no room for both turns: nothing is claimed beyond the chord.
        assert_eq!(least_leg(Vec3::new(0.0, 110.0, 0.0), [Some(Vec3::X), Some(-Vec3::X)], 50.0, 20.0), 110.0);
        // From anywhere to a waypoint: only the start turns.
        let least = least_leg(Vec3::new(50.0, 250.0, 0.0), [Some(Vec3::X), None], 50.0, 0.0);
        assert!((least - (200.0 + 50.0 * FRAC_PI_2)).abs() < 1e-3, "{least}");
    }
}
