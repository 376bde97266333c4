//! From a packing to a whole plan and its cost.
//!
//! Given which arcs stand on which bends, three things are decided in turn:
//! 1. the angles of split arcs (a small flow, settled leaf by leaf),
//! 2. which fragment carries a leg for which straight: first the straights that one leg spans, as
//!    a maximum matching by augmenting paths, then those that need both neighbours, then whatever
//!    legs are left, to save straight stock,
//! 3. the straight pieces: best fit, longest first, into what is left of the legs, then sticks.

// Ends, legs and sides are numbered 0 and 1 throughout and index several things at once.
#![allow(clippy::needless_range_loop)]

use crate::bound::pricing::Pattern;
use crate::instance::{FIT, Instance, Side};
use crate::search::packing::{Bin, Packing};
use crate::solution::{BendUse, Filler, Fragment, Solution, StickUse};

/// Money for every thing that could not be placed, thousandths: above every real plan.
pub(crate) const MISSING: i64 = 1_000_000_000_000;

/// What a packing is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Score {
    /// Items + joints + cuts, thousandths; more than [`MISSING`] when something has no place.
    pub cost: i64,
    /// Between equal costs the smaller is better: mm of stock used less the largest offcut's share.
    pub waste: f64,
}

impl Score {
    /// The better one of two: cost, then waste.
    pub fn better_than(&self, other: &Score) -> bool {
        self.cost < other.cost || (self.cost == other.cost && self.waste < other.waste - 1e-6)
    }
}

