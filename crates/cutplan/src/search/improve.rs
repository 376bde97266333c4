//! Simulated annealing over packings.
//!
//! A move shifts, swaps, splits or joins arcs, or opens, closes or changes bends; every packing is
//! decoded as a whole. Method: Kirkpatrick, Gelatt and Vecchi, "Optimization by Simulated
//! Annealing", Science 220 (1983) 671-680.

use crate::bound::pricing::{Form, Pattern, Stand};
use crate::instance::Instance;
use crate::search::decode::{Decoder, MISSING, Score};
use crate::search::packing::{Bin, Packing};
use crate::search::random::Random;
use crate::solution::Solution;

/// A packing with its score.
#[derive(Debug, Clone)]
pub(crate) struct Scored {
    pub packing: Packing,
    pub score: Score,
    /// The plan itself where it is not what the packing decodes to.
    pub solution: Option<Solution>,
}

/// Heats to begin at, in the price of a piece or a bend: the first crosses from one good plan to another, the second
/// keeps one plan and repairs it. Either alone ends at a higher cost than both by turns on some of eight to twelve runs.
pub(crate) const HOT: [f64; 2] = [0.25, 0.12];

/// One search; may be run on for more steps.
pub(crate) struct Search<'a> {
    /// Heat that annealing begins at.
    pub hot: f64,
    pub instance: &'a Instance,
    pub decoder: Decoder<'a>,
    random: Random,
    pub best: Option<Scored>,
    kinds_of: Vec<Vec<usize>>,
    /// Steps spent so far.
    pub spent: u64,
}

impl<'a> Search<'a> {
    pub fn new(instance: &'a Instance, seed: u64) -> Self {
        let kinds_of = (0..instance.classes.len())
            .map(|c| (0..instance.bends.len()).filter(|&k| instance.bends[k].class == c).collect())
            .collect();
        let decoder = Decoder::new(instance);
        Search { hot: HOT[0], instance, decoder, random: Random::new(seed), best: None, kinds_of, spent: 0 }
    }

    /// Tries a packing as it is.
    pub fn offer(&mut self, packing: &Packing) -> Option<Score> {
        self.spent += self.decoder.steps();
        let score = self.decoder.evaluate(packing)?;
        if self.best.as_ref().is_none_or(|b| score.better_than(&b.score)) {
            self.best = Some(Scored { packing: packing.clone(), score, solution: None });
        }
        Some(score)
    }

    /// First packings: largest first where they fit; where the stock is short also filled bends in
    /// many orders, until everything has a place.
    pub fn begin(&mut self) -> Packing {
        let mut packing = Packing::first_fit(self.instance);
        let mut arcs: Vec<usize> = (0..self.instance.arcs.len()).collect();
        let mut best = self.offer(&packing).map(|s| s.cost);
        for _ in 0..200 {
            if best.is_some_and(|cost| cost < MISSING) {
                break;
            }
            let filled = Packing::filled(self.instance, &arcs);
            if let Some(score) = self.offer(&filled)
                && best.is_none_or(|b| score.cost < b)
            {
                best = Some(score.cost);
                packing = filled;
            }
            for i in (1..arcs.len()).rev() {
                arcs.swap(i, self.random.below(i + 1));
            }
        }
        packing
    }

    /// Anneals from a packing for about `steps` steps; stops early when the best cost is at most
    /// `enough`.
    pub fn anneal(&mut self, start: &Packing, steps: u64, enough: i64) {
        let Some(mut score) = self.offer(start) else { return };
        let mut now = start.clone();
        let unit = (self.instance.joint + self.instance.cut).max(self.cheapest_bend()).max(1) as f64;
        let begin = self.spent;
        let (hot, cold) = (self.hot * unit, 0.015 * unit);
        let mut try_packing = now.clone();
        while self.spent - begin < steps {
            if self.best.as_ref().is_some_and(|b| b.score.cost <= enough) {
                return;
            }
            let done = (self.spent - begin) as f64 / steps as f64;
            let heat = hot * (cold / hot).powf(done);
            try_packing.clone_from(&now);
            self.spent += 1;
            if !self.change(&mut try_packing) {
                continue;
            }
            let Some(new) = self.offer(&try_packing) else { continue };
            let waste = (new.stock - score.stock) - 1e-3 * (new.offcut - score.offcut);
            let worse = (new.cost - score.cost) as f64 + 1e-3 * unit * waste.clamp(-50.0, 50.0);
            if worse <= 0.0 || self.random.unit() < (-worse / heat).exp() {
                std::mem::swap(&mut now, &mut try_packing);
                score = new;
            }
        }
    }

