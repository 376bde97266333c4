//! The smallest change of what is not welded that brings the end to its inlet.
//!
//! Least is the sum of squares of changes of legs / 20 mm, angles / 5 degrees, clockings / 8 degrees, and
//! ((length - drawn) / 3 mm)^2, with the end in the inlet and every figure within what its piece can still give. Gauss-Newton
//! steps by bounded least squares, halved while they do not gain; the end's residual weighs 1 / 0.02 mm and 1 / 0.05 degrees
//! and is driven to nothing by the method of multipliers, so that the answer is that of the problem with equalities. When
//! the inlet cannot be met 1 mm weighs as 1 degree. Clearances that are to be kept ([`Keep`]) add (what is lost / 0.2 mm)^2. `checks/fit` solves the same with SciPy's SLSQP.

use crate::builds::{Builds, Chance, Limit, SEED};
use crate::chain::{Miss, Slot, figure};
use crate::estimate::Estimate;
use crate::linear::{Matrix, least_within};
use crate::random::Normals;
use crate::run::{Joining, Run};
use crate::sources::{State, Term, built, with_errors};

/// The end meets its inlet within this, mm.
pub const MET: f64 = 0.3;
/// And within this, rad.
pub const MET_ANGLE: f64 = 0.3 * DEGREE;

const DEGREE: f64 = std::f64::consts::PI / 180.0;
/// A change of a leg that counts 1, mm.
pub(crate) const LEG: f64 = 20.0;
/// A change of an angle that counts 1, rad.
pub(crate) const ANGLE: f64 = 5.0 * DEGREE;
/// A change of clocking that counts 1, rad.
pub(crate) const CLOCKING: f64 = 8.0 * DEGREE;
/// A change of the whole length that counts 1, mm.
const LENGTH: f64 = 3.0;
/// A clearance lost by this counts 1, mm.
const GAP: f64 = 0.2;
/// Weight of the end's place, 1/mm, and direction, 1/rad.
const EXACT: [f64; 2] = [1.0 / 0.02, 1.0 / (0.05 * DEGREE)];
/// The same where the inlet cannot be met: a millimetre as a degree.
pub(crate) const NEAREST: [f64; 2] = [1.0, 1.0 / DEGREE];
/// What of the objective still counts then.
pub(crate) const HARDLY: f64 = 1e-3;
/// Most that a bend which is not cut may have more than drawn, rad.
const MORE_ANGLE: f64 = 60.0 * DEGREE;
/// Longest straight that can be cut, mm.
const LONGEST: f64 = 1000.0;
/// What is lost where a weld is cut open, mm: kerf and cleaning.
const LOST: f64 = 3.0;
/// Most that a face is dressed, rad.
const DRESSED: f64 = 0.5 * DEGREE;
/// Most steps of one solution.
const STEPS: usize = 60;

/// What a piece can still give.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Freedom {
    /// How far it has come.
    pub state: State,
    /// What its upstream leg has more than planned, mm.
    pub left_in: f64,
    /// What its downstream leg (or a straight) has more than planned, mm.
    pub left_long: f64,
    /// What its arc has more than planned, rad.
    pub left_angle: f64,
}

impl Freedom {
    /// Of a piece that has no more than planned.
    pub fn of(state: State) -> Freedom {
        Freedom { state, left_in: 0.0, left_long: 0.0, left_angle: 0.0 }
    }
}

/// What saw and stock allow of a piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Shortest straight, mm.
    pub min_straight: f64,
    /// Least arc, rad.
    pub min_arc: f64,
    /// Longest leg that is bought for its CLR, mm.
    pub leg: f64,
    /// What can be trimmed off the straights of its neighbours upstream and downstream, mm: a leg of its own that is not
    /// there counts on below 0.
    pub beside: [f64; 2],
}

/// Least and greatest value of a figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Least.
    pub lower: f64,
    /// Greatest.
    pub upper: f64,
}

/// A clearance that a correction is to keep, as it depends on the figures near some of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Keep {
    /// The figures about which it is known.
    pub at: Vec<f64>,
    /// What there is more than what is to be kept, mm; negative: lost.
    pub room: f64,
    /// Its change for each unit of some figures, mm.
    pub slopes: Vec<(usize, f64)>,
}

impl Keep {
    fn slope(&self, index: usize) -> f64 {
        self.slopes.iter().find(|s| s.0 == index).map_or(0.0, |s| s.1)
    }
}

/// A figure that may be changed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Variable {
    pub index: usize,
    /// The change that counts 1.
    pub unit: f64,
    pub bounds: Bounds,
}

