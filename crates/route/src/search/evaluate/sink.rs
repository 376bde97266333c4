//! Where requirements are summed: into normal equations, or one by one.

use geom::Vec3;

use crate::problem::Seat;

impl RowKind {
    pub(super) fn is_gap(self) -> bool {
        matches!(self, RowKind::Itself | RowKind::Keepout | RowKind::Tube | RowKind::Slide)
    }
}

/// Normal equations being summed.
#[derive(Debug, Default)]
pub struct Sink {
    /// Sum of squares plus the weighed objective.
    pub cost: f64,
    /// Largest requirement missed, mm; of gaps, what is missed within the spared share of the margin does not count.
    pub worst: f64,
    /// The requirement missed most.
    pub worst_tag: Option<Tag>,
    /// Sum of squares of what is missed, mm^2.
    pub missed: f64,
    /// Half gradient.
    pub g: Vec<f64>,
    /// Gauss-Newton matrix, lower triangle, n x n.
    pub h: Vec<f64>,
    /// Requirements one by one, where asked for, instead of their squares in `g` and `h`.
    pub rows: Option<Vec<Row>>,
    pub(super) row: Vec<f64>,
    pub(super) blocks: Vec<(usize, usize)>,
}

/// One requirement, linearised.
#[derive(Debug, Clone)]
pub struct Row {
    /// The requirement.
    pub tag: Tag,
    /// By how much it is missed, mm; negative when it holds.
    pub miss: f64,
    /// Gradient of `miss`, one number per variable.
    pub gradient: Vec<f64>,
}

/// Names a requirement from one evaluation to the next: its kind and three indices.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Tag(pub RowKind, pub usize, pub usize, pub usize);

impl Tag {
    /// The runs it is about.
    pub fn runs(&self) -> Vec<usize> {
        match self.0 {
            RowKind::Tube | RowKind::Early => vec![self.1, self.2],
            _ => vec![self.1],
        }
    }
}

/// Kinds of requirements.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum RowKind {
    /// To hold exactly: a waypoint, bends that meet.
    Equal,
    /// Straights long enough.
    Fit,
    /// Not less than the least bend angle.
    Slight,
    /// Not more than the largest bend angle.
    Sharp,
    /// Bends early enough before the collector.
    Early,
    /// A waypoint lies between the bends.
    Via,
    /// Length on target.
    Length,
    /// Lengths even.
    Even,
    /// Gap of a run from itself.
    Itself,
    /// Gap to a keep-out.
    Keepout,
    /// Gap to another tube.
    Tube,
    /// Touching a keep-out while the header is put on.
    Slide,
}

impl Sink {
    pub(super) fn reset(&mut self, n: usize) {
        (self.cost, self.worst, self.missed) = (0.0, 0.0, 0.0);
        self.worst_tag = None;
        if let Some(rows) = &mut self.rows {
            rows.clear();
        }
        self.g.clear();
        self.g.resize(n, 0.0);
        self.h.clear();
        self.h.resize(n * n, 0.0);
        self.row.clear();
        self.row.resize(n, 0.0);
    }

    /// Adds a requirement missed by `r` whose gradient stands in `row` over `blocks`, then clears them.
    pub(super) fn add(&mut self, r: f64, tag: Tag, n: usize) {
        if let Some(rows) = &mut self.rows {
            rows.push(Row { tag, miss: r, gradient: self.row.clone() });
            self.clear();
        } else {
            self.weigh(r, n);
        }
    }

    /// Adds the square of `r` whose gradient stands in `row`, then clears it.
    pub(super) fn weigh(&mut self, r: f64, n: usize) {
        self.blocks.sort_unstable();
        for (bi, &(from, to)) in self.blocks.iter().enumerate() {
            for i in from..to {
                let v = self.row[i];
                if v == 0.0 {
                    continue;
                }
                self.g[i] += v * r;
                let h = &mut self.h[i * n..(i + 1) * n];
                for &(jf, jt) in &self.blocks[..bi] {
                    for (hj, rj) in h[jf..jt].iter_mut().zip(&self.row[jf..jt]) {
                        *hj += v * rj;
                    }
                }
                for (hj, rj) in h[from..=i].iter_mut().zip(&self.row[from..=i]) {
                    *hj += v * rj;
                }
            }
        }
        self.clear();
    }

    fn clear(&mut self) {
        for &(from, to) in &self.blocks {
            self.row[from..to].fill(0.0);
        }
        self.blocks.clear();
    }
}

impl Sink {
    /// Carries the gradient `g` over a place `at` that goes with a collector on to the collector's variables, from `o` on.
    pub(super) fn pull_seat(&mut self, seat: &Seat, o: usize, q: &[f64; 4], (at, g): (Vec3, Vec3)) {
        let frame = seat.moved(q);
        if !self.blocks.contains(&(o, o + 4)) {
            self.blocks.push((o, o + 4));
        }
        self.row[o] += g.dot(seat.frame.forward);
        self.row[o + 1] += g.dot(seat.frame.right());
        self.row[o + 2] += g.dot(seat.frame.up);
        self.row[o + 3] += g.dot(frame.forward.cross(at - frame.origin));
    }

    pub(super) fn row_entry<const GRAD: bool>(&mut self, at: usize, value: f64) {
        if GRAD {
            self.row[at] += value;
            self.blocks.push((at, at + 1));
        }
    }
}
