//! The order of the runs and their groups for which a torch reaches most.
//!
//! First every run is one group, and the order of the runs is chosen: all orders of up to [`MOST_TRIED`] runs are tried, of more the last
//! run on is the one that is reached best with all others there, and so on to the first. Then, run by run, first pieces are given to the
//! flange and last ones to the collector where that leaves less that is not reached; then the order is chosen again.

use route::torch::{Neighbour, Reach};

/// Most runs of which every order is tried: 720 orders of six.
const MOST_TRIED: usize = 6;

/// What a group at flange or collector costs, in shares of a circumference: less than one place of twelve, so that it is made wherever it
/// helps, and not where it does not.
const GROUP: f64 = 0.02;

/// When a joint is welded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Phase {
    /// On the bench before anything is fitted: the next piece would be in the way.
    Bench,
    /// Off the vehicle again, its group alone on the bench.
    Alone,
    /// Off the vehicle, a group to its flange or collector, before the other runs come on.
    Ends,
    /// Refitted, before the runs that come later.
    Staged,
    /// Refitted, with all runs there.
    Together,
}

/// The groups of a run: pieces before the first number belong to its flange, those from the second on to its collector.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Groups {
    /// Number of pieces.
    pub pieces: usize,
    /// Pieces welded to the flange before the run is put in.
    pub at_flange: usize,
    /// Pieces welded to the collector before the run is put in.
    pub at_collector: usize,
}

/// The groups of a run: its pieces [0, first) belong to the flange, [last, pieces) to the collector.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Split {
    pub pieces: usize,
    pub first: usize,
    pub last: usize,
}

impl Split {
    pub fn groups(&self) -> Groups {
        Groups { pieces: self.pieces, at_flange: self.first, at_collector: self.pieces - self.last }
    }

    /// Whether a joint is where groups meet, or the run and what it is put in between.
    pub fn closing(&self, joint: usize) -> bool {
        joint == self.first || joint == self.last
    }

    /// The group that a piece belongs to, from its first piece to before the second number.
    fn group_of(&self, piece: usize) -> [usize; 2] {
        match piece {
            p if p < self.first => [0, self.first],
            p if p >= self.last => [self.last, self.pieces],
            _ => [self.first, self.last],
        }
    }

    /// The group that a joint within one lies in, or whose end it is.
    fn group_at(&self, joint: usize) -> [usize; 2] {
        self.group_of(joint.min(self.pieces.saturating_sub(1)))
    }

    /// Whether a piece belongs to flange or collector.
    fn at_end(&self, piece: usize) -> bool {
        piece < self.first || piece >= self.last
    }
}

/// Order and groups.
pub(super) struct Work {
    /// Indices of the runs in the order in which they are put in.
    pub order: Vec<usize>,
    /// Groups of each run.
    pub splits: Vec<Split>,
    /// Runs whose inner joints are all reached with everything in place: they are not taken apart again.
    stays: Vec<bool>,
}

impl Work {
    /// Whether a part is there when a joint is welded in a phase.
    pub fn present(&self, phase: Phase, (run, joint): (usize, usize), part: Neighbour) -> bool {
        let Neighbour::Piece { run: other, piece } = part else {
            return matches!(phase, Phase::Ends | Phase::Staged | Phase::Together);
        };
        let earlier = || self.place(other) < self.place(run);
        match phase {
            Phase::Bench => other == run && piece <= joint && piece >= self.splits[run].group_at(joint)[0],
            Phase::Alone => self.in_group(run, joint, part),
            Phase::Ends if other == run => self.in_group(run, joint, part),
            Phase::Ends => self.splits[other].at_end(piece) && earlier(),
            Phase::Staged => other == run || earlier() || self.splits[other].at_end(piece),
            Phase::Together => true,
        }
    }

    /// Whether a part is a piece of the group that a joint lies in.
    pub fn in_group(&self, run: usize, joint: usize, part: Neighbour) -> bool {
        let [from, to] = self.splits[run].group_at(joint);
        matches!(part, Neighbour::Piece { run: other, piece } if other == run && (from..to).contains(&piece))
    }

    fn place(&self, run: usize) -> usize {
        self.order.iter().position(|r| *r == run).unwrap_or(usize::MAX)
    }

    /// When a joint is welded, and the pieces of its run that are one then.
    pub fn phase(&self, reach: &Reach, run: usize, joint: usize) -> (Phase, [usize; 2]) {
        let split = self.splits[run];
        let share = |phase: Phase| reach.share(&|p| self.present(phase, (run, joint), p));
        if split.closing(joint) {
            let together = share(Phase::Together);
            let phase = if together >= share(Phase::Staged) { Phase::Together } else { Phase::Staged };
            return (phase, [0, split.pieces]);
        }
        let group = split.group_at(joint);
        if joint == 0 || joint == split.pieces {
            return (Phase::Ends, group);
        }
        if self.stays[run] {
            return (Phase::Together, [0, split.pieces]);
        }
        if share(Phase::Alone) < 1.0 && share(Phase::Bench) > share(Phase::Alone) {
            return (Phase::Bench, [group[0], joint + 1]);
        }
        (Phase::Alone, group)
    }

