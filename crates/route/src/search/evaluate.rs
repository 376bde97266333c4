//! Residuals of a state and their gradients.
//!
//! Each requirement is a one-sided residual in mm: nothing when it holds, the amount missing when not. The
//! solver minimises the sum of their squares plus a small weight on turning (and length). Gaps are looked at on
//! points spaced `step` along each run; the gap changes by at most 1 mm per mm along a run (1-Lipschitz), so
//! that points certainly clear are skipped. The nearest point on the other tube is found on its true
//! elements; by the envelope theorem it may be held at its fraction there when the gradient is taken. The points looked at
//! keep theirs (see `spread`), so that every row's gradient is the derivative of its value.

mod gaps;
mod need;
mod sample;
mod shape;
mod sink;
mod spread;

use geom::Vec3;

pub use sink::{Row, RowKind, Sink, Tag};

use sample::Sample;

use super::path::TubePath;
use super::state::{State, lay};
use crate::problem::RoutingProblem;

/// Least and largest angle of a bend, rad: 5 and 165 degrees.
pub const TURN_RANGE: [f64; 2] = [5.0 * std::f64::consts::PI / 180.0, 165.0 * std::f64::consts::PI / 180.0];

/// What a stub gets more than asked, mm, so that rounding never makes it short.
const STUB_MARGIN: f64 = 0.002;

/// Stiffness of a direction that is held: far above any that the residuals have.
const HELD: f64 = 1e9;

/// How far beyond its need a keep-out is still looked at, mm: longer looks cost more and skip more.
const HORIZON: f64 = 12.0;

/// Which runs move and which stand.
#[derive(Debug, Clone)]
pub struct Scope {
    /// Runs whose variables are free.
    pub active: Vec<usize>,
    /// Runs that stand as obstacles.
    pub fixed: Vec<usize>,
    /// Whether collectors that may move do so, and evenness is asked.
    pub joint: bool,
}

/// What is weighed.
#[derive(Debug, Clone, Copy)]
pub struct Weights {
    /// Price of turning, mm^2 per rad.
    pub turn: f64,
    /// Price of length, mm^2 per mm.
    pub length: f64,
    /// How much more than needed is asked for, mm.
    pub margin: f64,
    /// Share of the margin that may be used up without counting as a miss.
    pub spared: f64,
    /// Distance of the points looked at, mm.
    pub step: f64,
    /// Extra room between tubes and to keep-outs, mm.
    pub room: f64,
}

/// Evaluates states over one scope; keeps all buffers.
pub struct Evaluator<'a> {
    problem: &'a RoutingProblem,
    scope: Scope,
    /// What is weighed now.
    pub weights: Weights,
    /// Length wanted of each run: target and tolerance.
    pub length_targets: Vec<Option<(f64, f64)>>,
    /// Whether every run must bend early enough before its collector to part from a neighbour.
    pub part_early: bool,
    /// Whether requirements are taken to the letter, without slack.
    strict: bool,
    /// Whether needs rise by ramps and neighbours are made to part early: aids that ask for a little more than the
    /// job does.
    aids: bool,
    /// How far from being missed a requirement is still told of, mm.
    pub look: f64,
    /// Number of intervals looked at on each stretch of each run; none: by their length.
    counts: Vec<Vec<usize>>,
    paths: Vec<TubePath>,
    samples: Vec<Vec<Sample>>,
    offsets: Vec<usize>,
    seat_offsets: Vec<Option<usize>>,
    mid_offsets: [Option<usize>; 3],
    n: usize,
    sink: Sink,
    grads: [Vec<Vec3>; 2],
}

