//! All patterns of a kind that a plan better than the best one could use: those whose reduced cost is within the gap
//! between bound and plan. Once they are listed, the relaxations of a proof need no more search for patterns.
//!
//! A pattern with a greater reduced cost is in no better plan, since every plan costs at least the bound and the
//! reduced costs of its columns (R. Baldacci, N. Christofides and A. Mingozzi, "An exact algorithm for the vehicle
//! routing problem based on the set partitioning formulation with additional cuts", Mathematical Programming 115
//! (2008) 351-385, use it so).

use super::{Duals, Form, Owners, Pattern, Priced, Pricing, Stand};
use crate::ids::{ArcId, KindId};
use crate::instance::{Instance, Side};

/// Patterns with the same arcs, forms and owners, that differ in the angles of parts alone: the corners of what the
/// angles may be. They are listed or left out together.
pub(crate) type Group = Vec<Pattern>;

/// A set of the first 128 arcs; later ones are in no set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct ArcSet(u128);

impl ArcSet {
    pub fn of(arcs: impl IntoIterator<Item = ArcId>) -> Self {
        ArcSet(arcs.into_iter().filter(|a| a.0 < 128).fold(0, |set, a| set | 1 << a.0))
    }

    /// True when two or more arcs are in both.
    pub fn meets_twice(self, other: ArcSet) -> bool {
        let both = self.0 & other.0;
        both & both.wrapping_sub(1) != 0
    }
}

/// Most parts on one bend whose angles are listed.
const MOST_PARTS: usize = 4;

/// Patterns of the pool that one look hands over at most.
const AT_ONCE: usize = 8;

/// The listing in progress.
struct Gathering {
    groups: Vec<Group>,
    patterns: usize,
    /// Value that a pattern must reach.
    least: f64,
    most: usize,
    limit: u64,
    full: bool,
}

impl<'a> Pricing<'a> {
    /// Every pattern of a kind whose reduced cost is at most `gap`, and the nodes visited; `None` instead of the
    /// patterns when there are more than `most`, or the search takes more than `limit` nodes.
    pub fn gather(
        instance: &'a Instance,
        worth: &'a Duals,
        kind: KindId,
        gap: f64,
        most: usize,
        limit: u64,
    ) -> (Option<Vec<Group>>, u64) {
        let mut pricing = Pricing::new(instance, worth, kind, limit);
        // Where nothing must stand together, a pattern less one stand is a pattern, so that no stand costs more than
        // the gap.
        let free = worth.together.is_empty() && worth.with.is_empty();
        pricing.least_form = if free { -gap - 1e-6 } else { f64::NEG_INFINITY };
        let class = instance.bends[kind].class;
        pricing.prepare(class);
        for candidate in &mut pricing.candidates {
            let least = instance.least_arc(candidate.arc);
            candidate.choices.retain(|c| match c.stand.form {
                Form::Whole => true,
                Form::Part => c.stand.angle <= least,
                Form::Twice => c.stand.angle <= 2.0 * least,
            });
            candidate.choices.dedup_by(|a, b| a.stand == b.stand);
        }
        let mut all = Gathering { groups: Vec::new(), patterns: 0, least: -gap, most, limit, full: false };
        if -worth.empty >= all.least {
            all.push(vec![Pattern { kind, stands: Vec::new(), owners: [None; 2], full: false }]);
        }
        for (value, stand, owners) in pricing.whole_items(class) {
            if value >= all.least {
                all.push(vec![Pattern { kind, stands: vec![stand], owners, full: true }]);
            }
        }
        let room = instance.bends[kind].angle + pricing.kerf + 1.5 * pricing.fit;
        pricing.gather_from(0, room, 0.0, [0.0; 2], &mut all);
        ((!all.full).then_some(all.groups), pricing.nodes)
    }

    fn gather_from(&mut self, place: usize, room: f64, value: f64, own: [f64; 2], all: &mut Gathering) {
        self.nodes += 1;
        if self.nodes > all.limit || all.patterns > all.most {
            all.full = true;
        }
        if all.full || place == self.candidates.len() {
            return;
        }
        let owning: f64 = (0..2).map(|leg| own[leg].max(self.later_own[place][leg]).max(0.0)).sum();
        let most = value + self.extension(room) + self.bound(place, room) + owning - self.worth.base;
        if most < all.least {
            return;
        }
        for k in 0..self.candidates[place].choices.len() {
            let choice = self.candidates[place].choices[k];
            if choice.weight > room || !self.allowed(choice.stand) {
                continue;
            }
            let candidate = self.candidates[place].own;
            let o = [own[0].max(candidate[0]), own[1].max(candidate[1])];
            let (left, sum) = (room - choice.weight, value + choice.value);
            self.chosen.push(choice.stand);
            let extended = sum + self.extension(left);
            if extended + o[0].max(0.0) + o[1].max(0.0) - self.worth.base >= all.least && self.complete(&self.chosen) {
                self.gather_owners(left, extended, all);
            }
            self.gather_from(place + 1, left, sum, o, all);
            self.chosen.pop();
        }
        self.gather_from(place + 1, room, value, own, all);
    }

