//! The whole search for one problem: a last answer repaired if there is one, else searched for; then improved.

use job::Monitor;
use job::routes::Routes;
use rayon::prelude::*;

use super::annealing::Candidate;
use super::evaluate::RowKind;
use super::path::TubePath;
use super::repair::{FRESH, NUDGE, close, repair};
use super::score::score;
use super::search_run::{Found, blank, search, search_near};
use super::settings::Settings;
use super::state::{State, from_route, lay};
use super::verify::{POLISH_ITERATIONS, finish, routes, strict_miss, whole};
use crate::problem::RoutingProblem;

/// Candidates that are finished at the end.
const VERIFIED_AT_THE_END: usize = 16;

/// Of the nearest misses, those that are closed as well as they can be.
const NEAREST: usize = 4;

/// An answer and its figures.
#[derive(Debug, Clone)]
pub struct Answer {
    /// Where every run goes.
    pub routes: Routes,
    /// Bends + turning / 90 degrees (and length where it counts).
    pub score: f64,
    /// Number of bends.
    pub bends: usize,
    /// Sum of bend angles, rad.
    pub turn: f64,
    /// Largest difference of two primaries' lengths, mm.
    pub spread: f64,
    /// The state it came from.
    pub state: State,
}

/// The result.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// Whether the first answer holds every requirement.
    pub met: bool,
    /// Answers, best first. When the job is not met: the nearest ones.
    pub answers: Vec<Answer>,
    /// When not met: the largest miss, mm, and its kind.
    pub miss: Option<(f64, RowKind)>,
    /// Runs without any way of their own, with the nearest miss, mm.
    pub blocked: Vec<(usize, f64)>,
    /// Whether the runs can be assigned to inlets at all.
    pub assignable: bool,
}

/// Solves `problem`. With `last`, that answer is repaired first, and is the only one when `effort` is 0. `monitor` hears
/// of each better answer.
pub fn solve(
    problem: &RoutingProblem,
    last: Option<&Routes>,
    settings: Settings,
    monitor: &mut Monitor<Answer>,
) -> Outcome {
    let mut answers: Vec<Answer> = Vec::new();
    if let Some(repaired) = last.and_then(|l| repair_last(problem, l, settings.room)) {
        let answer = answer(problem, &repaired);
        monitor.report(&answer);
        answers.push(answer);
        if settings.effort == 0 || monitor.is_stopped() {
            return met(answers);
        }
    }
    let mut found = search(problem, settings, &mut |done| {
        let answer = answer(problem, &done);
        if answers.first().is_some_and(|a| a.score <= answer.score) {
            return true;
        }
        monitor.report(&answer);
        answers.insert(0, answer);
        !monitor.is_stopped()
    });
    let last_look = if settings.hopeless() { Vec::new() } else { several(&found.candidates) };
    let finished: Vec<Option<Candidate>> =
        last_look.into_par_iter().map(|c| finish(problem, c, POLISH_ITERATIONS, settings.room).ok()).collect();
    answers.extend(finished.iter().flatten().map(|done| answer(problem, done)));
    if answers.is_empty() { unmet(problem, &mut found) } else { met(answers) }
}

/// The best few candidates that seem to hold, two of each structure at most: where one of a pair fails at the closer
/// look, the other may not.
fn several(candidates: &[Candidate]) -> Vec<&Candidate> {
    let mut shapes: Vec<(Vec<(usize, usize)>, usize)> = Vec::new();
    let mut chosen = Vec::new();
    for candidate in candidates.iter().filter(|c| c.worst == 0.0) {
        let shape: Vec<(usize, usize)> = candidate.state.runs.iter().map(|r| (r.end, r.clrs.len())).collect();
        match shapes.iter_mut().find(|s| s.0 == shape) {
            Some(known) if known.1 >= 2 => continue,
            Some(known) => known.1 += 1,
            None => shapes.push((shape, 1)),
        }
        chosen.push(candidate);
        if chosen.len() >= VERIFIED_AT_THE_END {
            break;
        }
    }
    chosen
}

fn met(mut answers: Vec<Answer>) -> Outcome {
    answers.sort_by(|a, b| a.score.total_cmp(&b.score));
    answers.dedup_by(|a, b| (a.score - b.score).abs() < 1e-6);
    Outcome { met: true, answers, miss: None, blocked: Vec::new(), assignable: true }
}