impl<'a> Evaluator<'a> {
    /// An evaluator over `scope`; runs outside stand where `state` has them.
    pub fn new(problem: &'a RoutingProblem, state: &State, scope: Scope, weights: Weights) -> Self {
        let runs = problem.runs.len();
        let mut paths = vec![TubePath::default(); runs];
        for &i in &scope.fixed {
            lay(problem, i, &state.runs[i], &state.moves, &mut paths[i]);
        }
        let length_targets = problem
            .runs
            .iter()
            .enumerate()
            .map(|(i, r)| {
                let wanted = &problem.length_targets[r.wanted];
                let even = (!scope.joint && wanted.tolerance.is_finite()).then_some(state.mids[r.wanted]);
                let even = even.filter(|mid| *mid > 0.0).map(|mid| (mid, 0.5 * wanted.tolerance));
                problem.target(i).map(|t| (t, wanted.tolerance)).or(even)
            })
            .collect();
        let (sink, grads) = (Sink::default(), [Vec::new(), Vec::new()]);
        let samples = vec![Vec::new(); runs];
        let (offsets, seat_offsets) = (Vec::new(), Vec::new());
        let mut new = Evaluator {
            problem,
            scope,
            weights,
            length_targets,
            part_early: false,
            strict: false,
            aids: true,
            look: 0.0,
            counts: vec![Vec::new(); runs],
            paths,
            samples,
            offsets,
            seat_offsets,
            mid_offsets: [None; 3],
            n: 0,
            sink,
            grads,
        };
        new.number(state);
        new
    }

    /// Renumbers the variables after the structure of an active run has changed.
    pub fn number(&mut self, state: &State) {
        let problem = self.problem;
        self.offsets = vec![usize::MAX; problem.runs.len()];
        let mut n = 0;
        for &i in &self.scope.active {
            self.offsets[i] = n;
            n += state.runs[i].freedoms();
        }
        let joint = self.scope.joint;
        let mut take = |wanted: bool, count: usize| {
            let at = n;
            n += if wanted { count } else { 0 };
            wanted.then_some(at)
        };
        self.seat_offsets = problem.seats.iter().map(|s| take(joint && s.moves(), 4)).collect();
        for (w, wanted) in problem.length_targets.iter().enumerate() {
            let even = wanted.target.is_none() && wanted.tolerance.is_finite();
            let active = self.scope.active.iter().any(|&i| problem.runs[i].wanted == w);
            let several = problem.runs.iter().filter(|r| r.wanted == w).count() > 1;
            self.mid_offsets[w] = take(joint && even && active && several, 1);
        }
        self.n = n;
    }

    /// Number of variables.
    pub fn freedoms(&self) -> usize {
        self.n
    }

    /// The laid path of run `run` as last evaluated.
    pub fn path(&self, run: usize) -> &TubePath {
        &self.paths[run]
    }

    /// `state` moved by `step` (one number per variable).
    pub fn moved(&self, state: &State, step: &[f64]) -> State {
        let mut next = state.clone();
        for &i in &self.scope.active {
            let rs = &mut next.runs[i];
            if rs.freedoms() == 0 {
                continue;
            }
            let d = &step[self.offsets[i]..];
            rs.t[0] += d[0];
            rs.t[1] += d[1];
            for (j, p) in rs.free.iter_mut().enumerate() {
                *p += Vec3::new(d[2 + 3 * j], d[3 + 3 * j], d[4 + 3 * j]);
            }
        }
        for (c, offset) in self.seat_offsets.iter().enumerate() {
            if let Some(o) = offset {
                for (q, d) in next.moves[c].iter_mut().zip(&step[*o..*o + 4]) {
                    *q += d;
                }
                self.problem.seats[c].clamp(&mut next.moves[c]);
            }
        }
        for (w, offset) in self.mid_offsets.iter().enumerate() {
            if let Some(o) = offset {
                next.mids[w] += step[*o];
            }
        }
        next
    }

