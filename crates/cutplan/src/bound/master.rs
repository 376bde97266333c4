//! The linear relaxation: which patterns of bends, fillers and sticks cover all runs at least cost.
//!
//! Columns: patterns (what stands on one bend and what its legs carry; found by
//! [`super::pricing`]), the number of fillers of each straight, the number of sticks of each kind.
//! Rows, each implied by the rules of cutting:
//! - angle: whole fragments + shares of the angle of parts >= 1 for each arc;
//! - count: whole fragments + parts / m >= 1, m the least number of parts of that arc;
//! - owners: a straight needs so many legs and fillers (one, or two where one leg is too short,
//!   for every set of legs that is granted for nothing), fillers from sticks counting for more
//!   where legs are too short for one;
//! - length: the same by length;
//! - material: legs and sticks hold all straights and the kerfs of their fillers, and sticks what
//!   is cut from sticks; there is a stick where a filler is cut from one;
//! - kinds: not more than there are;
//! - saw cuts, where each is charged (`saw_cuts`).
//!
//! The method is column generation (P. C. Gilmore and R. E. Gomory, "A linear programming approach
//! to the cutting-stock problem", Operations Research 9 (1961) 849-859). The bound that is
//! reported is computed from the row prices and the best reduced cost, so it holds whatever the
//! rounding in the simplex method.

mod branch;
mod cuts;
mod price;
mod rows;
mod saw_cuts;
mod sticks;

use std::sync::Arc;

use crate::bound::pricing::{ArcSet, Duals, Form, Group, Pattern, Pricing, Stand};
use crate::bound::simplex::{Column, Simplex};
use crate::ids::{ArcId, KindId, StickId, StraightId};
use crate::instance::{FIT, Instance, Side};
use crate::solution::Solution;

/// Weight of the best prices so far in the mean at which patterns are priced. Chosen
/// without a series of measurements; any value in [0, 1) is correct, it only changes the number of rounds.
const SMOOTH: f64 = 0.6;

/// Patterns that a pool holds at most, and nodes of the search for those of one kind. Twice as many cost more at every
/// look than the search for patterns that they spare.
const MOST_IN_POOL: usize = 150_000;
const NODES_OF_POOL: u64 = 1_000_000;

/// Both ends of a straight, legs of a bend, or sides of an arc: they are numbered 0 and 1 throughout.
const BOTH: [usize; 2] = [0, 1];

/// What a row says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Row {
    Angle(ArcId),
    Count(ArcId),
    /// Legs on the sides marked and fillers of a straight.
    Owners(StraightId, [bool; 2]),
    Length(StraightId),
    Material,
    /// Sticks hold what is cut from them.
    StickMaterial,
    /// What is cut from sticks for a straight is no longer than its fillers can be.
    StickLength(StraightId),
    /// There is a stick when a straight has a filler from one.
    StickThere(StraightId),
    /// Bends of a kind, times the sign.
    Kind(KindId, f64),
    /// Sticks of a kind, times the sign.
    Sticks(StickId, f64),
    /// All fragments (and fillers where marked), times the sign.
    Pieces(bool, f64),
    /// Fillers of a straight, times the sign.
    Fillers(StraightId, f64),
    /// Its fillers from sticks, times the sign.
    StickFillers(StraightId, f64),
    /// Legs that carry a side of an arc, times the sign.
    Own(ArcId, Side, f64),
    /// Fillers from sticks less sticks.
    Used,
    /// Cuts in legs beside those that patterns and fillers need, where no leg is used up.
    CutsOfPatterns,
    /// Cuts in legs beside fillers from legs.
    CutsOfFillers,
    /// Legs are used up by fillers only where there are some, and as far as these reach.
    FullLegs,
    FullLegLength,
    /// The same of sticks.
    FullSticks,
    FullStickLength,
    /// Legs that are used up, times the sign.
    CountFullLegs(f64),
    /// Sticks that are used up, times the sign.
    CountFullSticks(f64),
    /// Fragments of an arc, times the sign.
    Fragments(ArcId, f64),
    /// Fragments of an arc on bends of a kind, times the sign.
    OnKind(ArcId, KindId, f64),
    /// A straight that is one filler from a leg and nothing else is a long filler.
    Long(StraightId),
    /// Legs have room for long fillers.
    Host(usize),
    /// Not all straights of a set are served by one piece from a stick each and the legs they have.
    Packed(usize),
    /// Of three arcs two stand whole on one bend at most once.
    Triple(usize),
    /// Patterns that branching forbids.
    Forbidden,
}

