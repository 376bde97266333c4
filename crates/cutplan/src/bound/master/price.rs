//! What fragments, legs and bends are worth at given row prices.

// Ends, legs and sides are numbered 0 and 1 throughout and index several things at once.
#![allow(clippy::needless_range_loop)]

use super::{Master, Row};
use crate::instance::{FIT, Side};

impl Master<'_> {
    /// What everything is worth at the present row prices, for a kind.
    pub(super) fn price_kind(&mut self, kind: usize, prices: &[f64]) {
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
        worth.triples.clear();
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
                Row::Packed(p) => {
                    for served in &self.packed[p] {
                        for end in (0..2).filter(|&end| !served.legs[end]) {
                            for leg in (0..2).filter(|&leg| legs[leg] > 0.0) {
                                give(served.straight, end, leg, 2.0 * price);
                            }
                        }
                    }
                }
                Row::Host(h) => hosting.push((h, price)),
                Row::Triple(t) => worth.triples.push((self.triples[t], price)),
                Row::On(arc, k, sign) if k == kind => {
                    worth.whole[arc] += sign * price;
                    worth.part[arc] += sign * price;
                }
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
}