    /// Tries a packing made of patterns of a relaxation, the most used first; arcs that are left
    /// go where they fit. Returns the packing.
    pub fn offer_patterns(&mut self, patterns: &[(f64, Pattern)]) -> Option<Packing> {
        let instance = self.instance;
        let order = self.best.as_ref().map(|b| b.packing.order.clone())?;
        self.spent += self.decoder.steps();
        if let Some((score, solution)) = self.decoder.evaluate_patterns(patterns, &order)
            && let Some(best) = self.best.as_mut().filter(|b| score.better_than(&b.score))
        {
            // The best packing so far stays to search on from.
            best.score = score;
            best.solution = Some(solution);
        }
        let mut packing = Packing { bins: Vec::new(), order };
        let mut whole = vec![false; instance.arcs.len()];
        let mut parts = vec![0.0; instance.arcs.len()];
        for (_, pattern) in patterns {
            let taken = |s: &Stand| whole[s.arc] || (parts[s.arc] > 0.0 && s.form == Form::Whole);
            if pattern.stands.is_empty() || pattern.stands.iter().any(taken) {
                continue;
            }
            let mut bin = Bin::new(pattern.kind.0);
            for stand in &pattern.stands {
                bin.push(stand.arc.0);
                if stand.form == Form::Whole {
                    whole[stand.arc] = true;
                } else {
                    parts[stand.arc] += stand.angle;
                }
            }
            packing.bins.push(bin);
        }
        for arc in 0..instance.arcs.len() {
            if !whole[arc] && parts[arc] < instance.arcs[arc].angle {
                if parts[arc] > 0.0 {
                    packing.bins.iter_mut().for_each(|b| b.remove(arc));
                }
                self.insert(&mut packing, arc);
            }
        }
        Self::tidy(&mut packing);
        self.offer(&packing).map(|_| packing)
    }

    /// Puts an arc onto the bend with least room that holds it, or onto a new one.
    fn insert(&mut self, packing: &mut Packing, arc: usize) {
        let need = &self.instance.arcs[arc];
        let class = self.instance.classes[need.class];
        let mut best: Option<(f64, usize)> = None;
        for (b, bin) in packing.bins.iter().enumerate() {
            let kind = &self.instance.bends[bin.kind as usize];
            if kind.class != need.class || bin.arcs().contains(&(arc as u16)) {
                continue;
            }
            let taken: f64 = bin.arcs().iter().map(|&a| self.share(packing, a as usize) + class.kerf).sum();
            let room = kind.angle - taken - need.angle;
            if room >= -class.fit && best.is_none_or(|b| room < b.0) {
                best = Some((room, b));
            }
        }
        match best {
            Some((_, b)) => drop(packing.bins[b].push(arc)),
            None => {
                let fitting = |k: &&usize| self.instance.bends[**k].angle + class.fit >= need.angle;
                let kinds = &self.kinds_of[need.class];
                let kind = kinds.iter().filter(fitting).min_by_key(|k| self.instance.bends[**k].price);
                let mut bin = Bin::new(*kind.unwrap_or(&kinds[0]));
                bin.push(arc);
                packing.bins.push(bin);
            }
        }
    }

