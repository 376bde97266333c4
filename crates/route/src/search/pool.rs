//! Routes of each run alone: for every end and number of bends a number of starts, solved against the
//! keep-outs only. The joint search picks from them. An empty row names a run that has no way at all.

use std::sync::atomic::{AtomicBool, Ordering};

use geom::Vec3;
use oorandom::Rand64;
use rayon::prelude::*;

use super::evaluate::{Evaluator, Scope, Weights, end_excess};
use super::least_squares::{Budget, solve};
use super::path::TubePath;
use super::score::run_score;
use super::state::{RunState, State, lay};
use crate::problem::RoutingProblem;

/// Distance of the points by which two routes are compared, mm.
const COARSE_SPACING_MM: f64 = 20.0;

/// Entries kept for one run and end.
const KEPT_PER_END: usize = 12;

/// One route of one run.
#[derive(Debug, Clone)]
pub struct Entry {
    /// The run.
    pub run: usize,
    /// State of the run.
    pub rs: RunState,
    /// Its score alone.
    pub score: f64,
    /// Its length, mm.
    pub length: f64,
    /// Points every 20 mm or so from the start, for a first look at what it would hit.
    pub coarse: Vec<Vec3>,
    /// What it misses alone, mm.
    pub worst: f64,
    /// How much too late it bends before its collector to part from a neighbour, mm; not above 0: in time.
    pub late: f64,
}

/// All entries, by run and end.
#[derive(Debug, Clone)]
pub struct Pool {
    /// `rows[run][end]`: best first.
    pub rows: Vec<Vec<Vec<Entry>>>,
    /// The nearest miss of each run where no entry is clean, mm (0 where one is).
    pub nearest_miss: Vec<f64>,
}

/// What a pool is built with.
#[derive(Debug, Clone, Copy)]
pub struct PoolSettings<'a> {
    /// Seed of the starts.
    pub seed: u64,
    /// Starts for each run, end and number of bends.
    pub starts: usize,
    /// Most interior points tried beyond those that waypoints need.
    pub most_bends: usize,
    /// Once true, no further routes are looked for: what the pool then lacks says nothing.
    pub stop: &'a AtomicBool,
}

/// Builds the pool. `lengths`: target lengths to aim at for runs that have none of their own; `only`: the runs to
/// look at, all without it.
pub fn build(
    problem: &RoutingProblem,
    state: &State,
    settings: PoolSettings<'_>,
    lengths: &[Option<f64>],
    only: Option<&[usize]>,
) -> Pool {
    let mut tasks = Vec::new();
    for (run, r) in problem.runs.iter().enumerate() {
        if r.locked.is_some() || only.is_some_and(|o| !o.contains(&run)) {
            continue;
        }
        for end in 0..r.ends.len() {
            let least = if r.via.is_empty() { 0 } else { r.via.len() + 1 };
            for k in least..=(least.max(1) + settings.most_bends - 1).max(least + 2) {
                tasks.push((run, end, k));
            }
        }
    }
    let found: Vec<Vec<Entry>> = tasks
        .par_iter()
        .map(|&(run, end, k)| routes_alone(problem, state, settings, lengths[run], (run, end, k)))
        .collect();
    let mut rows: Vec<Vec<Vec<Entry>>> = problem.runs.iter().map(|r| vec![Vec::new(); r.ends.len()]).collect();
    let mut nearest_miss = vec![f64::INFINITY; problem.runs.len()];
    for (task, entry) in tasks.iter().zip(&found).flat_map(|(t, es)| es.iter().map(move |e| (t, e))) {
        nearest_miss[task.0] = nearest_miss[task.0].min(if entry.clean() { 0.0 } else { entry.worst });
    }
    for (task, entries) in tasks.iter().zip(found) {
        rows[task.0][task.1].extend(entries);
    }
    for row in rows.iter_mut().flatten() {
        keep_distinct(row);
    }
    Pool { rows, nearest_miss }
}

/// A lone route that misses less than this is clean, mm: the joint repair takes out the rest.
const CLEAN: f64 = 1.0;

impl Entry {
    /// Whether it holds what one run alone must hold.
    pub fn clean(&self) -> bool {
        self.worst <= CLEAN
    }
}

impl Pool {
    /// Without any route.
    pub fn empty(problem: &RoutingProblem) -> Self {
        let rows = problem.runs.iter().map(|r| vec![Vec::new(); r.ends.len()]).collect();
        Pool { rows, nearest_miss: vec![f64::INFINITY; problem.runs.len()] }
    }

    /// Whether run `run` has a clean route to its end `end`.
    pub fn clean(&self, run: usize, end: usize) -> bool {
        self.rows[run][end].first().is_some_and(Entry::clean)
    }

    /// Whether run `run` has a clean route to any end.
    pub fn has_clean_route(&self, run: usize) -> bool {
        (0..self.rows[run].len()).any(|end| self.clean(run, end))
    }

