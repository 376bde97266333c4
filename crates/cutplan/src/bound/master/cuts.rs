//! Rows that are added only where the relaxation breaks them: sticks that must be there, and room
//! in the legs for long fillers.

use super::{BOTH, Host, Master, Row};
use crate::bound::pricing::{ArcSet, Form};
use crate::bound::simplex::Column;
use crate::ids::{ArcId, StraightId};
use crate::instance::FIT;

/// Rows of three arcs in one relaxation at most, and added at once.
const MOST_TRIPLES: usize = 60;
const TRIPLES_AT_ONCE: usize = 8;

impl Master<'_> {
    /// Adds the rows of sticks that must be there and are not; true when there were any.
    pub(super) fn add_stick_rows(&mut self) -> bool {
        let values = self.lp.values();
        let there: f64 = self.sticks.iter().map(|&c| values[c]).sum();
        let missing: Vec<StraightId> =
            StraightId::all(self.from_sticks.len()).filter(|&s| values[self.from_sticks[s]] > there + 1e-4).collect();
        for &s in &missing {
            self.add_row(Row::StickThere(s), 0.0);
        }
        !missing.is_empty()
    }

    /// Adds the rows of room for long fillers that are broken; true when there were any.
    pub(super) fn add_host_rows(&mut self) -> bool {
        let values = self.lp.values();
        let instance = self.instance;
        let long: Vec<f64> = StraightId::all(instance.straights.len()).map(|s| self.long_value(s, &values)).collect();
        let mut lengths: Vec<f64> = StraightId::all(long.len())
            .filter(|&s| long[s] > 1e-3 && instance.straights[s].length <= self.longest[0] + FIT)
            .map(|s| instance.straights[s].length)
            .collect();
        lengths.sort_by(f64::total_cmp);
        lengths.dedup();
        let mut broken: Vec<(f64, Host)> = Vec::new();
        for length in lengths {
            let most = ((self.longest[0] + self.kerf() + FIT) / (length + self.kerf())).floor();
            let straights: Vec<StraightId> = StraightId::all(long.len())
                .filter(|&s| long[s] > 1e-3 && instance.straights[s].length >= length)
                .collect();
            let mut host = Host { length, straights, most, by_long_legs: vec![false; long.len()] };
            self.count_long_legs(&mut host, &values);
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
            let least = host.most * StraightId::all(long.len()).filter(|&s| self.shares(&host, s)).count() as f64;
            self.hosts.push(host);
            self.add_row(Row::Host(self.hosts.len() - 1), least);
        }
        any
    }

    /// Adds rows of three arcs that are broken, once all useful patterns are listed; true when there were any.
    ///
    /// Every arc stands whole at most once, so that of three arcs two stand together at most once (M. Jepsen, B. Petersen,
    /// S. Spoorendonk and D. Pisinger, "Subset-row inequalities applied to the vehicle-routing problem with time windows",
    /// Operations Research 56 (2008) 497-511).
    pub(super) fn add_triple_rows(&mut self) -> bool {
        if self.pool.is_none() || self.triples.len() >= MOST_TRIPLES {
            return false;
        }
        let n = self.instance.arcs.len().min(128);
        let used: Vec<(f64, Vec<usize>)> = self
            .in_use()
            .iter()
            .filter(|(value, _)| *value < 1.0 - 1e-6)
            .map(|(value, p)| {
                let whole = p.stands.iter().filter(|s| s.form == Form::Whole && s.arc.0 < n);
                let mut arcs: Vec<usize> = whole.map(|s| s.arc.0).collect();
                arcs.sort_unstable();
                (*value, arcs)
            })
            .filter(|(_, arcs)| arcs.len() > 1)
            .collect();
        let mut sums = vec![0.0f64; n * n * n];
        for (value, arcs) in &used {
            for (i, &a) in arcs.iter().enumerate() {
                for &b in &arcs[i + 1..] {
                    for c in (0..n).filter(|c| *c != a && *c != b) {
                        let mut t = [a, b, c];
                        t.sort_unstable();
                        // Three arcs that stand together are met by three pairs.
                        let share = if arcs.contains(&c) { 1.0 / 3.0 } else { 1.0 };
                        sums[(t[0] * n + t[1]) * n + t[2]] += value * share;
                    }
                }
            }
        }
        self.steps += (n * n * n / 1000) as u64;
        let mut broken: Vec<(f64, usize)> =
            sums.iter().enumerate().filter(|(_, s)| **s > 1.0 + 0.05).map(|(at, s)| (*s, at)).collect();
        broken.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        broken.truncate(TRIPLES_AT_ONCE);
        for &(_, at) in &broken {
            self.triples.push(ArcSet::of([at / (n * n), at / n % n, at % n].map(ArcId)));
            self.add_row(Row::Triple(self.triples.len() - 1), -1.0);
        }
        !broken.is_empty()
    }

    /// Chooses for each straight the count that leaves less room at present.
    fn count_long_legs(&self, host: &mut Host, values: &[f64]) {
        let mut others: Vec<f64> = StraightId::all(self.from_legs.len())
            .map(|s| values[self.from_legs[s]] + values[self.from_sticks[s]] - 1.0)
            .collect();
        for (column, pattern) in self.patterns.iter().filter(|(c, _)| values[*c] > 1e-9) {
            for leg in BOTH {
                let carried = pattern.owners[leg].and_then(|(a, side)| self.instance.arcs[a].beside[side.index()]);
                let length = self.instance.bends[pattern.kind].legs[leg];
                if let Some(s) = carried.filter(|_| length + FIT < host.length + self.kerf()) {
                    others[s] += values[*column];
                }
            }
        }
        host.by_long_legs = others.iter().map(|&o| o > 1e-6).collect();
    }

    pub(super) fn kerf(&self) -> f64 {
        self.instance.kerf
    }

    /// How much of a straight is one filler from a leg and nothing else, at present.
    pub(super) fn long_value(&self, straight: StraightId, values: &[f64]) -> f64 {
        let legs: f64 = self
            .patterns
            .iter()
            .filter(|(c, _)| values[*c] > 1e-9)
            .map(|(c, p)| values[*c] * self.pattern_in_row(p, Row::Long(straight)))
            .sum();
        2.0 - legs - values[self.from_legs[straight]] - 2.0 * values[self.from_sticks[straight]]
    }

    /// Long fillers that the present patterns have room for, in the sense of a row of room.
    pub(super) fn room_of(&self, host: &Host, values: &[f64]) -> f64 {
        let mut room = 0.0;
        for (column, pattern) in self.patterns.iter().filter(|(c, _)| values[*c] > 1e-9) {
            let legs = self.instance.bends[pattern.kind].legs;
            for leg in BOTH {
                let carried = pattern.owners[leg].and_then(|(a, side)| self.instance.arcs[a].beside[side.index()]);
                room += values[*column] * self.hosted(host, legs[leg], carried);
            }
        }
        for s in StraightId::all(self.from_legs.len()).filter(|&s| self.shares(host, s)) {
            room += host.most * (values[self.from_legs[s]] + values[self.from_sticks[s]] - 1.0);
        }
        room
    }
}
