//! Looks for every explanation of the readings that is nearly as good as the best.
//!
//! Most wrong minima are one point on the wrong side of its neighbours, or one good reading thrown out in place of a bad one
//! of the same point. So from every start each point is tried in the other places that its own distances allow
//! (`place`), and each reading thrown out is swapped for another of its points.

use glam::DVec3;

use super::fit::{Weighing, fit};
use super::network::Network;
use super::place::{Places, local_cost};
use super::snoop::{Hypothesis, score, snoop};
use super::start;

/// How hard to look.
#[derive(Debug, Clone, Copy)]
pub struct SearchSettings {
    /// Seed of the random starts.
    pub seed: u64,
    /// Fewest starts.
    pub least_starts: usize,
    /// Most starts, while no explanation was reached twice.
    pub most_starts: usize,
    /// Score above the best up to which an explanation is kept as a rival.
    pub rival: f64,
}

impl Default for SearchSettings {
    fn default() -> Self {
        SearchSettings { seed: 1, least_starts: 3, most_starts: 16, rival: 8.0 }
    }
}

/// Difference of two distances in mm from which two shapes are not the same.
const SAME_SHAPE: f64 = 3.0;
/// Explanations that are kept during the search.
const POOL: usize = 24;

/// The best explanation first, then its rivals in the order of their scores.
pub fn search(network: &Network, settings: &SearchSettings) -> Vec<Hypothesis> {
    let mut pool = Pool { network, kept: Vec::new(), margin: settings.rival };
    let mut random = start::Random::new(settings.seed.into());
    let mut reached = 0;
    for begun in 0..settings.most_starts.max(1) {
        let found = snoop_robustly(network, started(network, &mut random));
        let (before, score) = (pool.best_score(), found.score);
        pool.add(found);
        if score < before - 0.5 {
            reached = 1;
        } else if score < before + 0.5 {
            reached += 1;
        }
        if begun + 1 >= settings.least_starts && reached >= 2 {
            break;
        }
    }
    pool.improve();
    pool.finish()
}

/// A robust fit from a random start, each point moved to the place that its own readings like best.
fn started(network: &Network, random: &mut start::Random) -> Vec<DVec3> {
    let used = vec![true; network.readings.len()];
    let mut x = start::places(network, random);
    if network.has_levels() {
        let flat: Vec<bool> = network.readings.iter().map(|r| !r.is_level()).collect();
        fit(network, &mut x, Weighing { used: &flat, scale: Some(200.0) }, 25);
        start::stand_up(network, &mut x);
    }
    for scale in [200.0, 20.0] {
        fit(network, &mut x, Weighing { used: &used, scale: Some(scale) }, 30);
    }
    for _ in 0..4 {
        let moved = relocate(network, &mut x);
        fit(network, &mut x, Weighing { used: &used, scale: Some(8.0) }, 20);
        if !moved {
            break;
        }
    }
    fit(network, &mut x, Weighing { used: &used, scale: Some(3.0) }, 25);
    x
}

/// Moves single points to better places of their own, the others held; whether any moved.
fn relocate(network: &Network, x: &mut [DVec3]) -> bool {
    let mut moved = false;
    for p in 0..network.points {
        let now = local_cost(network, x, p);
        let best = Places::of(network, x, p).best();
        if let Some((place, cost)) = best
            && cost < now - 5.0
        {
            x[p] = place;
            moved = true;
        }
    }
    moved
}

/// Snoops from a robust fit: what it leaves far off starts thrown out and may come back.
fn snoop_robustly(network: &Network, x: Vec<DVec3>) -> Hypothesis {
    let used = network.readings.iter().map(|r| r.residual(&x).abs() < 5.0).collect();
    snoop(network, x, used)
}

/// The explanations that were found.
struct Pool<'n> {
    network: &'n Network,
    kept: Vec<Hypothesis>,
    margin: f64,
}

impl Pool<'_> {
    fn best_score(&self) -> f64 {
        self.kept.first().map_or(f64::INFINITY, |h| h.score)
    }

    /// Keeps it unless the same is there already; true when it is the new best by more than a rounding.
    fn add(&mut self, found: Hypothesis) -> bool {
        let before = self.best_score();
        let same = |h: &Hypothesis| h.used == found.used && same_shape(&h.x, &found.x);
        if let Some(twin) = self.kept.iter_mut().find(|h| same(h)) {
            if found.score < twin.score {
                *twin = found;
            }
        } else {
            self.kept.push(found);
        }
        self.kept.sort_by(|a, b| a.score.total_cmp(&b.score));
        self.kept.truncate(POOL);
        self.best_score() < before - 0.01
    }

    /// Tries other places and swaps from the best until nothing better is found.
    fn improve(&mut self) {
        for _ in 0..6 {
            let Some(best) = self.kept.first().cloned() else { return };
            let better = self.try_places(&best) | self.try_swaps(&best);
            if !better {
                return;
            }
        }
    }

    /// Each point in the other places that its distances allow.
    fn try_places(&mut self, from: &Hypothesis) -> bool {
        let mut better = false;
        for p in 0..self.network.points {
            let now = local_cost(self.network, &from.x, p);
            for (place, cost) in Places::of(self.network, &from.x, p).all {
                // The neighbours give way a little when all is fitted again: twice the margin is left for that.
                if place.distance(from.x[p]) > SAME_SHAPE && cost < now + 3.0 * self.margin {
                    let mut x = from.x.clone();
                    x[p] = place;
                    better |= self.add(self.refit(x));
                }
            }
        }
        better
    }

    /// Fits again after a point was moved, robustly at first.
    fn refit(&self, mut x: Vec<DVec3>) -> Hypothesis {
        let network = self.network;
        fit(network, &mut x, Weighing { used: &vec![true; network.readings.len()], scale: Some(3.0) }, 15);
        let used = network.readings.iter().map(|r| r.residual(&x).abs() < 5.0).collect();
        snoop(network, x, used)
    }

    /// Each reading thrown out comes back, alone or with another of the same points going out instead.
    fn try_swaps(&mut self, from: &Hypothesis) -> bool {
        let mut better = false;
        for out in from.slips().collect::<Vec<usize>>() {
            // It may have been right after all.
            let mut used = from.used.clone();
            used[out] = true;
            better |= self.add(score(self.network, from.x.clone(), used));
            let points = self.network.readings[out].points().to_vec();
            let mut others: Vec<usize> = points.iter().flat_map(|p| self.network.of_point[*p].clone()).collect();
            others.sort_unstable();
            others.dedup();
            for other in others.into_iter().filter(|i| from.used[*i]) {
                let mut used = from.used.clone();
                used[out] = true;
                used[other] = false;
                let swapped = score(self.network, from.x.clone(), used);
                if swapped.score < from.score + 4.0 * self.margin {
                    better |= self.add(snoop(self.network, swapped.x.clone(), swapped.used.clone()));
                    better |= self.add(swapped);
                }
            }
        }
        better
    }

    fn finish(mut self) -> Vec<Hypothesis> {
        let limit = self.best_score() + self.margin;
        self.kept.retain(|h| h.score <= limit);
        self.kept
    }
}

/// Whether all distances between points agree.
fn same_shape(a: &[DVec3], b: &[DVec3]) -> bool {
    (0..a.len()).all(|i| (0..i).all(|j| (a[i].distance(a[j]) - b[i].distance(b[j])).abs() < SAME_SHAPE))
}