    /// Gives a bend the cheapest kind that holds its arcs, or sometimes any that does.
    fn refit(&mut self, packing: &mut Packing, b: usize) {
        let Some(bin) = packing.bins.get(b).copied().filter(|b| !b.arcs().is_empty()) else { return };
        let class = self.instance.bends[bin.kind as usize].class;
        let kerf = self.instance.classes[class].kerf;
        let taken: f64 = bin.arcs().iter().map(|&a| self.share(packing, a as usize) + kerf).sum();
        let need = taken - kerf - self.instance.classes[class].fit;
        let any = self.random.below(3) == 0;
        let mut best: Option<(i64, usize)> = None;
        for i in 0..self.kinds_of[class].len() {
            let k = self.kinds_of[class][i];
            let kind = &self.instance.bends[k];
            let used = || packing.bins.iter().filter(|o| o.kind as usize == k).count();
            if kind.angle < need || (k != bin.kind as usize && kind.count.is_some_and(|c| c as usize <= used())) {
                continue;
            }
            let key = if any { self.random.below(1000) as i64 } else { kind.price };
            if best.is_none_or(|b| key < b.0) {
                best = Some((key, k));
            }
        }
        if let Some((_, k)) = best {
            packing.bins[b].kind = k as u16;
        }
    }

    fn cheapest_bend(&self) -> i64 {
        self.instance.bends.iter().map(|b| b.price).filter(|&p| p > 0).min().unwrap_or(1)
    }

    /// A random change; false when it came to nothing.
    fn change(&mut self, packing: &mut Packing) -> bool {
        if self.instance.arcs.is_empty() {
            return self.reorder(packing);
        }
        match self.random.below(16) {
            0..=3 => self.shift(packing),
            4..=7 => self.swap(packing),
            8 => self.open(packing),
            9 | 10 => self.split(packing),
            11 => self.join(packing),
            12 => self.change_kind(packing),
            13 => self.close(packing),
            _ => self.reorder(packing),
        }
    }

    fn bins_with(packing: &Packing, arc: usize) -> Vec<usize> {
        (0..packing.bins.len()).filter(|&b| packing.bins[b].arcs().contains(&(arc as u16))).collect()
    }

    fn random_arc(&mut self) -> usize {
        self.random.below(self.instance.arcs.len())
    }

    /// A bend of the arc's class that does not hold it.
    fn other_bin(&mut self, packing: &Packing, arc: usize) -> Option<usize> {
        let class = self.instance.arcs[arc].class;
        for _ in 0..6 {
            let b = self.random.below(packing.bins.len());
            let bin = &packing.bins[b];
            if self.instance.bends[bin.kind as usize].class == class && !bin.arcs().contains(&(arc as u16)) {
                return Some(b);
            }
        }
        None
    }

    fn tidy(packing: &mut Packing) {
        packing.bins.retain(|b| !b.arcs().is_empty());
    }

    fn shift(&mut self, packing: &mut Packing) -> bool {
        let arc = self.random_arc();
        let Some(to) = self.other_bin(packing, arc) else { return false };
        let from = Self::bins_with(packing, arc);
        let from = from[self.random.below(from.len())];
        packing.bins[from].remove(arc);
        let placed = packing.bins[to].push(arc);
        self.refit_two(packing, from, to);
        Self::tidy(packing);
        placed
    }

    /// Where there are several kinds, two bends that changed mostly change kind too.
    fn refit_two(&mut self, packing: &mut Packing, a: usize, b: usize) {
        let class = self.instance.bends[packing.bins[b].kind as usize].class;
        if self.kinds_of[class].len() > 1 && self.random.below(4) > 0 {
            self.refit(packing, a);
            self.refit(packing, b);
        }
    }

    fn swap(&mut self, packing: &mut Packing) -> bool {
        let a = self.random_arc();
        let Some(to) = self.other_bin(packing, a) else { return false };
        let held = packing.bins[to].arcs();
        if held.is_empty() {
            return false;
        }
        let b = held[self.random.below(held.len())] as usize;
        let from = Self::bins_with(packing, a);
        let from = from[self.random.below(from.len())];
        packing.bins[from].remove(a);
        packing.bins[to].remove(b);
        let mut placed = packing.bins[to].push(a) && packing.bins[from].push(b);
        // Sometimes a second arc goes along.
        if placed && self.random.below(3) == 0 {
            let held = packing.bins[from].arcs();
            let c = held[self.random.below(held.len())] as usize;
            if c != b {
                packing.bins[from].remove(c);
                placed = packing.bins[to].push(c);
            }
        }
        self.refit_two(packing, from, to);
        Self::tidy(packing);
        placed
    }