/// What is to be done.
#[derive(Debug, Clone, PartialEq)]
pub struct Correction {
    /// Whether the end then meets its inlet.
    pub met: bool,
    /// The miss when the rest is made as planned.
    pub before: Miss,
    /// The miss when it is made as corrected.
    pub after: Miss,
    /// All figures as corrected, what is built being as estimated.
    pub figures: Vec<f64>,
    /// Length of the centreline then, mm.
    pub length: f64,
    /// The sum of squares that is least.
    pub objective: f64,
}

/// A weld that is cut open.
#[derive(Debug, Clone, PartialEq)]
pub struct CutOpen {
    /// The weld before that piece.
    pub link: usize,
    /// True when the pieces behind it are kept, false when they are made again.
    pub keep: bool,
    /// What is to be done then.
    pub correction: Correction,
}

/// The correction of a run whose built part is as `now` says.
///
/// `planned` are the figures that it was to have; what is not built has them in `now` too. Changes of what is not cut count
/// from the drawing, also where an earlier correction was accepted: the same readings then give the same answer.
pub fn correct(run: &Run, planned: &[f64], now: &[f64], freedoms: &[Freedom], limits: &[Limits]) -> Correction {
    correct_keeping(run, planned, now, (freedoms, limits), &[])
}

/// The correction that also keeps some clearances, as nearly as the end and the pieces allow.
pub fn correct_keeping(
    run: &Run,
    planned: &[f64],
    now: &[f64],
    (freedoms, limits): (&[Freedom], &[Limits]),
    keeps: &[Keep],
) -> Correction {
    correct_with(run, now, freedoms, &variables(run, planned, freedoms, limits), keeps)
}

/// The figures that a correction may change.
pub fn free_figures(run: &Run, planned: &[f64], freedoms: &[Freedom], limits: &[Limits]) -> Vec<usize> {
    variables(run, planned, freedoms, limits).iter().map(|v| v.index).collect()
}

/// The same from the drawing; where that does not meet the inlet faces may be dressed too.
pub(crate) fn correct_dressed(run: &Run, now: &[f64], freedoms: &[Freedom], limits: &[Limits]) -> Correction {
    let plain = correct(run, &run.drawn, now, freedoms, limits);
    if plain.met {
        return plain;
    }
    let mut variables = variables(run, &run.drawn, freedoms, limits);
    variables.extend((0..run.parts.len()).flat_map(|k| dressing(now, k)));
    correct_with(run, now, freedoms, &variables, &[])
}

fn correct_with(run: &Run, now: &[f64], freedoms: &[Freedom], variables: &[Variable], keeps: &[Keep]) -> Correction {
    let mut base = now.to_vec();
    for (k, _) in freedoms.iter().enumerate().filter(|(_, f)| f.state == State::Uncut) {
        let own = figure(k, Slot::Shift)..figure(k + 1, Slot::Shift);
        base[own.clone()].copy_from_slice(&run.drawn[own]);
    }
    Correction { before: run.chain.miss(now), ..solve_keeping(run, &base, variables, keeps) }
}

/// The latest weld which, cut open, lets the end meet its inlet; the pieces are kept where that is enough.
pub fn cut_open(run: &Run, planned: &[f64], now: &[f64], freedoms: &[Freedom], limits: &[Limits]) -> Option<CutOpen> {
    let opening = Opening { run, planned, now, freedoms, limits };
    let is_weld = |k: &usize| freedoms[*k].state == State::Welded && run.parts[*k].joining == Joining::Weld;
    let welded = (0..freedoms.len()).rev().filter(is_weld);
    let mut ways = welded.flat_map(|link| [(link, true), (link, false)]);
    ways.find_map(|(link, keep)| {
        let correction = if keep { opening.kept(link) } else { opening.again(link) };
        correction.met.then_some(CutOpen { link, keep, correction })
    })
}

/// A build of which a weld is cut open.
struct Opening<'a> {
    run: &'a Run,
    planned: &'a [f64],
    now: &'a [f64],
    freedoms: &'a [Freedom],
    limits: &'a [Limits],
}