/// Sums that must be whole numbers, for branching.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Branch {
    Kind(KindId),
    Sticks(StickId),
    Pieces(bool),
    FullLegs,
    FullSticks,
    Fillers(StraightId),
    StickFillers(StraightId),
    Own(ArcId, Side),
    Whole(ArcId),
    Fragments(ArcId),
    /// Fragments of an arc on bends of a kind.
    OnKind(ArcId, KindId),
    Pair(ArcId, ArcId),
    /// A whole arc with a part of another.
    With(ArcId, ArcId),
}

/// A row of room for long fillers: those of `straights` are at least `length` long.
///
/// A leg that carries a straight whole has room for what is beyond it; only where the straight has
/// more legs or fillers than one may the leg have all its room. Either of two counts says so for each straight: its
/// legs and fillers but one have room each, or its legs that are long enough at all have.
#[derive(Debug, Clone)]
struct Host {
    length: f64,
    straights: Vec<StraightId>,
    /// Long fillers that the longest leg has room for.
    most: f64,
    /// For each straight of the runs whether its long legs alone are counted.
    by_long_legs: Vec<bool>,
}

/// All patterns that a better plan could use: for each kind the groups, and which of them the present node may still
/// use.
#[derive(Clone)]
struct Pool {
    groups: Arc<Vec<Vec<Group>>>,
    alive: Vec<Vec<u32>>,
}

/// A straight of a row of packing, and on which of its ends it has a leg.
#[derive(Debug, Clone, Copy)]
struct Served {
    straight: StraightId,
    legs: [bool; 2],
}

/// The relaxation and its present columns.
#[derive(Clone)]
pub(crate) struct Master<'a> {
    instance: &'a Instance,
    pub lp: Simplex,
    rows: Vec<Row>,
    patterns: Vec<(usize, Pattern)>,
    /// Columns of the fillers from legs and from sticks, and of the length cut from sticks.
    from_legs: Vec<usize>,
    from_sticks: Vec<usize>,
    stick_length: Vec<usize>,
    sticks: Vec<usize>,
    /// Column of the cuts in legs, where every saw cut is charged.
    leg_cuts: usize,
    /// Columns of legs and of sticks that are used up, there.
    full_legs: usize,
    full_sticks: usize,
    /// Columns that count long fillers, where they are needed.
    long: Vec<Option<usize>>,
    hosts: Vec<Host>,
    triples: Vec<ArcSet>,
    packed: Vec<Vec<Served>>,
    /// Sticks of each kind at most, from the stock and from branching.
    most_sticks: Vec<Option<u32>>,
    /// Row prices of the best bound of the last relaxation.
    centre: Vec<f64>,
    worth: Duals,
    least_parts: Vec<f64>,
    /// The longest filler from a leg, and from a stick, mm.
    longest: [f64; 2],
    /// No better plan has more pieces than this.
    most_pieces: f64,
    /// For each kind all patterns that a better plan could use, once they are listed.
    pool: Option<Pool>,
    pub steps: u64,
}

/// How a relaxation ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Relaxed {
    /// Lower bound of the cost, in units of money, joints of the first pieces taken off.
    pub bound: f64,
    /// True when no column could lower it further.
    pub settled: bool,
}

