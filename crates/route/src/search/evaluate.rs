//! Residuals of a state and their gradients.
//!
//! Each requirement is a one-sided residual in mm: nothing when it holds, the amount missing when not. The
//! solver minimises the sum of their squares plus a small weight on turning (and length). Gaps are looked at on
//! points spaced `step` along each run; the gap changes by at most 1 mm per mm along a run (1-Lipschitz), so
//! that points certainly clear are skipped. The nearest point on the other tube is found on its true
//! elements. By the envelope theorem both points may be held at their fraction of leg or bend when the
//! gradient is taken.

use geom::Vec3;

use super::path::{Path, Spot};
use super::state::{LegRule, State, lay};
use crate::problem::Problem;

/// Least and largest angle of a bend, rad: 5 and 165 degrees.
pub const TURN_RANGE: [f64; 2] = [5.0 * std::f64::consts::PI / 180.0, 165.0 * std::f64::consts::PI / 180.0];

/// What a stub gets more than asked, mm, so that rounding never makes it short.
const STUB_MARGIN: f64 = 0.002;

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
    /// Distance of the points looked at, mm.
    pub step: f64,
    /// Extra room between tubes and to keep-outs, mm.
    pub room: f64,
}

/// A point looked at.
#[derive(Debug, Clone, Copy)]
struct Sample {
    s: f64,
    p: Vec3,
    spot: Spot,
}

/// Evaluates states over one scope; keeps all buffers.
pub struct Evaluator<'a> {
    problem: &'a Problem,
    scope: Scope,
    /// What is weighed now.
    pub weights: Weights,
    /// Length wish of each run: target and tolerance.
    pub wishes: Vec<Option<(f64, f64)>>,
    /// Whether every run must bend early enough before its collector to part from a neighbour.
    pub part_early: bool,
    /// Whether requirements are taken to the letter: no slack, no ramps.
    strict: bool,
    /// How far from being missed a requirement is still told of, mm.
    pub look: f64,
    /// Number of intervals looked at on each run; 0: by their length.
    pub counts: Vec<usize>,
    paths: Vec<Path>,
    samples: Vec<Vec<Sample>>,
    offsets: Vec<usize>,
    seat_offsets: Vec<Option<usize>>,
    mid_offsets: [Option<usize>; 3],
    n: usize,
    sink: Sink,
    grads: [Vec<Vec3>; 2],
}

impl Kind {
    fn is_gap(self) -> bool {
        matches!(self, Kind::Itself | Kind::Keepout | Kind::Tube | Kind::Slide)
    }
}

/// Normal equations being summed.
#[derive(Debug, Default)]
pub struct Sink {
    /// Sum of squares plus the weighed objective.
    pub cost: f64,
    /// Largest requirement missed, mm; of gaps, what is missed within four fifths of the margin does not count.
    pub worst: f64,
    /// The requirement missed most.
    pub worst_tag: Option<Tag>,
    /// Sum of squares of what is missed, mm^2.
    pub missed: f64,
    /// Half gradient.
    pub g: Vec<f64>,
    /// Gauss-Newton matrix, lower triangle, n x n.
    pub h: Vec<f64>,
    /// Requirements one by one, where asked for, instead of their squares in `g` and `h`.
    pub rows: Option<Vec<Row>>,
    /// Sum of what is missed, mm.
    pub total: f64,
    row: Vec<f64>,
    blocks: Vec<(usize, usize)>,
}

/// One requirement, linearised.
#[derive(Debug, Clone)]
pub struct Row {
    /// Which.
    pub tag: Tag,
    /// By how much it is missed, mm; negative when it holds.
    pub miss: f64,
    /// Gradient of `miss`, one number per variable.
    pub gradient: Vec<f64>,
}

/// Names a requirement from one evaluation to the next: its kind and three indices.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Tag(pub Kind, pub usize, pub usize, pub usize);