impl Opening<'_> {
    /// With everything behind the weld kept.
    fn kept(&self, link: usize) -> Correction {
        let mut now = self.now.to_vec();
        now[figure(link, Slot::Shift)] -= LOST;
        let mut variables = variables(self.run, self.planned, self.freedoms, self.limits);
        let index = figure(link, Slot::Roll);
        variables.push(Variable { index, unit: CLOCKING, bounds: turn(now[index]) });
        variables.extend(dressing(&now, link));
        solve(self.run, &now, &variables)
    }

    /// With everything behind the weld made again.
    fn again(&self, link: usize) -> Correction {
        let mut now = self.now.to_vec();
        let behind = figure(link, Slot::Shift);
        now[behind..].copy_from_slice(&self.planned[behind..]);
        let mut freedoms = self.freedoms.to_vec();
        freedoms[link..].fill(Freedom::of(State::Uncut));
        correct(self.run, self.planned, &now, &freedoms, self.limits)
    }
}

/// The faces of a joint, dressed out of square.
pub(crate) fn dressing(now: &[f64], link: usize) -> [Variable; 2] {
    [Slot::KinkUp, Slot::KinkRight].map(|slot| {
        let index = figure(link, slot);
        let bounds = Bounds { lower: now[index] - DRESSED, upper: now[index] + DRESSED };
        Variable { index, unit: ANGLE, bounds }
    })
}

/// How far the slip joint before a piece is pushed in; `None` when it is none.
pub(crate) fn sliding(run: &Run, link: usize) -> Option<Variable> {
    let by = run.parts[link].joining.slides();
    let drawn = run.figure(link, Slot::Shift);
    let bounds = Bounds { lower: drawn - by, upper: drawn + by };
    (by > 0.0).then(|| Variable { index: figure(link, Slot::Shift), unit: LEG, bounds })
}

pub(crate) fn turn(from: f64) -> Bounds {
    Bounds { lower: from - std::f64::consts::PI, upper: from + std::f64::consts::PI }
}

/// What may be changed, within which bounds.
fn variables(run: &Run, planned: &[f64], freedoms: &[Freedom], limits: &[Limits]) -> Vec<Variable> {
    let mut out = Vec::new();
    for (k, ((part, freedom), limit)) in run.parts.iter().zip(freedoms).zip(limits).enumerate() {
        let drawn = |slot| planned[figure(k, slot)];
        let mut add = |slot, unit, bounds| out.push(Variable { index: figure(k, slot), unit, bounds });
        if freedom.state <= State::Cut {
            let uncut = freedom.state == State::Uncut;
            let within = |least: f64, slot: Slot, bought: f64, left: f64| {
                let most = if uncut { bought.max(drawn(slot)) } else { drawn(slot) + left };
                Bounds { lower: least.min(drawn(slot)), upper: most }
            };
            if part.is_bend() {
                add(Slot::LegIn, LEG, within(-limit.beside[0], Slot::LegIn, limit.leg, freedom.left_in));
                let most = drawn(Slot::Angle) + MORE_ANGLE;
                add(Slot::Angle, ANGLE, within(limit.min_arc, Slot::Angle, most, freedom.left_angle));
                add(Slot::LegOut, LEG, within(-limit.beside[1], Slot::LegOut, limit.leg, freedom.left_long));
            } else {
                add(Slot::LegIn, LEG, within(limit.min_straight, Slot::LegIn, LONGEST, freedom.left_long));
            }
        }
        if turns(run, freedoms, k) {
            add(Slot::Roll, CLOCKING, turn(drawn(Slot::Roll)));
        }
        out.extend(sliding(run, k));
    }
    out
}

/// Whether the joint before piece `k` is the one by which what lies behind it is turned: of the joints on one axis, the
/// last that is not welded, or turns for ever. Behind the last bend nothing is left to turn.
fn turns(run: &Run, freedoms: &[Freedom], k: usize) -> bool {
    let Some(next) = run.parts[k..].iter().position(crate::run::Part::is_bend).map(|n| k + n) else { return false };
    let fast = |j: usize| freedoms[j].state == State::Welded && !run.parts[j].joining.turns();
    !fast(k) && (k + 1..=next).all(fast)
}

/// The figures of a run as a function of the changes of its variables, each in its unit.
pub(crate) struct CorrectionModel<'a> {
    run: &'a Run,
    now: &'a [f64],
    variables: &'a [Variable],
    lower: Vec<f64>,
    upper: Vec<f64>,
    /// Change of the length for each change.
    stretch: Vec<f64>,
    /// Length without a change less the drawn one, mm.
    longer: f64,
    /// What the objective weighs.
    share: f64,
    weights: [f64; 2],
    /// Clearances that count where they are lost.
    keeps: &'a [Keep],
}