#[derive(Debug, Clone, Copy)]
struct Part {
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
    parts: Vec<Part>,
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
            for leg in 0..2 {
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
            self.kinds.push(pattern.kind);
            self.bend_count[pattern.kind] += 1;
            let mut bin = Bin::new(pattern.kind);
            for stand in &pattern.stands {
                bin.push(stand.arc);
                for _ in 0..stand.fragments() {
                    let angle = stand.angle / stand.fragments() as f64;
                    self.parts_of[stand.arc].push(self.parts.len());
                    self.parts.push(Part { arc: stand.arc, bin: b, angle, whole: pattern.full });
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
        for (arc, parts) in self.parts_of.iter().enumerate() {
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
    fn grant_as_said(&mut self, bin: usize, leg: usize, owner: Option<(usize, Side)>) {
        let Some((arc, side)) = owner else { return };
        let Some(straight) = self.instance.arcs[arc].beside[side.index()] else { return };
        let end = 1 - side.index();
        if self.given[straight][end].is_some() {
            return;
        }
        let free = |&p: &usize| self.parts[p].bin == bin && self.free_for(bin, leg, p, side);
        if let Some(part) = self.parts_of[arc].iter().copied().find(free) {
            self.set(part, leg, straight, end);
        }
    }

    /// Cost and waste once the legs are given.
    fn score(&mut self, packing: &Packing) -> Score {
        let missing = self.place_fillers(packing);
        let instance = self.instance;
        let mut cost = missing * MISSING;
        let mut length = 0.0;
        for &kind in &self.kinds {
            cost += instance.bends[kind].price;
            length += instance.bend_shape(kind).length();
        }
        for stick in &self.sticks {
            cost += instance.sticks[stick.kind].price;
            length += instance.sticks[stick.kind].length;
        }
        let pieces = (self.parts.len() + self.fillers.len()) as i64;
        cost += instance.joint * (pieces - instance.runs.len() as i64);
        cost += instance.cut * if instance.per_piece { pieces } else { self.solution(packing).saw_cuts(instance) };
        Score { cost, waste: length - 1e-3 * self.largest_offcut(packing) }
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
                self.parts.push(Part { arc: arc as usize, bin: b, angle: 0.0, whole: false });
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
                part.angle = instance.least_arc(part.arc);
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
            let rest = instance.arcs[arc].angle - parts.len() as f64 * instance.least_arc(arc);
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

    fn leg(&self, bin: usize, leg: usize) -> f64 {
        self.instance.bends[self.kinds[bin]].legs[leg]
    }

    /// The side of the arc upstream of a straight is `Out`, of the one downstream `In`.
    fn side_towards(end: usize) -> Side {
        if end == 0 { Side::Out } else { Side::In }
    }

    fn grant_legs(&mut self, packing: &Packing) {
        self.clear_legs(packing);
        self.grant_rest(packing);
    }

    fn clear_legs(&mut self, packing: &Packing) {
        self.grants.clear();
        self.grants.resize(packing.bins.len(), [None; 2]);
        self.carry.clear();
        self.carry.resize(packing.bins.len(), [0.0; 2]);
        self.given.iter_mut().for_each(|g| *g = [None; 2]);
    }

    /// Gives the legs that are free to the straights that have none.
    fn grant_rest(&mut self, packing: &Packing) {
        for &s in &packing.order {
            let s = s as usize;
            if self.given[s] != [None; 2] {
                continue;
            }
            self.visited.iter_mut().for_each(|v| *v = false);
            self.visited[s] = true;
            self.span(s);
        }
        for &s in &packing.order {
            if self.given[s as usize] == [None; 2] {
                self.span_by_two(s as usize);
            }
        }
        for &s in &packing.order {
            if self.given[s as usize] == [None; 2] {
                self.carry_some(s as usize);
            }
        }
    }

    /// The leg that a part holds on either end, when it holds one.
    fn held_by(&self, part: usize) -> [Option<usize>; 2] {
        let bin = self.parts[part].bin;
        let mut held = [None; 2];
        for leg in 0..2 {
            if let Some(grant) = self.grants[bin][leg].filter(|g| g.part == part) {
                held[grant.side.index()] = Some(leg);
            }
        }
        held
    }

    /// True when a part may take one more leg on that side.
    fn may_hold(&self, part: usize, side: Side) -> bool {
        let held = self.held_by(part);
        if held[side.index()].is_some() {
            return false;
        }
        held == [None; 2] || self.parts[part].whole
    }

    fn set(&mut self, part: usize, leg: usize, straight: usize, end: usize) {
        let bin = self.parts[part].bin;
        self.grants[bin][leg] = Some(Grant { part, straight, side: Self::side_towards(end) });
        self.given[straight][end] = Some((bin, leg));
    }

    fn clear(&mut self, bin: usize, leg: usize) {
        if let Some(grant) = self.grants[bin][leg].take() {
            self.given[grant.straight][1 - grant.side.index()] = None;
        }
    }

    /// Finds one leg that spans a straight, moving others when they have another; true when found.
    fn span(&mut self, straight: usize) -> bool {
        let need = &self.instance.straights[straight];
        for end in 0..2 {
            let Some(arc) = need.arcs[end] else { continue };
            let side = Self::side_towards(end);
            for k in 0..self.parts_of[arc].len() {
                let part = self.parts_of[arc][k];
                let bin = self.parts[part].bin;
                for leg in 0..2 {
                    if self.leg(bin, leg) < need.length - FIT {
                        continue;
                    }
                    if self.free_for(bin, leg, part, side) {
                        self.set(part, leg, straight, end);
                        return true;
                    }
                }
            }
        }
        for end in 0..2 {
            let Some(arc) = need.arcs[end] else { continue };
            let side = Self::side_towards(end);
            for k in 0..self.parts_of[arc].len() {
                let part = self.parts_of[arc][k];
                let bin = self.parts[part].bin;
                for leg in 0..2 {
                    if self.leg(bin, leg) < need.length - FIT {
                        continue;
                    }
                    for other in 0..2 {
                        let Some(grant) = self.grants[bin][other] else { continue };
                        if self.visited[grant.straight] || (other != leg && grant.part != part) {
                            continue;
                        }
                        self.visited[grant.straight] = true;
                        if self.move_away(grant.straight, bin, other) && self.free_for(bin, leg, part, side) {
                            self.set(part, leg, straight, end);
                            return true;
                        }
                    }
                }
            }
        }
        false
    }

    fn free_for(&self, bin: usize, leg: usize, part: usize, side: Side) -> bool {
        self.grants[bin][leg].is_none() && self.may_hold(part, side)
    }

    /// Gives a straight another leg and frees the one it has; false (and nothing changed) when
    /// there is none.
    fn move_away(&mut self, straight: usize, bin: usize, leg: usize) -> bool {
        let Some(grant) = self.grants[bin][leg] else { return true };
        // It keeps its leg in `grants` meanwhile, so nothing else takes it.
        let end = 1 - grant.side.index();
        self.given[straight][end] = None;
        if self.span(straight) {
            self.grants[bin][leg] = None;
            true
        } else {
            self.given[straight][end] = Some((bin, leg));
            false
        }
    }

    /// The longest free leg that the arc on one end of a straight could carry for it.
    fn free_leg(&self, straight: usize, end: usize) -> Option<(usize, usize, f64)> {
        let arc = self.instance.straights[straight].arcs[end]?;
        let side = Self::side_towards(end);
        let mut best: Option<(usize, usize, f64)> = None;
        for &part in &self.parts_of[arc] {
            let bin = self.parts[part].bin;
            for leg in 0..2 {
                let length = self.leg(bin, leg);
                if length > 0.0 && self.free_for(bin, leg, part, side) && best.is_none_or(|b| b.2 < length) {
                    best = Some((part, leg, length));
                }
            }
        }
        best
    }

    fn span_by_two(&mut self, straight: usize) {
        let (Some(a), Some(b)) = (self.free_leg(straight, 0), self.free_leg(straight, 1)) else { return };
        let same_leg = self.parts[a.0].bin == self.parts[b.0].bin && a.1 == b.1;
        if !same_leg && a.2 + b.2 >= self.instance.straights[straight].length - FIT {
            self.set(a.0, a.1, straight, 0);
            self.set(b.0, b.1, straight, 1);
        }
    }

    fn carry_some(&mut self, straight: usize) {
        for end in 0..2 {
            if let Some((part, leg, _)) = self.free_leg(straight, end) {
                self.set(part, leg, straight, end);
            }
        }
    }

    /// How much of its leg each grant carries, and what is left of every straight.
    fn set_carries(&mut self) {
        let instance = self.instance;
        self.waiting.clear();
        for straight in 0..instance.straights.len() {
            let length = instance.straights[straight].length;
            let legs = self.given[straight].map(|g| g.map_or(0.0, |(bin, leg)| self.leg(bin, leg)));
            let mut rest = length - legs[0] - legs[1];
            let mut carry = legs;
            if rest <= FIT {
                carry = [legs[0].min(length), 0.0];
                carry[1] = length - carry[0];
                rest = 0.0;
            } else if rest < instance.min_straight {
                let back = (instance.min_straight - rest).min(legs[0]);
                carry[0] -= back;
                carry[1] -= (instance.min_straight - rest - back).min(legs[1]);
                rest = length - carry[0] - carry[1];
            }
            for end in 0..2 {
                if let Some((bin, leg)) = self.given[straight][end] {
                    if carry[end] <= 0.0 {
                        self.clear(bin, leg);
                    } else {
                        self.carry[bin][leg] = carry[end];
                    }
                }
            }
            if rest > 0.0 {
                self.waiting.push(Filler { straight, length: rest });
            }
        }
    }

    /// Places every straight piece; returns how many have no place.
    fn place_fillers(&mut self, packing: &Packing) -> i64 {
        let instance = self.instance;
        self.fillers.clear();
        self.sticks.clear();
        self.extra.clear();
        self.stick_count.iter_mut().for_each(|c| *c = 0);
        self.leg_free.clear();
        for bin in 0..packing.bins.len() {
            self.leg_free.push([0, 1].map(|leg| self.leg(bin, leg) - self.carry[bin][leg]));
        }
        let mut waiting = std::mem::take(&mut self.waiting);
        waiting.sort_by(|a, b| a.length.total_cmp(&b.length).then(b.straight.cmp(&a.straight)));
        let mut total: f64 = waiting.iter().map(|f| f.length + instance.kerf).sum();
        self.missing.clear();
        while let Some(filler) = waiting.pop() {
            total -= filler.length + instance.kerf;
            if self.place_in_leg(filler) || self.place_in_stick(filler) {
                continue;
            }
            if self.open_stick(filler, total) || self.open_bend_for_legs(filler) {
                continue;
            }
            if !self.place_in_parts(filler, &mut waiting) {
                self.missing.push(filler.straight);
            }
        }
        self.waiting = waiting;
        if self.missing.is_empty() {
            self.give_sticks_up();
            self.take_cheaper_sticks();
        }
        self.missing.len() as i64
    }

    fn place_in_leg(&mut self, filler: Filler) -> bool {
        let need = filler.length + self.instance.kerf;
        let mut best: Option<(usize, usize)> = None;
        for (bin, free) in self.leg_free.iter().enumerate() {
            for leg in 0..2 {
                if free[leg] >= need - FIT && best.is_none_or(|(b, l)| self.leg_free[b][l] > free[leg]) {
                    best = Some((bin, leg));
                }
            }
        }
        let Some((bin, leg)) = best else { return false };
        self.leg_free[bin][leg] -= need;
        self.fillers.push((filler, Source::Leg(bin, leg)));
        true
    }

    fn place_in_stick(&mut self, filler: Filler) -> bool {
        let mut best: Option<usize> = None;
        for (i, stick) in self.sticks.iter().enumerate() {
            if stick.free >= filler.length - FIT && best.is_none_or(|b| self.sticks[b].free > stick.free) {
                best = Some(i);
            }
        }
        let Some(i) = best else { return false };
        self.sticks[i].free -= filler.length + self.instance.kerf;
        self.fillers.push((filler, Source::Stick(i)));
        true
    }

    /// Opens the stick that is cheapest for what is still to come.
    fn open_stick(&mut self, filler: Filler, total: f64) -> bool {
        let instance = self.instance;
        let wanted = filler.length + total;
        let rate = |k: usize| (instance.sticks[k].price as f64 + 1.0) / instance.sticks[k].length.min(wanted);
        let left = |k: usize| instance.sticks[k].count.is_none_or(|c| c > self.stick_count[k]);
        let kind = (0..instance.sticks.len())
            .filter(|&k| left(k) && instance.sticks[k].length >= filler.length - FIT)
            .min_by(|&a, &b| rate(a).total_cmp(&rate(b)));
        let Some(kind) = kind else { return false };
        self.stick_count[kind] += 1;
        let free = instance.sticks[kind].length - filler.length - instance.kerf;
        self.fillers.push((filler, Source::Stick(self.sticks.len())));
        self.sticks.push(Open { kind, free });
        true
    }

    /// Takes one more bend for the sake of its legs.
    fn open_bend_for_legs(&mut self, filler: Filler) -> bool {
        let instance = self.instance;
        let need = filler.length + instance.kerf;
        let left = |k: usize| instance.bends[k].count.is_none_or(|c| c > self.bend_count[k]);
        let kind = (0..instance.bends.len())
            .filter(|&k| left(k) && instance.bends[k].legs[0].max(instance.bends[k].legs[1]) >= need - FIT)
            .min_by_key(|&k| instance.bends[k].price);
        let Some(kind) = kind else { return false };
        self.bend_count[kind] += 1;
        self.kinds.push(kind);
        self.leg_free.push(instance.bends[kind].legs);
        self.extra.push(kind);
        self.place_in_leg(filler)
    }

    /// Cuts a straight that fits nowhere into parts: the longest that some stock yields, and a rest.
    fn place_in_parts(&mut self, filler: Filler, waiting: &mut Vec<Filler>) -> bool {
        let instance = self.instance;
        let open = self.leg_free.iter().flatten().map(|f| f - instance.kerf).fold(0.0, f64::max);
        let open = self.sticks.iter().map(|s| s.free).fold(open, f64::max);
        let left = |k: &usize| instance.sticks[*k].count.is_none_or(|c| c > self.stick_count[*k]);
        let open = (0..instance.sticks.len()).filter(left).map(|k| instance.sticks[k].length).fold(open, f64::max);
        let left = |k: &usize| instance.bends[*k].count.is_none_or(|c| c > self.bend_count[*k]);
        let legs = |k: usize| instance.bends[k].legs[0].max(instance.bends[k].legs[1]) - instance.kerf;
        let open = (0..instance.bends.len()).filter(left).map(legs).fold(open, f64::max);
        let part = open.min(filler.length - instance.min_straight);
        if part < instance.min_straight || filler.length - part >= filler.length - 1e-9 {
            return false;
        }
        // The rest is tried next, before shorter ones.
        waiting.push(Filler { length: filler.length - part, ..filler });
        waiting.push(Filler { length: part, ..filler });
        waiting.sort_by(|a, b| a.length.total_cmp(&b.length).then(b.straight.cmp(&a.straight)));
        true
    }

    /// A stick whose pieces fit into legs in parts for less than its price is given up.
    fn give_sticks_up(&mut self) {
        let piece = self.instance.joint + self.instance.cut;
        for i in (0..self.sticks.len()).rev() {
            let on: Vec<usize> = (0..self.fillers.len()).filter(|&f| self.fillers[f].1 == Source::Stick(i)).collect();
            let price = self.instance.sticks[self.sticks[i].kind].price;
            if on.len() != 1 || price <= piece {
                continue;
            }
            let filler = self.fillers[on[0]].0;
            if let Some(parts) = self.two_parts(filler) {
                self.fillers.remove(on[0]);
                for (part, bin, leg) in parts {
                    self.leg_free[bin][leg] -= part.length + self.instance.kerf;
                    self.fillers.push((part, Source::Leg(bin, leg)));
                }
                self.stick_count[self.sticks[i].kind] -= 1;
                self.sticks.remove(i);
                for (_, source) in &mut self.fillers {
                    if let Source::Stick(k) = source
                        && *k > i
                    {
                        *k -= 1;
                    }
                }
            }
        }
    }

    /// A straight piece as two, from the two legs with most left.
    fn two_parts(&self, filler: Filler) -> Option<[(Filler, usize, usize); 2]> {
        let instance = self.instance;
        let mut legs: Vec<(f64, usize, usize)> = Vec::new();
        for (bin, free) in self.leg_free.iter().enumerate() {
            legs.extend((0..2).map(|leg| (free[leg] - instance.kerf, bin, leg)));
        }
        legs.sort_by(|a, b| b.0.total_cmp(&a.0));
        let [a, b] = [*legs.first()?, *legs.get(1)?];
        let first = a.0.min(filler.length - instance.min_straight);
        let second = filler.length - first;
        let fits = first >= instance.min_straight && second >= instance.min_straight && second <= b.0 + FIT;
        fits.then_some([
            (Filler { length: first, ..filler }, a.1, a.2),
            (Filler { length: second, ..filler }, b.1, b.2),
        ])
    }

    /// Every stick becomes the cheapest kind that still holds its pieces.
    fn take_cheaper_sticks(&mut self) {
        let instance = self.instance;
        for i in 0..self.sticks.len() {
            let stick = self.sticks[i];
            let used = instance.sticks[stick.kind].length - stick.free - instance.kerf;
            for k in 0..instance.sticks.len() {
                let now = &instance.sticks[self.sticks[i].kind];
                let kind = &instance.sticks[k];
                let left = kind.count.is_none_or(|c| c > self.stick_count[k]);
                let better = (kind.price, kind.length) < (now.price, now.length);
                if left && better && kind.length >= used - FIT {
                    self.stick_count[self.sticks[i].kind] -= 1;
                    self.stick_count[k] += 1;
                    self.sticks[i] = Open { kind: k, free: kind.length - used - instance.kerf };
                }
            }
        }
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
            let mut used = BendUse { kind: self.kinds[bin], ..BendUse::default() };
            if bin < packing.bins.len() {
                self.fill_bend(bin, &mut used);
            }
            solution.bends.push(used);
        }
        solution.sticks = self.sticks.iter().map(|s| StickUse { kind: s.kind, fillers: Vec::new() }).collect();
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
            ordered.iter().map(|&p| Fragment { arc: self.parts[p].arc, angle: self.parts[p].angle }).collect();
        used.owns = self.grants[bin].map(|g| g.map(|g| g.side));
        used.carry = self.carry[bin];
    }
}