/// Kinds of requirements.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// To hold exactly: a waypoint, bends that meet.
    Equal,
    /// Straights long enough.
    Fit,
    /// Not less than the least bend angle.
    Slight,
    /// Not more than the largest bend angle.
    Sharp,
    /// Bends early enough before the collector.
    Early,
    /// A waypoint lies between the bends.
    Via,
    /// Length on target.
    Length,
    /// Lengths even.
    Even,
    /// Gap of a run from itself.
    Itself,
    /// Gap to a keep-out.
    Keepout,
    /// Gap to another tube.
    Tube,
    /// Touching a keep-out while the header is put on.
    Slide,
}

impl Sink {
    fn reset(&mut self, n: usize) {
        (self.cost, self.worst, self.missed, self.total) = (0.0, 0.0, 0.0, 0.0);
        self.worst_tag = None;
        if let Some(rows) = &mut self.rows {
            rows.clear();
        }
        self.g.clear();
        self.g.resize(n, 0.0);
        self.h.clear();
        self.h.resize(n * n, 0.0);
        self.row.clear();
        self.row.resize(n, 0.0);
    }

    /// Adds a requirement missed by `r` whose gradient stands in `row` over `blocks`, then clears them.
    fn add(&mut self, r: f64, tag: Tag, n: usize) {
        if let Some(rows) = &mut self.rows {
            rows.push(Row { tag, miss: r, gradient: self.row.clone() });
            self.clear();
        } else {
            self.weigh(r, n);
        }
    }

    /// Adds the square of `r` whose gradient stands in `row`, then clears it.
    fn weigh(&mut self, r: f64, n: usize) {
        self.blocks.sort_unstable();
        for (bi, &(from, to)) in self.blocks.iter().enumerate() {
            for i in from..to {
                let v = self.row[i];
                if v == 0.0 {
                    continue;
                }
                self.g[i] += v * r;
                let h = &mut self.h[i * n..(i + 1) * n];
                for &(jf, jt) in &self.blocks[..bi] {
                    for (hj, rj) in h[jf..jt].iter_mut().zip(&self.row[jf..jt]) {
                        *hj += v * rj;
                    }
                }
                for (hj, rj) in h[from..=i].iter_mut().zip(&self.row[from..=i]) {
                    *hj += v * rj;
                }
            }
        }
        self.clear();
    }

    fn clear(&mut self) {
        for &(from, to) in &self.blocks {
            self.row[from..to].fill(0.0);
        }
        self.blocks.clear();
    }
}

