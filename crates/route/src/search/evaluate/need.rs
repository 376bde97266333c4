//! How far two centrelines must keep from one another, by where on both runs.

use geom::Vec3;

use super::Weights;
use super::sample::Sample;
use crate::problem::RoutingProblem;
use crate::search::path::TubePath;
use crate::search::state::State;

/// The distance that two runs' centrelines must keep.
pub(super) struct Need {
    /// The most that can be asked, mm.
    pub(super) most: f64,
    radii: f64,
    wide: f64,
    pub(super) narrow: Option<(f64, f64)>,
    lengths: (f64, f64),
    pub(super) joined: Joined,
    pub(super) ramp: f64,
    /// Length before the common end within which both are one body, mm.
    welded: f64,
}

/// How two runs meet at one collector.
pub(super) enum Joined {
    /// Not at all.
    No,
    /// Both enter it.
    Enter,
    /// The first enters it and the second leaves it.
    EnterLeave,
    /// The first leaves it and the second enters it.
    LeaveEnter,
}

impl Need {
    pub(super) fn new(
        problem: &RoutingProblem,
        (i, j): (usize, usize),
        state: &State,
        lengths: (f64, f64),
        weights: Weights,
    ) -> Self {
        let (a, b) = (&problem.runs[i], &problem.runs[j]);
        let (ea, eb) = (&a.ends[state.runs[i].end], &b.ends[state.runs[j].end]);
        let radii = a.radius + b.radius;
        let od = 2.0 * a.radius.max(b.radius);
        let wide = problem.tube_gap + weights.margin + weights.room;
        let same = |x: Option<usize>, y: Option<usize>| x.is_some() && x == y;
        let (joined, zone, gap) = if same(ea.collector, eb.collector) {
            (Joined::Enter, ea.stub + 1.5 * od, ea.gap)
        } else if same(ea.collector, b.leaves) {
            (Joined::EnterLeave, ea.stub + 1.5 * od, f64::NEG_INFINITY)
        } else if same(a.leaves, eb.collector) {
            (Joined::LeaveEnter, eb.stub + 1.5 * od, f64::NEG_INFINITY)
        } else {
            (Joined::No, 0.0, 0.0)
        };
        let narrow = (!matches!(joined, Joined::No)).then_some((zone, gap.min(problem.tube_gap)));
        let last = |r: usize| state.runs[r].clrs.last().copied().unwrap_or(f64::INFINITY);
        let clr = last(i).min(last(j)).min(1e4);
        let ramp = (2.0 * clr * (wide - narrow.map_or(0.0, |n| n.1.max(0.0))).max(0.1)).sqrt();
        let welded = if matches!(joined, Joined::Enter) { ea.welded } else { 0.0 };
        Need { most: radii + wide, radii, wide, narrow, lengths, joined, ramp, welded }
    }

    /// Whether the point `sa` mm along the first run lies where its collector's own gap may be enough.
    pub(super) fn inside(&self, sa: f64) -> bool {
        self.narrow.is_some_and(|(zone, _)| self.lengths.0 - sa <= zone)
    }

    /// Where on the second run the zone of its collector's own gap begins, mm before its end.
    pub(super) fn border(&self) -> Option<f64> {
        let (zone, _) = self.narrow.filter(|_| matches!(self.joined, Joined::Enter))?;
        Some(zone + 1e-6)
    }

    /// Centreline distance needed between the points `sa` and `sb` mm along the two runs.
    pub(super) fn at(&self, sa: f64, sb: f64) -> Asked {
        let Some((zone, gap)) = self.narrow else { return Asked::constant(self.most) };
        let (leaves_a, leaves_b) =
            (matches!(self.joined, Joined::LeaveEnter), matches!(self.joined, Joined::EnterLeave));
        let from_a = if leaves_a { sa } else { self.lengths.0 - sa };
        let from_b = if leaves_b { sb } else { self.lengths.1 - sb };
        let (decides, leaves) = if from_a >= from_b { (Decides::First, leaves_a) } else { (Decides::Second, leaves_b) };
        if from_a.max(from_b) <= self.welded && self.welded > 0.0 {
            return Asked::constant(f64::NEG_INFINITY);
        }
        let inside = zone - from_a.max(from_b);
        let (need, slope) = if inside <= 0.0 {
            (self.most, 0.0)
        } else if self.ramp == 0.0 {
            (self.radii + gap, 0.0)
        } else if gap == f64::NEG_INFINITY {
            // One welded body: the demand fades with the distance into it.
            (self.most - 2.0 * inside, 2.0)
        } else {
            // Up to the zone's border the need rises as a bend leaves its tangent, with the square of the
            // way: a step would stall the solver upon it.
            let x = (1.0 - inside / self.ramp).clamp(0.0, 1.0);
            let rise = self.wide - gap;
            (self.radii + gap + rise * x * x, 2.0 * rise * x / self.ramp)
        };
        Asked { need, slope: if leaves { -slope } else { slope }, leaves, decides }
    }
}

/// The run whose place decides what is needed: the one farther from the collector.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Decides {
    First,
    Second,
}

/// What is needed at one pair of places.
pub(super) struct Asked {
    /// Centreline distance, mm.
    pub(super) need: f64,
    /// How fast it grows with the length that is left of the deciding run.
    pub(super) slope: f64,
    /// Whether it is the way since the collector that counts.
    leaves: bool,
    /// The deciding run.
    pub(super) decides: Decides,
}

impl Asked {
    /// The same everywhere.
    pub(super) fn constant(need: f64) -> Self {
        Asked { need, slope: 0.0, leaves: false, decides: Decides::First }
    }

    /// Adds the gradient of the need by the place of `sample` on `path`, if that run decides it.
    pub(super) fn pull(&self, run: Decides, sample: &Sample, path: &TubePath, into: &mut [Vec3]) {
        if run == self.decides && self.slope != 0.0 {
            sample.pull_remaining(path, self.slope, into);
            if self.leaves {
                path.pull_length(-self.slope, into);
            }
        }
    }
}
