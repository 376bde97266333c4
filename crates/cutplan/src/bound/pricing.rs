//! The best new column: the fragments and legs of one bend that are worth most at given row prices.
//!
//! Depth first over the arcs in the order of worth per angle, with the fractional knapsack as the
//! bound (S. Martello and P. Toth, "Knapsack Problems" (1990), section 2.2). Parts of split arcs
//! are worth a fixed sum and a sum per angle, so in a best column all of them but one stand at
//! their least or their greatest angle; the one takes what is left. Where that bound is too weak
//! (short legs: many small parts of nearly equal worth) the search is run again with a table of
//! what the later arcs can add at most, made by dynamic programming over angles rounded in favour
//! of the bound.

mod gather;
mod table;

pub(crate) use gather::{ArcSet, Group};

use crate::ids::{ArcId, KindId};
use crate::instance::{Instance, Side};

/// How an arc stands on a bend.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Form {
    /// The whole arc in one fragment.
    Whole,
    /// One fragment of a split arc.
    Part,
    /// Two fragments of it that carry its both sides. (Two that do not can be made one, which
    /// takes a piece and a cut less: arcs are alike along their length.)
    Twice,
}

/// An arc on a bend.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stand {
    pub arc: ArcId,
    pub form: Form,
    /// Angle of its fragments together, rad.
    pub angle: f64,
}

impl Stand {
    pub fn fragments(&self) -> usize {
        if self.form == Form::Twice { 2 } else { 1 }
    }
}

/// For each leg the arc and side that it carries for.
pub(crate) type Owners = [Option<(ArcId, Side)>; 2];

/// A bend with what stands on it and what its legs carry.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Pattern {
    pub kind: KindId,
    pub stands: Vec<Stand>,
    /// For each leg the arc and side that it carries for.
    pub owners: Owners,
    /// True when one fragment is the item's whole arc.
    pub full: bool,
}

/// What things are worth at the row prices.
#[derive(Debug, Clone, Default)]
pub(crate) struct Duals {
    /// Of the whole angle of each arc.
    pub angle: Vec<f64>,
    /// Of a whole arc in one fragment, beyond its angle.
    pub whole: Vec<f64>,
    /// Of a fragment of a split arc, beyond its angle.
    pub part: Vec<f64>,
    /// Of carrying a side of an arc with leg 1 or 2 of the kind at hand: `[leg][arc][side]`.
    pub own: [Vec<[f64; 2]>; 2],
    /// Cost of a fragment.
    pub fragment: f64,
    /// Cost of the bend less what it is worth without fragments.
    pub base: f64,
    /// The same for a bend on which nothing stands.
    pub empty: f64,
    /// Lost when both legs are carried (or there are none) and the fragments leave some of the arc.
    pub slack: f64,
    /// Number of legs of the kind at hand.
    pub legs: usize,
    /// Arcs that may not be whole on one bend (branching).
    pub apart: Vec<(ArcId, ArcId)>,
    /// Whole arcs that stand on one bend.
    pub together: Vec<(ArcId, ArcId)>,
    /// A whole arc and one that may not have a part on its bend.
    pub without: Vec<(ArcId, ArcId)>,
    /// A whole arc and one that has a part on its bend.
    pub with: Vec<(ArcId, ArcId)>,
    /// Cost of two whole arcs of the three. Only patterns from a pool are priced with it.
    pub triples: Vec<(ArcSet, f64)>,
    /// Arcs that must stay whole, or must be split (branching).
    pub keep_whole: Vec<bool>,
    pub must_split: Vec<bool>,
}

/// A form that an arc may take on this bend.
#[derive(Debug, Clone, Copy)]
struct Choice {
    stand: Stand,
    value: f64,
    weight: f64,
}

#[derive(Debug, Clone)]
struct Candidate {
    arc: ArcId,
    /// Forms at fixed angles, the most valuable first.
    choices: Vec<Choice>,
    /// True when it may also stand split with any angle.
    free: bool,
    /// Largest worth of a free form per weight.
    free_density: f64,
    /// Most of owning with each leg.
    own: [f64; 2],
}

