//! From a packing to a whole plan and its cost.
//!
//! Given which arcs stand on which bends, three things are decided in turn:
//! 1. the angles of split arcs (a small flow, settled leaf by leaf),
//! 2. which fragment carries a leg for which straight: first the straights that one leg spans, as
//!    a maximum matching by augmenting paths, then those that need both neighbours, then whatever
//!    legs are left, to save straight stock,
//! 3. the straight pieces: best fit, longest first, into what is left of the legs, then sticks.

mod fillers;
mod legs;

use crate::bound::pricing::Pattern;
use crate::ids::{ArcId, KindId, StickId};
use crate::instance::{Instance, Side};
use crate::search::packing::{Bin, Packing};
use crate::solution::{BendUse, Filler, Fragment, Solution, StickUse};

/// Money for every thing that could not be placed, thousandths: above every real plan.
pub(crate) const MISSING: i64 = 1_000_000_000_000;

/// Lengths that differ by no more are the same, mm: sums of the same parts in another order differ by less.
const SAME_LENGTH: f64 = 1e-6;

/// What a packing is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Score {
    /// Items + joints + cuts, thousandths; more than [`MISSING`] when something has no place.
    pub cost: i64,
    /// Between equal costs the smaller is better: mm of stock used. What the pieces need of it is the same in every plan.
    pub stock: f64,
    /// Between equal costs and equal stock the larger is better: the largest stretch that is left, mm.
    pub offcut: f64,
}

impl Score {
    /// Whether it is the better one of two: by cost, then waste, then the largest offcut.
    pub fn better_than(&self, other: &Score) -> bool {
        let finer = |a: f64, b: f64| (a - b).abs() > SAME_LENGTH;
        if self.cost != other.cost {
            self.cost < other.cost
        } else if finer(self.stock, other.stock) {
            self.stock < other.stock
        } else {
            finer(self.offcut, other.offcut) && self.offcut > other.offcut
        }
    }
}

#[derive(Debug, Clone, Copy)]
struct ArcPart {
    arc: usize,
    bin: usize,
    angle: f64,
    /// The whole arc on a bend of just its angle: it may carry both legs.
    whole: bool,
}

/// A leg that is carried: by which part, for which straight, on which side of the part.
#[derive(Debug, Clone, Copy)]
struct Grant {
    part: usize,
    straight: usize,
    side: Side,
}

#[derive(Debug, Clone, Copy)]
struct Open {
    kind: usize,
    free: f64,
}

/// Where a filler is cut from.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Source {
    Leg(usize, usize),
    Stick(usize),
}

/// Decodes packings of one instance; keeps its working memory between calls.
pub(crate) struct Decoder<'a> {
    instance: &'a Instance,
    parts: Vec<ArcPart>,
    parts_of: Vec<Vec<usize>>,
    rooms: Vec<f64>,
    grants: Vec<[Option<Grant>; 2]>,
    /// For each straight the leg (bin, leg) that the arc upstream and downstream gives it.
    given: Vec<[Option<(usize, usize)>; 2]>,
    carry: Vec<[f64; 2]>,
    visited: Vec<bool>,
    fillers: Vec<(Filler, Source)>,
    waiting: Vec<Filler>,
    extra: Vec<usize>,
    leg_free: Vec<[f64; 2]>,
    sticks: Vec<Open>,
    bend_count: Vec<u32>,
    stick_count: Vec<u32>,
    kinds: Vec<usize>,
    /// Straights for a piece of which there was no stock.
    pub missing: Vec<usize>,
}

impl<'a> Decoder<'a> {
    pub fn new(instance: &'a Instance) -> Self {
        Decoder {
            instance,
            parts: Vec::new(),
            parts_of: vec![Vec::new(); instance.arcs.len()],
            rooms: Vec::new(),
            grants: Vec::new(),
            given: vec![[None; 2]; instance.straights.len()],
            carry: Vec::new(),
            visited: vec![false; instance.straights.len()],
            fillers: Vec::new(),
            waiting: Vec::new(),
            extra: Vec::new(),
            leg_free: Vec::new(),
            sticks: Vec::new(),
            bend_count: vec![0; instance.bends.len()],
            stick_count: vec![0; instance.sticks.len()],
            kinds: Vec::new(),
            missing: Vec::new(),
        }
    }