impl<'a> CorrectionModel<'a> {
    pub fn new(run: &'a Run, now: &'a [f64], variables: &'a [Variable], share: f64, weights: [f64; 2]) -> Self {
        let scaled = |v: &Variable, bound: f64| (bound - now[v.index]) / v.unit;
        CorrectionModel {
            run,
            now,
            variables,
            lower: variables.iter().map(|v| scaled(v, v.bounds.lower).min(0.0)).collect(),
            upper: variables.iter().map(|v| scaled(v, v.bounds.upper).max(0.0)).collect(),
            stretch: variables.iter().map(|v| run.chain.length_slope(now, v.index) * v.unit).collect(),
            longer: run.chain.length(now) - run.chain.length(&run.drawn),
            share,
            weights,
            keeps: &[],
        }
    }

    /// What of a clearance is lost, in the unit that counts 1; none where it is kept.
    fn lost(&self, keep: &Keep, y: &[f64]) -> f64 {
        let moved =
            |(v, y): (&Variable, &f64)| keep.slope(v.index) * (self.now[v.index] + y * v.unit - keep.at[v.index]);
        let room = keep.room + self.variables.iter().zip(y).map(moved).sum::<f64>();
        (-room / GAP).max(0.0)
    }

    fn figures(&self, y: &[f64]) -> Vec<f64> {
        let mut figures = self.now.to_vec();
        for (variable, change) in self.variables.iter().zip(y) {
            figures[variable.index] += change * variable.unit;
        }
        figures
    }

    fn miss(&self, y: &[f64]) -> Miss {
        self.run.chain.miss(&self.figures(y))
    }

    fn longer_by(&self, y: &[f64]) -> f64 {
        self.longer + crate::linear::dot(&self.stretch, y)
    }

    fn objective(&self, y: &[f64]) -> f64 {
        crate::linear::dot(y, y) + (self.longer_by(y) / LENGTH).powi(2)
    }

    fn weight(&self, part: usize) -> f64 {
        self.weights[usize::from(part >= 3)]
    }

    fn merit(&self, y: &[f64], shift: &[f64; 5]) -> f64 {
        let miss = self.miss(y);
        let end: f64 = (0..5).map(|i| (self.weight(i) * (miss.parts[i] + shift[i])).powi(2)).sum();
        let lost: f64 = self.keeps.iter().map(|k| self.lost(k, y).powi(2)).sum();
        self.share * (self.objective(y) + lost) + end
    }

    /// The step of a Gauss-Newton round.
    fn step(&self, y: &[f64], shift: &[f64; 5]) -> Vec<f64> {
        let n = y.len();
        let laid = self.run.chain.lay(&self.figures(y));
        let miss = Miss::of(&laid.end(), &laid.inlet);
        let slopes: Vec<[f64; 5]> =
            self.variables.iter().map(|v| Miss::slope(&laid, v.index).map(|s| s * v.unit)).collect();
        let (mut q, mut c) = (Matrix::zeros(n, n), vec![0.0; n]);
        let tight = self.share / (LENGTH * LENGTH);
        let longer = self.longer_by(y);
        for i in 0..n {
            for j in 0..n {
                let end: f64 = (0..5).map(|p| self.weight(p).powi(2) * slopes[i][p] * slopes[j][p]).sum();
                *q.at_mut(i, j) = end + tight * self.stretch[i] * self.stretch[j];
            }
            *q.at_mut(i, i) += self.share;
            let end: f64 = (0..5).map(|p| self.weight(p).powi(2) * slopes[i][p] * (miss.parts[p] + shift[p])).sum();
            c[i] = end + self.share * y[i] + tight * self.stretch[i] * longer;
        }
        for keep in self.keeps {
            let lost = self.lost(keep, y);
            if lost > 0.0 {
                let row: Vec<f64> = self.variables.iter().map(|v| -keep.slope(v.index) * v.unit / GAP).collect();
                for i in 0..n {
                    (0..n).for_each(|j| *q.at_mut(i, j) += self.share * row[i] * row[j]);
                    c[i] += self.share * row[i] * lost;
                }
            }
        }
        let lower: Vec<f64> = self.lower.iter().zip(y).map(|(b, y)| b - y).collect();
        let upper: Vec<f64> = self.upper.iter().zip(y).map(|(b, y)| b - y).collect();
        least_within(&q, &c, &lower, &upper)
    }

