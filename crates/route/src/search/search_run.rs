//! A search from nothing, or from a state that misses something: pool, picks, annealing.
//!
//! Each of the numbers below was halved and doubled alone: none gives better routes so (docs/measured.md).

use job::StepsAhead;
use rayon::prelude::*;

use super::annealing::{Candidate, IMPROVING_BENDS_PER_MM, Lane, SEEKING_BENDS_PER_MM};
use super::pick::Picks;
use super::pool::{Pool, PoolSettings, build};
use super::repair::{FRESH, repair};
use super::settings::Settings;
use super::state::{RunState, State, from_route};
use super::verify::{POLISH_ITERATIONS, finish, whole};
use crate::problem::RoutingProblem;

/// Lanes of the improvement. Fixed, so that the answer does not depend on the threads.
const LANES: usize = 4;

/// Steps of a lane between two meetings.
const STEPS_PER_MEETING: usize = 20;

/// Starts of the first pool, for each run, end and number of bends: many jobs have an answer in it.
const FIRST_POOL_STARTS: usize = 4;

/// Rounds of picks from the first pool.
const FIRST_POOL_ROUNDS: usize = 2;

/// Starts of the second pool.
const SECOND_POOL_STARTS: usize = 8;

/// Apart from all other seeds of a search.
const SECOND_POOL_SEED: u64 = 500;

/// Picks repaired at a time.
const PICKS_PER_ROUND: usize = 8;

/// Candidates of a search that are looked at closely after a round.
const VERIFIED_PER_ROUND: usize = 6;

/// Those looked at side by side. Fixed, so that the answer does not depend on the threads.
const VERIFIED_TOGETHER: usize = 2;

/// Meetings of the lanes without getting nearer after which a job is given up.
const IDLE_MEETINGS: usize = 2;

/// Meetings after which a job without an answer is given up all the same.
const UNMET_MEETINGS: usize = 4;

/// What a miss must fall to between two meetings to count as getting nearer.
const NEARER_RATIO: f64 = 0.8;

/// A nearest answer that misses more than this is far from holding, mm: about half a tube.
const FAR_MISS_MM: f64 = 15.0;

/// Nearest answers that tell which runs are in one another's way.
const BLAMED_ANSWERS: usize = 4;

/// How much worse than the best a repaired pick may be for the sweep to walk from it, in bends.
const SWEEP_LIMIT_BENDS: f64 = 4.0;

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
pub fn blank(problem: &RoutingProblem) -> State {
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

/// How far a search is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Verdict {
    /// Nothing held at a closer look so far.
    Rejected,
    /// Something holds.
    Accepted,
    /// Something holds, and that is enough.
    Enough,
}

/// Hears of each finished candidate that holds every requirement; false ends the search.
pub type TellHeld<'a> = &'a mut dyn FnMut(Candidate) -> bool;

/// Searches for routes.
pub fn search(problem: &RoutingProblem, settings: Settings, tell: TellHeld) -> Found {
    let state = blank(problem);
    let mut run =
        SearchRun { problem, settings, elite: Vec::new(), tries: VERIFIED_PER_ROUND, verdict: Verdict::Rejected, tell };
    let mut pool = initial_pool(problem, &state, settings, FIRST_POOL_STARTS);
    let mut stuck = blocked(problem, &pool);
    if stuck.is_empty() || settings.hopeless() {
        let mut picks = Picks::new(problem, &state, &pool, settings.seed);
        run.first(&pool, &mut picks, FIRST_POOL_ROUNDS);
        let done = match run.verdict {
            Verdict::Rejected => settings.hopeless() || settings.stopped(),
            Verdict::Accepted => settings.effort == 0,
            Verdict::Enough => true,
        };
        if done {
            return Found { candidates: run.elite, pool, assignable: picks.assignable };
        }
    }
    if settings.stopped() {
        return Found { candidates: run.elite, pool, assignable: true };
    }
    let second = Settings { seed: settings.seed + SECOND_POOL_SEED, ..settings };
    pool.merge(initial_pool(problem, &state, second, SECOND_POOL_STARTS));
    stuck.retain(|&r| !pool.has_clean_route(r));
    if settings.pools > 1 {
        free_stuck(problem, &state, settings, &mut pool, &mut stuck);
    }
    // With a run that finds no way even alone, only a nearest answer is looked for.
    let pools = if settings.draw_nearest { 1 } else { 0 };
    if !stuck.is_empty() {
        run.settings = Settings { rounds: 2, pools, effort: 0, ..settings };
    }
    let mut picks = run.pick_from_pools(&state, &mut pool);
    let assignable = picks.as_ref().is_none_or(|p| p.assignable);
    let effort = run.settings.effort;
    let [sweeping, annealing] = [sweeps(effort), effort].map(|epochs| settings.pace.ahead(epochs as u64));
    if let Some(picks) = &mut picks {
        run.sweep(&pool, picks, sweeping);
    }
    run.anneal(&pool, annealing);
    Found { candidates: run.elite, pool, assignable }
}