    /// Steps that one evaluation is charged (see [`crate::CutSettings::steps`]).
    pub fn steps(&self) -> u64 {
        1 + (self.instance.arcs.len() + self.instance.straights.len()) as u64 / 15
    }

    /// The worth of a packing; `None` when the arcs do not fit.
    pub fn evaluate(&mut self, packing: &Packing) -> Option<Score> {
        if !self.settle_angles(packing) {
            return None;
        }
        self.grant_legs(packing);
        self.set_carries();
        Some(self.score(packing))
    }

    /// The plan that patterns of a relaxation say, with the legs given as they say; `None` when they
    /// do not hold every arc just once.
    pub fn evaluate_patterns(&mut self, patterns: &[(f64, Pattern)], order: &[u16]) -> Option<(Score, Solution)> {
        let mut packing = Packing { bins: Vec::new(), order: order.to_vec() };
        let chosen: Vec<&Pattern> = patterns
            .iter()
            .filter(|(value, pattern)| *value > 0.5 && !pattern.stands.is_empty())
            .flat_map(|(value, pattern)| std::iter::repeat_n(pattern, value.round() as usize))
            .collect();
        self.place_patterns(&chosen, &mut packing)?;
        self.clear_legs(&packing);
        for (bin, pattern) in chosen.iter().enumerate() {
            for leg in [0, 1] {
                self.grant_as_said(bin, leg, pattern.owners[leg]);
            }
        }
        self.grant_rest(&packing);
        self.set_carries();
        let score = self.score(&packing);
        Some((score, self.solution(&packing)))
    }

    /// Parts and rooms of the patterns; arcs that are held more than whole lose the excess.
    fn place_patterns(&mut self, chosen: &[&Pattern], packing: &mut Packing) -> Option<()> {
        let instance = self.instance;
        self.parts.clear();
        self.parts_of.iter_mut().for_each(Vec::clear);
        self.rooms.clear();
        self.kinds.clear();
        self.bend_count.iter_mut().for_each(|c| *c = 0);
        for (b, pattern) in chosen.iter().enumerate() {
            self.kinds.push(pattern.kind.0);
            self.bend_count[pattern.kind] += 1;
            let mut bin = Bin::new(pattern.kind.0);
            for stand in &pattern.stands {
                bin.push(stand.arc.0);
                for _ in 0..stand.fragments() {
                    let angle = stand.angle / stand.fragments() as f64;
                    self.parts_of[stand.arc].push(self.parts.len());
                    self.parts.push(ArcPart { arc: stand.arc.0, bin: b, angle, whole: pattern.full });
                }
            }
            packing.bins.push(bin);
        }
        if instance.bends.iter().zip(&self.bend_count).any(|(b, n)| b.count.is_some_and(|c| c < *n)) {
            return None;
        }
        for (b, pattern) in chosen.iter().enumerate() {
            let class = instance.classes.get(instance.bends[pattern.kind].class)?;
            let taken: f64 = self.parts.iter().filter(|p| p.bin == b).map(|p| p.angle + class.kerf).sum();
            self.rooms.push(instance.bends[pattern.kind].angle + class.kerf - taken);
        }
        for (arc, parts) in ArcId::all(self.parts_of.len()).zip(&self.parts_of) {
            let need = &instance.arcs[arc];
            let mut excess = parts.iter().map(|&p| self.parts[p].angle).sum::<f64>() - need.angle;
            // From bends that are too full first.
            for full in [true, false] {
                for &p in parts {
                    let bin = self.parts[p].bin;
                    let most = if full { -self.rooms[bin] } else { f64::INFINITY };
                    let off = excess.min(self.parts[p].angle - instance.least_arc(arc)).min(most).max(0.0);
                    self.parts[p].angle -= off;
                    self.rooms[bin] += off;
                    excess -= off;
                }
            }
            if excess.abs() > 1e-9 {
                return None;
            }
        }
        for (room, pattern) in self.rooms.iter().zip(chosen) {
            if *room < -instance.classes.get(instance.bends[pattern.kind].class)?.fit {
                return None;
            }
        }
        Some(())
    }