impl<'a> Master<'a> {
    /// The relaxation with the columns of a known plan of cost `known` (thousandths).
    pub fn new(instance: &'a Instance, start: &Solution, known: i64) -> Self {
        let fragment = (instance.joint + instance.cut) as f64 * 1e-3;
        let dearest = instance.bends.iter().map(|b| b.price).max().unwrap_or(0) as f64 * 1e-3;
        let dearest = instance.sticks.iter().map(|s| s.price as f64 * 1e-3).fold(dearest, f64::max);
        let n = instance.arcs.len();
        let total = (known + instance.joint * instance.runs.len() as i64) as f64 * 1e-3;
        let mut master = Master {
            instance,
            lp: Simplex::new(4.0 * (fragment + dearest) + 1.0),
            rows: Vec::new(),
            patterns: Vec::new(),
            from_legs: Vec::new(),
            from_sticks: Vec::new(),
            stick_length: Vec::new(),
            sticks: Vec::new(),
            leg_cuts: 0,
            full_legs: 0,
            full_sticks: 0,
            long: vec![None; instance.straights.len()],
            hosts: Vec::new(),
            triples: Vec::new(),
            packed: Vec::new(),
            most_sticks: instance.sticks.iter().map(|s| s.count).collect(),
            centre: Vec::new(),
            worth: Duals { fragment, keep_whole: vec![false; n], must_split: vec![false; n], ..Duals::default() },
            least_parts: ArcId::all(n).map(|a| least_parts(instance, a)).collect(),
            longest: [longest_from_leg(instance), longest_from_stick(instance)],
            most_pieces: if fragment > 0.0 { (total / fragment).max(1.0) } else { 1e4 },
            pool: None,
            steps: 0,
        };
        master.add_plain_columns();
        master.add_rows();
        for used in &start.bends {
            master.add_pattern(pattern_of(instance, used));
        }
        master
    }

    fn add_plain_columns(&mut self) {
        let saw = if self.instance.per_piece { 0.0 } else { self.instance.cut as f64 * 1e-3 };
        for straight in &self.instance.straights {
            let short = straight.length < self.instance.min_straight - FIT;
            let upper = self.longest.map(|l| if short || l < self.instance.min_straight { 0.0 } else { f64::INFINITY });
            let filler = |upper| Column { cost: self.worth.fragment, upper, rows: Vec::new() };
            // Cuts of fillers from legs are charged with those of the legs.
            let leg = Column { cost: self.worth.fragment - saw, ..filler(upper[0]) };
            self.from_legs.push(self.lp.add_column(leg));
            self.from_sticks.push(self.lp.add_column(filler(upper[1])));
            let length = Column { cost: 0.0, upper: upper[1], rows: Vec::new() };
            self.stick_length.push(self.lp.add_column(length));
        }
        self.add_cut_columns(saw);
        for stick in &self.instance.sticks {
            let upper = stick.count.map_or(f64::INFINITY, f64::from);
            let column = Column { cost: stick.price as f64 * 1e-3, upper, rows: Vec::new() };
            self.sticks.push(self.lp.add_column(column));
        }
    }

    fn add_rows(&mut self) {
        let instance = self.instance;
        for arc in ArcId::all(instance.arcs.len()) {
            self.add_row(Row::Angle(arc), 1.0);
            if instance.arcs[arc].angle >= 2.0 * instance.least_arc(arc) {
                self.add_row(Row::Count(arc), 1.0);
            }
        }
        for (s, straight) in StraightId::all(instance.straights.len()).zip(&instance.straights) {
            for rest in [[true, true], [true, false], [false, true], [false, false]] {
                if let Some((need, _)) = self.needed(s, rest) {
                    self.add_row(Row::Owners(s, rest), need);
                }
            }
            self.add_row(Row::Length(s), 1.0 - 4.0 * FIT / straight.length);
            if self.longest[1] >= instance.min_straight {
                self.add_row(Row::StickLength(s), 0.0);
            }
        }
        let total: f64 = instance.straights.iter().map(|s| s.length).sum();
        if total > 0.0 {
            self.add_row(Row::Material, (total - FIT * 4.0 * instance.straights.len() as f64) / total);
            if !instance.sticks.is_empty() {
                self.add_row(Row::StickMaterial, 0.0);
            }
        }
        for (k, kind) in KindId::all(instance.bends.len()).zip(&instance.bends) {
            if let Some(count) = kind.count {
                self.add_row(Row::Kind(k, -1.0), -f64::from(count));
            }
        }
        if !instance.per_piece && !instance.sticks.is_empty() {
            self.add_row(Row::Used, 0.0);
        }
        self.add_cut_rows();
    }

