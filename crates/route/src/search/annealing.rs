//! Improving an answer: an annealed search over its neighbours.
//!
//! A neighbour differs in structure (a point deleted or added, another CLR, another pool entry, inlets swapped)
//! or in place (a run shaken). The changed runs are repaired first against the others, then all together.
//! Several lanes search side by side with their own random numbers; they meet after fixed numbers of steps, so
//! that the answer does not depend on how many threads carry them.

use oorandom::Rand64;

use super::assign::allowed;
use super::evaluate::{Scope, Tag};
use super::least_squares::Solved;
use super::path::TubePath;
use super::pool::{Pool, approx_normal, start};
use super::repair::{NUDGE, repair};
use super::score::{run_score, score};
use super::settings::Settings;
use super::state::{RunState, State, lay};
use crate::problem::RoutingProblem;

/// Random starts of a run that is laid again.
const RELAID_STARTS: usize = 5;

/// How often the run that misses most is laid again while something is missed.
const RELAID_SHARE: f64 = 0.4;

/// How often two runs take other routes of the pool together.
const PAIR_SHARE: f64 = 0.5;

/// Price of a millimetre missed, in bends, while nothing holds every requirement yet.
pub const SEEKING_BENDS_PER_MM: f64 = 1.2;

/// The same once something does: the way to a better answer may lead past ones that miss a little.
pub const IMPROVING_BENDS_PER_MM: f64 = 0.4;

/// A state with what it is worth.
#[derive(Debug, Clone)]
pub struct Candidate {
    /// The state.
    pub state: State,
    /// Score of the candidate.
    pub score: f64,
    /// Its largest miss, mm; 0 when every requirement holds on the points looked at.
    pub worst: f64,
    /// What it misses most.
    pub missed: Option<Tag>,
}

impl Candidate {
    /// A state as a repair left it.
    pub fn new(problem: &RoutingProblem, state: State, solved: &Solved) -> Self {
        let worst = if solved.worst < 0.02 { 0.0 } else { solved.worst };
        Candidate { score: score(problem, &state), state, worst, missed: solved.missed }
    }

    /// Score and miss in one number, a millimetre missed at `miss_price`; less is better.
    pub fn energy(&self, miss_price: f64) -> f64 {
        self.score + if self.worst > 0.0 { 1.0 + miss_price * self.worst } else { 0.0 }
    }

    /// Whether it is the better answer: one that holds every requirement before one that does not.
    pub fn beats(&self, other: &Candidate) -> bool {
        self.rank(other).is_lt()
    }

    /// The order of answers, best first.
    pub fn rank(&self, other: &Candidate) -> std::cmp::Ordering {
        (self.worst > 0.0)
            .cmp(&(other.worst > 0.0))
            .then(self.energy(SEEKING_BENDS_PER_MM).total_cmp(&other.energy(SEEKING_BENDS_PER_MM)))
    }
}

/// One searcher.
#[derive(Debug, Clone)]
pub struct Lane {
    /// Where it stands.
    pub now: Candidate,
    /// The best it has seen.
    pub best: Candidate,
    /// Other answers it passed that hold every requirement.
    pub seen: Vec<Candidate>,
    /// Price of a millimetre missed, in bends.
    miss_price: f64,
    rng: Rand64,
}

impl Lane {
    /// A lane that starts at `from`.
    pub fn new(from: Candidate, seed: u64, number: u64, miss_price: f64) -> Self {
        let rng = Rand64::new((seed as u128) << 64 | (number as u128 + 1) << 32 | 77);
        Lane { best: from.clone(), seen: Vec::new(), now: from, miss_price, rng }
    }

    /// Score and miss of where it stands in one number.
    pub fn energy(&self) -> f64 {
        self.now.energy(self.miss_price)
    }

    /// Moves the lane to another place.
    pub fn restart(&mut self, from: &Candidate) {
        self.now = from.clone();
        if from.beats(&self.best) {
            self.best = from.clone();
        }
    }

    /// Takes `steps` steps at temperature `heat` (in bends).
    pub fn walk(&mut self, problem: &RoutingProblem, pool: &Pool, steps: usize, heat: f64, settings: &Settings) {
        let room = settings.room;
        for _ in 0..steps {
            if settings.stopped() {
                return;
            }
            let Some((state, changed)) = self.propose(problem, pool) else { continue };
            let Some(next) = settle(problem, state, &changed, self.energy() + 5.0 * heat + 0.1, room) else {
                continue;
            };
            let rise = next.energy(self.miss_price) - self.energy();
            if rise <= 0.0 || self.rng.rand_float() < (-rise / heat.max(1e-6)).exp() {
                if next.worst == 0.0 && self.seen.len() < 400 {
                    self.seen.push(next.clone());
                }
                if next.beats(&self.best) {
                    self.best = next.clone();
                }
                self.now = next;
            }
        }
    }