    /// Gives a leg to the arc and side that a pattern names, when both are free.
    fn grant_as_said(&mut self, bin: usize, leg: usize, owner: Option<(ArcId, Side)>) {
        let Some((arc, side)) = owner else { return };
        let Some(straight) = self.instance.arcs[arc].beside[side.index()] else { return };
        let end = 1 - side.index();
        if self.given[straight][end].is_some() {
            return;
        }
        let free = |&p: &usize| self.parts[p].bin == bin && self.free_for(bin, leg, p, side);
        if let Some(part) = self.parts_of[arc].iter().copied().find(free) {
            self.set(part, leg, straight.0, end);
        }
    }

    /// Cost, stock used and largest offcut once the legs are given.
    fn score(&mut self, packing: &Packing) -> Score {
        let missing = self.place_fillers(packing);
        let instance = self.instance;
        let mut cost = missing * MISSING;
        let mut length = 0.0;
        for &kind in &self.kinds {
            cost += instance.bends[kind].price;
            length += instance.bend_shape(KindId(kind)).length();
        }
        for stick in &self.sticks {
            cost += instance.sticks[stick.kind].price;
            length += instance.sticks[stick.kind].length;
        }
        let pieces = (self.parts.len() + self.fillers.len()) as i64;
        cost += instance.joint * (pieces - instance.runs.len() as i64);
        cost += instance.cut * if instance.per_piece { pieces } else { self.solution(packing).saw_cuts(instance) };
        Score { cost, stock: length, offcut: self.largest_offcut(packing) }
    }

    /// Decides the angle of every part; false when the arcs do not fit the bends.
    fn settle_angles(&mut self, packing: &Packing) -> bool {
        let instance = self.instance;
        self.parts.clear();
        self.parts_of.iter_mut().for_each(Vec::clear);
        self.rooms.clear();
        self.bend_count.iter_mut().for_each(|c| *c = 0);
        self.kinds.clear();
        for (b, bin) in packing.bins.iter().enumerate() {
            let kind = bin.kind as usize;
            self.kinds.push(kind);
            self.bend_count[kind] += 1;
            if instance.bends[kind].count.is_some_and(|c| c < self.bend_count[kind]) {
                return false;
            }
            for &arc in bin.arcs() {
                self.parts_of[arc as usize].push(self.parts.len());
                self.parts.push(ArcPart { arc: arc as usize, bin: b, angle: 0.0, whole: false });
            }
            self.rooms.push(instance.bends[kind].angle);
        }
        if self.parts_of.iter().any(Vec::is_empty) {
            return false;
        }
        let mut split = false;
        for part in &mut self.parts {
            let class = instance.classes[instance.arcs[part.arc].class];
            if self.parts_of[part.arc].len() == 1 {
                part.angle = instance.arcs[part.arc].angle;
                part.whole =
                    (instance.bends[packing.bins[part.bin].kind as usize].angle - part.angle).abs() <= class.fit;
            } else {
                split = true;
                part.angle = instance.least_arc(ArcId(part.arc));
            }
            self.rooms[part.bin] -= part.angle + class.kerf;
        }
        for (bin, room) in packing.bins.iter().zip(&mut self.rooms) {
            if let Some(class) = instance.classes.get(instance.bends[bin.kind as usize].class) {
                *room += class.kerf;
                if *room < -class.fit && !bin.arcs().is_empty() {
                    return false;
                }
            }
        }
        !split || self.settle_split(packing)
    }