/// A step of the concave hull of worth over weight of one candidate.
#[derive(Debug, Clone, Copy)]
struct Segment {
    place: usize,
    density: f64,
    width: f64,
}

/// The search for the best pattern of one kind.
pub(crate) struct Pricing<'a> {
    instance: &'a Instance,
    worth: &'a Duals,
    kind: KindId,
    kerf: f64,
    fit: f64,
    candidates: Vec<Candidate>,
    /// Hull steps of all candidates, the steepest first.
    segments: Vec<Segment>,
    /// Largest worth per weight of a free form, owning apart.
    free_density: f64,
    /// Largest owning worth among the candidates from each place on, for both legs.
    later_own: Vec<[f64; 2]>,
    chosen: Vec<Stand>,
    best: f64,
    found: Vec<Pattern>,
    nodes: u64,
    limit: u64,
    /// Bound on what was left out when the limit was met.
    left_out: f64,
    /// `table[(place * cells + cell) * 4 + free legs]`: the most that arcs from `place` on can add.
    table: Vec<f64>,
    cells: usize,
    /// Forms worth less are left out.
    least_form: f64,
}

/// Width of a cell of the table, rad (a quarter of a degree). Not tuned: half of it
/// doubles the work of the table, twice of it weakens the bound that the table gives.
const CELL: f64 = 0.25 * std::f64::consts::PI / 180.0;

/// Nodes after which the table is made.
const PLAIN_NODES: u64 = 2_000;

/// What pricing found.
pub(crate) struct Priced {
    /// Patterns of negative reduced cost, the best last.
    pub patterns: Vec<Pattern>,
    /// No pattern has a reduced cost below this.
    pub least: f64,
    /// Nodes visited.
    pub nodes: u64,
}

impl<'a> Pricing<'a> {
    fn new(instance: &'a Instance, worth: &'a Duals, kind: KindId, limit: u64) -> Self {
        let clr = instance.classes.get(instance.bends[kind].class);
        Pricing {
            instance,
            worth,
            kind,
            kerf: clr.map_or(0.0, |c| c.kerf),
            fit: clr.map_or(0.0, |c| c.fit),
            candidates: Vec::new(),
            segments: Vec::new(),
            free_density: 0.0,
            later_own: Vec::new(),
            chosen: Vec::new(),
            best: -worth.empty,
            found: Vec::new(),
            nodes: 0,
            limit: PLAIN_NODES.min(limit),
            left_out: f64::NEG_INFINITY,
            table: Vec::new(),
            cells: 0,
            least_form: 1e-9,
        }
    }

    /// The best patterns of a kind; `limit` bounds the nodes.
    pub fn run(instance: &'a Instance, worth: &'a Duals, kind: KindId, limit: u64) -> Priced {
        let class = instance.bends[kind].class;
        let mut pricing = Pricing::new(instance, worth, kind, limit);
        pricing.prepare(class);
        if pricing.best > 1e-6 {
            // The bare bend: its legs serve as straights.
            pricing.keep(&[], [None; 2], false);
        }
        pricing.full_patterns(class);
        let room = instance.bends[kind].angle + pricing.kerf + 1.5 * pricing.fit;
        pricing.descend(0, room, 0.0, [0.0; 2]);
        if pricing.left_out > pricing.best + 1e-7 {
            pricing.left_out = f64::NEG_INFINITY;
            pricing.limit = pricing.nodes + limit;
            pricing.make_table(room);
            pricing.greedy_patterns(room);
            pricing.descend_by_table(0, room, 0.0, 3, [None; 2]);
        }
        Priced { patterns: pricing.found, least: -pricing.best.max(pricing.left_out), nodes: pricing.nodes }
    }

    fn angle(&self, arc: ArcId) -> f64 {
        self.instance.arcs[arc].angle
    }

    fn value(&self, stand: Stand) -> f64 {
        self.worth.value(self.instance, stand)
    }

    fn own(&self, leg: usize, arc: ArcId) -> f64 {
        let o = self.worth.own[leg][arc];
        o[0].max(o[1])
    }

    fn weight(&self, stand: Stand) -> f64 {
        stand.angle + self.kerf * stand.fragments() as f64
    }