    /// Legs and fillers from legs that a straight needs beside the legs that are granted (those not
    /// in `rest`), and for how many of them a filler from a stick stands; none when nothing is
    /// needed or the row is implied by another.
    fn needed(&self, straight: StraightId, rest: [bool; 2]) -> Option<(f64, f64)> {
        let need = &self.instance.straights[straight];
        let mut length = need.length - FIT;
        let mut legs = Vec::new();
        for end in BOTH {
            let leg = need.arcs[end].map_or(0.0, |a| self.instance.longest_leg(self.instance.arcs[a].class));
            if rest[end] && leg > 0.0 {
                legs.push(leg);
            } else if leg > 0.0 {
                length -= leg + FIT;
            } else if !rest[end] {
                // The same row stands without this side.
                return None;
            }
        }
        legs.sort_by(|a, b| b.total_cmp(a));
        let count = self.units(length, &legs);
        if count == 0 {
            return None;
        }
        let stick = self.longest[1] + FIT;
        let mut stands_for = 1.0f64;
        if stick > self.instance.min_straight {
            for t in 1..=count {
                let left = self.units(length - f64::from(t) * stick, &legs);
                stands_for = stands_for.max(f64::from(count - left) / f64::from(t));
            }
        }
        Some((f64::from(count), stands_for))
    }

    /// Least number of legs (each of those given once) and fillers from legs that reach a length;
    /// 50 when none do.
    fn units(&self, length: f64, legs: &[f64]) -> u32 {
        let filler = self.longest[0];
        let mut left = length;
        let mut count = 0;
        let mut legs = legs.iter().peekable();
        while left > 0.0 && count < 50 {
            let unit = match legs.peek() {
                Some(&&leg) if leg >= filler || filler < self.instance.min_straight => {
                    legs.next();
                    leg
                }
                _ if filler >= self.instance.min_straight => filler,
                _ => return 50,
            };
            left -= unit + FIT;
            count += 1;
        }
        count
    }

    /// Adds a row over all present columns.
    pub fn add_row(&mut self, row: Row, rhs: f64) -> usize {
        let mut coefficients = Vec::new();
        for (column, pattern) in &self.patterns {
            coefficients.push((*column, self.pattern_in_row(pattern, row)));
        }
        for s in StraightId::all(self.from_legs.len()) {
            let columns = [self.from_legs[s], self.from_sticks[s], self.stick_length[s]];
            coefficients.extend(columns.into_iter().zip(self.straight_in_row(s, row)));
        }
        for (k, &column) in StickId::all(self.sticks.len()).zip(&self.sticks) {
            coefficients.push((column, self.stick_in_row(k, row)));
        }
        match row {
            Row::Long(s) => coefficients.extend(self.long[s].map(|c| (c, 1.0))),
            Row::Host(h) => {
                coefficients.extend(self.hosts[h].straights.iter().filter_map(|&s| self.long[s]).map(|c| (c, -1.0)));
            }
            _ => {}
        }
        coefficients.extend(self.cuts_in_row(row));
        self.rows.push(row);
        self.lp.add_row(&coefficients, rhs)
    }

    /// Forbids the present patterns for which `bad` holds.
    fn forbid(&mut self, bad: impl Fn(&Pattern) -> bool) {
        let coefficients: Vec<(usize, f64)> =
            self.patterns.iter().filter(|(_, p)| bad(p)).map(|(column, _)| (*column, -1.0)).collect();
        if !coefficients.is_empty() {
            self.rows.push(Row::Forbidden);
            self.lp.add_row(&coefficients, 0.0);
        }
    }

    /// Adds a pattern as a column, unless it stands already.
    pub fn add_pattern(&mut self, pattern: Pattern) -> bool {
        if self.patterns.iter().any(|(_, p)| *p == pattern) {
            return false;
        }
        let mut column = Column { cost: self.pattern_cost(&pattern), upper: f64::INFINITY, rows: Vec::new() };
        for (r, row) in self.rows.iter().enumerate() {
            let value = self.pattern_in_row(&pattern, *row);
            if value != 0.0 {
                column.rows.push((r as u32, value));
            }
        }
        let id = self.lp.add_column(column);
        self.patterns.push((id, pattern));
        true
    }