    /// A neighbour of the present state and the runs it changes.
    fn propose(&mut self, problem: &RoutingProblem, pool: &Pool) -> Option<(State, Vec<usize>)> {
        let free: Vec<usize> = (0..problem.runs.len()).filter(|&r| problem.runs[r].locked.is_none()).collect();
        if free.is_empty() {
            return None;
        }
        let mut state = self.now.state.clone();
        let mut run = free[self.below(free.len())];
        let dice = self.rng.rand_float();
        if self.now.worst > 0.0 && self.rng.rand_float() < RELAID_SHARE {
            // What misses most may need another way altogether, of more bends.
            let missed: Vec<usize> = self.now.missed.map_or(Vec::new(), |m| m.runs());
            let missed: Vec<usize> = missed.into_iter().filter(|r| free.contains(r)).collect();
            if !missed.is_empty() {
                run = missed[self.below(missed.len())];
                let bends = state.runs[run].clrs.len() + self.below(2);
                return self.lay_again(problem, &mut state, run, bends).then(|| (state, vec![run]));
            }
        }
        let changed = if dice < 0.22 {
            drop_point(&mut state.runs[run], self.below(16)).then(|| vec![run])
        } else if dice < 0.34 {
            self.other_clr(problem, &mut state.runs[run], run)
        } else if dice < 0.58 {
            self.other_route(pool, &mut state, run, &free)
        } else if dice < 0.78 {
            self.swap_ends(problem, pool, &mut state, run, &free)
        } else if dice < 0.83 {
            self.add_point(problem, &mut state, run)
        } else if dice < 0.91 {
            let fewer = self.rng.rand_float() < 0.7;
            let bends = state.runs[run].clrs.len().saturating_sub(usize::from(fewer));
            self.lay_again(problem, &mut state, run, bends).then(|| vec![run])
        } else {
            self.shake(problem, &mut state.runs[run], run);
            Some(vec![run])
        };
        changed.map(|c| (state, c))
    }

    fn below(&mut self, n: usize) -> usize {
        self.rng.rand_range(0..n as u64) as usize
    }

    /// Takes another route of the pool for `run`, now and then for a second run too: two that block one another
    /// have to change together.
    fn other_route(&mut self, pool: &Pool, state: &mut State, run: usize, free: &[usize]) -> Option<Vec<usize>> {
        let mut changed = vec![run];
        let other = free[self.below(free.len())];
        if other != run && self.rng.rand_float() < PAIR_SHARE {
            changed.push(other);
        }
        changed.retain(|&r| !pool.rows[r][state.runs[r].end].is_empty());
        for &r in &changed {
            let cell = &pool.rows[r][state.runs[r].end];
            state.runs[r] = cell[self.below(cell.len())].rs.clone();
        }
        (!changed.is_empty()).then_some(changed)
    }

    fn other_clr(&mut self, problem: &RoutingProblem, rs: &mut RunState, run: usize) -> Option<Vec<usize>> {
        let clrs = &problem.runs[run].clrs;
        if clrs.len() < 2 || rs.clrs.is_empty() {
            return None;
        }
        let clr = clrs[self.below(clrs.len())];
        if self.rng.rand_float() < 0.4 {
            rs.clrs.fill(clr);
        } else {
            let at = self.below(rs.clrs.len());
            rs.clrs[at] = clr;
        }
        rs.legs.clear();
        Some(vec![run])
    }

    fn swap_ends(
        &mut self,
        problem: &RoutingProblem,
        pool: &Pool,
        state: &mut State,
        run: usize,
        free: &[usize],
    ) -> Option<Vec<usize>> {
        let other = free[self.below(free.len())];
        let end_of = |state: &State, r: usize| problem.runs[r].ends[state.runs[r].end].clone();
        let (a, b) = (end_of(state, run), end_of(state, other));
        let find = |r: usize, collector, inlet| {
            problem.runs[r].ends.iter().position(|e| e.collector == collector && e.inlet == inlet)
        };
        // With a free inlet about, a run may simply move there.
        let target = if run == other {
            let taken = |e: &crate::problem::End| {
                (0..problem.runs.len()).any(|r| {
                    let o = &problem.runs[r].ends[state.runs[r].end];
                    r != run && o.collector == e.collector && o.inlet == e.inlet
                })
            };
            let open: Vec<usize> =
                (0..problem.runs[run].ends.len()).filter(|&e| !taken(&problem.runs[run].ends[e])).collect();
            (open[self.below(open.len())], None)
        } else {
            (find(run, b.collector, b.inlet)?, Some(find(other, a.collector, a.inlet)?))
        };
        let mut chosen: Vec<usize> = state.runs.iter().map(|r| r.end).collect();
        chosen[run] = target.0;
        let mut changed = vec![run];
        if let Some(end) = target.1 {
            chosen[other] = end;
            changed.push(other);
        }
        if !allowed(problem, &chosen) {
            return None;
        }
        for &r in &changed {
            let cell = &pool.rows[r][chosen[r]];
            if !cell.is_empty() && self.rng.rand_float() < 0.7 {
                state.runs[r] = cell[self.below(cell.len())].rs.clone();
            } else {
                state.runs[r].end = chosen[r];
            }
        }
        Some(changed)
    }

