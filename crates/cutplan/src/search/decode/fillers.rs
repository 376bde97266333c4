//! Straight pieces: from what is left of the legs, then from sticks.

use super::{Decoder, Open, Source};
use crate::fit::fit;
use crate::instance::FIT;
use crate::search::packing::Packing;
use crate::solution::Filler;

/// Steps of one try to divide the sticks again: a dozen pieces on three sticks are decided in fewer.
const REPACKING: u32 = 300;

impl Decoder<'_> {
    /// Places every straight piece; returns how many have no place.
    pub(super) fn place_fillers(&mut self, packing: &Packing) -> i64 {
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
            if self.place_in_leg(filler) || self.place_in_stick(filler) || self.repack_sticks(filler) {
                continue;
            }
            if self.open_stick(filler, total) || self.open_bend_for_legs(filler) {
                continue;
            }
            if !self.place_in_parts(filler, &mut waiting) {
                self.missing.push(filler.straight.0);
            }
        }
        self.waiting = waiting;
        if self.missing.is_empty() {
            self.give_sticks_up();
            self.take_cheaper_sticks();
        }
        self.missing.len() as i64
    }

    pub(super) fn place_in_leg(&mut self, filler: Filler) -> bool {
        let need = filler.length + self.instance.kerf;
        let mut best: Option<(usize, usize)> = None;
        for (bin, free) in self.leg_free.iter().enumerate() {
            for leg in [0, 1] {
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

    pub(super) fn place_in_stick(&mut self, filler: Filler) -> bool {
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

    /// Finds a place for a piece in the open sticks by dividing again what is cut from them.
    pub(super) fn repack_sticks(&mut self, filler: Filler) -> bool {
        let instance = self.instance;
        if self.sticks.iter().map(|s| s.free.max(0.0)).sum::<f64>() < filler.length - FIT {
            return false;
        }
        let on_stick = |f: &usize| matches!(self.fillers[*f].1, Source::Stick(_));
        let mut on: Vec<usize> = (0..self.fillers.len()).filter(on_stick).collect();
        on.sort_by(|&a, &b| self.fillers[b].0.length.total_cmp(&self.fillers[a].0.length).then(a.cmp(&b)));
        let mut pieces: Vec<f64> = on.iter().map(|&f| self.fillers[f].0.length).collect();
        let at = pieces.partition_point(|&p| p >= filler.length);
        pieces.insert(at, filler.length);
        let lengths: Vec<f64> = self.sticks.iter().map(|s| instance.sticks[s.kind].length).collect();
        let mut rooms: Vec<f64> = lengths.iter().map(|l| l + instance.kerf + FIT).collect();
        let (mut steps, mut places) = (REPACKING, Vec::new());
        if fit(&pieces, instance.kerf, &mut rooms, &mut steps, &mut places) != Some(true) {
            return false;
        }
        on.insert(at, self.fillers.len());
        self.fillers.push((filler, Source::Stick(0)));
        for (stick, length) in self.sticks.iter_mut().zip(lengths) {
            stick.free = length;
        }
        for (f, stick) in on.into_iter().zip(places) {
            self.fillers[f].1 = Source::Stick(stick);
            self.sticks[stick].free -= self.fillers[f].0.length + instance.kerf;
        }
        true
    }

    /// Opens the stick that is cheapest for what is still to come.
    pub(super) fn open_stick(&mut self, filler: Filler, total: f64) -> bool {
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
    pub(super) fn open_bend_for_legs(&mut self, filler: Filler) -> bool {
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
    pub(super) fn place_in_parts(&mut self, filler: Filler, waiting: &mut Vec<Filler>) -> bool {
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
    pub(super) fn give_sticks_up(&mut self) {
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
    pub(super) fn two_parts(&self, filler: Filler) -> Option<[(Filler, usize, usize); 2]> {
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
    pub(super) fn take_cheaper_sticks(&mut self) {
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
}