    /// Solves the relaxation with all columns, or until `steps` are spent or the bound reaches
    /// `enough`.
    ///
    /// Patterns are priced at a mean of the present row prices and those of the best bound so far
    /// (P. Wentges, "Weighted Dantzig-Wolfe decomposition for linear mixed-integer programming",
    /// International Transactions in Operational Research 4 (1997) 151-162): without it the prices
    /// swing and the bound comes late.
    pub fn relax(&mut self, steps: u64, enough: f64) -> Relaxed {
        let begin = self.steps;
        let mut best = f64::NEG_INFINITY;
        let mut weight = if self.centre.is_empty() { 0.0 } else { SMOOTH };
        let mut centre = std::mem::take(&mut self.centre);
        loop {
            let work = self.lp.work;
            let optimal = self.lp.solve(400);
            self.steps += self.lp.work - work;
            let now: Vec<f64> = self.lp.prices().iter().map(|p| p.max(0.0)).collect();
            centre.resize(now.len(), 0.0);
            let prices: Vec<f64> = now.iter().zip(&centre).map(|(n, c)| (1.0 - weight) * n + weight * c).collect();
            let (bound, added) = self.price_all(&prices);
            if bound > best {
                best = bound;
                centre.clone_from(&prices);
                weight = SMOOTH;
            } else if weight > 0.0 && !added {
                // The mean was misleading: price at the present prices themselves.
                weight = 0.0;
                continue;
            }
            let mut done = optimal && !added && weight == 0.0;
            if optimal && !added && weight > 0.0 {
                weight = 0.0;
                continue;
            }
            if done && best < enough {
                done = !(self.lp.raise_penalties()
                    || self.add_stick_rows() | self.add_host_rows() | self.add_packing_row()
                    || self.add_triple_rows());
            }
            let settled = best >= enough || done;
            if settled || self.steps - begin > steps {
                self.centre = centre;
                return Relaxed { bound: best, settled };
            }
        }
    }

    /// The bound at the prices given, and whether patterns were added that the relaxation can use.
    fn price_all(&mut self, prices: &[f64]) -> (f64, bool) {
        let mut bound = self.plain_bound(prices);
        let mut added = false;
        for kind in KindId::all(self.instance.bends.len()) {
            if self.instance.bends[kind].count == Some(0) {
                continue;
            }
            self.price_kind(kind, prices);
            let priced = match &self.pool {
                Some(pool) => Pricing::look(self.instance, &self.worth, &pool.groups[kind], &pool.alive[kind]),
                None => Pricing::run(self.instance, &self.worth, kind, 20_000),
            };
            self.steps += 2 + priced.nodes / 3;
            let count = self.instance.bends[kind].count.map_or(self.most_pieces, f64::from).min(self.most_pieces);
            bound += priced.least.min(0.0) * count;
            for pattern in priced.patterns {
                if self.add_pattern(pattern) {
                    let column = self.patterns[self.patterns.len() - 1].0;
                    added |= self.lp.reduced_cost(column) < -1e-6;
                }
            }
        }
        (bound, added)
    }

    /// True once all patterns that a better plan could use are listed.
    pub fn has_pool(&self) -> bool {
        self.pool.is_some()
    }

    /// Lists all patterns that a plan within `gap` of the bound of the last relaxation could use, or takes out of the
    /// list those that it could not; false when there is no list because they are too many.
    pub fn make_pool(&mut self, gap: f64) -> bool {
        let prices = self.centre.clone();
        let gap = gap + 1e-4;
        if let Some(mut pool) = self.pool.take() {
            for kind in KindId::all(pool.alive.len()) {
                if !pool.alive[kind].is_empty() {
                    self.price_kind(kind, &prices);
                    let (worth, instance) = (&self.worth, self.instance);
                    let within = |p: &Pattern| worth.value_of(instance, p) >= -gap && worth.permits(p);
                    pool.alive[kind].retain(|&g| pool.groups[kind][g as usize].iter().any(within));
                    self.steps += pool.alive[kind].len() as u64 / 8;
                }
            }
            self.pool = Some(pool);
            return true;
        }
        let mut groups = Vec::new();
        let mut left = MOST_IN_POOL;
        for kind in KindId::all(self.instance.bends.len()) {
            if self.instance.bends[kind].count == Some(0) {
                groups.push(Vec::new());
                continue;
            }
            self.price_kind(kind, &prices);
            let (found, nodes) = Pricing::gather(self.instance, &self.worth, kind, gap, left, NODES_OF_POOL);
            self.steps += 1 + nodes / 3;
            let Some(found) = found else { return false };
            left -= found.iter().map(Vec::len).sum::<usize>().min(left);
            groups.push(found);
        }
        let alive = groups.iter().map(|g| (0..g.len() as u32).collect()).collect();
        self.pool = Some(Pool { groups: Arc::new(groups), alive });
        true
    }

