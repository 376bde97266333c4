//! Branching: sums that must be whole numbers, and what each side of a branching forbids.

use super::{Branch, Master, Row, splits, stands_whole};
use crate::bound::pricing::{Form, Pattern};
use crate::ids::{ArcId, KindId, StickId, StraightId};
use crate::instance::Side;

impl Master<'_> {
    /// Present value of the left side of a row.
    pub(super) fn sum_of(&self, row: Row, values: &[f64]) -> f64 {
        let patterns = self.patterns.iter().filter(|(c, _)| values[*c] > 1e-9);
        let patterns: f64 = patterns.map(|(c, p)| values[*c] * self.pattern_in_row(p, row)).sum();
        let of = |s: StraightId| {
            let [a, b, c] = self.straight_in_row(s, row);
            a * values[self.from_legs[s]] + b * values[self.from_sticks[s]] + c * values[self.stick_length[s]]
        };
        let fillers: f64 = StraightId::all(self.from_legs.len()).map(of).sum();
        let sticks: f64 =
            StickId::all(self.sticks.len()).map(|k| values[self.sticks[k]] * self.stick_in_row(k, row)).sum();
        patterns + fillers + sticks
    }

    /// Present value of a sum that must be a whole number.
    pub(super) fn value_of(&self, branch: Branch, values: &[f64]) -> f64 {
        let sum = |row: Row| self.sum_of(row, values);
        let over = |f: &dyn Fn(&Pattern) -> bool| -> f64 {
            self.patterns.iter().filter(|(_, p)| f(p)).map(|(c, _)| values[*c]).sum()
        };
        match branch {
            Branch::Kind(k) => sum(Row::Kind(k, 1.0)),
            Branch::Sticks(k) => sum(Row::Sticks(k, 1.0)),
            Branch::Pieces(all) => sum(Row::Pieces(all, 1.0)),
            Branch::FullLegs => values[self.full_legs],
            Branch::FullSticks => values[self.full_sticks],
            Branch::Fillers(s) => sum(Row::Fillers(s, 1.0)),
            Branch::StickFillers(s) => sum(Row::StickFillers(s, 1.0)),
            Branch::Own(arc, side) => sum(Row::Own(arc, side, 1.0)),
            Branch::Whole(arc) => over(&|p| stands_whole(p, arc)),
            Branch::Fragments(arc) => sum(Row::Fragments(arc, 1.0)),
            Branch::OnKind(arc, kind) => sum(Row::OnKind(arc, kind, 1.0)),
            Branch::With(a, b) => over(&|p| stands_whole(p, a) && splits(p, b)),
            Branch::Pair(a, b) => over(&|p| stands_whole(p, a) && stands_whole(p, b)),
        }
    }

    /// The sum to branch on: counts first, then what touches single arcs; the one nearest to a half.
    pub fn choose_branch(&self) -> Option<(Branch, f64)> {
        let values = self.lp.values();
        let instance = self.instance;
        let arcs = ArcId::all(instance.arcs.len());
        let straights = StraightId::all(instance.straights.len());
        let mut tiers: Vec<Vec<Branch>> = vec![
            KindId::all(instance.bends.len())
                .map(Branch::Kind)
                .chain(StickId::all(instance.sticks.len()).map(Branch::Sticks))
                .collect(),
            vec![Branch::Pieces(true), Branch::Pieces(false)],
            vec![Branch::FullSticks, Branch::FullLegs],
            arcs.clone().map(Branch::Whole).chain(arcs.clone().map(Branch::Fragments)).collect(),
            self.arcs_on_kinds(),
            straights.clone().map(Branch::Fillers).chain(straights.map(Branch::StickFillers)).collect(),
        ];
        let sides = [Side::In, Side::Out];
        tiers.push(arcs.clone().flat_map(|a| sides.map(|side| Branch::Own(a, side))).collect());
        tiers.push(self.pairs(&values));
        if let Some(branch) = self.sticks_without_limit(&values) {
            return Some(branch);
        }
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

    /// Every arc with every kind of its CLR, where there are several.
    fn arcs_on_kinds(&self) -> Vec<Branch> {
        let kinds = |class: usize| {
            KindId::all(self.instance.bends.len()).filter(move |&k| self.instance.bends[k].class == class)
        };
        let several = |a: &ArcId| kinds(self.instance.arcs[*a].class).count() > 1;
        let arcs = ArcId::all(self.instance.arcs.len()).filter(several);
        arcs.flat_map(|a| kinds(self.instance.arcs[a].class).map(move |k| Branch::OnKind(a, k))).collect()
    }

    /// Pairs of whole arcs that stand on one bend in some pattern in use.
    pub(super) fn pairs(&self, values: &[f64]) -> Vec<Branch> {
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
            Branch::Sticks(k) => {
                if !up {
                    let floor = floor as u32;
                    self.most_sticks[k] = Some(self.most_sticks[k].map_or(floor, |m| m.min(floor)));
                }
                self.add_row(Row::Sticks(k, sign), rhs);
            }
            Branch::Pieces(all) => drop(self.add_row(Row::Pieces(all, sign), rhs)),
            Branch::FullLegs => drop(self.add_row(Row::CountFullLegs(sign), rhs)),
            Branch::FullSticks => drop(self.add_row(Row::CountFullSticks(sign), rhs)),
            Branch::Fillers(s) => drop(self.add_row(Row::Fillers(s, sign), rhs)),
            Branch::StickFillers(s) => drop(self.add_row(Row::StickFillers(s, sign), rhs)),
            Branch::Own(arc, side) => drop(self.add_row(Row::Own(arc, side, sign), rhs)),
            Branch::OnKind(arc, kind) => drop(self.add_row(Row::OnKind(arc, kind, sign), rhs)),
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
}
