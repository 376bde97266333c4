//! Which run goes to which inlet.
//!
//! Every assignment that the job allows is listed once (up to a limit, in an order shuffled by the seed); the
//! pick then chooses among them. Cells without a route alone are left out: a run without any cell, or a set of
//! runs with too few inlets between them, names the cause at once.

use std::collections::BTreeSet;

use job::routes::RunId;
use oorandom::Rand64;

use crate::problem::RoutingProblem;

/// Most assignments listed: enough for all of 7 runs; beyond, a sample.
const MOST: usize = 6000;

/// The assignments (one end index per run) allowed by the job among the open cells.
///
/// `open[run][end]` says which cells may be used. Empty when there is none.
pub fn assignments(problem: &RoutingProblem, open: &[Vec<bool>], seed: u64) -> Vec<Vec<usize>> {
    let mut order: Vec<usize> = (0..problem.runs.len()).collect();
    order.sort_by_key(|&r| open[r].iter().filter(|o| **o).count());
    let mut walk = Walk {
        problem,
        open,
        order,
        chosen: vec![usize::MAX; problem.runs.len()],
        taken: BTreeSet::new(),
        found: Vec::new(),
        rng: Rand64::new(seed as u128 | 1 << 70),
        left: 400_000,
    };
    walk.deeper(0);
    walk.found
}

struct Walk<'a> {
    problem: &'a RoutingProblem,
    open: &'a [Vec<bool>],
    order: Vec<usize>,
    chosen: Vec<usize>,
    taken: BTreeSet<(usize, usize)>,
    found: Vec<Vec<usize>>,
    rng: Rand64,
    left: usize,
}

impl Walk<'_> {
    fn deeper(&mut self, depth: usize) {
        if self.found.len() >= MOST || self.left == 0 {
            return;
        }
        self.left -= 1;
        let Some(&run) = self.order.get(depth) else {
            if allowed(self.problem, &self.chosen) {
                self.found.push(self.chosen.clone());
            }
            return;
        };
        let mut ends: Vec<usize> = (0..self.problem.runs[run].ends.len()).filter(|&e| self.open[run][e]).collect();
        for i in (1..ends.len()).rev() {
            ends.swap(i, self.rng.rand_range(0..i as u64 + 1) as usize);
        }
        for end in ends {
            let e = &self.problem.runs[run].ends[end];
            let cell = e.collector.map(|c| (c, e.inlet));
            if cell.is_some_and(|c| !self.taken.insert(c)) {
                continue;
            }
            self.chosen[run] = end;
            if partly_allowed(self.problem, &self.chosen) {
                self.deeper(depth + 1);
            }
            self.chosen[run] = usize::MAX;
            if let Some(c) = cell {
                self.taken.remove(&c);
            }
        }
    }
}

/// Cylinders by inlet of each collector; unassigned runs are left out.
fn by_inlet(problem: &RoutingProblem, chosen: &[usize], collector: usize) -> Vec<(usize, u32)> {
    let mut here: Vec<(usize, u32)> = Vec::new();
    for (run, &end) in problem.runs.iter().zip(chosen) {
        let RunId::Primary { cylinder } = run.id else { continue };
        if let Some(e) = run.ends.get(end).filter(|e| e.collector == Some(collector)) {
            here.push((e.inlet, cylinder));
        }
    }
    here.sort_unstable();
    here
}

/// Whether a whole assignment follows rotation and groups.
pub fn allowed(problem: &RoutingProblem, chosen: &[usize]) -> bool {
    (0..problem.seats.len()).all(|c| {
        let seat = &problem.seats[c];
        let here = by_inlet(problem, chosen, c);
        let around: Vec<u32> = here.iter().map(|h| h.1).collect();
        let turns = seat.rotation.is_empty() || job::firing::follows(&seat.rotation, &around).unwrap_or(true);
        turns && divided(seat, &here)
    }) && partly_allowed(problem, chosen)
}

/// Whether a part of an assignment can still follow the groups of divided entries.
fn partly_allowed(problem: &RoutingProblem, chosen: &[usize]) -> bool {
    problem
        .seats
        .iter()
        .enumerate()
        .all(|(c, seat)| seat.twin.is_empty() || divided(seat, &by_inlet(problem, chosen, c)))
}

/// Whether each half of the inlets takes cylinders of one group only, and the halves differ.
fn divided(seat: &crate::problem::Seat, here: &[(usize, u32)]) -> bool {
    if seat.twin.is_empty() {
        return true;
    }
    let group = |cylinder: u32| seat.twin.iter().position(|g| g.contains(&cylinder));
    let of = |first: bool| {
        let side = here.iter().filter(|h| (h.0 <= seat.inlets / 2) == first).map(|h| group(h.1));
        side.collect::<BTreeSet<_>>()
    };
    let (first, second) = (of(true), of(false));
    first.len() <= 1 && second.len() <= 1 && first.is_disjoint(&second)
}