/// Gives each run that finds no way alone a larger pool, until one still finds none: that one is enough for the job not
/// to be met.
fn free_stuck(problem: &RoutingProblem, state: &State, settings: Settings, pool: &mut Pool, stuck: &mut Vec<usize>) {
    while let Some(&run) = stuck.first().filter(|_| !settings.stopped()) {
        pool.merge(build(problem, state, larger(settings, 1), &aims(problem, pool), Some(&[run])));
        if !pool.has_clean_route(run) {
            return;
        }
        stuck.remove(0);
    }
}

/// Epochs of the sweep for an effort.
fn sweeps(effort: usize) -> usize {
    effort.div_ceil(2)
}

/// Steps that a search counts in its pace once something holds.
pub fn steps_ahead(effort: usize) -> u64 {
    (sweeps(effort) + effort) as u64
}

/// A short walk from `start`, a state that misses something.
pub fn search_near(problem: &RoutingProblem, start: Candidate, settings: Settings, tell: TellHeld) -> Vec<Candidate> {
    let pool = Pool::empty(problem);
    let mut run =
        SearchRun { problem, settings, elite: vec![start], tries: VERIFIED_TOGETHER, verdict: Verdict::Rejected, tell };
    run.verify_best();
    for epoch in 0..settings.rounds as u64 {
        if run.verdict != Verdict::Rejected || settings.stopped() {
            break;
        }
        let mut lanes = run.lanes(settings.seed + epoch);
        run.walk(&mut lanes, &pool, STEPS_PER_MEETING / 4, 0.3);
        run.elite.extend(lanes.into_iter().map(|l| l.best));
        rank(&mut run.elite);
        run.verify_best();
    }
    run.elite
}

/// Runs that found no way of their own.
fn blocked(problem: &RoutingProblem, pool: &Pool) -> Vec<usize> {
    (0..problem.runs.len()).filter(|&r| problem.runs[r].locked.is_none() && pool.nearest_miss[r] > 0.0).collect()
}

/// A search on its way.
struct SearchRun<'a> {
    problem: &'a RoutingProblem,
    settings: Settings<'a>,
    elite: Vec<Candidate>,
    /// Candidates looked at closely after a round, until one holds.
    tries: usize,
    verdict: Verdict,
    tell: TellHeld<'a>,
}

