//! Picking one pool entry for each run so that they go together.
//!
//! The price of a pick is the sum of the entries' scores and of what each pair overlaps, seen on coarse points;
//! for a given assignment of inlets it is lowered by coordinate descent from a random pick.

use geom::Vec3;
use oorandom::Rand64;
use rayon::prelude::*;

use super::assign::assignments;
use super::pool::{Entry, Pool};
use super::state::State;
use crate::problem::RoutingProblem;

/// Price of a millimetre of overlap at one coarse point.
const OVERLAP_PRICE: f64 = 0.02;

/// What a millimetre by which two lengths are too uneven weighs, in millimetres of overlap.
const UNEVEN: f64 = 1.0;

/// Most assignments that are picked for, the most promising by their runs' scores alone.
const MOST_ASSIGNMENTS: usize = 320;

/// Assignments that get more than one pick.
const PICKED_AGAIN: usize = 24;

/// Picks for all promising assignments, the cheapest first.
pub struct Picks {
    list: Vec<State>,
    next: usize,
    /// Whether any assignment is allowed among the cells with a clean route; where none is the picks are of the
    /// nearest misses.
    pub assignable: bool,
}

impl Picks {
    /// Picks from `pool`. Runs that are locked stay as they are in `blank`.
    pub fn new(problem: &RoutingProblem, blank: &State, pool: &Pool, seed: u64) -> Self {
        let table = OverlapTable::new(problem, pool);
        let free = |r: usize| problem.runs[r].locked.is_none();
        let open = |cell: &dyn Fn(usize, usize) -> bool| -> Vec<Vec<bool>> {
            let ends = |r: usize| (0..problem.runs[r].ends.len()).map(move |e| !free(r) || cell(r, e));
            (0..problem.runs.len()).map(|r| ends(r).collect()).collect()
        };
        let mut all = assignments(problem, &open(&|r, e| pool.clean(r, e)), seed);
        let assignable = !all.is_empty();
        if !assignable {
            all = assignments(problem, &open(&|r, e| table.cell_score(r, e).is_finite()), seed);
        }
        let alone = |a: &[usize]| -> f64 {
            a.iter().enumerate().filter(|(r, _)| free(*r)).map(|(r, &e)| table.cell_score(r, e)).sum()
        };
        let mut ranked: Vec<(f64, &Vec<usize>)> = all.iter().map(|a| (alone(a), a)).collect();
        ranked.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(b.1)));
        ranked.truncate(MOST_ASSIGNMENTS);
        let mut picked: Vec<(f64, Vec<usize>)> = ranked
            .par_iter()
            .enumerate()
            .flat_map_iter(|(i, (_, assignment))| {
                let wanted: Vec<Option<usize>> =
                    assignment.iter().enumerate().map(|(r, &e)| free(r).then_some(e)).collect();
                let mut rng = Rand64::new((seed as u128) << 64 | (i as u128) << 8 | 3);
                let picks = if i < PICKED_AGAIN { 4 } else { 1 };
                (0..picks).map(|p| table.pick(&wanted, &mut rng, if p == 0 { 4 } else { 1 })).collect::<Vec<_>>()
            })
            .collect();
        picked.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
        picked.dedup();
        let list = picked.iter().map(|(_, pick)| table.state(problem, blank, pick)).collect();
        Picks { list, next: 0, assignable }
    }

    /// The next `count` picks; fewer at the end.
    pub fn take(&mut self, count: usize) -> Vec<State> {
        let until = (self.next + count).min(self.list.len());
        let taken = self.list[self.next..until].to_vec();
        self.next = until;
        taken
    }
}

/// Pool entries numbered through, with the overlap of each pair.
struct OverlapTable<'a> {
    entries: Vec<&'a Entry>,
    /// Entry numbers by run and end.
    cells: Vec<Vec<Vec<usize>>>,
    overlap: Vec<f32>,
}

impl<'a> OverlapTable<'a> {
    /// Numbers the entries and measures every pair of different runs.
    fn new(problem: &RoutingProblem, pool: &'a Pool) -> Self {
        let mut entries: Vec<&Entry> = Vec::new();
        let mut cells = Vec::new();
        for row in &pool.rows {
            // Runs with many ends keep fewer entries in each: the table grows with the square.
            let most = (64 / row.len().max(1)).clamp(3, 12);
            let mut ends = Vec::new();
            for cell in row {
                let from = entries.len();
                entries.extend(cell.iter().take(most));
                ends.push((from..entries.len()).collect());
            }
            cells.push(ends);
        }
        let n = entries.len();
        let rows: Vec<Vec<f32>> = (0..n)
            .into_par_iter()
            .map(|a| (0..a).map(|b| overlap(problem, entries[a], entries[b])).collect())
            .collect();
        let mut table = vec![0.0; n * n];
        for (a, row) in rows.into_iter().enumerate() {
            for (b, v) in row.into_iter().enumerate() {
                table[a * n + b] = v;
                table[b * n + a] = v;
            }
        }
        OverlapTable { entries, cells, overlap: table }
    }

    /// The best score alone of each cell, infinite where it is empty.
    fn cell_score(&self, run: usize, end: usize) -> f64 {
        self.cells[run][end].first().map_or(f64::INFINITY, |&e| self.entries[e].score)
    }

