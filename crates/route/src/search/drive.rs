//! The course of a search: pool, picks, improvement.

use oorandom::Rand64;
use rayon::prelude::*;

use super::assign::assignments;
use super::evaluate::Scope;
use super::improve::{Candidate, Lane};
use super::pick::Table;
use super::pool::{Pool, PoolSettings, build};
use super::repair::{FRESH, repair};
use super::score::score;
use super::state::{RunState, State, from_route};
use crate::problem::Problem;

/// Lanes of the improvement. Fixed, so that the answer does not depend on the threads.
const LANES: usize = 4;

/// Steps of a lane between two meetings.
const STEPS: usize = 20;

/// Picks repaired at a time.
const ROUND: usize = 8;

/// Meetings of the lanes without getting nearer after which a job is given up.
const PATIENCE: usize = 3;

/// How a search is run.
#[derive(Debug, Clone, Copy)]
pub struct Settings {
    /// Seed of all random numbers.
    pub seed: u64,
    /// Meetings of the lanes after the first answer; each is 80 steps.
    pub effort: usize,
    /// Rounds of picks from one pool before it is given up.
    pub rounds: usize,
    /// Pools, each larger than the one before, until the job is given up.
    pub pools: usize,
    /// Whether a nearest answer is wanted of a job with a run that finds no way even alone.
    pub draw_nearest: bool,
    /// Extra room asked for between tubes and to keep-outs, mm.
    pub room: f64,
}

/// What a search brings.
#[derive(Debug, Clone)]
pub struct Found {
    /// Candidates, best first: those that hold every requirement before the others.
    pub candidates: Vec<Candidate>,
    /// The pool it was made from.
    pub pool: Pool,
    /// Whether any allowed assignment of inlets exists among the cells with a route.
    pub assignable: bool,
}

/// The state before anything is routed.
pub fn blank(problem: &Problem) -> State {
    let rs = RunState { end: 0, clrs: vec![], t: [0.0; 2], free: vec![], via_leg: vec![], legs: vec![] };
    let mut state =
        State { runs: vec![rs; problem.runs.len()], moves: vec![[0.0; 4]; problem.seats.len()], mids: [0.0; 3] };
    for (i, run) in problem.runs.iter().enumerate() {
        if let Some(s) = run.locked.as_ref().and_then(|route| from_route(problem, i, route, &state.moves)) {
            state.runs[i] = s;
        }
    }
    state
}

/// What came of telling of a candidate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// It does not hold at a closer look.
    Rejected,
    /// It holds.
    Accepted,
    /// It holds, and that is enough.
    Enough,
}