    /// Holds collectors that stand at the limit of their moves and are pulled beyond it: that direction is made
    /// stiff in `h` and taken out of the half gradient `g`.
    pub fn hold_at_limits(&self, state: &State, h: &mut [f64], g: &mut [f64]) {
        for (c, offset) in self.seat_offsets.iter().enumerate() {
            let Some(o) = *offset else { continue };
            let (q, limits) = (&state.moves[c], &self.problem.seats[c].may_move);
            let aside = q[1].hypot(q[2]);
            let outward = |limit: f64, at: f64| if limit - at.abs() < 1e-9 { at.signum() } else { 0.0 };
            let radial =
                if limits.aside - aside < 1e-9 && aside > 0.0 { [q[1] / aside, q[2] / aside] } else { [0.0; 2] };
            let directions = [
                [outward(limits.along, q[0]), 0.0, 0.0, 0.0],
                [0.0, radial[0], radial[1], 0.0],
                [0.0, 0.0, 0.0, outward(limits.roll, q[3])],
            ];
            for d in directions {
                let pull: f64 = d.iter().zip(&g[o..o + 4]).map(|(d, g)| -d * g).sum();
                if pull <= 0.0 {
                    continue;
                }
                for i in 0..4 {
                    g[o + i] += pull * d[i];
                    for j in 0..=i {
                        h[(o + i) * self.n + o + j] += HELD * d[i] * d[j];
                    }
                }
            }
        }
    }

    /// Cost of `state` alone.
    pub fn cost(&mut self, state: &State) -> f64 {
        self.run::<false>(state);
        self.sink.cost
    }

    /// Cost, gradient and Gauss-Newton matrix of `state`.
    pub fn linearise(&mut self, state: &State) -> &Sink {
        self.run::<true>(state);
        &self.sink
    }

    /// Takes every requirement to the letter from now on.
    pub fn strict(&mut self) {
        self.strict = true;
        self.aids = false;
    }

    /// Leaves out what is asked beyond the job only to guide the search.
    pub fn without_aids(&mut self) {
        self.aids = false;
    }

    /// Fixes the number of points looked at and tells requirements one by one from now on, those within `look`
    /// mm of being missed too.
    pub fn tell_rows(&mut self, state: &State, look: f64) {
        self.run::<false>(state);
        for i in self.scope.active.clone() {
            self.counts[i] = self.intervals(i, state);
        }
        self.look = look;
        self.sink.rows = Some(Vec::new());
    }

    /// What the last evaluation summed, to take its rows.
    pub fn sink_mut(&mut self) -> &mut Sink {
        &mut self.sink
    }

    /// What the last evaluation summed.
    pub fn sink(&self) -> &Sink {
        &self.sink
    }

    fn run<const GRAD: bool>(&mut self, state: &State) {
        self.sink.reset(if GRAD { self.n } else { 0 });
        let active = std::mem::take(&mut self.scope.active);
        for &i in &active {
            lay(self.problem, i, &state.runs[i], &state.moves, &mut self.paths[i]);
            self.look(i, state);
        }
        for (a, &i) in active.iter().enumerate() {
            self.shape::<GRAD>(i, state);
            self.lengths::<GRAD>(i, state);
            self.itself::<GRAD>(i, state);
            self.keepouts::<GRAD>(i, state);
            for &j in &active[a + 1..] {
                self.tubes::<GRAD>(i, j, state);
            }
            for f in 0..self.scope.fixed.len() {
                self.tubes::<GRAD>(i, self.scope.fixed[f], state);
            }
        }
        self.seats::<GRAD>(state);
        self.scope.active = active;
    }

    fn count(&mut self, r: f64, tag: Tag) {
        let amount = if tag.0 == RowKind::Equal { r.abs() } else { r.max(0.0) };
        self.sink.cost += amount * amount;
        self.sink.missed += amount * amount;
        let spared = if tag.0.is_gap() { self.weights.spared * self.weights.margin } else { 0.0 };
        if amount - spared > self.sink.worst {
            self.sink.worst = amount - spared;
            self.sink.worst_tag = Some(tag);
        }
    }

    fn missed<const GRAD: bool>(
        &mut self,
        r: f64,
        tag: Tag,
        i: usize,
        pull: impl Fn(&TubePath, &mut [Vec3]),
        state: &State,
    ) {
        self.missed2::<GRAD>(r, tag, (i, usize::MAX), pull, |_, _| (), state);
    }