    /// The state of a pick: what its entries are alone, the lengths to be even about in their middle.
    fn state(&self, problem: &RoutingProblem, blank: &State, pick: &[usize]) -> State {
        let mut state = blank.clone();
        let entries: Vec<&Entry> = pick.iter().filter(|&&e| e != usize::MAX).map(|&e| self.entries[e]).collect();
        for e in &entries {
            state.runs[e.run] = e.rs.clone();
        }
        for w in 0..3 {
            let lengths = entries.iter().filter(|e| problem.runs[e.run].wanted == w).map(|e| e.length);
            let (low, high) = lengths.fold((f64::INFINITY, 0.0_f64), |(l, h), x| (l.min(x), h.max(x)));
            state.mids[w] = if low.is_finite() { 0.5 * (low + high) } else { 0.0 };
        }
        state
    }

    /// The cheapest pick found for `assignment` from `tries` random starts, and its price: an entry's number for each
    /// run, `usize::MAX` for runs that are not assigned.
    fn pick(&self, assignment: &[Option<usize>], rng: &mut Rand64, tries: usize) -> (f64, Vec<usize>) {
        let n = self.entries.len();
        let choices: Vec<&[usize]> =
            assignment.iter().enumerate().map(|(r, a)| a.map_or(&[][..], |e| &self.cells[r][e][..])).collect();
        let mut best = (f64::INFINITY, vec![usize::MAX; choices.len()]);
        for _ in 0..tries {
            let mut pick: Vec<usize> = choices
                .iter()
                .map(|c| if c.is_empty() { usize::MAX } else { c[rng.rand_range(0..c.len() as u64) as usize] })
                .collect();
            let price_of = |pick: &[usize], run: usize, e: usize| {
                let others = pick.iter().enumerate().filter(|(r, o)| *r != run && **o != usize::MAX);
                self.entries[e].score
                    + others.map(|(_, &o)| self.overlap[e * n + o] as f64).sum::<f64>() * OVERLAP_PRICE
            };
            for _ in 0..8 {
                let before = pick.clone();
                for run in 0..choices.len() {
                    let lowest = choices[run]
                        .iter()
                        .map(|&e| (price_of(&pick, run, e), e))
                        .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
                    if let Some((_, e)) = lowest {
                        pick[run] = e;
                    }
                }
                if pick == before {
                    break;
                }
            }
            let mut price = 0.0;
            for (a, &e) in pick.iter().enumerate().filter(|(_, e)| **e != usize::MAX) {
                price += self.entries[e].score;
                let later = pick[a + 1..].iter().filter(|o| **o != usize::MAX);
                price += later.map(|&o| self.overlap[e * n + o] as f64).sum::<f64>() * OVERLAP_PRICE;
            }
            if price < best.0 {
                best = (price, pick);
            }
        }
        best
    }
}

/// Sum over the coarse points of `a` of how much too close each is to `b`, mm.
fn overlap(problem: &RoutingProblem, a: &Entry, b: &Entry) -> f32 {
    if a.run == b.run {
        return 0.0;
    }
    let (ra, rb) = (&problem.runs[a.run], &problem.runs[b.run]);
    let (ea, eb) = (&ra.ends[a.rs.end], &rb.ends[b.rs.end]);
    let need = ra.radius + rb.radius + problem.tube_gap;
    let meets = |x: Option<usize>, y: Option<usize>| x.is_some() && x == y;
    // Near a collector that both touch, the coarse look is blind.
    let zone = |e: &Entry, from_end: bool, stub: f64| {
        let step = e.length / (e.coarse.len() - 1) as f64;
        let skip = ((stub + 1.5 * 2.0 * ra.radius.max(rb.radius)) / step).ceil() as usize;
        let n = e.coarse.len();
        if from_end { 0..n.saturating_sub(skip) } else { skip.min(n)..n }
    };
    let (mut range_a, mut range_b) = (0..a.coarse.len(), 0..b.coarse.len());
    if meets(ea.collector, eb.collector) {
        range_a = zone(a, true, ea.stub);
        range_b = zone(b, true, eb.stub);
    } else if meets(ea.collector, rb.leaves) {
        range_a = zone(a, true, ea.stub);
    } else if meets(ra.leaves, eb.collector) {
        range_b = zone(b, true, eb.stub);
    }
    // Neighbours that both bend too late run side by side too long.
    let neighbours = meets(ea.collector, eb.collector) && (ea.at - eb.at).length() < need;
    let mut sum = if neighbours { 2.0 * a.late.min(b.late).max(0.0) } else { 0.0 };
    let wanted = &problem.length_targets[ra.wanted];
    if ra.wanted == rb.wanted && wanted.target.is_none() {
        sum += UNEVEN * ((a.length - b.length).abs() - wanted.tolerance).max(0.0);
    }
    for p in &a.coarse[range_a] {
        let near =
            b.coarse[range_b.clone()].iter().map(|q: &Vec3| (*p - *q).length_squared()).fold(f64::INFINITY, f64::min);
        if near < need * need {
            sum += need - near.sqrt();
        }
    }
    sum as f32
}
