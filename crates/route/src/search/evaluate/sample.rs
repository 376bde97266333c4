//! A point at which a run is looked at.

use geom::Vec3;

use crate::search::path::{Spot, TubePath};

/// Points told apart within one slot.
pub(super) const PLACES: usize = 4096;

/// A point looked at.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sample {
    /// How far along the run, mm.
    pub s: f64,
    /// The point.
    pub p: Vec3,
    /// Where it lies, for gradients.
    pub spot: Spot,
    /// Names the point from one evaluation to the next.
    pub id: usize,
    /// Whether it stays at its distance from the end, not at its fraction.
    pub(super) held: bool,
    /// How far from the end of its run it lies by the direction of the run there, mm; negative against it.
    pub(super) arm: f64,
}

impl Sample {
    /// The point `p` that lies `s` mm along its run, at `spot`.
    pub fn new(s: f64, p: Vec3, spot: Spot) -> Self {
        Sample { s, p, spot, id: usize::MAX, held: false, arm: 0.0 }
    }

    /// Adds the gradient of `g . p` to those of the points of `path`.
    pub fn pull(&self, path: &TubePath, g: Vec3, into: &mut [Vec3]) {
        path.pull(self.spot, g, into);
        if let (Spot::Straight { leg, .. }, true) = (self.spot, self.arm != 0.0) {
            path.pull_direction(leg, g * self.arm, into);
        }
        if self.held {
            path.pull_remaining(self.spot, g.dot(path.direction(self.spot)), into);
        }
    }

    /// Adds the gradient of `c` times the length from here to the end.
    pub fn pull_remaining(&self, path: &TubePath, c: f64, into: &mut [Vec3]) {
        if !self.held {
            path.pull_remaining(self.spot, c, into);
        }
    }

    /// The point `from_end` mm before the end of `path`, held there.
    pub fn before_end(path: &TubePath, from_end: f64) -> Option<Self> {
        let s = path.length - from_end;
        let (p, spot) = path.at(s).filter(|_| s > 0.0)?;
        Some(Sample { held: true, ..Sample::new(s, p, spot) })
    }
}

/// The first of `samples` after `j` that is at least `by` mm farther along the run.
pub(super) fn beyond(samples: &[Sample], j: usize, by: f64) -> usize {
    let until = samples[j].s + by;
    (j + 1..samples.len()).find(|&k| samples[k].s >= until).unwrap_or(samples.len())
}
