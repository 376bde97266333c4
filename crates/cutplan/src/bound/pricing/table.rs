//! The table of what later arcs can add at most, and the search that is led by it.

use super::{CELL, Candidate, Choice, Form, Pattern, Pricing, Stand};

impl Pricing<'_> {
    /// Fills the table from the last arc to the first.
    pub(super) fn make_table(&mut self, room: f64) {
        let n = self.candidates.len();
        self.cells = (room / CELL) as usize + 1;
        let cells = self.cells;
        self.table = vec![0.0; (n + 1) * cells * 4];
        // After the last arc one free form may take all that is left, of whatever arc.
        for cell in 0..cells {
            let left = (cell + 1) as f64 * CELL;
            for candidate in self.candidates.iter().filter(|c| c.free) {
                for stand in self.rest_forms(candidate.arc, left) {
                    let value = self.value(stand);
                    for mask in 0..4 {
                        let most = value + self.most_owning(candidate, stand.form, mask);
                        let at = &mut self.table[(n * cells + cell) * 4 + mask];
                        *at = at.max(most);
                    }
                }
            }
        }
        for place in (0..n).rev() {
            let (now, later) = self.table.split_at_mut((place + 1) * cells * 4);
            let now = &mut now[place * cells * 4..];
            now.copy_from_slice(&later[..cells * 4]);
            let candidate = &self.candidates[place];
            for choice in &candidate.choices {
                let width = (choice.weight / CELL) as usize;
                for cell in width..cells {
                    let rest = &later[(cell - width) * 4..(cell - width) * 4 + 4];
                    let to = &mut now[cell * 4..cell * 4 + 4];
                    for mask in 0..4 {
                        let mut best = rest[mask];
                        if choice.stand.form == Form::Twice {
                            best = if mask == 3 {
                                rest[0] + candidate.own[0] + candidate.own[1]
                            } else {
                                f64::NEG_INFINITY
                            };
                        } else {
                            for leg in [0, 1] {
                                if mask & (1 << leg) != 0 {
                                    best = best.max(rest[mask & !(1 << leg)] + candidate.own[leg]);
                                }
                            }
                        }
                        to[mask] = to[mask].max(choice.value + best);
                    }
                }
            }
        }
        self.nodes += (n * cells / 16) as u64;
    }

    /// The most that a form adds by owning with the legs that are free.
    pub(super) fn most_owning(&self, candidate: &Candidate, form: Form, mask: usize) -> f64 {
        if form == Form::Twice {
            return if mask == 3 { candidate.own[0] + candidate.own[1] } else { f64::NEG_INFINITY };
        }
        (0..2).filter(|leg| mask & (1 << leg) != 0).map(|leg| candidate.own[leg]).fold(0.0, f64::max)
    }

    pub(super) fn most_later(&self, place: usize, room: f64, mask: usize) -> f64 {
        let cell = ((room / CELL) as usize).min(self.cells - 1);
        self.table[(place * self.cells + cell) * 4 + mask]
    }

    /// Patterns that begin with each arc in turn and go on as the table says; they make the next
    /// relaxations fewer.
    pub(super) fn greedy_patterns(&mut self, room: f64) {
        let mut offers: Vec<(f64, Vec<Stand>)> = Vec::new();
        for first in 0..self.candidates.len() {
            let (mut left, mut mask, mut value) = (room, 3, 0.0);
            self.chosen.clear();
            for place in first..self.candidates.len() {
                let skip = if place == first { f64::NEG_INFINITY } else { self.most_later(place + 1, left, mask) };
                let mut best: Option<(f64, Choice, usize)> = None;
                for choice in &self.candidates[place].choices {
                    for (owning, next) in self.ownings(place, choice.stand.form, mask) {
                        if choice.weight > left || !self.allowed(choice.stand) {
                            continue;
                        }
                        let most = choice.value + owning + self.most_later(place + 1, left - choice.weight, next);
                        if most > skip && best.is_none_or(|b| most > b.0) {
                            best = Some((most, *choice, next));
                        }
                    }
                }
                if let Some((_, choice, next)) = best {
                    self.chosen.push(choice.stand);
                    left -= choice.weight;
                    mask = next;
                    value += choice.value;
                }
            }
            if !self.chosen.is_empty() && self.complete(&self.chosen) {
                let lost = if left <= 8.0 * self.fit { 0.0 } else { self.worth.slack };
                if let Some((owning, _)) = self.best_owners(&self.chosen, lost) {
                    offers.push((value + owning - self.worth.base, self.chosen.clone()));
                }
            }
        }
        self.chosen.clear();
        offers.retain(|o| o.0 > 1e-6);
        offers.sort_by(|a, b| b.0.total_cmp(&a.0));
        offers.truncate(12);
        for (_, stands) in offers {
            if let Some((_, owners)) = self.best_owners(&stands, 0.0) {
                self.found.insert(0, Pattern { kind: self.kind, stands, owners, full: false });
            }
        }
    }

    /// What a form of the arc at a place may add by owning, and the legs that are free then.
    pub(super) fn ownings(&self, place: usize, form: Form, mask: usize) -> Vec<(f64, usize)> {
        let candidate = &self.candidates[place];
        if form == Form::Twice {
            return if mask == 3 { vec![(candidate.own[0] + candidate.own[1], 0)] } else { Vec::new() };
        }
        let mut out = vec![(0.0, mask)];
        for leg in [0, 1] {
            if mask & (1 << leg) != 0 && candidate.own[leg] > f64::NEG_INFINITY {
                out.push((candidate.own[leg], mask & !(1 << leg)));
            }
        }
        out
    }

    pub(super) fn descend_by_table(&mut self, place: usize, room: f64, value: f64, mask: usize, own: [Option<f64>; 2]) {
        self.nodes += 1;
        let owned = own.map(|o| o.unwrap_or(0.0));
        let closed = value + owned[0] + owned[1] + self.most_later(self.candidates.len(), room, mask);
        if closed > self.best + self.worth.base + 1e-7 {
            self.try_close(room, value, [0, 1].map(|l| owned[l].max(self.later_own[0][l]).max(0.0)));
        }
        if place == self.candidates.len() {
            return;
        }
        let carried = owned[0] + owned[1];
        let most = value + carried + self.most_later(place, room, mask) - self.worth.base;
        if most <= self.best + 1e-7 {
            return;
        }
        if self.nodes > self.limit {
            self.left_out = self.left_out.max(most);
            return;
        }
        for k in 0..self.candidates[place].choices.len() {
            let Choice { stand, value: worth, weight } = self.candidates[place].choices[k];
            if weight > room || !self.allowed(stand) {
                continue;
            }
            for (_, next) in self.ownings(place, stand.form, mask) {
                let mut o = own;
                for leg in [0, 1] {
                    if mask & (1 << leg) != 0 && next & (1 << leg) == 0 {
                        o[leg] = Some(self.candidates[place].own[leg]);
                    }
                }
                let sum: f64 = o.iter().map(|o| o.unwrap_or(0.0)).sum();
                let most = value + worth + sum + self.most_later(place + 1, room - weight, next) - self.worth.base;
                if most > self.best + 1e-7 {
                    self.chosen.push(stand);
                    self.descend_by_table(place + 1, room - weight, value + worth, next, o);
                    self.chosen.pop();
                }
            }
        }
        // Going on without this arc.
        self.descend_by_table(place + 1, room, value, mask, own);
    }
}
