//! What fragments, legs and bends are worth at given row prices.
//!
//! Ends of a straight, legs of a bend and sides of an arc are numbered 0 and 1: end 0 of a straight touches side 1 of the arc
//! upstream of it, end 1 side 0 of the arc downstream.

use super::{BOTH, Master, Row};
use crate::ids::{ArcId, KindId, StraightId};
use crate::instance::{FIT, Side};

impl Master<'_> {
    /// What everything is worth at the present row prices, for a kind.
    pub(super) fn price_kind(&mut self, kind: KindId, prices: &[f64]) {
        self.clear_worth(kind);
        for (at, &price) in prices.iter().enumerate().take(self.rows.len()).filter(|(_, price)| **price != 0.0) {
            self.price_row(kind, self.rows[at], price);
        }
        // What is carried comes last, and in this order: sums of floats keep their last digit.
        let priced = |row: &Row, price: f64| match row {
            Row::Material => price > 0.0,
            Row::Host(_) => price != 0.0,
            _ => false,
        };
        let mut carried: Vec<(Row, f64)> = self.rows.iter().copied().zip(prices.iter().copied()).collect();
        carried.retain(|(row, price)| priced(row, *price));
        carried.sort_by_key(|(row, _)| *row != Row::Material);
        for (row, price) in carried {
            self.price_carried(kind, row, price);
        }
        self.worth.empty = self.worth.base;
        if !self.instance.per_piece {
            self.price_cuts(kind, prices);
        }
        self.forbid_missing(kind);
    }

    /// The worth of a kind while no row has a price.
    fn clear_worth(&mut self, kind: KindId) {
        let (instance, n) = (self.instance, self.instance.arcs.len());
        let bend = &instance.bends[kind];
        let worth = &mut self.worth;
        worth.angle = vec![0.0; n];
        worth.whole = vec![0.0; n];
        worth.part = vec![0.0; n];
        worth.own = [vec![[0.0; 2]; n], vec![[0.0; 2]; n]];
        worth.fragment = (instance.joint + instance.cut) as f64 * 1e-3;
        worth.base = bend.price as f64 * 1e-3;
        worth.legs = bend.legs.iter().filter(|&&l| l > 0.0).count();
        worth.slack = 0.0;
        worth.triples.clear();
    }

    /// Adds what one row gives.
    fn price_row(&mut self, kind: KindId, row: Row, price: f64) {
        match row {
            Row::Angle(arc) => self.worth.angle[arc] += price,
            Row::Count(arc) => {
                self.worth.whole[arc] += price;
                self.worth.part[arc] += price / self.least_parts[arc];
            }
            Row::Kind(k, sign) if k == kind => self.worth.base -= sign * price,
            Row::Pieces(_, sign) => self.worth.fragment -= sign * price,
            Row::Triple(t) => self.worth.triples.push((self.triples[t], price)),
            Row::OnKind(arc, k, sign) if k == kind => self.price_arc(arc, sign * price),
            Row::Fragments(arc, sign) => self.price_arc(arc, sign * price),
            Row::Own(arc, side, sign) => {
                BOTH.iter().for_each(|&leg| self.worth.own[leg][arc][side.index()] += sign * price);
            }
            Row::Owners(..) | Row::Length(_) | Row::Long(_) | Row::Packed(_) => self.price_legs(kind, row, price),
            _ => {}
        }
    }

    /// Adds what a row gives for any fragment of an arc.
    fn price_arc(&mut self, arc: ArcId, price: f64) {
        self.worth.whole[arc] += price;
        self.worth.part[arc] += price;
    }

    /// Adds what a row gives to legs that carry a straight.
    fn price_legs(&mut self, kind: KindId, row: Row, price: f64) {
        let legs = self.instance.bends[kind].legs;
        match row {
            Row::Owners(straight, rest) => {
                self.give(straight, |end, leg| if rest[end] && legs[leg] > 0.0 { price } else { 0.0 })
            }
            Row::Length(straight) => {
                let length = self.instance.straights[straight].length;
                self.give(straight, |_, leg| {
                    let share = ((legs[leg] + FIT) / length).min(1.0);
                    price * if legs[leg] > 0.0 { share } else { 0.0 }
                });
            }
            Row::Long(straight) => self.give(straight, |_, _| 2.0 * price),
            Row::Packed(p) => {
                for at in 0..self.packed[p].len() {
                    let (straight, served) = (self.packed[p][at].straight, self.packed[p][at].legs);
                    self.give(straight, |end, leg| if !served[end] && legs[leg] > 0.0 { 2.0 * price } else { 0.0 });
                }
            }
            _ => {}
        }
    }

    /// Adds `value` of end and leg to every leg that may carry a straight from one of its ends.
    fn give(&mut self, straight: StraightId, value: impl Fn(usize, usize) -> f64) {
        for end in BOTH {
            let Some(arc) = self.instance.straights[straight].arcs[end] else { continue };
            for leg in BOTH {
                self.worth.own[leg][arc][1 - end] += value(end, leg);
            }
        }
    }

    /// Adds what a row gives for what is left of a leg beside the straight that it carries.
    fn price_carried(&mut self, kind: KindId, row: Row, price: f64) {
        let instance = self.instance;
        let price = if row == Row::Material { price / self.total_straight() } else { price };
        let left = |master: &Self, leg: f64, carried: Option<StraightId>| match row {
            Row::Host(host) => master.hosted(&master.hosts[host], leg, carried),
            _ => master.leg_gives(leg, carried),
        };
        for (leg, length) in instance.bends[kind].legs.into_iter().enumerate() {
            let empty = left(self, length, None);
            self.worth.base -= price * empty;
            for (arc, need) in ArcId::all(instance.arcs.len()).zip(&instance.arcs) {
                for (side, carried) in need.beside.into_iter().enumerate() {
                    self.worth.own[leg][arc][side] += price * (left(self, length, carried) - empty);
                }
            }
        }
    }

    /// Where every saw cut is paid: a bare leg and a leg carried short of its mill end are one cut each.
    fn price_cuts(&mut self, kind: KindId, prices: &[f64]) {
        let row = self.rows.iter().rposition(|row| matches!(row, Row::CutsOfPatterns));
        let mill_ends = row.map_or(0.0, |row| prices[row]);
        self.worth.base += mill_ends * self.worth.legs as f64 - self.instance.cut as f64 * 1e-3;
        self.worth.slack = mill_ends;
        for (leg, length) in self.instance.bends[kind].legs.into_iter().enumerate() {
            for arc in ArcId::all(self.instance.arcs.len()) {
                for side in [Side::In, Side::Out] {
                    if self.reaches_mill_end(length, arc, side) {
                        self.worth.own[leg][arc][side.index()] += mill_ends;
                    }
                }
            }
        }
    }

    /// A side with no straight is carried by nothing, and a leg that is not there carries nothing.
    fn forbid_missing(&mut self, kind: KindId) {
        for (leg, length) in self.instance.bends[kind].legs.into_iter().enumerate() {
            for (arc, need) in ArcId::all(self.instance.arcs.len()).zip(&self.instance.arcs) {
                for side in BOTH {
                    if need.beside[side].is_none() || length <= 0.0 {
                        self.worth.own[leg][arc][side] = f64::NEG_INFINITY;
                    }
                }
            }
        }
    }
}