    fn random_kind(&mut self, class: usize) -> usize {
        let kinds = &self.kinds_of[class];
        kinds[self.random.below(kinds.len())]
    }

    /// One or two arcs onto a new bend.
    fn open(&mut self, packing: &mut Packing) -> bool {
        let arc = self.random_arc();
        let class = self.instance.arcs[arc].class;
        let mut bin = Bin::new(self.random_kind(class));
        let from = Self::bins_with(packing, arc);
        let from = from[self.random.below(from.len())];
        packing.bins[from].remove(arc);
        bin.push(arc);
        if self.random.below(2) == 0 {
            let second = self.random_arc();
            if second != arc && self.instance.arcs[second].class == class {
                for b in Self::bins_with(packing, second) {
                    packing.bins[b].remove(second);
                }
                bin.push(second);
            }
        }
        packing.bins.push(bin);
        self.refit_two(packing, from, packing.bins.len() - 1);
        Self::tidy(packing);
        true
    }

    fn split(&mut self, packing: &mut Packing) -> bool {
        let arc = self.random_arc();
        let Some(to) = self.other_bin(packing, arc) else { return false };
        let placed = packing.bins[to].push(arc);
        // Splitting pays when it lets something else in: sometimes shift another arc at once.
        if placed && self.random.below(2) == 0 {
            return self.shift(packing);
        }
        placed
    }

    fn join(&mut self, packing: &mut Packing) -> bool {
        let arc = self.random_arc();
        let at = Self::bins_with(packing, arc);
        if at.len() < 2 {
            return false;
        }
        packing.bins[at[self.random.below(at.len())]].remove(arc);
        Self::tidy(packing);
        true
    }

    fn change_kind(&mut self, packing: &mut Packing) -> bool {
        let b = self.random.below(packing.bins.len());
        let class = self.instance.bends[packing.bins[b].kind as usize].class;
        let kind = self.random_kind(class) as u16;
        let changed = packing.bins[b].kind != kind;
        packing.bins[b].kind = kind;
        changed
    }

    /// Takes one bend away and gives its arcs to the others, in two parts where need be.
    fn close(&mut self, packing: &mut Packing) -> bool {
        let gone = packing.bins.swap_remove(self.random.below(packing.bins.len()));
        for &arc in gone.arcs() {
            let arc = arc as usize;
            if !Self::bins_with(packing, arc).is_empty() {
                continue;
            }
            let need = &self.instance.arcs[arc];
            let class = self.instance.classes[need.class];
            let mut rooms: Vec<(f64, usize)> = Vec::new();
            for (b, bin) in packing.bins.iter().enumerate() {
                let kind = &self.instance.bends[bin.kind as usize];
                if kind.class == need.class {
                    let taken: f64 = bin.arcs().iter().map(|&a| self.share(packing, a as usize) + class.kerf).sum();
                    rooms.push((kind.angle - taken, b));
                }
            }
            let fitting: Vec<usize> = rooms.iter().filter(|r| r.0 + class.fit >= need.angle).map(|r| r.1).collect();
            if !fitting.is_empty() {
                let to = fitting[self.random.below(fitting.len())];
                if !packing.bins[to].push(arc) {
                    return false;
                }
                continue;
            }
            rooms.sort_by(|a, b| b.0.total_cmp(&a.0));
            let (Some(a), Some(b)) = (rooms.first(), rooms.get(1 + self.random.below(2))) else { return false };
            if !(packing.bins[a.1].push(arc) && packing.bins[b.1].push(arc)) {
                return false;
            }
        }
        Self::tidy(packing);
        !packing.bins.is_empty()
    }

    /// About how much of an arc stands on each of its bends, rad.
    fn share(&self, packing: &Packing, arc: usize) -> f64 {
        let parts = packing.bins.iter().filter(|b| b.arcs().contains(&(arc as u16))).count().max(1);
        self.instance.arcs[arc].angle / parts as f64
    }

    fn reorder(&mut self, packing: &mut Packing) -> bool {
        let n = packing.order.len();
        if n < 2 {
            return false;
        }
        let a = self.random.below(n);
        let b = self.random.below(n);
        let moved = packing.order.remove(a);
        packing.order.insert(b, moved);
        a != b
    }
}