    /// Adds the entries of another pool.
    pub fn merge(&mut self, other: Pool) {
        for (mine, theirs) in self.rows.iter_mut().zip(other.rows) {
            for (row, more) in mine.iter_mut().zip(theirs) {
                row.extend(more);
                keep_distinct(row);
            }
        }
        for (mine, theirs) in self.nearest_miss.iter_mut().zip(other.nearest_miss) {
            *mine = mine.min(theirs);
        }
    }
}

/// Best first, each unlike the ones before it. Where none is clean the nearest misses are kept: the nearest answer is
/// made of them.
fn keep_distinct(row: &mut Vec<Entry>) {
    let price = |e: &Entry| e.score + if e.clean() { 0.0 } else { e.worst };
    row.sort_by(|a, b| b.clean().cmp(&a.clean()).then(price(a).total_cmp(&price(b))));
    if row.first().is_some_and(Entry::clean) {
        row.retain(Entry::clean);
    }
    let mut kept: Vec<Entry> = Vec::new();
    for e in row.drain(..) {
        let same_kind = kept.iter().filter(|k| (k.late > 5.0) == (e.late > 5.0)).count();
        if same_kind < KEPT_PER_END / 2 && kept.iter().all(|k| !alike(k, &e)) {
            kept.push(e);
        }
    }
    *row = kept;
}

/// Whether two routes run within 12 mm of one another from end to end.
fn alike(a: &Entry, b: &Entry) -> bool {
    let at = |e: &Entry, f: f64| e.coarse[((e.coarse.len() - 1) as f64 * f) as usize];
    a.rs.clrs.len() == b.rs.clrs.len()
        && [0.2, 0.35, 0.5, 0.65, 0.8].iter().all(|&f| (at(a, f) - at(b, f)).length() < 12.0)
}

fn routes_alone(
    problem: &RoutingProblem,
    state: &State,
    settings: PoolSettings<'_>,
    length: Option<f64>,
    (run, end, k): (usize, usize, usize),
) -> Vec<Entry> {
    let salt = (run * 64 + end) as u64 * 64 + k as u64;
    let mut rng = Rand64::new((settings.seed as u128) << 64 | (salt.wrapping_mul(0x9E37_79B9_7F4A_7C15) as u128));
    let mut state = state.clone();
    let scope = Scope { active: vec![run], fixed: Vec::new(), joint: false };
    let weights = Weights { turn: 300.0, length: 0.0, margin: 0.25, spared: 0.8, step: 15.0, room: 0.0 };
    let mut evaluator = Evaluator::new(problem, &state, scope, weights);
    if let Some(target) = length {
        evaluator.length_targets[run] = Some((target, 0.02 * target));
    }
    // Two bends leave few freedoms and several ways: many cheap starts.
    let starts = if k < 2 {
        1
    } else if k == 2 {
        2 * settings.starts
    } else {
        settings.starts
    };
    let mut entries: Vec<Entry> = Vec::new();
    for round in 0..starts {
        if settings.stop.load(Ordering::Relaxed) {
            break;
        }
        // Half of the routes bend early before the collector: of two neighbours there one must.
        evaluator.part_early = round % 2 == 0;
        let Some(rs) = start(problem, &mut rng, (run, end, k), evaluator.length_targets[run].map(|w| w.0)) else {
            break;
        };
        state.runs[run] = rs;
        evaluator.number(&state);
        if let Some(e) = settle_alone(problem, &mut evaluator, &mut state, run) {
            entries.push(e);
        }
    }
    entries
}

/// Settles one run alone from the state it has.
fn settle_alone(problem: &RoutingProblem, evaluator: &mut Evaluator, state: &mut State, run: usize) -> Option<Entry> {
    let compact = problem.length_targets[problem.runs[run].wanted].objective == job::model::Objective::Compact;
    evaluator.weights.turn = 300.0;
    evaluator.weights.length = if compact { 6.0 } else { 0.0 };
    evaluator.weights.step = 15.0;
    let rough = solve(evaluator, state, Budget { iterations: 14, met: 0.0, fall: 0.02 });
    if rough.worst > 60.0 {
        // Far off: of use only as a nearest miss.
        return rough.worst.is_finite().then(|| entry(problem, state, run, rough.worst));
    }
    evaluator.weights.turn = 30.0;
    evaluator.weights.length *= 0.1;
    evaluator.weights.step = 10.0;
    let fine = solve(evaluator, state, Budget { iterations: 14, met: 0.0, fall: 0.01 });
    Some(entry(problem, state, run, fine.worst))
}

/// The entry of run `run` as it lies in `state`.
pub fn entry(problem: &RoutingProblem, state: &State, run: usize, worst: f64) -> Entry {
    let mut path = TubePath::default();
    lay(problem, run, &state.runs[run], &state.moves, &mut path);
    let count = (path.length / COARSE_SPACING_MM).ceil().max(2.0) as usize;
    let mut coarse = Vec::with_capacity(count + 1);
    for j in 0..=count {
        let s = path.length * j as f64 / count as f64;
        coarse.extend(path.at(s).map(|(p, _)| p));
    }
    if coarse.is_empty() {
        coarse.push(path.points[0]);
    }
    let score = run_score(problem, run, &path);
    let r = &problem.runs[run];
    let end = &r.ends[state.runs[run].end];
    let late =
        end_excess(&path, end.stub + 3.0 * r.radius, end.apart).filter(|_| end.collector.is_some()).unwrap_or(0.0);
    Entry { run, rs: state.runs[run].clone(), score, length: path.length, coarse, worst, late }
}