    /// Forms at their least and greatest angle that an arc may take within `room`.
    fn forms(&self, arc: ArcId, room: f64) -> Vec<Choice> {
        let mut forms = Vec::with_capacity(5);
        let angle = self.angle(arc);
        let least = self.instance.least_arc(arc);
        let owning = self.own(0, arc).max(self.own(1, arc)).max(0.0);
        let mut push = |form, a: f64| {
            let stand = Stand { arc, form, angle: a };
            let (value, weight) = (self.value(stand), self.weight(stand));
            if weight <= room && value + owning * stand.fragments() as f64 > self.least_form {
                forms.push(Choice { stand, value, weight });
            }
        };
        if !self.worth.must_split[arc] {
            push(Form::Whole, angle);
        }
        if !self.worth.keep_whole[arc] && angle >= 2.0 * least - 1e-9 {
            push(Form::Twice, angle);
            push(Form::Part, angle - least);
            push(Form::Part, least);
            push(Form::Twice, 2.0 * least);
        }
        forms
    }

    fn prepare(&mut self, class: usize) {
        let room = self.instance.bends[self.kind].angle + self.kerf + 1.5 * self.fit;
        let mut hulls: Vec<Vec<(f64, f64)>> = Vec::new();
        for arc in ArcId::all(self.instance.arcs.len()).filter(|&a| self.instance.arcs[a].class == class) {
            let choices = self.forms(arc, room);
            let rest: Vec<Stand> = self.rest_forms(arc, room);
            let own = [self.own(0, arc), self.own(1, arc)];
            let owning = own[0].max(own[1]).max(0.0);
            let mut points: Vec<(f64, f64)> = choices.iter().map(|c| (c.weight, c.value)).collect();
            points.extend(rest.iter().map(|&s| (self.weight(s), self.value(s))));
            let free_useful = rest.iter().any(|&s| self.value(s) + owning * s.fragments() as f64 > self.least_form);
            if choices.is_empty() && !free_useful {
                continue;
            }
            let free_density = points.iter().map(|p| p.1 / p.0).fold(0.0, f64::max);
            self.free_density = self.free_density.max(free_density);
            hulls.push(hull(points));
            self.candidates.push(Candidate { arc, choices, free: free_useful, free_density, own });
        }
        let steepest = |h: &Vec<(f64, f64)>| h.first().map_or(0.0, |s| s.0);
        let mut order: Vec<usize> = (0..self.candidates.len()).collect();
        order.sort_by(|&a, &b| steepest(&hulls[b]).total_cmp(&steepest(&hulls[a])).then(a.cmp(&b)));
        self.candidates = order.iter().map(|&i| self.candidates[i].clone()).collect();
        for (place, &i) in order.iter().enumerate() {
            self.segments.extend(hulls[i].iter().map(|&(density, width)| Segment { place, density, width }));
        }
        self.segments.sort_by(|a, b| b.density.total_cmp(&a.density).then(a.place.cmp(&b.place)));
        self.later_own = vec![[0.0; 2]; self.candidates.len() + 1];
        for i in (0..self.candidates.len()).rev() {
            let later = self.later_own[i + 1];
            self.later_own[i] = [0, 1].map(|leg| later[leg].max(self.candidates[i].own[leg]));
        }
    }

    /// Split forms that take all of the room, if they can.
    fn rest_forms(&self, arc: ArcId, room: f64) -> Vec<Stand> {
        let angle = self.angle(arc);
        let least = self.instance.least_arc(arc);
        let mut forms = Vec::with_capacity(2);
        if self.worth.keep_whole[arc] || angle < 2.0 * least - 1e-9 {
            return forms;
        }
        let one = (room - self.kerf).min(angle - least);
        if one >= least {
            forms.push(Stand { arc, form: Form::Part, angle: one });
        }
        let two = (room - 2.0 * self.kerf).min(angle);
        if two >= 2.0 * least {
            forms.push(Stand { arc, form: Form::Twice, angle: two });
        }
        forms
    }

    /// Patterns of one whole arc that is the item's whole arc and carries both legs.
    fn full_patterns(&mut self, class: usize) {
        for (value, stand, owners) in self.whole_items(class) {
            if value > self.best {
                self.best = value;
                self.keep(&[stand], owners, true);
            }
        }
    }