    /// The least from y = 0 on. `exact`: the end is driven into the inlet by the method of multipliers.
    pub fn least(&self, exact: bool) -> Vec<f64> {
        let mut y = vec![0.0; self.variables.len()];
        let mut shift = [0.0; 5];
        let mut merit = self.merit(&y, &shift);
        // A step that gains less than this share is the last one: the nearest is not wanted to as many digits.
        let gain = if exact { 1e-12 } else { 1e-5 };
        for _ in 0..STEPS {
            let step = self.step(&y, &shift);
            let largest = step.iter().fold(0.0_f64, |m, s| m.max(s.abs()));
            let mut share = 1.0;
            let mut taken = false;
            while share > 1e-3 {
                let next: Vec<f64> = y.iter().zip(&step).map(|(y, s)| y + share * s).collect();
                let found = self.merit(&next, &shift);
                if found < merit {
                    taken = merit - found > gain * merit;
                    (y, merit) = (next, found);
                    break;
                }
                share *= 0.5;
            }
            if taken && largest > 1e-9 {
                continue;
            }
            let miss = self.miss(&y);
            let off = (0..5).map(|p| (self.weight(p) * miss.parts[p]).abs()).fold(0.0, f64::max);
            // Far off: no multiplier will meet it. Met to a millionth: done.
            if !exact || off < 1e-6 || miss.distance() > 1.0 || miss.angle > DEGREE {
                break;
            }
            (0..5).for_each(|p| shift[p] += miss.parts[p]);
            merit = self.merit(&y, &shift);
        }
        y
    }
}

pub(crate) fn solve(run: &Run, now: &[f64], variables: &[Variable]) -> Correction {
    solve_keeping(run, now, variables, &[])
}

fn solve_keeping(run: &Run, now: &[f64], variables: &[Variable], keeps: &[Keep]) -> Correction {
    let exact = CorrectionModel { keeps, ..CorrectionModel::new(run, now, variables, 1.0, EXACT) };
    let y = exact.least(true);
    let first = finished(&exact, &y);
    if first.met || variables.is_empty() {
        return first;
    }
    let nearest = CorrectionModel { keeps, ..CorrectionModel::new(run, now, variables, HARDLY, NEAREST) };
    let second = finished(&exact, &nearest.least(false));
    if second.met || off(&second.after) < off(&first.after) { second } else { first }
}

/// One millimetre as one degree.
fn off(miss: &Miss) -> f64 {
    miss.distance().hypot(miss.angle / DEGREE)
}

/// The plain recount of a solution.
pub(crate) fn finished(problem: &CorrectionModel<'_>, y: &[f64]) -> Correction {
    let figures = problem.figures(y);
    let after = problem.run.chain.miss(&figures);
    Correction {
        met: meets(&after),
        before: problem.run.chain.miss(problem.now),
        after,
        length: problem.run.chain.length(&figures),
        objective: problem.objective(y),
        figures,
    }
}

/// Whether an end meets its inlet.
pub fn meets(miss: &Miss) -> bool {
    miss.distance() <= MET && miss.angle <= MET_ANGLE
}

/// Clocking of a piece with a bend from the bend before it, or for the first bend from its drawn plane, rad in (-pi, pi].
pub fn clocking(run: &Run, figures: &[f64], link: usize) -> f64 {
    let from = run.bend_before(link).map_or(0, |b| b + 1);
    let sum: f64 = (from..=link).map(|k| figures[figure(k, Slot::Roll)]).sum();
    let turned = sum.rem_euclid(std::f64::consts::TAU);
    if turned > std::f64::consts::PI { turned - std::f64::consts::TAU } else { turned }
}

/// Chance that the end goes in when the rest is made by these figures: builds that the readings allow, with the errors of
/// what is yet to be made.
pub fn chance(
    run: &Run,
    planned: &[f64],
    estimate: &Estimate,
    (figures, states): (&[f64], &[State]),
    coming: &[Term],
    limit: Limit,
) -> Chance {
    const COUNT: usize = 1000;
    let mut normals = Normals::new(SEED);
    let first = figure(built(states), Slot::Shift);
    let moved: Vec<usize> = (0..built(states)).flat_map(|k| [figure(k, Slot::Roll), figure(k, Slot::Shift)]).collect();
    let mut builds = Builds { misses: Vec::with_capacity(COUNT), lengths: Vec::new() };
    for _ in 0..COUNT {
        let mut drawn = estimate.draw(planned, &mut normals);
        drawn[first..].copy_from_slice(&figures[first..]);
        // Joints that are turned or slid by hand are moved by as much as the answer says.
        moved.iter().for_each(|&i| drawn[i] += figures[i] - estimate.figures[i]);
        let errors: Vec<f64> = coming.iter().map(|t| t.mean + t.sd * normals.next()).collect();
        builds.misses.push(run.chain.miss(&with_errors(&drawn, coming, &errors)));
    }
    builds.chance(|m| limit.holds(m))
}
