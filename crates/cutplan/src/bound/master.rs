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
//! - kinds: not more than there are.
//!
//! The method is column generation (P. C. Gilmore and R. E. Gomory, "A linear programming approach
//! to the cutting-stock problem", Operations Research 9 (1961) 849-859). The bound that is
//! reported is computed from the row prices and the best reduced cost, so it holds whatever the
//! rounding in the simplex method.

// Ends, legs and sides are numbered 0 and 1 throughout and index several things at once.
#![allow(clippy::needless_range_loop)]

use crate::bound::pricing::{Form, Pattern, Pricing, Stand, Worth};
use crate::bound::simplex::{Column, Simplex};
use crate::instance::{FIT, Instance, Side};
use crate::solution::Solution;

/// Weight of the best prices so far in the mean at which patterns are priced. Found by trial: 0
/// takes two to four times as many rounds, 0.9 is too slow to move.
const SMOOTH: f64 = 0.6;

/// What a row says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Row {
    Angle(usize),
    Count(usize),
    /// Legs on the sides marked and fillers of a straight.
    Owners(usize, [bool; 2]),
    Length(usize),
    Material,
    /// Sticks hold what is cut from them.
    StickMaterial,
    /// What is cut from sticks for a straight is no longer than its fillers can be.
    StickLength(usize),
    /// There is a stick when a straight has a filler from one.
    StickThere(usize),
    /// Bends of a kind, times the sign.
    Kind(usize, f64),
    /// Sticks of a kind, times the sign.
    Sticks(usize, f64),
    /// All fragments (and fillers where marked), times the sign.
    Pieces(bool, f64),
    /// Fillers of a straight, times the sign.
    Fillers(usize, f64),
    /// Its fillers from sticks, times the sign.
    StickFillers(usize, f64),
    /// Legs that carry a side of an arc, times the sign.
    Own(usize, Side, f64),
    /// Fillers from sticks less sticks.
    Used,
    /// Cuts in legs beside those that patterns need for themselves.
    CutsOfPatterns,
    /// Cuts in legs beside fillers from legs.
    CutsOfFillers,
    /// Fragments of an arc, times the sign.
    Fragments(usize, f64),
    /// A straight that is one filler from a leg and nothing else is a long filler.
    Long(usize),
    /// Legs have room for long fillers.
    Host(usize),
    /// Patterns that branching forbids.
    Forbidden,
}

/// Sums that must be whole numbers, for branching.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Branch {
    Kind(usize),
    Sticks(usize),
    Pieces(bool),
    Fillers(usize),
    StickFillers(usize),
    Own(usize, Side),
    Whole(usize),
    Fragments(usize),
    Pair(usize, usize),
    /// A whole arc with a part of another.
    With(usize, usize),
}

