//! Rows about pieces that do not fit into the sticks together: lengths alone let them be divided at will.

use super::{BOTH, Branch, Master, Row, Served};
use crate::fit::fit;
use crate::ids::{StickId, StraightId};
use crate::instance::{FIT, Instance, Side};

/// Steps of one search that fits pieces into sticks; beyond it they are taken to fit.
const FITTING: u32 = 3_000;

/// Sticks in one such search at most.
const MOST_STICKS: u32 = 12;

impl Master<'_> {
    /// Adds a row when the straights that are served by one piece from a stick, beside the legs they have, do not fit
    /// into the sticks there may be; true when there was one.
    ///
    /// With g the ends that have legs, one of these straights must have a leg on another end, a piece from a leg or a
    /// second piece from a stick: the sum over them of 2 (legs on ends not in g + pieces from legs) + pieces from
    /// sticks is at least their number and 1. (A straight with none of that has its piece from a stick; one without
    /// a piece from a stick has a leg or piece that counts 2.)
    pub(super) fn add_packing_row(&mut self) -> bool {
        let Some(rooms) = self.stick_rooms() else { return false };
        let values = self.lp.values();
        let mut set = self.served_by_sticks(&values);
        self.steps += 5;
        if self.fits(&set, &rooms) {
            return false;
        }
        // Fewer straights make a stronger row.
        for i in (0..set.len()).rev() {
            let without = set.remove(i);
            if self.fits(&set, &rooms) {
                set.insert(i, without);
            }
        }
        let need = set.len() as f64 + 1.0;
        self.packed.push(set);
        let row = Row::Packed(self.packed.len() - 1);
        if self.sum_of(row, &values) > need - 0.05 {
            self.packed.pop();
            return false;
        }
        self.add_row(row, need);
        true
    }

    /// A limit to branch on where pieces do not fit into the sticks that the relaxation takes, and no limit stands.
    pub(super) fn sticks_without_limit(&self, values: &[f64]) -> Option<(Branch, f64)> {
        let kind = StickId(self.most_sticks.iter().position(Option::is_none)?);
        let taken = |k: StickId| values[self.sticks[k]].round();
        let whole = StickId::all(self.sticks.len()).all(|k| (values[self.sticks[k]] - taken(k)).abs() < 1e-4);
        if !whole {
            return None;
        }
        let rooms = self.rooms(|k| Some(taken(k) as u32))?;
        let set = self.served_by_sticks(values);
        (!set.is_empty() && !self.fits(&set, &rooms)).then(|| (Branch::Sticks(kind), taken(kind) + 0.5))
    }

    fn stick_rooms(&self) -> Option<Vec<f64>> {
        self.rooms(|k| self.most_sticks[k])
    }

    fn rooms(&self, most: impl Fn(StickId) -> Option<u32>) -> Option<Vec<f64>> {
        let mut rooms = Vec::new();
        for (k, stick) in StickId::all(self.instance.sticks.len()).zip(&self.instance.sticks) {
            let most = most(k).filter(|m| *m <= MOST_STICKS)?;
            rooms.extend(std::iter::repeat_n(stick.length + self.instance.kerf + FIT, most as usize));
        }
        rooms.sort_by(f64::total_cmp);
        Some(rooms)
    }

    /// The straights that have a piece from a stick and none from a leg.
    fn served_by_sticks(&self, values: &[f64]) -> Vec<Served> {
        let longest = self.longest[0].max(self.longest[1]);
        let mut set = Vec::new();
        for straight in StraightId::all(self.instance.straights.len()) {
            if values[self.from_sticks[straight]] < 0.6 || values[self.from_legs[straight]] > 0.3 {
                continue;
            }
            let legs = [0, 1].map(|end| self.has_leg(straight, end, values));
            let served = Served { straight, legs };
            let missing = missing(self.instance, served);
            if missing > FIT && missing <= longest {
                set.push(served);
            }
        }
        set.sort_by(|a, b| missing(self.instance, *b).total_cmp(&missing(self.instance, *a)));
        set
    }

    fn has_leg(&self, straight: StraightId, end: usize, values: &[f64]) -> bool {
        let side = if end == 0 { Side::Out } else { Side::In };
        self.instance.straights[straight].arcs[end]
            .is_some_and(|arc| self.value_of(Branch::Own(arc, side), values) > 0.3)
    }

    fn fits(&self, set: &[Served], rooms: &[f64]) -> bool {
        let pieces: Vec<f64> = set.iter().map(|s| missing(self.instance, *s)).collect();
        let mut steps = FITTING;
        fit(&pieces, self.instance.kerf, &mut rooms.to_vec(), &mut steps, &mut Vec::new()) != Some(false)
    }
}

/// What a straight still needs when its legs are as long as there are, mm.
fn missing(instance: &Instance, served: Served) -> f64 {
    let need = &instance.straights[served.straight];
    let leg = |end: usize| need.arcs[end].map_or(0.0, |a| instance.longest_leg(instance.arcs[a].class));
    let given: f64 = BOTH.into_iter().filter(|&end| served.legs[end]).map(leg).sum();
    need.length - given - 4.0 * FIT
}