/// Searches for routes. `tell` hears of each better candidate.
pub fn search(problem: &Problem, settings: Settings, tell: &mut dyn FnMut(&Candidate) -> Verdict) -> Found {
    let state = blank(problem);
    let mut pool = first_pool(problem, &state, settings.seed);
    let blocked = |pool: &Pool| -> Vec<usize> {
        (0..problem.runs.len()).filter(|&r| problem.runs[r].locked.is_none() && pool.nearest_miss[r] > 0.0).collect()
    };
    let mut stuck = blocked(&pool);
    if !stuck.is_empty() && settings.pools > 1 {
        pool.merge(build(problem, &state, larger(settings.seed, 1), &aims(problem, &pool), Some(&stuck)));
        stuck = blocked(&pool);
    }
    // With a run that finds no way even alone, only a nearest answer is looked for.
    let pools = if settings.draw_nearest { 1 } else { 0 };
    let settings = if stuck.is_empty() { settings } else { Settings { rounds: 2, pools, effort: 0, ..settings } };
    let mut elite: Vec<Candidate> = Vec::new();
    let mut assignable = true;
    let mut rng = Rand64::new((settings.seed as u128) << 64 | 5);
    let mut accepted = Verdict::Rejected;
    for attempt in 0..settings.pools {
        if attempt > 0 {
            let more = larger(settings.seed, attempt as u64);
            pool.merge(build(problem, &state, more, &aims(problem, &pool), None));
        }
        assignable = picks(problem, &state, &pool, settings, &mut rng, &mut elite);
        rank(&mut elite);
        for candidate in elite.iter().filter(|c| c.worst == 0.0).take(6) {
            accepted = tell(candidate);
            if accepted != Verdict::Rejected {
                break;
            }
        }
        if accepted != Verdict::Rejected {
            break;
        }
    }
    let mut lanes = lanes_from(&elite, settings.seed);
    let mut best = elite.first().cloned();
    let epochs = settings.effort;
    let mut idle = 0;
    for epoch in 0..epochs {
        // A job that is not met by now is given up once no step brings it nearer.
        if accepted == Verdict::Rejected && idle >= PATIENCE {
            break;
        }
        if accepted == Verdict::Enough || lanes.is_empty() {
            break;
        }
        let heat = 0.5 * (1.0 - epoch as f64 / epochs as f64).powi(2) + 0.02;
        lanes.par_iter_mut().for_each(|lane| lane.walk(problem, &pool, STEPS, heat, settings.room));
        let Some(leader) = lanes.iter().map(|l| &l.best).min_by(|a, b| a.rank(b)).cloned() else { break };
        let nearer = |b: &Candidate| leader.worst == 0.0 || leader.worst < 0.9 * b.worst;
        idle = if best.as_ref().is_none_or(nearer) { 0 } else { idle + 1 };
        if best.as_ref().is_none_or(|b| leader.beats(b)) {
            if leader.worst == 0.0 && tell(&leader) == Verdict::Enough {
                accepted = Verdict::Enough;
            }
            best = Some(leader.clone());
        }
        // The lane farthest behind takes over the leader's place.
        let last = (0..lanes.len()).max_by(|&a, &b| lanes[a].now.energy().total_cmp(&lanes[b].now.energy()));
        if let Some(last) = last.filter(|_| epoch % 2 == 1) {
            lanes[last].restart(&leader);
        }
    }
    for lane in lanes {
        elite.push(lane.best);
        elite.extend(lane.seen);
    }
    rank(&mut elite);
    Found { candidates: elite, pool, assignable }
}

/// Whether each of `runs` finds a way alone.
pub fn finds_ways(problem: &Problem, seed: u64, runs: &[usize]) -> bool {
    let none = vec![None; problem.runs.len()];
    let pool = build(problem, &blank(problem), PoolSettings { seed, starts: 12, most_bends: 4 }, &none, Some(runs));
    runs.iter().all(|&r| pool.nearest_miss[r] == 0.0)
}

/// A larger pool with starts of its own.
fn larger(seed: u64, number: u64) -> PoolSettings {
    PoolSettings { seed: seed + 1000 * number, starts: 24, most_bends: 5 }
}

/// Lanes that start from the best of the elite.
fn lanes_from(elite: &[Candidate], seed: u64) -> Vec<Lane> {
    let count = if elite.is_empty() { 0 } else { LANES };
    (0..count).map(|l| Lane::new(elite[l.min(elite.len() - 1)].clone(), seed, l as u64)).collect()
}

/// The pool, with a second helping of longer routes where lengths must be even without a target.
fn first_pool(problem: &Problem, state: &State, seed: u64) -> Pool {
    let none = vec![None; problem.runs.len()];
    let mut pool = build(problem, state, PoolSettings { seed, starts: 12, most_bends: 4 }, &none, None);
    let aims = aims(problem, &pool);
    if aims.iter().any(Option::is_some) {
        pool.merge(build(problem, state, PoolSettings { seed: seed + 1, starts: 8, most_bends: 4 }, &aims, None));
    }
    pool
}

/// For runs that must be even without a target: the length of the longest of the shortest routes, where their own
/// falls short of it.
fn aims(problem: &Problem, pool: &Pool) -> Vec<Option<f64>> {
    let shortest: Vec<f64> =
        pool.rows.iter().map(|r| r.iter().flatten().map(|e| e.length).fold(f64::INFINITY, f64::min)).collect();
    let mut aims = vec![None; problem.runs.len()];
    for (w, wish) in problem.wishes.iter().enumerate() {
        if wish.target.is_some() || !wish.tolerance.is_finite() {
            continue;
        }
        let members = (0..problem.runs.len()).filter(|&i| problem.runs[i].wish == w && shortest[i].is_finite());
        let longest = members.clone().map(|i| shortest[i]).fold(0.0, f64::max);
        for i in members {
            if shortest[i] < longest - wish.tolerance {
                aims[i] = Some(1.02 * longest);
            }
        }
    }
    aims
}