    /// By how much a stand at its least angle may grow, rad.
    fn growth(&self, stand: Stand) -> f64 {
        let angle = self.angle(stand.arc);
        match stand.form {
            Form::Whole => 0.0,
            Form::Part => (angle - self.instance.least_arc(stand.arc) - stand.angle).max(0.0),
            Form::Twice => (angle - stand.angle).max(0.0),
        }
    }

    /// The most that the parts chosen gain by growing into the room.
    fn extension(&self, mut room: f64) -> f64 {
        let mut parts: Vec<(f64, f64)> = Vec::new();
        for &stand in self.chosen.iter().filter(|s| s.form != Form::Whole) {
            parts.push((self.worth.angle[stand.arc] / self.angle(stand.arc), self.growth(stand)));
        }
        parts.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut gain = 0.0;
        for (density, growth) in parts {
            let taken = growth.min(room).max(0.0);
            gain += density * taken;
            room -= taken;
        }
        gain
    }

    /// Lists what is chosen with every choice of owners that is within the gap.
    fn gather_owners(&self, room: f64, value: f64, all: &mut Gathering) {
        let exact = room <= 8.0 * self.fit || self.chosen.iter().any(|s| s.form != Form::Whole);
        let lost = if exact { 0.0 } else { self.worth.slack };
        let legs = self.instance.bends[self.kind].legs;
        let alike = legs[0] == legs[1];
        let mut offer = |owners: Owners| {
            let carried = owners.iter().flatten().count();
            let owning: f64 =
                (0..2).filter_map(|leg| owners[leg].map(|(arc, side)| self.worth.own[leg][arc][side.index()])).sum();
            let loss = if carried >= self.worth.legs { lost } else { 0.0 };
            if value + owning - loss - self.worth.base >= all.least {
                let corners = self.corners(room);
                all.full |= corners.is_empty();
                all.push(corners.into_iter().map(|s| self.pattern(s, owners)).collect());
            }
        };
        let sides = [Side::In, Side::Out];
        if let Some(twice) = self.chosen.iter().find(|s| s.form == Form::Twice) {
            offer([Some((twice.arc, Side::In)), Some((twice.arc, Side::Out))]);
            if !alike {
                offer([Some((twice.arc, Side::Out)), Some((twice.arc, Side::In))]);
            }
            return;
        }
        offer([None; 2]);
        for (i, a) in self.chosen.iter().enumerate() {
            for side in sides {
                offer([Some((a.arc, side)), None]);
                if !alike {
                    offer([None, Some((a.arc, side))]);
                }
                for b in self.chosen.iter().skip(if alike { i + 1 } else { 0 }).filter(|b| b.arc != a.arc) {
                    for other in sides {
                        offer([Some((a.arc, side)), Some((b.arc, other))]);
                    }
                }
            }
        }
    }

    fn pattern(&self, stands: Vec<Stand>, owners: Owners) -> Pattern {
        Pattern { kind: self.kind, stands, owners, full: false }
    }

    /// The corners of what the angles of the chosen parts may be in the room: each at its least or its greatest but one,
    /// which takes what is left. Empty when there are too many parts.
    fn corners(&self, room: f64) -> Vec<Vec<Stand>> {
        let parts: Vec<usize> = (0..self.chosen.len()).filter(|&i| self.chosen[i].form != Form::Whole).collect();
        if parts.len() > MOST_PARTS {
            return Vec::new();
        }
        let mut out: Vec<Vec<Stand>> = Vec::new();
        for grown in 0..1usize << parts.len() {
            let mut stands = self.chosen.clone();
            let mut left = room;
            for (bit, &i) in parts.iter().enumerate().filter(|(bit, _)| grown & (1 << bit) != 0) {
                debug_assert!(bit < MOST_PARTS);
                let growth = self.growth(stands[i]);
                stands[i].angle += growth;
                left -= growth;
            }
            if left < 0.0 {
                continue;
            }
            for (bit, &i) in parts.iter().enumerate() {
                if grown & (1 << bit) == 0 && left > 1e-9 && left < self.growth(stands[i]) {
                    let mut corner = stands.clone();
                    corner[i].angle += left;
                    out.push(corner);
                }
            }
            out.push(stands);
        }
        out
    }