    fn add_point(&mut self, problem: &RoutingProblem, state: &mut State, run: usize) -> Option<Vec<usize>> {
        let rs = &mut state.runs[run];
        if rs.clrs.len() < 2 || rs.clrs.len() > 5 {
            return None;
        }
        let mut path = TubePath::default();
        lay(problem, run, rs, &state.moves, &mut path);
        let leg = 1 + self.below(rs.clrs.len() - 1);
        let middle = (path.points[leg] + path.points[leg + 1]) * 0.5;
        let off =
            geom::Vec3::new(approx_normal(&mut self.rng), approx_normal(&mut self.rng), approx_normal(&mut self.rng))
                * 40.0;
        rs.free.insert(leg - 1, middle + off);
        let clr = problem.runs[run].clrs[self.below(problem.runs[run].clrs.len())];
        rs.clrs.insert(leg, clr);
        for v in &mut rs.via_leg {
            *v += usize::from(*v >= leg);
        }
        rs.legs.clear();
        Some(vec![run])
    }

    /// Takes a run out and lays it again among the others from random starts, with about `bends` bends.
    fn lay_again(&mut self, problem: &RoutingProblem, state: &mut State, run: usize, bends: usize) -> bool {
        let bends = bends.max(2).max(problem.runs[run].via.len() + 1);
        let wanted = problem.runs[run].wanted;
        let target = problem.target(run).or((state.mids[wanted] > 0.0).then_some(state.mids[wanted]));
        let fixed: Vec<usize> = (0..problem.runs.len()).filter(|&r| r != run).collect();
        let end = state.runs[run].end;
        let mut best: Option<(f64, RunState)> = None;
        for _ in 0..RELAID_STARTS {
            let Some(rs) = start(problem, &mut self.rng, (run, end, bends), target) else { return false };
            state.runs[run] = rs;
            let scope = Scope { active: vec![run], fixed: fixed.clone(), joint: false };
            let worst = repair(problem, state, scope, NUDGE, 0.0).worst;
            let mut path = TubePath::default();
            lay(problem, run, &state.runs[run], &state.moves, &mut path);
            let price = worst * self.miss_price + run_score(problem, run, &path);
            if best.as_ref().is_none_or(|b| price < b.0) {
                best = Some((price, state.runs[run].clone()));
            }
        }
        best.map(|b| state.runs[run] = b.1).is_some()
    }

    fn shake(&mut self, problem: &RoutingProblem, rs: &mut RunState, run: usize) {
        let scale = 15.0 * 4.0_f64.powf(self.rng.rand_float());
        for t in &mut rs.t {
            *t = (*t + approx_normal(&mut self.rng) * scale)
                .max(problem.runs[run].clrs.first().map_or(10.0, |c| 0.3 * c));
        }
        for p in &mut rs.free {
            *p += geom::Vec3::new(
                approx_normal(&mut self.rng),
                approx_normal(&mut self.rng),
                approx_normal(&mut self.rng),
            ) * scale;
        }
    }
}

/// Deletes interior point `which` (counted round); false when the run has too few.
fn drop_point(rs: &mut RunState, which: usize) -> bool {
    let least = 2.max(rs.via_leg.len() + 1);
    if rs.clrs.len() <= least || rs.free.is_empty() {
        return false;
    }
    let at = which % rs.clrs.len();
    rs.clrs.remove(at);
    let last = rs.free.len() - 1;
    rs.free.remove(at.saturating_sub(1).min(last));
    for v in &mut rs.via_leg {
        *v = v.saturating_sub(usize::from(*v > at)).max(1);
    }
    rs.legs.clear();
    true
}

/// Repairs a changed state; `None` when it is hopeless or ends above `limit`.
pub fn settle(
    problem: &RoutingProblem,
    mut state: State,
    changed: &[usize],
    limit: f64,
    room: f64,
) -> Option<Candidate> {
    let all: Vec<usize> = (0..problem.runs.len()).filter(|&r| problem.runs[r].locked.is_none()).collect();
    let locked: Vec<usize> = (0..problem.runs.len()).filter(|&r| problem.runs[r].locked.is_some()).collect();
    if changed.len() < all.len() {
        let fixed = (0..problem.runs.len()).filter(|r| !changed.contains(r)).collect();
        let alone = repair(problem, &mut state, Scope { active: changed.to_vec(), fixed, joint: false }, NUDGE, room);
        if alone.worst > 30.0 {
            return None;
        }
    }
    if score(problem, &state) > limit + 0.35 {
        return None;
    }
    let solved = repair(problem, &mut state, Scope { active: all, fixed: locked, joint: true }, NUDGE, room);
    Some(Candidate::new(problem, state, &solved))
}