impl SearchRun<'_> {
    /// Picks from the pool, made larger for the runs that miss most each time that nothing holds; the last picks.
    fn pick_from_pools(&mut self, state: &State, pool: &mut Pool) -> Option<Picks> {
        let mut picks: Option<Picks> = None;
        for attempt in 0..self.settings.pools {
            if self.settings.stopped() {
                break;
            }
            if attempt > 0 {
                let more = larger(self.settings, attempt as u64);
                let aims = aims(self.problem, pool);
                pool.merge(build(self.problem, state, more, &aims, Some(&self.worst_runs())));
            }
            let seed = self.settings.seed + attempt as u64;
            let fresh = picks.insert(Picks::new(self.problem, state, pool, seed));
            if self.verdict == Verdict::Rejected {
                self.first(pool, fresh, self.settings.rounds);
            }
            if self.verdict != Verdict::Rejected {
                break;
            }
        }
        picks
    }

    /// Repairs the next picks and tells of what holds; false when there are none left or it is to end.
    fn round(&mut self, picks: &mut Picks) -> bool {
        let states = picks.take(PICKS_PER_ROUND);
        if states.is_empty() || self.settings.stopped() {
            return false;
        }
        self.elite.extend(repaired(self.problem, states, self.settings.room));
        rank(&mut self.elite);
        self.verify_best();
        true
    }

    /// Repairs up to `rounds` rounds of picks, the promising ones first, until some hold.
    fn first(&mut self, pool: &Pool, picks: &mut Picks, rounds: usize) {
        for round in 0..rounds {
            if !self.round(picks) || self.verdict != Verdict::Rejected {
                return;
            }
            if round % 2 == 1 {
                // A short walk from the nearest misses finds what no pick holds.
                let seed = self.settings.seed + round as u64;
                let mut lanes = self.lanes(seed);
                self.walk(&mut lanes, pool, STEPS_PER_MEETING / 2, 0.3);
                self.elite.extend(lanes.into_iter().map(|l| l.best));
                rank(&mut self.elite);
                self.verify_best();
                if self.verdict != Verdict::Rejected {
                    return;
                }
            }
        }
    }

    /// Goes through the next picks, so that no assignment of inlets is left out only because another was tried first.
    fn sweep(&mut self, pool: &Pool, picks: &mut Picks, mut ahead: StepsAhead) {
        for epoch in 0..sweeps(self.settings.effort) {
            if self.verdict != Verdict::Accepted || self.settings.stopped() {
                return;
            }
            let states = picks.take(LANES);
            if states.is_empty() {
                return;
            }
            let limit =
                self.elite.first().map_or(f64::INFINITY, |c| c.energy(IMPROVING_BENDS_PER_MM)) + SWEEP_LIMIT_BENDS;
            let fresh: Vec<Candidate> = repaired(self.problem, states, self.settings.room)
                .into_iter()
                .filter(|c| c.energy(IMPROVING_BENDS_PER_MM) < limit)
                .collect();
            let seed = self.settings.seed + 100 + epoch as u64;
            let mut lanes: Vec<Lane> = fresh
                .into_iter()
                .enumerate()
                .map(|(l, c)| Lane::new(c, seed, l as u64, IMPROVING_BENDS_PER_MM))
                .collect();
            self.walk(&mut lanes, pool, steps(self.problem), 0.12);
            for lane in lanes {
                self.elite.push(lane.best);
                self.elite.extend(lane.seen);
            }
            rank(&mut self.elite);
            self.verify_best();
            ahead.step(1);
        }
    }

    /// The annealed walk from the best answers of different assignment.
    fn anneal(&mut self, pool: &Pool, mut ahead: StepsAhead) {
        let mut lanes = self.lanes(self.settings.seed);
        // What no pick brought is still looked for, whatever the effort.
        let epochs = if self.verdict == Verdict::Rejected {
            self.settings.effort.max(self.settings.rounds)
        } else {
            self.settings.effort
        };
        let mut idle = 0;
        let mut best = self.elite.first().cloned();
        for epoch in 0..epochs {
            // A job that is not met by now is given up once no step brings it nearer, one far from it at once.
            let far = best.as_ref().is_some_and(|b| b.worst > FAR_MISS_MM);
            let patience = if far { 1 } else { IDLE_MEETINGS };
            let given_up = self.verdict == Verdict::Rejected && (idle >= patience || epoch >= UNMET_MEETINGS);
            if given_up || self.settings.stopped() || self.verdict == Verdict::Enough || lanes.is_empty() {
                break;
            }
            let heat = 0.4 * (1.0 - epoch as f64 / epochs as f64).powi(2) + 0.02;
            self.walk(&mut lanes, pool, steps(self.problem), heat);
            let Some(leader) = lanes.iter().map(|l| &l.best).min_by(|a, b| a.rank(b)).cloned() else { break };
            let nearer = |b: &Candidate| leader.worst == 0.0 || leader.worst < NEARER_RATIO * b.worst;
            idle = if best.as_ref().is_none_or(nearer) { 0 } else { idle + 1 };
            if best.as_ref().is_none_or(|b| leader.beats(b)) {
                self.elite.insert(0, leader.clone());
                self.verify_best();
                best = Some(leader.clone());
            }
            // The lane farthest behind takes over the leader's place.
            let last = (0..lanes.len()).max_by(|&a, &b| lanes[a].energy().total_cmp(&lanes[b].energy()));
            if let Some(last) = last.filter(|_| epoch % 2 == 1) {
                lanes[last].restart(&leader);
            }
            ahead.step(1);
        }
        for lane in lanes {
            self.elite.push(lane.best);
            self.elite.extend(lane.seen);
        }
        rank(&mut self.elite);
    }

    /// The runs that miss most in one of the nearest answers; all where none says which.
    fn worst_runs(&self) -> Vec<usize> {
        let missed = self.elite.iter().take(BLAMED_ANSWERS).filter_map(|c| c.missed).flat_map(|m| m.runs());
        let mut runs: Vec<usize> = missed.filter(|&r| self.problem.runs[r].locked.is_none()).collect();
        runs.sort_unstable();
        runs.dedup();
        if runs.is_empty() { (0..self.problem.runs.len()).collect() } else { runs }
    }

    /// Lanes that start from the best of the elite, of different assignment where there are some.
    fn lanes(&self, seed: u64) -> Vec<Lane> {
        let mut starts: Vec<&Candidate> = Vec::new();
        let ends = |c: &Candidate| c.state.runs.iter().map(|r| r.end).collect::<Vec<_>>();
        for candidate in &self.elite {
            if starts.len() < LANES && starts.iter().all(|s| ends(s) != ends(candidate)) {
                starts.push(candidate);
            }
        }
        let distinct = starts.len();
        let count = if self.elite.is_empty() { 0 } else { LANES };
        let miss_price = if self.verdict == Verdict::Rejected { SEEKING_BENDS_PER_MM } else { IMPROVING_BENDS_PER_MM };
        (0..count).map(|l| Lane::new(starts[l % distinct].clone(), seed, l as u64, miss_price)).collect()
    }

    fn walk(&self, lanes: &mut [Lane], pool: &Pool, steps: usize, heat: f64) {
        let (problem, settings) = (self.problem, self.settings);
        lanes.par_iter_mut().for_each(|lane| lane.walk(problem, pool, steps, heat, &settings));
    }

    /// Looks closer at the best candidates that seem to hold, until one does; those that do not are known to miss.
    fn verify_best(&mut self) {
        if self.settings.hopeless() {
            return;
        }
        let tries = if self.verdict == Verdict::Rejected { self.tries } else { 1 };
        let hopeful: Vec<usize> = (0..self.elite.len()).filter(|&i| self.elite[i].worst == 0.0).take(tries).collect();
        for some in hopeful.chunks(VERIFIED_TOGETHER) {
            let look = |&i: &usize| finish(self.problem, &self.elite[i], POLISH_ITERATIONS, self.settings.room);
            let looked: Vec<Result<Candidate, f64>> = some.par_iter().map(look).collect();
            let mut held = None;
            for (&i, result) in some.iter().zip(looked) {
                match result {
                    Ok(done) => held = held.or(Some(done)),
                    Err(miss) => self.elite[i].worst = miss,
                }
            }
            if let Some(done) = held {
                self.verdict = if (self.tell)(done) { Verdict::Accepted } else { Verdict::Enough };
                break;
            }
        }
        rank(&mut self.elite);
    }
}