/// A random start, or `None` when a run with so few bends can't hold its end poses.
pub fn start(
    problem: &RoutingProblem,
    rng: &mut Rand64,
    (run, end, k): (usize, usize, usize),
    target: Option<f64>,
) -> Option<RunState> {
    let r = &problem.runs[run];
    let e = &r.ends[end];
    let movable = |c: Option<usize>| c.is_some_and(|c| problem.seats[c].moves());
    if k < 2 {
        if movable(r.leaves) || movable(e.collector) {
            return None;
        }
        return few_bends(problem, run, end, k);
    }
    if r.clrs.is_empty() {
        return None;
    }
    let clrs: Vec<f64> = (0..k).map(|_| r.clrs[rng.rand_range(0..r.clrs.len() as u64) as usize]).collect();
    let span = (e.at - r.start).length();
    let room = target.map_or(1.2 * span, |t| t.max(span)).max(4.0 * r.radius);
    let far = |rng: &mut Rand64, clr: f64, stub: f64| {
        let u = rng.rand_float();
        stub + clr * (0.25 + 1.2 * u) + if rng.rand_float() < 0.3 { 0.35 * room * rng.rand_float() } else { 0.0 }
    };
    let t = [far(rng, clrs[0], r.stub), far(rng, clrs[k - 1], e.stub)];
    let (p, q) = (r.start + r.axis * t[0], e.at - e.axis * t[1]);
    let spread = 0.5 * (room * room - (0.8 * span).powi(2)).max(0.0).sqrt().max(0.25 * room);
    let mut free = Vec::new();
    let mut via_leg = Vec::new();
    for j in 1..k - 1 {
        let f = j as f64 / (k - 1) as f64;
        let base = if r.via.is_empty() { p + (q - p) * f } else { along_via(p, &r.via, q, f) };
        let scale = if r.via.is_empty() { spread } else { 0.15 * spread };
        let noise = Vec3::new(approx_normal(rng), approx_normal(rng), approx_normal(rng)) * scale;
        free.push(base + noise);
    }
    for v in 0..r.via.len() {
        // Waypoints go to legs 1..k-1 in order.
        let f = (v + 1) as f64 / (r.via.len() + 1) as f64;
        via_leg.push(((f * k as f64) as usize).clamp(v + 1, k - 1));
    }
    Some(RunState { end, clrs, t, free, via_leg, legs: Vec::new() })
}

/// A point the fraction `f` of the way from `p` through the waypoints to `q`.
fn along_via(p: Vec3, via: &[Vec3], q: Vec3, f: f64) -> Vec3 {
    let mut chain = vec![p];
    chain.extend_from_slice(via);
    chain.push(q);
    let total: f64 = chain.windows(2).map(|w| (w[1] - w[0]).length()).sum();
    let mut left = f * total;
    for w in chain.windows(2) {
        let length = (w[1] - w[0]).length();
        if left <= length && length > 0.0 {
            return w[0] + (w[1] - w[0]) * (left / length);
        }
        left -= length;
    }
    q
}

/// A straight run or one with a single bend, where start and end allow it exactly.
fn few_bends(problem: &RoutingProblem, run: usize, end: usize, k: usize) -> Option<RunState> {
    let r = &problem.runs[run];
    let e = &r.ends[end];
    let gap = e.at - r.start;
    let off = |v: Vec3, d: Vec3| (v - d * v.dot(d)).length();
    if k == 0 {
        let straight = gap.dot(r.axis) > 0.0 && off(gap, r.axis) < 1e-4 && off(e.axis, r.axis) < 1e-6;
        return straight.then(|| RunState {
            end,
            clrs: vec![],
            t: [0.0; 2],
            free: vec![],
            via_leg: vec![0; r.via.len()],
            legs: vec![],
        });
    }
    let normal = r.axis.cross(e.axis);
    let clr = *r.clrs.first()?;
    if normal.length() < 1e-3 || gap.dot(normal.normalize()).abs() > 1e-4 || !r.via.is_empty() {
        return None;
    }
    let across = e.axis.cross(normal);
    let t = gap.dot(across) / r.axis.dot(across);
    Some(RunState { end, clrs: vec![clr], t: [t, 0.0], free: vec![], via_leg: vec![], legs: vec![] })
}

/// A random number, nearly normal, of standard deviation 1 (sum of uniform ones).
pub fn approx_normal(rng: &mut Rand64) -> f64 {
    (0..4).map(|_| rng.rand_float()).sum::<f64>() * 1.732 - 3.464
}