impl<'a> Evaluator<'a> {
    /// An evaluator over `scope`; runs outside stand where `state` has them.
    pub fn new(problem: &'a Problem, state: &State, scope: Scope, weights: Weights) -> Self {
        let runs = problem.runs.len();
        let mut paths = vec![Path::default(); runs];
        for &i in &scope.fixed {
            lay(problem, i, &state.runs[i], &state.moves, &mut paths[i]);
        }
        let wishes = problem
            .runs
            .iter()
            .map(|r| problem.wishes[r.wish].target.map(|t| (t, problem.wishes[r.wish].tolerance)))
            .collect();
        let (sink, grads) = (Sink::default(), [Vec::new(), Vec::new()]);
        let samples = vec![Vec::new(); runs];
        let (offsets, seat_offsets) = (Vec::new(), Vec::new());
        let mut new = Evaluator {
            problem,
            scope,
            weights,
            wishes,
            part_early: false,
            strict: false,
            look: 0.0,
            counts: vec![0; runs],
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

    /// Numbers the variables anew, after the structure of an active run has changed.
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
        for (w, wish) in problem.wishes.iter().enumerate() {
            let even = wish.target.is_none() && wish.tolerance.is_finite();
            let active = self.scope.active.iter().any(|&i| problem.runs[i].wish == w);
            let several = problem.runs.iter().filter(|r| r.wish == w).count() > 1;
            self.mid_offsets[w] = take(joint && even && active && several, 1);
        }
        self.n = n;
    }

    /// Number of variables.
    pub fn freedoms(&self) -> usize {
        self.n
    }

    /// The laid path of run `run` as last evaluated.
    pub fn path(&self, run: usize) -> &Path {
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
    }

    /// Fixes the number of points looked at and tells requirements one by one from now on, those within `look`
    /// mm of being missed too.
    pub fn tell_rows(&mut self, state: &State, look: f64) {
        self.run::<false>(state);
        for i in 0..self.counts.len() {
            self.counts[i] = self.intervals(i);
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
            let end = &self.problem.runs[i].ends[state.runs[i].end];
            let border = end.collector.map(|_| end.stub + 3.0 * self.problem.runs[i].radius);
            self.look(i, border);
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
        self.scope.active = active;
    }

    /// Spreads the points to look at along run `i`, one of them where the small gap ends (`border` mm before the
    /// end): there a near parallel neighbour is closest to being too near.
    fn look(&mut self, i: usize, border: Option<f64>) {
        let count = self.intervals(i);
        let (path, samples) = (&self.paths[i], &mut self.samples[i]);
        samples.clear();
        let step = path.length / count as f64;
        let mut piece = 0;
        let border = border.map(|b| path.length - b - 1e-6).filter(|b| *b > 0.0 && *b < path.length);
        let at_border = border.map_or(usize::MAX, |b| (b / step) as usize + 1);
        for j in 0..=count + usize::from(border.is_some()) {
            let s = match border {
                Some(b) if j == at_border => b,
                Some(_) if j > at_border => step * (j - 1) as f64,
                _ => step * j as f64,
            };
            while piece + 1 < path.pieces.len() && s > path.pieces[piece].from + path.pieces[piece].length {
                piece += 1;
            }
            if let Some(at) = path.pieces.get(piece) {
                let (p, spot) = path.on_piece(at, (s - at.from).clamp(0.0, at.length));
                samples.push(Sample { s, p, spot });
            }
        }
    }

    /// Largest distance of two points looked at on run `i`, mm.
    fn spacing(&self, i: usize) -> f64 {
        self.paths[i].length / self.intervals(i) as f64
    }

    fn intervals(&self, i: usize) -> usize {
        let by_length = (self.paths[i].length.max(0.0) / self.weights.step).ceil().min(4000.0) as usize;
        if self.counts[i] > 0 { self.counts[i] } else { by_length.max(1) }
    }

    // ---- residuals ----

    /// Fit of the tangent lengths, stubs, leg rules, bend angles, waypoints and the price of turning.
    fn shape<const GRAD: bool>(&mut self, i: usize, state: &State) {
        let (run, rs) = (&self.problem.runs[i], &state.runs[i]);
        let bends = rs.clrs.len();
        for leg in 0..=bends {
            let path = &self.paths[i];
            let mut need = 0.0_f64;
            if leg == 0 {
                need = run.stub;
            }
            if leg == bends {
                need = need.max(run.ends[rs.end].stub);
            }
            if need > 0.0 && !self.strict {
                need += STUB_MARGIN;
            }
            let mut straight = path.lens[leg];
            straight -= if leg > 0 { path.setbacks[leg - 1] } else { 0.0 };
            straight -= if leg < bends { path.setbacks[leg] } else { 0.0 };
            let (r, kind) = match rs.legs.get(leg) {
                Some(LegRule::Zero) => (-straight, Kind::Equal),
                Some(LegRule::AtLeast(least)) => (need.max(*least) - straight, Kind::Fit),
                None => (need - straight, Kind::Fit),
            };
            if kind == Kind::Equal || r > -self.look {
                self.missed::<GRAD>(
                    r,
                    Tag(kind, i, 0, leg),
                    i,
                    |path, into| {
                        path.pull_leg(leg, -1.0, into);
                        if leg > 0 {
                            path.pull_setback(leg - 1, 1.0, into);
                        }
                        if leg < bends {
                            path.pull_setback(leg, 1.0, into);
                        }
                    },
                    state,
                );
            }
        }
        for bend in 0..bends {
            let (turn, clr) = (self.paths[i].turns[bend], self.paths[i].clrs[bend]);
            let (low, high) = (clr * (TURN_RANGE[0] - turn), clr * (turn - TURN_RANGE[1]));
            if low > -self.look {
                self.missed::<GRAD>(
                    low,
                    Tag(Kind::Slight, i, 0, bend),
                    i,
                    |path, into| path.pull_turn(bend, -clr, into),
                    state,
                );
            } else if high > -self.look {
                self.missed::<GRAD>(
                    high,
                    Tag(Kind::Sharp, i, 0, bend),
                    i,
                    |path, into| path.pull_turn(bend, clr, into),
                    state,
                );
            }
            if self.weights.turn > 0.0 {
                // The majorised square: turn <= turn^2 / (2 turn0) + turn0 / 2, equal at turn0 = turn.
                let held = turn.max(TURN_RANGE[0]);
                let scale = (self.weights.turn / (2.0 * held)).sqrt();
                self.weigh::<GRAD>(
                    scale * turn,
                    self.weights.turn * turn,
                    i,
                    |path, into| path.pull_turn(bend, scale, into),
                    state,
                );
            }
        }
        let end = &run.ends[rs.end];
        if self.part_early && end.collector.is_some() {
            let (zone, apart) = (end.stub + 3.0 * run.radius, self.problem.tube_gap - end.gap);
            if let Some(r) = end_excess(&self.paths[i], zone, apart).filter(|r| *r > 0.0) {
                self.missed::<GRAD>(r, Tag(Kind::Early, i, 0, 0), i, pull_last_straight, state);
            }
        }
        for (v, &leg) in rs.via_leg.iter().enumerate() {
            self.waypoint::<GRAD>(i, v, leg, state);
        }
    }

    /// The leg `leg` must pass through `via`, between its bends.
    fn waypoint<const GRAD: bool>(&mut self, i: usize, v: usize, leg: usize, state: &State) {
        let via = self.problem.runs[i].via[v];
        let path = &self.paths[i];
        let (dir, len) = (path.dirs[leg], path.lens[leg]);
        let from = via - path.points[leg];
        let along = from.dot(dir);
        let off = from - dir * along;
        let at = along / len.abs().max(1e-3);
        for (k, axis) in [Vec3::X, Vec3::Y, Vec3::Z].into_iter().enumerate() {
            let r = off.dot(axis);
            let across = axis - dir * axis.dot(dir);
            self.missed::<GRAD>(
                r,
                Tag(Kind::Equal, i, 1 + v, k),
                i,
                |path, into| path.pull(Spot::Leg { leg, at }, -across, into),
                state,
            );
        }
        let path = &self.paths[i];
        let before = if leg > 0 { path.setbacks[leg - 1] } else { 0.0 };
        let after = if leg + 1 < path.lens.len() { path.setbacks[leg] } else { 0.0 };
        if before - along > -self.look {
            self.missed::<GRAD>(
                before - along,
                Tag(Kind::Via, i, v, 0),
                i,
                |path, into| {
                    into[leg] += dir;
                    if leg > 0 {
                        path.pull_setback(leg - 1, 1.0, into);
                    }
                },
                state,
            );
        }
        let left = len - along;
        if after - left > -self.look {
            self.missed::<GRAD>(
                after - left,
                Tag(Kind::Via, i, v, 1),
                i,
                |path, into| {
                    into[leg + 1] -= dir;
                    if leg + 1 < path.lens.len() {
                        path.pull_setback(leg, 1.0, into);
                    }
                },
                state,
            );
        }
    }

    fn lengths<const GRAD: bool>(&mut self, i: usize, state: &State) {
        let length = self.paths[i].length;
        let kept = if self.strict { 0.0 } else { 1.0 };
        let slack = |tolerance: f64| (tolerance - kept * 0.02_f64.min(0.1 * tolerance)).max(0.0);
        if let Some((target, tolerance)) = self.wishes[i] {
            let off = length - target;
            let r = off.abs() - slack(tolerance);
            if r > -self.look {
                self.missed::<GRAD>(
                    r,
                    Tag(Kind::Length, i, 0, usize::from(off > 0.0)),
                    i,
                    |path, into| path.pull_length(off.signum(), into),
                    state,
                );
            }
        }
        let wish = self.problem.runs[i].wish;
        if let Some(at) = self.mid_offsets[wish] {
            let off = length - state.mids[wish];
            let r = off.abs() - 0.5 * slack(self.problem.wishes[wish].tolerance);
            if r > -self.look {
                self.sink.row_entry::<GRAD>(at, -off.signum());
                self.missed::<GRAD>(
                    r,
                    Tag(Kind::Even, i, 0, usize::from(off > 0.0)),
                    i,
                    |path, into| path.pull_length(off.signum(), into),
                    state,
                );
            }
        }
        if self.weights.length > 0.0 && length > 1.0 {
            let scale = (self.weights.length / (2.0 * length)).sqrt();
            self.weigh::<GRAD>(
                scale * length,
                self.weights.length * length,
                i,
                |path, into| path.pull_length(scale, into),
                state,
            );
        }
    }

    /// The gap of a run from itself, between points more than 4 OD of arc length apart.
    fn itself<const GRAD: bool>(&mut self, i: usize, state: &State) {
        let path = &self.paths[i];
        let od = 2.0 * path.radius;
        let need = od + self.problem.tube_gap + self.weights.margin;
        // Schur's comparison: a curve of length l that turns by less than 180 degrees has a chord of at
        // least l cos(turn / 2).
        let turn = path.turn();
        if turn < std::f64::consts::PI && 4.0 * od * (0.5 * turn).cos() > need {
            return;
        }
        let samples = std::mem::take(&mut self.samples[i]);
        for a in 0..samples.len() {
            let mut b = a + 1;
            while b < samples.len() {
                let apart = samples[b].s - samples[a].s;
                let d = (samples[b].p - samples[a].p).length();
                let skip = (d - need - self.look).max(4.0 * od - apart);
                if skip > 0.0 {
                    b += ((skip / self.weights.step) as usize).max(1);
                    continue;
                }
                let g = (samples[b].p - samples[a].p) / -d.max(1e-9);
                let (sa, sb) = (samples[a].spot, samples[b].spot);
                self.missed::<GRAD>(
                    need - d,
                    Tag(Kind::Itself, i, a, b),
                    i,
                    |path, into| {
                        path.pull(sb, g, into);
                        path.pull(sa, -g, into);
                    },
                    state,
                );
                b += 1;
            }
        }
        self.samples[i] = samples;
    }

    fn keepouts<const GRAD: bool>(&mut self, i: usize, state: &State) {
        let problem = self.problem;
        let run = &problem.runs[i];
        let end_stub = run.ends[state.runs[i].end].stub;
        let samples = std::mem::take(&mut self.samples[i]);
        let length = self.paths[i].length;
        let step = self.spacing(i);
        for (o, obstacle) in problem.obstacles.iter().enumerate() {
            let need = run.radius + obstacle.clearance + self.weights.margin + self.weights.room;
            let (from, to) = if obstacle.holds_ports { (run.stub, length - end_stub) } else { (0.0, length) };
            let mut j = 0;
            while j < samples.len() {
                let sample = samples[j];
                if sample.s < from || sample.s > to {
                    j += 1;
                    continue;
                }
                let far = obstacle.distance_below(sample.p) - need - self.look;
                if far > 0.0 {
                    j += ((far / step) as usize).max(1);
                    continue;
                }
                let near = obstacle.solid.nearest(sample.p, need + self.look + HORIZON);
                let r = need - near.distance;
                if r <= -self.look {
                    j += (((-r - self.look) / step) as usize).max(1);
                    continue;
                }
                self.missed::<GRAD>(
                    r,
                    Tag(Kind::Keepout, i, o, j),
                    i,
                    |path, into| path.pull(sample.spot, -near.normal, into),
                    state,
                );
                j += 1;
            }
        }
        self.samples[i] = samples;
        if !problem.slide.is_empty() {
            self.slides::<GRAD>(i, state);
        }
    }

    /// Touching a keep-out while the header is put on: each point is followed back along the moves.
    fn slides<const GRAD: bool>(&mut self, i: usize, state: &State) {
        let problem = self.problem;
        let run = &problem.runs[i];
        let end_stub = run.ends[state.runs[i].end].stub;
        let samples = std::mem::take(&mut self.samples[i]);
        let length = self.paths[i].length;
        let need = run.radius + self.weights.margin;
        let way: f64 = problem.slide.windows(2).map(|w| (w[1] - w[0]).length()).sum();
        for (o, obstacle) in problem.obstacles.iter().enumerate().filter(|(_, o)| !o.tool) {
            let (from, to) = if obstacle.holds_ports { (run.stub, length - end_stub) } else { (0.0, length) };
            for (j, sample) in samples.iter().enumerate().filter(|(_, s)| s.s >= from && s.s <= to) {
                if obstacle.distance_below(sample.p) > need + way {
                    continue;
                }
                let Some((r, normal)) = obstacle.worst_on(&problem.slide, sample.p, need) else { continue };
                self.missed::<GRAD>(
                    r,
                    Tag(Kind::Slide, i, o, j),
                    i,
                    |path, into| path.pull(sample.spot, -normal, into),
                    state,
                );
            }
        }
        self.samples[i] = samples;
    }

    /// Neighbours at a collector whose inlets are closer than tubes may be must part before the zone of
    /// the small gap ends, so one of the two must bend in time. Points on parallel straights feel no
    /// pull towards that; this residual on the shorter of the two last straights is it.
    fn part_in_time<const GRAD: bool>(&mut self, need: &Need, (i, j): (usize, usize), state: &State) {
        let (Some((zone, gap)), Joined::Enter, false) = (need.narrow, &need.joined, self.strict) else { return };
        let end = |r: usize| self.paths[r].points.last().copied().unwrap_or(Vec3::ZERO);
        let close = need.most - (end(i) - end(j)).length();
        if close <= 0.0 || gap == f64::NEG_INFINITY {
            return;
        }
        let excess = |r: usize| end_excess(&self.paths[r], zone, close);
        let movable = |r: usize| self.offsets[r] != usize::MAX && state.runs[r].freedoms() > 0;
        let (Some(xi), Some(xj)) = (excess(i), excess(j)) else { return };
        if xi.min(xj) <= 0.0 {
            return;
        }
        let pick = if movable(j) && (xj < xi || !movable(i)) { j } else { i };
        let r = if pick == i { xi } else { xj };
        self.missed::<GRAD>(r, Tag(Kind::Early, pick, i, j), pick, pull_last_straight, state);
    }

    /// The gap between runs `i` and `j`.
    fn tubes<const GRAD: bool>(&mut self, i: usize, j: usize, state: &State) {
        let lengths = (self.paths[i].length, self.paths[j].length);
        let mut need = Need::new(self.problem, (i, j), state, lengths, self.weights);
        if self.strict {
            need.ramp = 0.0;
        }
        self.part_in_time::<GRAD>(&need, (i, j), state);
        let samples = std::mem::take(&mut self.samples[i]);
        let step = self.spacing(i);
        let border = need.border().and_then(|s| self.paths[j].at(s));
        let mut k = 0;
        while k < samples.len() {
            let sample = samples[k];
            let other = &self.paths[j];
            let mut nearest = f64::INFINITY;
            let mut miss: Option<(f64, f64, Vec3, Spot)> = None;
            for piece in &other.pieces {
                let far = (sample.p - piece.middle).length() - piece.reach;
                if far >= nearest.max(need.most + self.look) {
                    continue;
                }
                let (d2, q) = other.nearest_on(piece, sample.p);
                let d = d2.sqrt();
                nearest = nearest.min(d);
                if d < need.most + self.look {
                    let (s, spot) = other.spot_on(piece, q);
                    let r = need.at(sample.s, s) - d;
                    if r > -self.look && miss.is_none_or(|m| r > m.0) {
                        miss = Some((r, d, q, spot));
                    }
                }
            }
            if let Some((q, spot)) = border.filter(|_| need.inside(sample.s)) {
                // The nearest point may lie within the small gap's zone and a farther one already outside.
                let d = (sample.p - q).length();
                nearest = nearest.min(d);
                let r = need.most - d;
                if r > -self.look && miss.is_none_or(|m| r > m.0) {
                    miss = Some((r, d, q, spot));
                }
            }
            let Some((r, d, q, spot)) = miss else {
                k += (((nearest.min(1e6) - need.most - self.look).max(0.0) / step) as usize).max(1);
                continue;
            };
            let g = if d > 1e-6 { (sample.p - q) / d } else { Vec3::Z };
            self.missed2::<GRAD>(
                r,
                Tag(Kind::Tube, i, j, k),
                (i, j),
                |path, into| path.pull(sample.spot, -g, into),
                |path, into| path.pull(spot, g, into),
                state,
            );
            k += 1;
        }
        self.samples[i] = samples;
    }

    // ---- bookkeeping ----

    fn missed<const GRAD: bool>(
        &mut self,
        r: f64,
        tag: Tag,
        i: usize,
        pull: impl Fn(&Path, &mut [Vec3]),
        state: &State,
    ) {
        self.missed2::<GRAD>(r, tag, (i, usize::MAX), pull, |_, _| (), state);
    }

    fn missed2<const GRAD: bool>(
        &mut self,
        r: f64,
        tag: Tag,
        (i, j): (usize, usize),
        pull_i: impl Fn(&Path, &mut [Vec3]),
        pull_j: impl Fn(&Path, &mut [Vec3]),
        state: &State,
    ) {
        let amount = if tag.0 == Kind::Equal { r.abs() } else { r.max(0.0) };
        self.sink.cost += amount * amount;
        self.sink.missed += amount * amount;
        self.sink.total += amount;
        let spared = if tag.0.is_gap() { 0.8 * self.weights.margin } else { 0.0 };
        if amount - spared > self.sink.worst {
            self.sink.worst = amount - spared;
            self.sink.worst_tag = Some(tag);
        }
        if GRAD {
            self.pull_into(i, &pull_i, state);
            if j != usize::MAX && self.offsets[j] != usize::MAX {
                self.pull_into(j, &pull_j, state);
            }
            self.sink.add(r, tag, self.n);
        }
    }

    fn weigh<const GRAD: bool>(
        &mut self,
        r: f64,
        cost: f64,
        i: usize,
        pull: impl Fn(&Path, &mut [Vec3]),
        state: &State,
    ) {
        self.sink.cost += cost;
        if GRAD {
            self.pull_into(i, &pull, state);
            self.sink.weigh(r, self.n);
        }
    }

    /// Gradient over the points of run `i`, carried on to its variables and its collectors'.
    fn pull_into(&mut self, i: usize, pull: impl Fn(&Path, &mut [Vec3]), state: &State) {
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
            self.sink.row[o] += run.axis.dot(grads[1]);
            self.sink.row[o + 1] -= end.axis.dot(grads[last - 1]);
            for (k, g) in grads[2..last - 1].iter().enumerate() {
                self.sink.row[o + 2 + 3 * k] += g.x;
                self.sink.row[o + 3 + 3 * k] += g.y;
                self.sink.row[o + 4 + 3 * k] += g.z;
            }
        }
        let seat_of = |c: Option<usize>| c.and_then(|c| self.seat_offsets[c].map(|o| (c, o)));
        for (seat, g, place) in [
            (seat_of(run.leaves), grads[0] + grads[1], path.points[0]),
            (seat_of(end.collector), grads[last] + grads[last - 1], path.points[last]),
        ] {
            let Some((c, o)) = seat else { continue };
            let frame = self.problem.seats[c].moved(&state.moves[c]);
            let drawn = &self.problem.seats[c].frame;
            if !self.sink.blocks.contains(&(o, o + 4)) {
                self.sink.blocks.push((o, o + 4));
            }
            self.sink.row[o] += g.dot(drawn.forward);
            self.sink.row[o + 1] += g.dot(drawn.right());
            self.sink.row[o + 2] += g.dot(drawn.up);
            self.sink.row[o + 3] += g.dot(frame.forward.cross(place - frame.origin));
        }
        self.grads[0] = grads;
    }
}

impl Sink {
    fn row_entry<const GRAD: bool>(&mut self, at: usize, value: f64) {
        if GRAD {
            self.row[at] += value;
            self.blocks.push((at, at + 1));
        }
    }
}

/// How much too long the last straight of `path` is to part by `apart` mm from a parallel neighbour before the
/// last `zone` mm; `None` for a path without bends.
///
/// A bend of CLR R leaves its tangent by d after an arc of sqrt(2 R d).
pub fn end_excess(path: &Path, zone: f64, apart: f64) -> Option<f64> {
    let bend = path.clrs.len().checked_sub(1)?;
    let arc = (2.0 * path.clrs[bend] * apart.max(0.0)).sqrt();
    Some(path.lens[bend + 1] - path.setbacks[bend] - (zone - arc))
}

fn pull_last_straight(path: &Path, into: &mut [Vec3]) {
    let bend = path.clrs.len() - 1;
    path.pull_leg(bend + 1, 1.0, into);
    path.pull_setback(bend, -1.0, into);
}

/// The distance that two centrelines must keep, by where on both runs.
struct Need {
    /// The most that can be asked, mm.
    most: f64,
    radii: f64,
    wide: f64,
    narrow: Option<(f64, f64)>,
    lengths: (f64, f64),
    joined: Joined,
    ramp: f64,
}

/// How two runs meet at one collector.
enum Joined {
    /// Not at all.
    No,
    /// Both enter it.
    Enter,
    /// The first enters it and the second leaves it.
    EnterLeave,
    /// The first leaves it and the second enters it.
    LeaveEnter,
}

impl Need {
    fn new(problem: &Problem, (i, j): (usize, usize), state: &State, lengths: (f64, f64), weights: Weights) -> Self {
        let (a, b) = (&problem.runs[i], &problem.runs[j]);
        let (ea, eb) = (&a.ends[state.runs[i].end], &b.ends[state.runs[j].end]);
        let radii = a.radius + b.radius;
        let od = 2.0 * a.radius.max(b.radius);
        let wide = problem.tube_gap + weights.margin + weights.room;
        let same = |x: Option<usize>, y: Option<usize>| x.is_some() && x == y;
        let (joined, zone, gap) = if same(ea.collector, eb.collector) {
            (Joined::Enter, ea.stub + 1.5 * od, ea.gap)
        } else if same(ea.collector, b.leaves) {
            (Joined::EnterLeave, ea.stub + 1.5 * od, f64::NEG_INFINITY)
        } else if same(a.leaves, eb.collector) {
            (Joined::LeaveEnter, eb.stub + 1.5 * od, f64::NEG_INFINITY)
        } else {
            (Joined::No, 0.0, 0.0)
        };
        let narrow = (!matches!(joined, Joined::No)).then_some((zone, gap.min(problem.tube_gap)));
        let last = |r: usize| state.runs[r].clrs.last().copied().unwrap_or(f64::INFINITY);
        let clr = last(i).min(last(j)).min(1e4);
        let ramp = (2.0 * clr * (wide - narrow.map_or(0.0, |n| n.1.max(0.0))).max(0.1)).sqrt();
        Need { most: radii + wide, radii, wide, narrow, lengths, joined, ramp }
    }

