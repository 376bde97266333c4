//! Which fragment carries a leg for which straight.

use super::{Decoder, Grant};
use crate::ids::StraightId;
use crate::instance::{FIT, Side};
use crate::search::packing::Packing;
use crate::solution::Filler;

impl Decoder<'_> {
    pub(super) fn leg(&self, bin: usize, leg: usize) -> f64 {
        self.instance.bends[self.kinds[bin]].legs[leg]
    }

    /// The side of the arc upstream of a straight is `Out`, of the one downstream `In`.
    pub(super) fn side_towards(end: usize) -> Side {
        if end == 0 { Side::Out } else { Side::In }
    }

    pub(super) fn grant_legs(&mut self, packing: &Packing) {
        self.clear_legs(packing);
        self.grant_rest(packing);
    }

    pub(super) fn clear_legs(&mut self, packing: &Packing) {
        self.grants.clear();
        self.grants.resize(packing.bins.len(), [None; 2]);
        self.carry.clear();
        self.carry.resize(packing.bins.len(), [0.0; 2]);
        self.given.iter_mut().for_each(|g| *g = [None; 2]);
    }

    /// Gives the legs that are free to the straights that have none.
    pub(super) fn grant_rest(&mut self, packing: &Packing) {
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
    pub(super) fn held_by(&self, part: usize) -> [Option<usize>; 2] {
        let bin = self.parts[part].bin;
        let mut held = [None; 2];
        for leg in [0, 1] {
            if let Some(grant) = self.grants[bin][leg].filter(|g| g.part == part) {
                held[grant.side.index()] = Some(leg);
            }
        }
        held
    }

    /// True when a part may take one more leg on that side.
    pub(super) fn may_hold(&self, part: usize, side: Side) -> bool {
        let held = self.held_by(part);
        if held[side.index()].is_some() {
            return false;
        }
        held == [None; 2] || self.parts[part].whole
    }

    pub(super) fn set(&mut self, part: usize, leg: usize, straight: usize, end: usize) {
        let bin = self.parts[part].bin;
        self.grants[bin][leg] = Some(Grant { part, straight, side: Self::side_towards(end) });
        self.given[straight][end] = Some((bin, leg));
    }

    pub(super) fn clear(&mut self, bin: usize, leg: usize) {
        if let Some(grant) = self.grants[bin][leg].take() {
            self.given[grant.straight][1 - grant.side.index()] = None;
        }
    }

    /// Finds one leg that spans a straight, moving others when they have another; true when found.
    pub(super) fn span(&mut self, straight: usize) -> bool {
        let need = &self.instance.straights[straight];
        for end in [0, 1] {
            let Some(arc) = need.arcs[end] else { continue };
            let side = Self::side_towards(end);
            for k in 0..self.parts_of[arc].len() {
                let part = self.parts_of[arc][k];
                let bin = self.parts[part].bin;
                for leg in [0, 1] {
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
        for end in [0, 1] {
            let Some(arc) = need.arcs[end] else { continue };
            let side = Self::side_towards(end);
            for k in 0..self.parts_of[arc].len() {
                let part = self.parts_of[arc][k];
                let bin = self.parts[part].bin;
                for leg in [0, 1] {
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

    pub(super) fn free_for(&self, bin: usize, leg: usize, part: usize, side: Side) -> bool {
        self.grants[bin][leg].is_none() && self.may_hold(part, side)
    }

    /// Gives a straight another leg and frees the one it has; false (and nothing changed) when
    /// there is none.
    pub(super) fn move_away(&mut self, straight: usize, bin: usize, leg: usize) -> bool {
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
    pub(super) fn free_leg(&self, straight: usize, end: usize) -> Option<(usize, usize, f64)> {
        let arc = self.instance.straights[straight].arcs[end]?;
        let side = Self::side_towards(end);
        let mut best: Option<(usize, usize, f64)> = None;
        for &part in &self.parts_of[arc] {
            let bin = self.parts[part].bin;
            for leg in [0, 1] {
                let length = self.leg(bin, leg);
                if length > 0.0 && self.free_for(bin, leg, part, side) && best.is_none_or(|b| b.2 < length) {
                    best = Some((part, leg, length));
                }
            }
        }
        best
    }

    /// Gives a straight legs on both sides when they reach together; straights that one leg spans
    /// make way where they have another leg.
    pub(super) fn span_by_two(&mut self, straight: usize) {
        let length = self.instance.straights[straight].length - FIT;
        let Some(a) = self.make_way(straight, 0) else { return };
        let Some(b) = self.make_way(straight, 1) else { return };
        // The second may have taken what the first had found.
        if self.free_leg(straight, 0) != Some(a) {
            return;
        }
        let same_leg = self.parts[a.0].bin == self.parts[b.0].bin && a.1 == b.1;
        if !same_leg && a.2 + b.2 >= length {
            self.set(a.0, a.1, straight, 0);
            self.set(b.0, b.1, straight, 1);
        }
    }

    /// The longest free leg on one end of a straight, after moving another straight if need be.
    fn make_way(&mut self, straight: usize, end: usize) -> Option<(usize, usize, f64)> {
        if let Some(free) = self.free_leg(straight, end) {
            return Some(free);
        }
        let arc = self.instance.straights[straight].arcs[end]?;
        let side = Self::side_towards(end);
        for k in 0..self.parts_of[arc].len() {
            let part = self.parts_of[arc][k];
            let bin = self.parts[part].bin;
            for leg in [0, 1] {
                let Some(grant) = self.grants[bin][leg] else { continue };
                let alone = self.given[grant.straight].iter().flatten().count() == 1;
                if !alone || grant.straight == straight || !(grant.part == part || self.may_hold(part, side)) {
                    continue;
                }
                self.visited.iter_mut().for_each(|v| *v = false);
                self.visited[straight] = true;
                self.visited[grant.straight] = true;
                if self.move_away(grant.straight, bin, leg) {
                    return self.free_leg(straight, end);
                }
            }
        }
        None
    }

    pub(super) fn carry_some(&mut self, straight: usize) {
        for end in [0, 1] {
            if let Some((part, leg, _)) = self.free_leg(straight, end) {
                self.set(part, leg, straight, end);
            }
        }
    }

    /// How much of its leg each grant carries, and what is left of every straight.
    pub(super) fn set_carries(&mut self) {
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
            for end in [0, 1] {
                if let Some((bin, leg)) = self.given[straight][end] {
                    if carry[end] <= 0.0 {
                        self.clear(bin, leg);
                    } else {
                        self.carry[bin][leg] = carry[end];
                    }
                }
            }
            if rest > 0.0 {
                self.waiting.push(Filler { straight: StraightId(straight), length: rest });
            }
        }
    }
}