/// Rounds of picks into `elite` until one holds; false when no assignment exists.
fn picks(
    problem: &Problem,
    state: &State,
    pool: &Pool,
    settings: Settings,
    rng: &mut Rand64,
    elite: &mut Vec<Candidate>,
) -> bool {
    let table = Table::new(problem, pool);
    let open: Vec<Vec<bool>> = (0..problem.runs.len())
        .map(|r| {
            let locked = problem.runs[r].locked.is_some();
            (0..problem.runs[r].ends.len()).map(|e| locked || table.cell_score(r, e).is_finite()).collect()
        })
        .collect();
    let all = assignments(problem, &open, settings.seed);
    if all.is_empty() {
        return false;
    }
    let mut ranked: Vec<(f64, &Vec<usize>)> = all
        .iter()
        .map(|a| {
            let sum = a.iter().enumerate().filter(|(r, _)| problem.runs[*r].locked.is_none());
            (sum.map(|(r, &e)| table.cell_score(r, e)).sum(), a)
        })
        .collect();
    ranked.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(b.1)));
    for round in 0..settings.rounds {
        let tries: Vec<(u64, u64)> = (0..ROUND).map(|_| (rng.rand_u64(), rng.rand_u64())).collect();
        let found: Vec<Option<Candidate>> = tries
            .par_iter()
            .map(|&(a, b)| {
                one_pick(problem, state, &table, &ranked, Rand64::new((a as u128) << 64 | b as u128), settings.room)
            })
            .collect();
        elite.extend(found.into_iter().flatten());
        rank(elite);
        let holds = elite.iter().filter(|c| c.worst == 0.0).count();
        if holds >= 3 || (holds >= 1 && round >= 2) {
            break;
        }
        if holds == 0 && round % 2 == 1 {
            // A short walk from the nearest misses finds what no pick holds.
            let mut lanes = lanes_from(elite, settings.seed + round as u64);
            lanes.par_iter_mut().for_each(|lane| lane.walk(problem, pool, STEPS / 2, 0.3, settings.room));
            elite.extend(lanes.into_iter().map(|l| l.best));
            rank(elite);
        }
    }
    true
}

fn one_pick(
    problem: &Problem,
    state: &State,
    table: &Table,
    ranked: &[(f64, &Vec<usize>)],
    mut rng: Rand64,
    room: f64,
) -> Option<Candidate> {
    // The best of a few assignments, the promising ones more often.
    let mut best: Option<(f64, _, _)> = None;
    for _ in 0..5 {
        let u = rng.rand_float();
        let assignment = ranked[((ranked.len() as f64 * u * u) as usize).min(ranked.len() - 1)].1;
        let wanted: Vec<Option<usize>> =
            assignment.iter().enumerate().map(|(r, &e)| problem.runs[r].locked.is_none().then_some(e)).collect();
        let (price, pick) = table.pick(&wanted, &mut rng, 3);
        if best.as_ref().is_none_or(|b| price < b.0) {
            best = Some((price, pick, assignment));
        }
    }
    let (_, pick, _) = best?;
    let mut state = state.clone();
    for (run, entry) in pick.iter().enumerate() {
        if let Some(e) = entry {
            state.runs[run] = e.rs.clone();
        }
    }
    for w in 0..3 {
        let lengths = pick.iter().flatten().filter(|e| problem.runs[e.run].wish == w).map(|e| e.length);
        let (low, high) = lengths.fold((f64::INFINITY, 0.0_f64), |(l, h), x| (l.min(x), h.max(x)));
        state.mids[w] = if low.is_finite() { 0.5 * (low + high) } else { 0.0 };
    }
    let free = (0..problem.runs.len()).filter(|&r| problem.runs[r].locked.is_none()).collect();
    let fixed = (0..problem.runs.len()).filter(|&r| problem.runs[r].locked.is_some()).collect();
    let solved = repair(problem, &mut state, Scope { active: free, fixed, joint: true }, FRESH, room);
    let worst = if solved.worst < 0.02 { 0.0 } else { solved.worst };
    let score = score(problem, &state);
    Some(Candidate { state, score, worst })
}

/// Best first, no two alike.
fn rank(elite: &mut Vec<Candidate>) {
    elite.sort_by(Candidate::rank);
    elite.dedup_by(|a, b| (a.score - b.score).abs() < 1e-4 && a.worst == b.worst);
    elite.truncate(200);
}