    /// The best patterns of a pool at the present worth.
    pub fn look(instance: &Instance, worth: &Duals, groups: &[Group], alive: &[u32]) -> Priced {
        let mut best: Vec<(f64, &Pattern)> = Vec::new();
        let mut most = 0.0f64;
        for pattern in alive.iter().flat_map(|&g| &groups[g as usize]) {
            let value = worth.value_of(instance, pattern);
            if value <= 1e-6 || !worth.permits(pattern) {
                continue;
            }
            most = most.max(value);
            if best.len() == AT_ONCE && best[0].0 >= value {
                continue;
            }
            let at = best.partition_point(|b| b.0 < value);
            best.insert(at, (value, pattern));
            if best.len() > AT_ONCE {
                best.remove(0);
            }
        }
        let patterns = best.into_iter().map(|(_, p)| p.clone()).collect();
        let nodes = alive.len() as u64 / 8;
        // What is worth less than the smallest step is counted in full.
        Priced { patterns, least: -most.max(1e-6), nodes }
    }
}

impl Gathering {
    fn push(&mut self, group: Group) {
        self.patterns += group.len();
        self.groups.push(group);
    }
}

impl Duals {
    /// Worth of an arc in a form with an angle, owning apart.
    pub fn value(&self, instance: &Instance, stand: Stand) -> f64 {
        let share = self.angle[stand.arc] * (stand.angle / instance.arcs[stand.arc].angle);
        match stand.form {
            Form::Whole => share + self.whole[stand.arc] - self.fragment,
            Form::Part => share + self.part[stand.arc] - self.fragment,
            Form::Twice => share + 2.0 * (self.part[stand.arc] - self.fragment),
        }
    }

    /// Worth of a pattern: the negative of its reduced cost.
    pub fn value_of(&self, instance: &Instance, pattern: &Pattern) -> f64 {
        if pattern.stands.is_empty() {
            return -self.empty;
        }
        let mut value = -self.base;
        for &stand in &pattern.stands {
            value += self.value(instance, stand);
        }
        let mut carried = 0;
        for (own, owner) in self.own.iter().zip(pattern.owners) {
            if let Some((arc, side)) = owner {
                value += own[arc][side.index()];
                carried += 1;
            }
        }
        if self.slack > 0.0 && carried >= self.legs && !pattern.full && !pattern.fills(instance) {
            value -= self.slack;
        }
        if !self.triples.is_empty() {
            let whole = pattern.whole_arcs();
            value -= self.triples.iter().filter(|t| whole.meets_twice(t.0)).map(|t| t.1).sum::<f64>();
        }
        value
    }

    /// False when branching forbids a pattern.
    pub fn permits(&self, pattern: &Pattern) -> bool {
        let has = |arc: ArcId| pattern.stands.iter().any(|s| s.arc == arc);
        let whole = |arc: ArcId| pattern.stands.iter().any(|s| s.arc == arc && s.form == Form::Whole);
        let split = |arc: ArcId| pattern.stands.iter().any(|s| s.arc == arc && s.form != Form::Whole);
        let barred = if pattern.stands.is_empty() { 0 } else { self.apart.len() + self.without.len() };
        pattern.stands.iter().all(|s| {
            let whole = s.form == Form::Whole;
            !(whole && self.must_split[s.arc]) && (whole || !self.keep_whole[s.arc])
        }) && (barred == 0
            || (!self.apart.iter().any(|&(a, b)| whole(a) && whole(b))
                && !self.without.iter().any(|&(a, b)| whole(a) && split(b))))
            && (pattern.stands.is_empty()
                || (self.together.iter().all(|&(a, b)| has(a) == has(b))
                    && self.with.iter().all(|&(a, b)| !has(a) || has(b))))
    }
}

impl Pattern {
    /// The arcs that stand whole on the bend.
    pub fn whole_arcs(&self) -> ArcSet {
        ArcSet::of(self.stands.iter().filter(|s| s.form == Form::Whole).map(|s| s.arc))
    }

    /// True when the fragments and the cuts between them leave nothing of the arc.
    fn fills(&self, instance: &Instance) -> bool {
        let kind = &instance.bends[self.kind];
        let Some(class) = instance.classes.get(kind.class) else { return false };
        let taken: f64 = self.stands.iter().map(|s| s.angle + class.kerf * s.fragments() as f64).sum();
        kind.angle + class.kerf - taken <= 6.5 * class.fit
    }
}
