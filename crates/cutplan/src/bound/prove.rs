//! Branching on the relaxation until the bound meets the best plan, or the budget is spent.
//!
//! Sums that must be whole numbers are branched on: bends of each kind, sticks, pieces, then what
//! touches single arcs and straights, then pairs of arcs on one bend (D. M. Ryan and B. A. Foster,
//! "An integer programming approach to scheduling", in: Computer Scheduling of Public Transport
//! (1981) 269-280). The open node with the least bound is taken next.

use crate::bound::master::Master;
use crate::instance::Instance;
use crate::solution::Solution;

/// An open node.
struct Node<'a> {
    master: Master<'a>,
    bound: i64,
    /// Nothing is left to branch on.
    closed: bool,
}

/// The proof in progress.
pub(crate) struct Proof<'a> {
    instance: &'a Instance,
    open: Vec<Node<'a>>,
    /// All costs are multiples of this above the base, thousandths.
    grain: i64,
    /// The best cost known, thousandths.
    pub known: i64,
    /// Steps spent.
    pub spent: u64,
    /// Nodes relaxed.
    pub nodes: u64,
    /// The gap at which listing patterns last failed, in units of money.
    wide: f64,
    /// Bound of nodes that could not be branched further.
    stuck: i64,
}

/// Open nodes kept at once; each holds an inverse of up to 1 MB. Beyond it the proof stops.
const MOST_OPEN: usize = 400;

impl<'a> Proof<'a> {
    /// Relaxes the root. `known` is the cost of `start`.
    pub fn new(instance: &'a Instance, start: &Solution, known: i64, steps: u64) -> Self {
        let mut proof = Proof {
            instance,
            open: Vec::new(),
            grain: grain(instance),
            known,
            spent: 0,
            nodes: 0,
            wide: f64::INFINITY,
            stuck: i64::MAX,
        };
        let master = Master::new(instance, start, known);
        proof.add(master, steps, 0);
        proof
    }

    /// No plan costs less than this.
    pub fn bound(&self) -> i64 {
        self.open.iter().map(|n| n.bound).min().unwrap_or(i64::MAX).min(self.stuck).min(self.known)
    }

    /// The cost to which the bound of a relaxation rounds up.
    fn round_up(&self, relaxed: f64) -> i64 {
        let instance = self.instance;
        let thousandths = relaxed * 1000.0 - 1.0;
        if thousandths <= 0.0 {
            return -instance.joint * instance.runs.len() as i64;
        }
        let grains = (thousandths / self.grain as f64).ceil() as i64;
        grains * self.grain - instance.joint * instance.runs.len() as i64
    }

    /// The relaxation's value at which a node is of no more use.
    fn enough(&self) -> f64 {
        (self.known - self.grain + self.instance.joint * self.instance.runs.len() as i64) as f64 * 1e-3 + 0.01
    }

    fn add(&mut self, mut master: Master<'a>, steps: u64, parent: i64) {
        let before = master.steps;
        let relaxed = master.relax(steps, self.enough());
        let gap = self.enough() - relaxed.bound;
        let bound = self.round_up(relaxed.bound).max(parent);
        if bound < self.known
            && relaxed.settled
            && (master.has_pool() || gap < 0.8 * self.wide)
            && !master.make_pool(gap)
        {
            self.wide = gap;
        }
        self.spent += master.steps - before;
        self.nodes += 1;
        if bound < self.known {
            let settled = relaxed.settled;
            self.open.push(Node { master, bound, closed: !settled });
        }
    }

    /// Takes up a better plan.
    pub fn lower_known(&mut self, known: i64) {
        self.known = self.known.min(known);
        self.open.retain(|n| n.bound < known);
    }

    /// Branches once; false when there is nothing left to do. `offer` sees the node's relaxation.
    pub fn step(&mut self, steps: u64, offer: &mut dyn FnMut(&Master<'a>)) -> bool {
        let Some(at) = (0..self.open.len())
            .filter(|&i| !self.open[i].closed)
            .min_by_key(|&i| (self.open[i].bound, usize::MAX - i))
        else {
            return false;
        };
        if self.open.len() > MOST_OPEN {
            return false;
        }
        let node = self.open.swap_remove(at);
        offer(&node.master);
        let Some((branch, value)) = node.master.choose_branch() else {
            self.stuck = self.stuck.min(node.bound);
            return true;
        };
        let floor = value.floor();
        for up in [false, true] {
            self.spent += 200 + (node.master.lp.rows() * node.master.lp.rows()) as u64 / 1000;
            let mut child = node.master.clone();
            child.add_branch(branch, floor, up);
            self.add(child, steps, node.bound);
        }
        true
    }
}

/// A bound that needs no search: the arcs with their kerfs on the bends that hold an angle at least
/// price, and a piece for every arc. Thousandths.
pub(crate) fn plain_bound(instance: &Instance) -> i64 {
    let mut bound = 0.0;
    for (class, c) in instance.classes.iter().enumerate() {
        let mut left: f64 = instance.arcs.iter().filter(|a| a.class == class).map(|a| a.angle + c.kerf - c.fit).sum();
        let mut kinds: Vec<(f64, f64)> = Vec::new();
        for bend in instance.bends.iter().filter(|b| b.class == class) {
            let holds = bend.angle + c.kerf;
            kinds.push((bend.price as f64 / holds, bend.count.map_or(f64::INFINITY, |n| f64::from(n) * holds)));
        }
        kinds.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (rate, holds) in kinds {
            let taken = left.min(holds);
            bound += taken * rate;
            left -= taken;
        }
    }
    let piece = instance.joint + if instance.per_piece { instance.cut } else { 0 };
    bound.floor() as i64 + piece * instance.arcs.len() as i64 - instance.joint * instance.runs.len() as i64
}

/// The greatest number that divides all prices, thousandths.
fn grain(instance: &Instance) -> i64 {
    let mut all: Vec<i64> = vec![instance.joint + if instance.per_piece { instance.cut } else { 0 }];
    if !instance.per_piece {
        all.push(instance.cut);
    }
    all.extend(instance.bends.iter().map(|b| b.price));
    all.extend(instance.sticks.iter().map(|s| s.price));
    let mut divisor = 0;
    for mut a in all {
        let mut b = divisor;
        while b != 0 {
            (a, b) = (b, a % b);
        }
        divisor = a;
    }
    divisor.max(1)
}