    /// What of all welds of a run is not reached, in circumferences.
    fn missed(&self, reaches: &[Option<Reach>], run: usize) -> f64 {
        let welded = reaches.iter().enumerate().filter_map(|(k, r)| Some((k, r.as_ref()?)));
        welded
            .map(|(k, reach)| {
                let (phase, _) = self.phase(reach, run, k);
                1.0 - reach.share(&|p| self.present(phase, (run, k), p))
            })
            .sum()
    }

    fn missed_by_all(&self, reaches: &[Vec<Option<Reach>>]) -> f64 {
        reaches.iter().enumerate().map(|(run, r)| self.missed(r, run)).sum()
    }
}

/// The best order and groups; runs of a lower rank always go in before those of a higher one.
pub(super) fn best(reaches: &[Vec<Option<Reach>>], ranks: &[u8]) -> Work {
    let whole = |r: &Vec<Option<Reach>>| {
        let pieces = r.len().saturating_sub(1);
        Split { pieces, first: 0, last: pieces }
    };
    let stays = |r: &Vec<Option<Reach>>| {
        let inner = r.get(1..r.len().saturating_sub(1)).unwrap_or(&[]);
        inner.iter().flatten().all(|reach| reach.share(&|_| true) >= 1.0)
    };
    let mut work = Work {
        order: (0..reaches.len()).collect(),
        splits: reaches.iter().map(whole).collect(),
        stays: reaches.iter().map(stays).collect(),
    };
    work.order.sort_by_key(|run| ranks[*run]);
    choose_order(&mut work, reaches, ranks);
    for _ in 0..2 {
        for run in 0..reaches.len() {
            choose_split(&mut work, reaches, run);
        }
    }
    choose_order(&mut work, reaches, ranks);
    work
}

fn choose_order(work: &mut Work, reaches: &[Vec<Option<Reach>>], ranks: &[u8]) {
    let orders = if reaches.len() <= MOST_TRIED { permutations(reaches.len()) } else { vec![greedy(reaches)] };
    let mut best = (work.missed_by_all(reaches), work.order.clone());
    for mut order in orders {
        order.sort_by_key(|run| ranks[*run]);
        work.order = order;
        let missed = work.missed_by_all(reaches);
        if missed < best.0 - 1e-9 {
            best = (missed, work.order.clone());
        }
    }
    work.order = best.1;
}

/// All orders, the first as counted.
fn permutations(count: usize) -> Vec<Vec<usize>> {
    let mut out: Vec<Vec<usize>> = vec![Vec::new()];
    for _ in 0..count {
        let longer = |order: &Vec<usize>| {
            let rest: Vec<usize> = (0..count).filter(|k| !order.contains(k)).collect();
            let order = order.clone();
            rest.into_iter().map(move |k| [&order[..], &[k]].concat())
        };
        out = out.iter().flat_map(longer).collect();
    }
    out
}

/// From the last run to the first: the last one on is that whose ends are reached best with those there that are left.
fn greedy(reaches: &[Vec<Option<Reach>>]) -> Vec<usize> {
    let mut left: Vec<usize> = (0..reaches.len()).collect();
    let mut order = Vec::new();
    while !left.is_empty() {
        let there = |p: Neighbour| !matches!(p, Neighbour::Piece { run, .. } if !left.contains(&run));
        let share = |run: usize| {
            let ends = [reaches[run].first(), reaches[run].last()];
            ends.into_iter().flatten().map(|r| r.as_ref().map_or(1.0, |r| r.share(&there))).sum::<f64>()
        };
        let last = left.iter().copied().reduce(|best, run| if share(run) >= share(best) { run } else { best });
        let Some(last) = last else { break };
        left.retain(|r| *r != last);
        order.push(last);
    }
    order.reverse();
    order
}

fn choose_split(work: &mut Work, reaches: &[Vec<Option<Reach>>], run: usize) {
    let pieces = work.splits[run].pieces;
    let cost = |work: &Work| {
        let split = work.splits[run];
        let ends = usize::from(split.first > 0) + usize::from(split.last < pieces);
        // More pieces at an end are more to hold there.
        let many = 0.001 * (split.first + pieces - split.last) as f64;
        work.missed_by_all(reaches) + GROUP * ends as f64 + many
    };
    let mut best = (f64::INFINITY, work.splits[run]);
    // The whole run first: it stands where nothing is better.
    let welded = |k: usize| reaches[run].get(k).is_some_and(Option::is_some);
    for first in 0..pieces.max(1) {
        for last in (first.max(1)..=pieces).rev() {
            // Only what is welded at its end can be a group there.
            if (first > 0 && !welded(0)) || (last < pieces && !welded(pieces)) {
                continue;
            }
            work.splits[run] = Split { pieces, first, last };
            let cost = cost(work);
            if cost < best.0 - 1e-9 {
                best = (cost, work.splits[run]);
            }
        }
    }
    work.splits[run] = best.1;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_orders_of_three_are_six() {
        let all = permutations(3);
        assert_eq!((all.len(), &all[0][..]), (6, &[0, 1, 2][..]));
        assert!(all.iter().all(|o| (0..3).all(|k| o.contains(&k))));
    }

    #[test]
    fn joints_belong_to_the_group_downstream_of_them_or_end_it() {
        let split = Split { pieces: 5, first: 1, last: 4 };
        assert_eq!([0, 1, 2, 4, 5].map(|k| split.group_at(k)), [[0, 1], [1, 4], [1, 4], [4, 5], [4, 5]]);
        assert!(split.closing(1) && split.closing(4) && !split.closing(0) && !split.closing(5));
    }
}