    /// Each arc that is the item's whole arc with both legs, either way round, and what that is worth.
    fn whole_items(&self, class: usize) -> Vec<(f64, Stand, Owners)> {
        let mut all = Vec::new();
        let item = self.instance.bends[self.kind].angle;
        for arc in ArcId::all(self.instance.arcs.len()) {
            let need = &self.instance.arcs[arc];
            if need.class != class || (need.angle - item).abs() > 2.0 * self.fit || self.worth.must_split[arc] {
                continue;
            }
            let stand = Stand { arc, form: Form::Whole, angle: need.angle };
            for (first, second) in [(Side::In, Side::Out), (Side::Out, Side::In)] {
                let own = |leg: usize, side: Side| self.worth.own[leg][arc][side.index()];
                let value = self.value(stand) + own(0, first) + own(1, second) - self.worth.base;
                all.push((value, stand, [Some((arc, first)), Some((arc, second))]));
            }
        }
        all
    }

    fn keep(&mut self, stands: &[Stand], owners: Owners, full: bool) {
        if self.found.len() >= 8 {
            self.found.remove(0);
        }
        self.found.push(Pattern { kind: self.kind, stands: stands.to_vec(), owners, full });
    }

    /// The most that arcs from place `from` on can add within `room`: the relaxed multiple-choice
    /// knapsack.
    fn bound(&self, from: usize, mut room: f64) -> f64 {
        let mut sum = 0.0;
        for segment in &self.segments {
            if segment.place < from {
                continue;
            }
            if room <= 0.0 {
                break;
            }
            let taken = segment.width.min(room);
            sum += segment.density * taken;
            room -= taken;
        }
        sum
    }