fn unmet(problem: &RoutingProblem, found: &mut Found) -> Outcome {
    // Of the nearest misses the one that misses least to the letter.
    let near: Vec<&Candidate> = found.candidates.iter().take(NEAREST).collect();
    let looked: Vec<Candidate> = near
        .into_par_iter()
        .flat_map_iter(|candidate| {
            let mut closed = candidate.state.clone();
            close(problem, &mut closed, &whole(problem), 0.0);
            [closed, candidate.state.clone()]
        })
        .map(|state| {
            let (worst, missed) = strict_miss(problem, &state);
            Candidate { score: score(problem, &state), state, worst, missed }
        })
        .collect();
    let mut nearest = looked;
    nearest.sort_by(|a, b| a.worst.total_cmp(&b.worst));
    let blocked = problem
        .runs
        .iter()
        .enumerate()
        .filter(|(r, run)| run.locked.is_none() && found.pool.nearest_miss[*r] > 0.0)
        .map(|(r, _)| (r, found.pool.nearest_miss[r]))
        .collect();
    let alone = found.pool.nearest_miss.iter().copied().filter(|m| m.is_finite()).fold(0.0, f64::max);
    let miss = match nearest.first() {
        Some(b) => b.missed.map(|tag| (b.worst, tag.0)),
        None => Some((if alone > 0.0 { alone } else { f64::INFINITY }, RowKind::Fit)),
    };
    let answers = nearest.iter().map(|b| answer(problem, b)).collect();
    Outcome { met: false, answers, miss, blocked, assignable: found.assignable }
}

/// What is missed of `problem`, mm, after a short walk from the routes of a job much like it: 0 when every requirement
/// holds. `None` when those routes do not fit the problem.
pub fn miss_near(problem: &RoutingProblem, last: &Routes, settings: Settings) -> Option<f64> {
    let mut state = recall(problem, last)?;
    let solved = repair(problem, &mut state, whole(problem), FRESH, 0.0);
    let start = Candidate::new(problem, state, &solved);
    let mut met = false;
    let reached = search_near(problem, start, settings, &mut |_| {
        met = true;
        false
    });
    let left = || reached.first().map_or(f64::INFINITY, |c| strict_miss(problem, &c.state).0);
    Some(if met { 0.0 } else { left() })
}

/// The state of earlier routes; `None` when they do not fit the problem.
fn recall(problem: &RoutingProblem, last: &Routes) -> Option<State> {
    let mut state = blank(problem);
    for (c, seat) in problem.seats.iter().enumerate().filter(|(_, s)| s.moves()) {
        if let Some(place) = last.collectors.iter().find(|p| p.name == seat.name) {
            let off = place.frame.origin - seat.frame.origin;
            let f = &seat.frame;
            let roll = geom::signed_angle(f.up, place.frame.up, f.forward);
            state.moves[c] = [off.dot(f.forward), off.dot(f.right()), off.dot(f.up), roll];
            seat.clamp(&mut state.moves[c]);
        }
    }
    for (i, run) in problem.runs.iter().enumerate().filter(|(_, r)| r.locked.is_none()) {
        let route = last.runs.iter().find(|r| r.run == run.id)?;
        state.runs[i] = from_route(problem, i, route, &state.moves)?;
    }
    let chosen: Vec<usize> = state.runs.iter().map(|r| r.end).collect();
    if !super::assign::allowed(problem, &chosen) {
        return None;
    }
    let mut path = TubePath::default();
    for w in 0..3 {
        let (mut low, mut high) = (f64::INFINITY, 0.0_f64);
        for (i, _) in problem.runs.iter().enumerate().filter(|(_, r)| r.wanted == w) {
            lay(problem, i, &state.runs[i], &state.moves, &mut path);
            (low, high) = (low.min(path.length), high.max(path.length));
        }
        state.mids[w] = if low.is_finite() { 0.5 * (low + high) } else { 0.0 };
    }
    Some(state)
}

/// The last answer repaired to hold every requirement, when a small change of it can.
fn repair_last(problem: &RoutingProblem, last: &Routes, room: f64) -> Option<Candidate> {
    let mut state = recall(problem, last)?;
    let mut near = state.clone();
    if close(problem, &mut near, &whole(problem), room) == 0.0 {
        let candidate = Candidate { score: score(problem, &near), worst: 0.0, state: near, missed: None };
        if let Ok(done) = finish(problem, &candidate, POLISH_ITERATIONS / 2, room) {
            return Some(done);
        }
    }
    let solved = repair(problem, &mut state, whole(problem), NUDGE, room);
    let candidate = Candidate { score: score(problem, &state), worst: solved.worst, state, missed: solved.missed };
    finish(problem, &candidate, POLISH_ITERATIONS / 2, room).ok()
}

fn answer(problem: &RoutingProblem, candidate: &Candidate) -> Answer {
    let mut path = TubePath::default();
    let (mut bends, mut turn) = (0, 0.0);
    let (mut low, mut high) = (f64::INFINITY, 0.0_f64);
    for (i, run) in problem.runs.iter().enumerate() {
        lay(problem, i, &candidate.state.runs[i], &candidate.state.moves, &mut path);
        bends += path.clrs.len();
        turn += path.turn();
        if run.wanted == 0 {
            (low, high) = (low.min(path.length), high.max(path.length));
        }
    }
    let routes = routes(problem, &candidate.state);
    let spread = if low.is_finite() { high - low } else { 0.0 };
    Answer { routes, score: candidate.score, bends, turn, spread, state: candidate.state.clone() }
}