/// A row of room for long fillers: those of `straights` are at least `length` long.
///
/// A leg that carries a straight whole has room for what is beyond it; only where the straight has
/// more legs or fillers than one may the leg have all its room.
#[derive(Debug, Clone)]
struct Host {
    length: f64,
    straights: Vec<usize>,
    /// Long fillers that the longest leg has room for.
    most: f64,
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
    /// Columns that count long fillers, where they are needed.
    long: Vec<Option<usize>>,
    hosts: Vec<Host>,
    /// Row prices of the best bound of the last relaxation.
    centre: Vec<f64>,
    worth: Worth,
    least_parts: Vec<f64>,
    /// The longest filler from a leg, and from a stick, mm.
    longest: [f64; 2],
    /// No better plan has more pieces than this.
    most_pieces: f64,
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
            long: vec![None; instance.straights.len()],
            hosts: Vec::new(),
            centre: Vec::new(),
            worth: Worth { fragment, keep_whole: vec![false; n], must_split: vec![false; n], ..Worth::default() },
            least_parts: (0..n).map(|a| least_parts(instance, a)).collect(),
            longest: [longest_from_leg(instance), longest_from_stick(instance)],
            most_pieces: if fragment > 0.0 { (total / fragment).max(1.0) } else { 1e4 },
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
        self.leg_cuts = self.lp.add_column(Column { cost: saw, upper: f64::INFINITY, rows: Vec::new() });
        for stick in &self.instance.sticks {
            let upper = stick.count.map_or(f64::INFINITY, f64::from);
            let column = Column { cost: stick.price as f64 * 1e-3 - saw, upper, rows: Vec::new() };
            self.sticks.push(self.lp.add_column(column));
        }
    }

    fn add_rows(&mut self) {
        let instance = self.instance;
        for arc in 0..instance.arcs.len() {
            self.add_row(Row::Angle(arc), 1.0);
            if instance.arcs[arc].angle >= 2.0 * instance.least_arc(arc) {
                self.add_row(Row::Count(arc), 1.0);
            }
        }
        for (s, straight) in instance.straights.iter().enumerate() {
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
        for (k, kind) in instance.bends.iter().enumerate() {
            if let Some(count) = kind.count {
                self.add_row(Row::Kind(k, -1.0), -f64::from(count));
            }
        }
        if !instance.per_piece && !instance.sticks.is_empty() {
            self.add_row(Row::Used, 0.0);
        }
        if !instance.per_piece {
            self.add_row(Row::CutsOfPatterns, 0.0);
            self.add_row(Row::CutsOfFillers, 0.0);
        }
    }

    /// Legs and fillers from legs that a straight needs beside the legs that are granted (those not
    /// in `rest`), and for how many of them a filler from a stick stands; none when nothing is
    /// needed or the row is implied by another.
    fn needed(&self, straight: usize, rest: [bool; 2]) -> Option<(f64, f64)> {
        let need = &self.instance.straights[straight];
        let mut length = need.length - FIT;
        let mut legs = Vec::new();
        for end in 0..2 {
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
        for s in 0..self.from_legs.len() {
            let columns = [self.from_legs[s], self.from_sticks[s], self.stick_length[s]];
            coefficients.extend(columns.into_iter().zip(self.straight_in_row(s, row)));
        }
        for (k, &column) in self.sticks.iter().enumerate() {
            coefficients.push((column, self.stick_in_row(k, row)));
        }
        match row {
            Row::Long(s) => coefficients.extend(self.long[s].map(|c| (c, 1.0))),
            Row::Host(h) => {
                coefficients.extend(self.hosts[h].straights.iter().filter_map(|&s| self.long[s]).map(|c| (c, -1.0)));
            }
            _ => {}
        }
        if matches!(row, Row::CutsOfPatterns | Row::CutsOfFillers) {
            coefficients.push((self.leg_cuts, 1.0));
        }
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

    fn total_straight(&self) -> f64 {
        self.instance.straights.iter().map(|s| s.length).sum()
    }

    /// Coefficients of a straight's fillers from legs, from sticks, and of its length from sticks
    /// (in parts of its length).
    fn straight_in_row(&self, straight: usize, row: Row) -> [f64; 3] {
        let length = self.instance.straights[straight].length;
        let part = |l: f64| ((l + FIT) / length).min(1.0);
        match row {
            Row::Owners(s, rest) if s == straight => [1.0, self.needed(s, rest).map_or(0.0, |n| n.1), 0.0],
            Row::Length(s) if s == straight => [part(self.longest[0]), 0.0, 1.0],
            Row::StickLength(s) if s == straight => [0.0, part(self.longest[1]), -1.0],
            Row::StickThere(s) if s == straight => [0.0, -1.0, 0.0],
            Row::Material => {
                let kerf = -self.instance.kerf / self.total_straight();
                [kerf, kerf, 0.0]
            }
            Row::StickMaterial => {
                let scale = 1.0 / self.total_straight();
                [0.0, -self.instance.kerf * scale, -length * scale]
            }
            Row::Pieces(true, sign) => [sign, sign, 0.0],
            Row::Fillers(s, sign) if s == straight => [sign, sign, 0.0],
            Row::StickFillers(s, sign) if s == straight => [0.0, sign, 0.0],
            Row::Used => [0.0, 1.0, 0.0],
            Row::CutsOfFillers => [-1.0, 0.0, 0.0],
            Row::Long(s) if s == straight => [1.0, 2.0, 0.0],
            Row::Host(h) if self.carried(straight) => [self.hosts[h].most, self.hosts[h].most, 0.0],
            _ => [0.0; 3],
        }
    }

    fn stick_in_row(&self, kind: usize, row: Row) -> f64 {
        match row {
            Row::Material | Row::StickMaterial => {
                (self.instance.sticks[kind].length + self.instance.kerf) / self.total_straight()
            }
            Row::StickThere(_) => 1.0,
            Row::Sticks(k, sign) if k == kind => sign,
            Row::Used => -1.0,
            _ => 0.0,
        }
    }

    /// True when some arc could carry a straight.
    fn carried(&self, straight: usize) -> bool {
        self.instance.straights[straight].arcs.iter().any(Option::is_some)
    }

    /// Long fillers that a leg counts for in a row of room.
    fn hosted(&self, host: &Host, leg: f64, carried: Option<usize>) -> f64 {
        let each = host.length + self.instance.kerf;
        match carried {
            None => ((leg + FIT) / each).floor(),
            Some(s) => ((leg - self.instance.straights[s].length + 2.0 * FIT).max(0.0) / each).floor() + host.most,
        }
    }

    /// What a leg gives to the straights at most, mm: all of it when a filler can be cut from it,
    /// else what it carries.
    fn leg_gives(&self, leg: f64, carried: Option<usize>) -> f64 {
        if leg >= self.instance.kerf + self.instance.min_straight - FIT {
            leg
        } else {
            carried.map_or(0.0, |s| leg.min(self.instance.straights[s].length))
        }
    }

    fn pattern_in_row(&self, pattern: &Pattern, row: Row) -> f64 {
        let stands = |arc: usize| pattern.stands.iter().filter(move |s| s.arc == arc);
        let legs = self.instance.bends[pattern.kind].legs;
        let owned = |leg: usize| {
            pattern.owners[leg].and_then(|(arc, side)| {
                self.instance.arcs[arc].beside[side.index()].map(|straight| (straight, 1 - side.index()))
            })
        };
        match row {
            Row::Angle(arc) => stands(arc)
                .map(|s| if s.form == Form::Whole { 1.0 } else { s.angle / self.instance.arcs[arc].angle })
                .sum(),
            Row::Count(arc) => stands(arc)
                .map(|s| match s.form {
                    Form::Whole => 1.0,
                    _ => s.fragments() as f64 / self.least_parts[arc],
                })
                .sum(),
            Row::Owners(straight, rest) => (0..2)
                .filter(|&leg| legs[leg] > 0.0 && owned(leg).is_some_and(|(s, end)| s == straight && rest[end]))
                .count() as f64,
            Row::Length(straight) => (0..2)
                .filter(|&leg| owned(leg).is_some_and(|(s, _)| s == straight))
                .map(|leg| ((legs[leg] + FIT) / self.instance.straights[straight].length).min(1.0))
                .sum(),
            Row::Material => {
                let given: f64 = (0..2).map(|leg| self.leg_gives(legs[leg], owned(leg).map(|o| o.0))).sum();
                given / self.total_straight()
            }
            Row::Kind(kind, sign) if kind == pattern.kind => sign,
            Row::Pieces(_, sign) => sign * pattern.stands.iter().map(|s| s.fragments() as f64).sum::<f64>(),
            Row::CutsOfPatterns => -self.cuts_of_legs(pattern),
            Row::Long(straight) => {
                2.0 * (0..2).filter(|&leg| legs[leg] > 0.0 && owned(leg).is_some_and(|(s, _)| s == straight)).count()
                    as f64
            }
            Row::Host(h) => (0..2).map(|leg| self.hosted(&self.hosts[h], legs[leg], owned(leg).map(|o| o.0))).sum(),
            Row::Fragments(arc, sign) => sign * stands(arc).map(|s| s.fragments() as f64).sum::<f64>(),
            Row::Own(arc, side, sign) => {
                sign * pattern.owners.iter().filter(|o| **o == Some((arc, side))).count() as f64
            }
            _ => 0.0,
        }
    }

    /// Cost of a fragment or filler: its joint and its cut.
    fn fragment(&self) -> f64 {
        (self.instance.joint + self.instance.cut) as f64 * 1e-3
    }

    fn pattern_cost(&self, pattern: &Pattern) -> f64 {
        let kind = &self.instance.bends[pattern.kind];
        let fragments: usize = pattern.stands.iter().map(Stand::fragments).sum();
        let mut cost = kind.price as f64 * 1e-3 + fragments as f64 * self.fragment();
        if !self.instance.per_piece && fragments > 0 {
            cost -= self.instance.cut as f64 * 1e-3;
        }
        cost
    }

    /// Saw cuts that a pattern needs beside those between its fragments: one at each leg that is
    /// not carried to its mill end, and at least one where some of the arc is left.
    fn cuts_of_legs(&self, pattern: &Pattern) -> f64 {
        let kind = &self.instance.bends[pattern.kind];
        let fragments: usize = pattern.stands.iter().map(Stand::fragments).sum();
        let Some(class) = self.instance.classes.get(kind.class).filter(|_| fragments > 0) else { return 0.0 };
        let angle: f64 = pattern.stands.iter().map(|s| s.angle).sum();
        let slack = kind.angle - angle - class.kerf * (fragments - 1) as f64;
        let legs = (0..2).filter(|&leg| kind.legs[leg] > 0.0);
        let bare = legs.clone().filter(|&leg| pattern.owners[leg].is_none()).count();
        let short = legs.filter(|&leg| {
            pattern.owners[leg].is_some_and(|(arc, side)| !self.reaches_mill_end(kind.legs[leg], arc, side))
        });
        let short = short.count();
        (if slack > 6.0 * class.fit { bare.max(1) } else { bare } + short) as f64
    }

    /// True when a leg may be carried whole for a side of an arc.
    fn reaches_mill_end(&self, leg: f64, arc: usize, side: Side) -> bool {
        let straight = self.instance.arcs[arc].beside[side.index()];
        straight.is_some_and(|s| self.instance.straights[s].length >= leg - 3.0 * FIT)
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

    /// What everything is worth at the present row prices, for a kind.
    fn price_kind(&mut self, kind: usize, prices: &[f64]) {
        let instance = self.instance;
        let n = instance.arcs.len();
        let total = self.total_straight();
        let legs = instance.bends[kind].legs;
        let worth = &mut self.worth;
        worth.angle = vec![0.0; n];
        worth.whole = vec![0.0; n];
        worth.part = vec![0.0; n];
        worth.own = [vec![[0.0; 2]; n], vec![[0.0; 2]; n]];
        worth.fragment = (instance.joint + instance.cut) as f64 * 1e-3;
        worth.base = instance.bends[kind].price as f64 * 1e-3;
        worth.legs = legs.iter().filter(|&&l| l > 0.0).count();
        worth.slack = 0.0;
        let mut mill_ends = 0.0;
        let mut hosting: Vec<(usize, f64)> = Vec::new();
        let mut material = 0.0;
        for (r, row) in self.rows.iter().enumerate() {
            let price = prices[r];
            if price == 0.0 {
                continue;
            }
            let mut give = |straight: usize, end: usize, leg: usize, value: f64| {
                if let Some(arc) = instance.straights[straight].arcs[end] {
                    worth.own[leg][arc][1 - end] += value;
                }
            };
            match *row {
                Row::Angle(arc) => worth.angle[arc] += price,
                Row::Count(arc) => {
                    worth.whole[arc] += price;
                    worth.part[arc] += price / self.least_parts[arc];
                }
                Row::Owners(straight, rest) => {
                    for end in 0..2 {
                        for leg in 0..2 {
                            if rest[end] && legs[leg] > 0.0 {
                                give(straight, end, leg, price);
                            }
                        }
                    }
                }
                Row::Length(straight) => {
                    for end in 0..2 {
                        for leg in 0..2 {
                            let share = ((legs[leg] + FIT) / instance.straights[straight].length).min(1.0);
                            give(straight, end, leg, price * if legs[leg] > 0.0 { share } else { 0.0 });
                        }
                    }
                }
                Row::Material => material = price / total,
                Row::Kind(k, sign) if k == kind => worth.base -= sign * price,
                Row::Pieces(_, sign) => worth.fragment -= sign * price,
                Row::CutsOfPatterns => mill_ends = price,
                Row::Long(straight) => {
                    for end in 0..2 {
                        for leg in 0..2 {
                            give(straight, end, leg, 2.0 * price);
                        }
                    }
                }
                Row::Host(h) => hosting.push((h, price)),
                Row::Fragments(arc, sign) => {
                    worth.whole[arc] += sign * price;
                    worth.part[arc] += sign * price;
                }
                Row::Own(arc, side, sign) => {
                    for leg in 0..2 {
                        worth.own[leg][arc][side.index()] += sign * price;
                    }
                }
                _ => {}
            }
        }
        if material > 0.0 {
            for leg in 0..2 {
                let empty = self.leg_gives(legs[leg], None);
                self.worth.base -= material * empty;
                for arc in 0..n {
                    for side in 0..2 {
                        let given = self.leg_gives(legs[leg], instance.arcs[arc].beside[side]);
                        self.worth.own[leg][arc][side] += material * (given - empty);
                    }
                }
            }
        }
        for (h, price) in hosting {
            for leg in 0..2 {
                let empty = self.hosted(&self.hosts[h], legs[leg], None);
                self.worth.base -= price * empty;
                for arc in 0..n {
                    for side in 0..2 {
                        let carried = instance.arcs[arc].beside[side];
                        let hosted = self.hosted(&self.hosts[h], legs[leg], carried);
                        self.worth.own[leg][arc][side] += price * (hosted - empty);
                    }
                }
            }
        }
        self.worth.empty = self.worth.base;
        if !instance.per_piece {
            // Every bare leg and every leg carried short of its mill end is one cut.
            self.worth.base += mill_ends * self.worth.legs as f64 - instance.cut as f64 * 1e-3;
            self.worth.slack = mill_ends;
            for leg in 0..2 {
                for arc in 0..n {
                    for side in [Side::In, Side::Out] {
                        if self.reaches_mill_end(legs[leg], arc, side) {
                            self.worth.own[leg][arc][side.index()] += mill_ends;
                        }
                    }
                }
            }
        }
        // A side with no straight is carried by nothing.
        for leg in 0..2 {
            for arc in 0..n {
                for side in 0..2 {
                    if instance.arcs[arc].beside[side].is_none() || legs[leg] <= 0.0 {
                        self.worth.own[leg][arc][side] = f64::NEG_INFINITY;
                    }
                }
            }
        }
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
                done = !(self.add_stick_rows() | self.add_host_rows());
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
        for kind in 0..self.instance.bends.len() {
            if self.instance.bends[kind].count == Some(0) {
                continue;
            }
            self.price_kind(kind, prices);
            let priced = Pricing::run(self.instance, &self.worth, kind, 20_000);
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

    /// Adds the rows of sticks that must be there and are not; true when there were any.
    fn add_stick_rows(&mut self) -> bool {
        let values = self.lp.values();
        let there: f64 = self.sticks.iter().map(|&c| values[c]).sum();
        let missing: Vec<usize> =
            (0..self.from_sticks.len()).filter(|&s| values[self.from_sticks[s]] > there + 1e-4).collect();
        for &s in &missing {
            self.add_row(Row::StickThere(s), 0.0);
        }
        !missing.is_empty()
    }

    /// Adds the rows of room for long fillers that are broken; true when there were any.
    fn add_host_rows(&mut self) -> bool {
        let values = self.lp.values();
        let instance = self.instance;
        let long: Vec<f64> = (0..instance.straights.len()).map(|s| self.long_value(s, &values)).collect();
        let mut lengths: Vec<f64> = (0..long.len())
            .filter(|&s| long[s] > 1e-3 && instance.straights[s].length <= self.longest[0] + FIT)
            .map(|s| instance.straights[s].length)
            .collect();
        lengths.sort_by(f64::total_cmp);
        lengths.dedup();
        let mut broken: Vec<(f64, Host)> = Vec::new();
        for length in lengths {
            let most = ((self.longest[0] + self.kerf() + FIT) / (length + self.kerf())).floor();
            let straights: Vec<usize> =
                (0..long.len()).filter(|&s| long[s] > 1e-3 && instance.straights[s].length >= length).collect();
            let host = Host { length, straights, most };
            let wanted: f64 = host.straights.iter().map(|&s| long[s]).sum();
            let missing = wanted - self.room_of(&host, &values);
            if missing > 0.02 {
                broken.push((missing, host));
            }
        }
        broken.sort_by(|a, b| b.0.total_cmp(&a.0));
        broken.truncate(3);
        let any = !broken.is_empty();
        for (_, host) in broken {
            for &s in &host.straights {
                if self.long[s].is_none() {
                    let column = Column { cost: 0.0, upper: f64::INFINITY, rows: Vec::new() };
                    self.long[s] = Some(self.lp.add_column(column));
                    self.add_row(Row::Long(s), 2.0);
                }
            }
            let least = host.most * (0..long.len()).filter(|&s| self.carried(s)).count() as f64;
            self.hosts.push(host);
            self.add_row(Row::Host(self.hosts.len() - 1), least);
        }
        any
    }

    fn kerf(&self) -> f64 {
        self.instance.kerf
    }

    /// How much of a straight is one filler from a leg and nothing else, at present.
    fn long_value(&self, straight: usize, values: &[f64]) -> f64 {
        let legs: f64 = self
            .patterns
            .iter()
            .filter(|(c, _)| values[*c] > 1e-9)
            .map(|(c, p)| values[*c] * self.pattern_in_row(p, Row::Long(straight)))
            .sum();
        2.0 - legs - values[self.from_legs[straight]] - 2.0 * values[self.from_sticks[straight]]
    }

    /// Long fillers that the present patterns have room for, in the sense of a row of room.
    fn room_of(&self, host: &Host, values: &[f64]) -> f64 {
        let mut room = 0.0;
        for (column, pattern) in self.patterns.iter().filter(|(c, _)| values[*c] > 1e-9) {
            let legs = self.instance.bends[pattern.kind].legs;
            for leg in 0..2 {
                let carried = pattern.owners[leg].and_then(|(a, side)| self.instance.arcs[a].beside[side.index()]);
                room += values[*column] * self.hosted(host, legs[leg], carried);
            }
        }
        for s in (0..self.from_legs.len()).filter(|&s| self.carried(s)) {
            room += host.most * (values[self.from_legs[s]] + values[self.from_sticks[s]] - 1.0);
        }
        room
    }

    /// The bound without the patterns: worth of the right-hand sides, and what fillers and sticks
    /// could still take off.
    fn plain_bound(&self, prices: &[f64]) -> f64 {
        let mut bound: f64 = (0..self.lp.rows()).map(|r| prices[r] * self.lp.rhs(r)).sum();
        let clipped = |column: usize| {
            let c = self.lp.column(column);
            c.cost - c.rows.iter().map(|&(r, v)| prices[r as usize] * v).sum::<f64>()
        };
        for &column in self
            .from_legs
            .iter()
            .chain(&self.from_sticks)
            .chain(&self.stick_length)
            .chain(&self.sticks)
            .chain([&self.leg_cuts])
        {
            let upper = self.lp.column(column).upper.min(self.most_pieces);
            bound += clipped(column).min(0.0) * upper;
        }
        bound
    }

    /// Present value of a sum that must be a whole number.
    fn value_of(&self, branch: Branch, values: &[f64]) -> f64 {
        let sum = |row: Row| -> f64 {
            let patterns = self.patterns.iter().filter(|(c, _)| values[*c] > 1e-9);
            let patterns: f64 = patterns.map(|(c, p)| values[*c] * self.pattern_in_row(p, row)).sum();
            let of = |s: usize| {
                let [a, b, c] = self.straight_in_row(s, row);
                a * values[self.from_legs[s]] + b * values[self.from_sticks[s]] + c * values[self.stick_length[s]]
            };
            let fillers: f64 = (0..self.from_legs.len()).map(of).sum();
            let sticks: f64 = self.sticks.iter().enumerate().map(|(k, c)| values[*c] * self.stick_in_row(k, row)).sum();
            patterns + fillers + sticks
        };
        let over = |f: &dyn Fn(&Pattern) -> bool| -> f64 {
            self.patterns.iter().filter(|(_, p)| f(p)).map(|(c, _)| values[*c]).sum()
        };
        match branch {
            Branch::Kind(k) => sum(Row::Kind(k, 1.0)),
            Branch::Sticks(k) => sum(Row::Sticks(k, 1.0)),
            Branch::Pieces(all) => sum(Row::Pieces(all, 1.0)),
            Branch::Fillers(s) => sum(Row::Fillers(s, 1.0)),
            Branch::StickFillers(s) => sum(Row::StickFillers(s, 1.0)),
            Branch::Own(arc, side) => sum(Row::Own(arc, side, 1.0)),
            Branch::Whole(arc) => over(&|p| stands_whole(p, arc)),
            Branch::Fragments(arc) => sum(Row::Fragments(arc, 1.0)),
            Branch::With(a, b) => over(&|p| stands_whole(p, a) && splits(p, b)),
            Branch::Pair(a, b) => over(&|p| stands_whole(p, a) && stands_whole(p, b)),
        }
    }

    /// The sum to branch on: counts first, then what touches single arcs; the one nearest to a half.
    pub fn choose_branch(&self) -> Option<(Branch, f64)> {
        let values = self.lp.values();
        let instance = self.instance;
        let arcs = 0..instance.arcs.len();
        let straights = 0..instance.straights.len();
        let mut tiers: Vec<Vec<Branch>> = vec![
            (0..instance.bends.len()).map(Branch::Kind).chain((0..instance.sticks.len()).map(Branch::Sticks)).collect(),
            vec![Branch::Pieces(true), Branch::Pieces(false)],
            arcs.clone().map(Branch::Whole).chain(arcs.clone().map(Branch::Fragments)).collect(),
            straights.clone().map(Branch::Fillers).chain(straights.map(Branch::StickFillers)).collect(),
        ];
        let sides = [Side::In, Side::Out];
        tiers.push(arcs.clone().flat_map(|a| sides.map(|side| Branch::Own(a, side))).collect());
        tiers.push(self.pairs(&values));
        for tier in tiers {
            let mut best: Option<(Branch, f64, f64)> = None;
            for branch in tier {
                let value = self.value_of(branch, &values);
                // An arc that is held twice over is told apart by its fragments.
                let once = matches!(branch, Branch::Whole(_) | Branch::Pair(..) | Branch::With(..));
                let distance = if once && value > 1.0 { 0.0 } else { (value - value.round()).abs() };
                if distance > 1e-4 && best.is_none_or(|b| distance > b.2 + 1e-9) {
                    best = Some((branch, value, distance));
                }
            }
            if let Some((branch, value, _)) = best {
                return Some((branch, value));
            }
        }
        None
    }

    /// Pairs of whole arcs that stand on one bend in some pattern in use.
    fn pairs(&self, values: &[f64]) -> Vec<Branch> {
        let mut pairs = Vec::new();
        for (column, pattern) in &self.patterns {
            if values[*column] < 1e-6 || values[*column] > 1.0 - 1e-6 {
                continue;
            }
            for (i, a) in pattern.stands.iter().enumerate() {
                for b in &pattern.stands[i + 1..] {
                    match (a.form == Form::Whole, b.form == Form::Whole) {
                        (true, true) => pairs.push((0, a.arc.min(b.arc), a.arc.max(b.arc))),
                        (true, false) => pairs.push((1, a.arc, b.arc)),
                        (false, true) => pairs.push((1, b.arc, a.arc)),
                        (false, false) => {}
                    }
                }
            }
        }
        pairs.sort_unstable();
        pairs.dedup();
        pairs.into_iter().map(|(t, a, b)| if t == 0 { Branch::Pair(a, b) } else { Branch::With(a, b) }).collect()
    }

    /// Adds one side of a branching: the sum at most `floor`, or at least `floor + 1`.
    pub fn add_branch(&mut self, branch: Branch, floor: f64, up: bool) {
        let sign = if up { 1.0 } else { -1.0 };
        let rhs = if up { floor + 1.0 } else { -floor };
        match branch {
            Branch::Kind(k) => drop(self.add_row(Row::Kind(k, sign), rhs)),
            Branch::Sticks(k) => drop(self.add_row(Row::Sticks(k, sign), rhs)),
            Branch::Pieces(all) => drop(self.add_row(Row::Pieces(all, sign), rhs)),
            Branch::Fillers(s) => drop(self.add_row(Row::Fillers(s, sign), rhs)),
            Branch::StickFillers(s) => drop(self.add_row(Row::StickFillers(s, sign), rhs)),
            Branch::Own(arc, side) => drop(self.add_row(Row::Own(arc, side, sign), rhs)),
            Branch::Whole(arc) if up => {
                self.worth.keep_whole[arc] = true;
                self.forbid(|p| p.stands.iter().any(|s| s.arc == arc && s.form != Form::Whole));
            }
            Branch::Whole(arc) => {
                self.worth.must_split[arc] = true;
                self.forbid(|p| stands_whole(p, arc));
            }
            Branch::Pair(a, b) if up => {
                // Both are whole then, and on one bend.
                self.worth.keep_whole[a] = true;
                self.worth.keep_whole[b] = true;
                self.worth.together.push((a, b));
                self.forbid(|p| stands_whole(p, a) != stands_whole(p, b) || splits(p, a) || splits(p, b));
            }
            Branch::Fragments(arc) => {
                self.add_row(Row::Fragments(arc, sign), rhs);
                if up && floor >= 1.0 {
                    self.worth.must_split[arc] = true;
                    self.forbid(|p| stands_whole(p, arc));
                } else if !up && floor <= 1.0 {
                    self.worth.keep_whole[arc] = true;
                    self.forbid(|p| splits(p, arc));
                }
            }
            Branch::With(a, b) if up => {
                self.worth.keep_whole[a] = true;
                self.worth.must_split[b] = true;
                self.worth.with.push((a, b));
                self.forbid(|p| splits(p, a) || stands_whole(p, b) || (stands_whole(p, a) && !splits(p, b)));
            }
            Branch::With(a, b) => {
                self.worth.without.push((a, b));
                self.forbid(|p| stands_whole(p, a) && splits(p, b));
            }
            Branch::Pair(a, b) => {
                self.worth.apart.push((a, b));
                self.forbid(|p| stands_whole(p, a) && stands_whole(p, b));
            }
        }
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

fn stands_whole(pattern: &Pattern, arc: usize) -> bool {
    pattern.stands.iter().any(|s| s.arc == arc && s.form == Form::Whole)
}

fn splits(pattern: &Pattern, arc: usize) -> bool {
    pattern.stands.iter().any(|s| s.arc == arc && s.form != Form::Whole)
}

/// Least number of parts when an arc is split.
fn least_parts(instance: &Instance, arc: usize) -> f64 {
    let need = &instance.arcs[arc];
    let largest = instance.largest_angle(need.class) + 2.0 * instance.classes[need.class].fit;
    (need.angle / largest).ceil().max(2.0)
}

/// A bend of a plan as a pattern.
fn pattern_of(instance: &Instance, used: &crate::solution::BendUse) -> Pattern {
    let mut stands: Vec<Stand> = Vec::new();
    for fragment in &used.fragments {
        let whole = fragment.angle > instance.arcs[fragment.arc].angle - 1e-7;
        let form = if whole { Form::Whole } else { Form::Part };
        stands.push(Stand { arc: fragment.arc, form, angle: fragment.angle });
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