    /// Shares the angle of split arcs out among their bends, ends of chains first.
    fn settle_split(&mut self, packing: &Packing) -> bool {
        let instance = self.instance;
        let mut open: Vec<(usize, f64)> = Vec::new();
        for (arc, parts) in self.parts_of.iter().enumerate().filter(|(_, p)| p.len() > 1) {
            let rest = instance.arcs[arc].angle - parts.len() as f64 * instance.least_arc(ArcId(arc));
            if rest < -1e-12 {
                return false;
            }
            open.push((arc, rest));
        }
        let mut left: Vec<u32> = vec![0; packing.bins.len()];
        for &(arc, _) in &open {
            for &p in &self.parts_of[arc] {
                left[self.parts[p].bin] += 1;
            }
        }
        while !open.is_empty() {
            // An arc with a bend that serves no other open arc, else the first: take what such
            // bends have, the rest from the others.
            let at = open
                .iter()
                .position(|(arc, _)| self.parts_of[*arc].iter().filter(|&&p| left[self.parts[p].bin] > 1).count() <= 1)
                .unwrap_or(0);
            let (arc, mut rest) = open.remove(at);
            let fit = instance.classes[instance.arcs[arc].class].fit;
            for alone in [true, false] {
                for &p in &self.parts_of[arc] {
                    let bin = self.parts[p].bin;
                    if (left[bin] == 1) == alone {
                        let take = rest.min(self.rooms[bin]).max(0.0);
                        self.parts[p].angle += take;
                        self.rooms[bin] -= take;
                        rest -= take;
                    }
                }
            }
            if rest > fit {
                return false;
            }
            if let Some(&p) = self.parts_of[arc].first() {
                self.parts[p].angle += rest.max(0.0);
            }
            for &p in &self.parts_of[arc] {
                left[self.parts[p].bin] -= 1;
            }
        }
        true
    }

    /// The largest stretch that is left, mm, roughly.
    fn largest_offcut(&self, packing: &Packing) -> f64 {
        let mut largest = self.sticks.iter().map(|s| s.free).fold(0.0, f64::max);
        for (bin, free) in self.leg_free.iter().enumerate() {
            let kind = &self.instance.bends[self.kinds[bin]];
            let leg = free[0].max(free[1]);
            let arc = self.rooms.get(bin).map_or(0.0, |r| r.max(0.0) * kind.clr);
            let joined = bin < packing.bins.len() && self.grants[bin].iter().any(Option::is_none);
            largest = largest.max(if joined { leg + arc } else { leg.max(arc) });
        }
        largest
    }

    /// The plan of the last packing evaluated.
    pub fn solution(&self, packing: &Packing) -> Solution {
        let mut solution = Solution::default();
        for bin in 0..self.kinds.len() {
            let mut used = BendUse { kind: KindId(self.kinds[bin]), ..BendUse::default() };
            if bin < packing.bins.len() {
                self.fill_bend(bin, &mut used);
            }
            solution.bends.push(used);
        }
        solution.sticks = self.sticks.iter().map(|s| StickUse { kind: StickId(s.kind), fillers: Vec::new() }).collect();
        for (i, (filler, source)) in self.fillers.iter().enumerate() {
            solution.fillers.push(*filler);
            match *source {
                Source::Leg(bin, leg) => solution.bends[bin].fillers[leg].push(i),
                Source::Stick(stick) => solution.sticks[stick].fillers.push(i),
            }
        }
        solution.drop_unused();
        solution
    }

    fn fill_bend(&self, bin: usize, used: &mut BendUse) {
        let first = self.grants[bin][0].map(|g| g.part);
        let last = self.grants[bin][1].map(|g| g.part);
        let here = || (0..self.parts.len()).filter(|&p| self.parts[p].bin == bin);
        let rank = |p: usize| (Some(p) == last) as usize * 2 + (Some(p) != first) as usize;
        let mut ordered: Vec<usize> = here().collect();
        ordered.sort_by_key(|&p| (rank(p), p));
        used.fragments =
            ordered.iter().map(|&p| Fragment { arc: ArcId(self.parts[p].arc), angle: self.parts[p].angle }).collect();
        used.owns = self.grants[bin].map(|g| g.map(|g| g.side));
        used.carry = self.carry[bin];
    }
}