/// Steps of a lane between two meetings: fewer where each takes longer.
fn steps(problem: &RoutingProblem) -> usize {
    (4 * STEPS_PER_MEETING / problem.runs.len().max(4)).max(4)
}

/// The states repaired together, in their order.
fn repaired(problem: &RoutingProblem, states: Vec<State>, room: f64) -> Vec<Candidate> {
    let scope = whole(problem);
    states
        .into_par_iter()
        .map(|mut state| {
            let solved = repair(problem, &mut state, scope.clone(), FRESH, room);
            Candidate::new(problem, state, &solved)
        })
        .collect()
}

/// Whether each of `runs` finds a way alone.
pub fn have_clean_routes(problem: &RoutingProblem, settings: Settings, runs: &[usize]) -> bool {
    let none = vec![None; problem.runs.len()];
    let settings = PoolSettings { seed: settings.seed, starts: FIRST_POOL_STARTS, most_bends: 4, stop: settings.stop };
    let state = blank(problem);
    runs.iter().all(|&r| build(problem, &state, settings, &none, Some(&[r])).has_clean_route(r))
}

/// A larger pool with starts of its own.
fn larger(settings: Settings<'_>, number: u64) -> PoolSettings<'_> {
    PoolSettings { seed: settings.seed + 1000 * number, starts: 16, most_bends: 5, stop: settings.stop }
}

/// A pool, with longer routes as well where lengths must be even without a target.
fn initial_pool(problem: &RoutingProblem, state: &State, settings: Settings, starts: usize) -> Pool {
    let none = vec![None; problem.runs.len()];
    let first = PoolSettings { seed: settings.seed, starts, most_bends: 4, stop: settings.stop };
    let mut pool = build(problem, state, first, &none, None);
    let aims = aims(problem, &pool);
    if aims.iter().any(Option::is_some) {
        pool.merge(build(problem, state, PoolSettings { seed: settings.seed + 1, ..first }, &aims, None));
    }
    pool
}

/// For runs that must be even without a target: the length of the longest of the shortest routes, where their own
/// falls short of it.
fn aims(problem: &RoutingProblem, pool: &Pool) -> Vec<Option<f64>> {
    let shortest: Vec<f64> = pool
        .rows
        .iter()
        .map(|r| r.iter().flatten().filter(|e| e.clean()).map(|e| e.length).fold(f64::INFINITY, f64::min))
        .collect();
    let mut aims = vec![None; problem.runs.len()];
    for (w, wanted) in problem.length_targets.iter().enumerate() {
        if wanted.target.is_some() || !wanted.tolerance.is_finite() {
            continue;
        }
        let members = (0..problem.runs.len()).filter(|&i| problem.runs[i].wanted == w && shortest[i].is_finite());
        let longest = members.clone().map(|i| shortest[i]).fold(0.0, f64::max);
        for i in members {
            if shortest[i] < longest - wanted.tolerance {
                aims[i] = Some(1.02 * longest);
            }
        }
    }
    aims
}

/// Best first, no two alike.
fn rank(elite: &mut Vec<Candidate>) {
    elite.sort_by(Candidate::rank);
    elite.dedup_by(|a, b| (a.score - b.score).abs() < 1e-4 && a.worst == b.worst);
    elite.truncate(200);
}