    fn descend(&mut self, place: usize, room: f64, value: f64, own: [f64; 2]) {
        self.nodes += 1;
        self.try_close(room, value, own);
        if place == self.candidates.len() {
            return;
        }
        // What is on the bend already and the best owner of each leg, at most.
        let owning: f64 = (0..2).map(|leg| own[leg].max(self.later_own[place][leg])).sum();
        let most = value + self.bound(place, room) + owning - self.worth.base;
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
            let candidate = self.candidates[place].own;
            let o = [own[0].max(candidate[0]), own[1].max(candidate[1])];
            self.chosen.push(stand);
            self.descend(place + 1, room - weight, value + worth, o);
            self.chosen.pop();
        }
        self.descend(place + 1, room, value, own);
    }

    /// False when branching forbids the stand beside what is chosen, or a second arc would stand twice.
    fn allowed(&self, stand: Stand) -> bool {
        let w = self.worth;
        let whole = |s: &Stand, arc: ArcId| s.arc == arc && s.form == Form::Whole;
        let split = |s: &Stand, arc: ArcId| s.arc == arc && s.form != Form::Whole;
        if stand.form == Form::Twice && self.chosen.iter().any(|s| s.form == Form::Twice) {
            return false;
        }
        let clash = |s: &Stand| {
            w.apart.iter().any(|&(a, b)| (whole(s, a) && whole(&stand, b)) || (whole(s, b) && whole(&stand, a)))
                || w.without
                    .iter()
                    .any(|&(a, b)| (whole(s, a) && split(&stand, b)) || (split(s, b) && whole(&stand, a)))
        };
        if w.apart.is_empty() && w.without.is_empty() { true } else { !self.chosen.iter().any(clash) }
    }

    /// True when every pair that must be together is.
    fn complete(&self, stands: &[Stand]) -> bool {
        let has = |arc: ArcId| stands.iter().any(|s| s.arc == arc);
        self.worth.together.iter().all(|&(a, b)| has(a) == has(b))
            && self.worth.with.iter().all(|&(a, b)| !has(a) || has(b))
    }

    /// The bend with what is chosen, and with one more split arc that takes what is left.
    fn try_close(&mut self, room: f64, value: f64, own: [f64; 2]) {
        let chosen = std::mem::take(&mut self.chosen);
        self.consider(&chosen, value, own, room);
        self.chosen = chosen;
        let owning: f64 = (0..2).map(|leg| own[leg].max(self.later_own[0][leg])).sum();
        let target = self.best + self.worth.base;
        if room <= self.kerf || value + owning + self.free_density * room <= target {
            return;
        }
        for i in 0..self.candidates.len() {
            let candidate = &self.candidates[i];
            let o = [own[0].max(candidate.own[0]), own[1].max(candidate.own[1])];
            let arc = candidate.arc;
            if !candidate.free
                || value + candidate.free_density * room + o[0] + o[1] <= target
                || self.chosen.iter().any(|s| s.arc == arc)
            {
                continue;
            }
            for stand in self.rest_forms(arc, room) {
                if !self.allowed(stand) {
                    continue;
                }
                let v = value + self.value(stand);
                if v + o[0] + o[1] - self.worth.base > self.best {
                    let mut chosen = std::mem::take(&mut self.chosen);
                    chosen.push(stand);
                    self.consider(&chosen, v, o, room - self.weight(stand));
                    chosen.pop();
                    self.chosen = chosen;
                }
            }
        }
    }

    /// Keeps a set of stands with its best owners when it beats the best.
    fn consider(&mut self, stands: &[Stand], value: f64, own: [f64; 2], room: f64) {
        if stands.is_empty()
            || value + own[0].max(0.0) + own[1].max(0.0) - self.worth.base <= self.best + 1e-9
            || !self.complete(stands)
        {
            return;
        }
        let exact = room <= 8.0 * self.fit;
        let Some((owning, owners)) = self.best_owners(stands, if exact { 0.0 } else { self.worth.slack }) else {
            return;
        };
        let total = value + owning - self.worth.base;
        if total > self.best + 1e-9 {
            self.best = total;
            if total > 1e-6 {
                self.keep(stands, owners, false);
            }
        }
    }

    /// The best two fragments for the two legs; `lost` goes off when every leg is carried.
    fn best_owners(&self, stands: &[Stand], lost: f64) -> Option<(f64, Owners)> {
        let sides = [Side::In, Side::Out];
        let loss = |carried: usize| if carried >= self.worth.legs { lost } else { 0.0 };
        let worth = |leg: usize, arc: ArcId, side: Side| self.worth.own[leg][arc][side.index()];
        let mut best: Option<(f64, Owners)> = None;
        let mut offer = |value: f64, owners| {
            if value > f64::NEG_INFINITY && best.is_none_or(|b: (f64, _)| value > b.0) {
                best = Some((value, owners));
            }
        };
        if let Some(twice) = stands.iter().find(|s| s.form == Form::Twice) {
            for (a, b) in [(Side::In, Side::Out), (Side::Out, Side::In)] {
                let value = worth(0, twice.arc, a) + worth(1, twice.arc, b) - loss(2);
                offer(value, [Some((twice.arc, a)), Some((twice.arc, b))]);
            }
            return best;
        }
        offer(-loss(0), [None, None]);
        for a in stands {
            for side_a in sides {
                let worth_a = worth(0, a.arc, side_a);
                offer(worth_a - loss(1), [Some((a.arc, side_a)), None]);
                offer(worth(1, a.arc, side_a) - loss(1), [None, Some((a.arc, side_a))]);
                for b in stands.iter().filter(|b| b.arc != a.arc) {
                    for side_b in sides {
                        let value = worth_a + worth(1, b.arc, side_b) - loss(2);
                        offer(value, [Some((a.arc, side_a)), Some((b.arc, side_b))]);
                    }
                }
            }
        }
        best
    }
}

/// Upper concave hull of worth over weight from nothing on, as steps of falling worth per weight.
fn hull(mut points: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut at = (0.0, 0.0);
    let mut steps = Vec::new();
    loop {
        let slope = |p: &&(f64, f64)| (p.1 - at.1) / (p.0 - at.0);
        let next = points
            .iter()
            .filter(|p| p.0 > at.0 + 1e-12 && p.1 > at.1 + 1e-12)
            .max_by(|a, b| slope(a).total_cmp(&slope(b)).then(a.0.total_cmp(&b.0)));
        let Some(&next) = next else { return steps };
        steps.push(((next.1 - at.1) / (next.0 - at.0), next.0 - at.0));
        at = next;
    }
}