    /// Whether the point `sa` mm along the first run lies where its collector's own gap may be enough.
    fn inside(&self, sa: f64) -> bool {
        self.narrow.is_some_and(|(zone, _)| self.lengths.0 - sa <= zone)
    }

    /// Where on the second run the zone of its collector's own gap begins, mm from its start.
    fn border(&self) -> Option<f64> {
        let (zone, _) = self.narrow.filter(|_| matches!(self.joined, Joined::Enter))?;
        Some(self.lengths.1 - zone - 1e-6).filter(|s| *s > 0.0)
    }

    /// Centreline distance needed between the points `sa` and `sb` mm along the two runs.
    fn at(&self, sa: f64, sb: f64) -> f64 {
        let Some((zone, gap)) = self.narrow else { return self.most };
        let (from_a, from_b) = match self.joined {
            Joined::EnterLeave => (self.lengths.0 - sa, sb),
            Joined::LeaveEnter => (sa, self.lengths.1 - sb),
            _ => (self.lengths.0 - sa, self.lengths.1 - sb),
        };
        let inside = zone - from_a.max(from_b);
        if inside <= 0.0 {
            self.most
        } else if self.ramp == 0.0 {
            self.radii + gap
        } else if gap == f64::NEG_INFINITY {
            // One welded body: the demand fades with the distance into it.
            self.most - 2.0 * inside
        } else {
            // Up to the zone's border the need rises as a bend leaves its tangent, with the square of the
            // way: a step would stall the solver upon it.
            let x = (1.0 - inside / self.ramp).clamp(0.0, 1.0);
            self.radii + gap + (self.wide - gap) * x * x
        }
    }
}