    fn missed2<const GRAD: bool>(
        &mut self,
        r: f64,
        tag: Tag,
        (i, j): (usize, usize),
        pull_i: impl Fn(&TubePath, &mut [Vec3]),
        pull_j: impl Fn(&TubePath, &mut [Vec3]),
        state: &State,
    ) {
        self.count(r, tag);
        if GRAD {
            self.pull_into(i, &pull_i, state);
            if j != usize::MAX && self.offsets[j] != usize::MAX {
                self.pull_into(j, &pull_j, state);
            }
            self.sink.add(r, tag, self.n);
        }
    }

    /// Prepares the gradient of a miss that grows by `g` with a place on a collector.
    fn pulled_seat<const GRAD: bool>(&mut self, collector: usize, (at, g): (Vec3, Vec3), state: &State) {
        if let Some(o) = self.seat_offsets[collector].filter(|_| GRAD) {
            self.sink.pull_seat(&self.problem.seats[collector], o, &state.moves[collector], (at, g));
        }
    }

    /// A miss whose whole gradient was prepared by [`Self::pulled_seat`].
    fn missed_seat<const GRAD: bool>(&mut self, r: f64, tag: Tag) {
        self.count(r, tag);
        if GRAD {
            self.sink.add(r, tag, self.n);
        }
    }

    fn weigh<const GRAD: bool>(
        &mut self,
        r: f64,
        cost: f64,
        i: usize,
        pull: impl Fn(&TubePath, &mut [Vec3]),
        state: &State,
    ) {
        self.sink.cost += cost;
        if GRAD {
            self.pull_into(i, &pull, state);
            self.sink.weigh(r, self.n);
        }
    }

    /// Gradient over the points of run `i`, carried on to its variables and its collectors'.
    fn pull_into(&mut self, i: usize, pull: impl Fn(&TubePath, &mut [Vec3]), state: &State) {
        let path = &self.paths[i];
        let mut grads = std::mem::take(&mut self.grads[0]);
        grads.clear();
        grads.resize(path.points.len(), Vec3::ZERO);
        pull(path, &mut grads);
        let (run, rs) = (&self.problem.runs[i], &state.runs[i]);
        let last = grads.len() - 1;
        let end = &run.ends[rs.end];
        if rs.freedoms() > 0 {
            let o = self.offsets[i];
            self.sink.blocks.push((o, o + rs.freedoms()));
            self.sink.row[o] += self.problem.start_axis(i, &state.moves).dot(grads[1]);
            self.sink.row[o + 1] -= self.problem.end_axis(i, rs.end, &state.moves).dot(grads[last - 1]);
            for (k, g) in grads[2..last - 1].iter().enumerate() {
                self.sink.row[o + 2 + 3 * k] += g.x;
                self.sink.row[o + 3 + 3 * k] += g.y;
                self.sink.row[o + 4 + 3 * k] += g.z;
            }
        }
        let seat_of = |c: Option<usize>| c.and_then(|c| self.seat_offsets[c].map(|o| (c, o)));
        // The two points at a collector go with it.
        for (seat, ends) in [(seat_of(run.leaves), [0, 1]), (seat_of(end.collector), [last, last - 1])] {
            let Some((c, o)) = seat else { continue };
            for p in ends {
                self.sink.pull_seat(&self.problem.seats[c], o, &state.moves[c], (path.points[p], grads[p]));
            }
        }
        self.grads[0] = grads;
    }
}

/// How much too long the last straight of `path` is to part by `apart` mm from a parallel neighbour before the
/// last `zone` mm; `None` for a path without bends, and where they are apart by themselves.
///
/// A bend of CLR R leaves its tangent by d after an arc of sqrt(2 R d).
pub fn end_excess(path: &TubePath, zone: f64, apart: f64) -> Option<f64> {
    let bend = path.clrs.len().checked_sub(1).filter(|_| apart > 0.0)?;
    let arc = (2.0 * path.clrs[bend] * apart).sqrt();
    Some(path.lens[bend + 1] - path.setbacks[bend] - (zone - arc))
}

fn pull_last_straight(path: &TubePath, into: &mut [Vec3]) {
    let bend = path.clrs.len() - 1;
    path.pull_leg(bend + 1, 1.0, into);
    path.pull_setback(bend, -1.0, into);
}