    /// The bound without the patterns: worth of the right-hand sides, and what fillers and sticks
    /// could still take off.
    fn plain_bound(&self, prices: &[f64]) -> f64 {
        let mut bound: f64 = (0..self.lp.rows()).map(|r| prices[r] * self.lp.rhs(r)).sum();
        let clipped = |column: usize| {
            let c = self.lp.column(column);
            c.cost - c.rows.iter().map(|&(r, v)| prices[r as usize] * v).sum::<f64>()
        };
        for &column in
            self.from_legs.iter().chain(&self.from_sticks).chain(&self.stick_length).chain(&self.sticks).chain([
                &self.leg_cuts,
                &self.full_legs,
                &self.full_sticks,
            ])
        {
            let upper = self.lp.column(column).upper.min(self.most_pieces);
            bound += clipped(column).min(0.0) * upper;
        }
        bound
    }

    /// The patterns in use with their values, largest first.
    pub fn in_use(&self) -> Vec<(f64, Pattern)> {
        let values = self.lp.values();
        let mut out: Vec<(f64, Pattern)> =
            self.patterns.iter().filter(|(c, _)| values[*c] > 1e-6).map(|(c, p)| (values[*c], p.clone())).collect();
        out.sort_by(|a, b| b.0.total_cmp(&a.0));
        out
    }
}

/// The longest straight piece that a leg yields, mm.
fn longest_from_leg(instance: &Instance) -> f64 {
    let bends = instance.bends.iter().filter(|b| b.count != Some(0));
    bends.map(|b| b.legs[0].max(b.legs[1]) - instance.kerf).fold(0.0, f64::max)
}

/// The longest straight piece that a stick yields, mm.
fn longest_from_stick(instance: &Instance) -> f64 {
    instance.sticks.iter().filter(|s| s.count != Some(0)).map(|s| s.length).fold(0.0, f64::max)
}

fn stands_whole(pattern: &Pattern, arc: ArcId) -> bool {
    pattern.stands.iter().any(|s| s.arc == arc && s.form == Form::Whole)
}

fn splits(pattern: &Pattern, arc: ArcId) -> bool {
    pattern.stands.iter().any(|s| s.arc == arc && s.form != Form::Whole)
}

/// Least number of parts when an arc is split.
fn least_parts(instance: &Instance, arc: ArcId) -> f64 {
    let need = &instance.arcs[arc];
    let largest = instance.largest_angle(need.class) + 2.0 * instance.classes[need.class].fit;
    (need.angle / largest).ceil().max(2.0)
}

/// A bend of a plan as a pattern.
fn pattern_of(instance: &Instance, used: &crate::solution::BendUse) -> Pattern {
    let mut stands: Vec<Stand> = Vec::new();
    for fragment in &used.fragments {
        let arc = fragment.arc;
        let whole = fragment.angle > instance.arcs[arc].angle - 1e-7;
        let form = if whole { Form::Whole } else { Form::Part };
        stands.push(Stand { arc, form, angle: fragment.angle });
    }
    let n = used.fragments.len();
    let owner = |leg: usize| {
        let side = used.owns[leg]?;
        let fragment = used.fragments.get(if leg == 0 { 0 } else { n - 1 })?;
        Some((fragment.arc, side))
    };
    Pattern {
        kind: used.kind,
        stands,
        owners: [owner(0), owner(1)],
        full: n == 1 && used.owns.iter().all(Option::is_some),
    }
}
