//! The points at which a run is looked at.
//!
//! They stand at fixed fractions of each straight and each bend, the straights at both ends parted where their stubs
//! end, so that a point moves smoothly with the variables and the gradient at its fraction is the true one. One more
//! stands where the small gap before a collector ends: there a near parallel neighbour is closest to being
//! too near.

use super::Evaluator;
use super::sample::{PLACES, Sample};
use crate::search::path::{ElementShape, PathElement, Spot, TubePath};
use crate::search::state::State;

/// Slots by which the points of one leg and the bend after it are told apart.
const SLOTS: usize = 4;

/// A stretch over which points are spread evenly: the whole of a bend, or a part of a straight.
struct SampledSpan {
    /// Which slot its points have.
    slot: usize,
    /// Where it begins and ends on its piece, mm.
    part: [f64; 2],
    /// The end of the straight to which its points are held; none: they keep their fraction of the stretch.
    held_to: Option<f64>,
    /// [`Sample::arm`] at its beginning and at its end.
    arms: [f64; 2],
}

impl Evaluator<'_> {
    /// Spreads the points to look at along run `i`.
    pub(super) fn look(&mut self, i: usize, state: &State) {
        let (run, path) = (&self.problem.runs[i], &self.paths[i]);
        let end = &run.ends[state.runs[i].end];
        let samples = &mut self.samples[i];
        samples.clear();
        for piece in &path.pieces {
            for stretch in stretches(path, piece, [run.stub, end.stub]) {
                let count = count(&self.counts[i], &stretch, self.weights.step);
                let [from, to] = stretch.part;
                for j in 0..count {
                    let fraction = j as f64 / count as f64;
                    let s = from + fraction * (to - from);
                    let (p, mut spot) = path.on_piece(piece, s);
                    if let Spot::Straight { at, .. } = &mut spot {
                        *at = stretch.held_to.unwrap_or(fraction);
                    }
                    let id = stretch.slot * PLACES + j;
                    let arm = stretch.arms[0] + fraction * (stretch.arms[1] - stretch.arms[0]);
                    samples.push(Sample { id, arm, ..Sample::new(piece.from + s, p, spot) });
                }
            }
        }
        if let Some(piece) = path.pieces.last() {
            let (p, spot) = path.on_piece(piece, piece.length);
            samples.push(Sample { id: usize::MAX - 1, ..Sample::new(piece.from + piece.length, p, spot) });
        }
        let border = end.collector.map(|_| end.stub + 3.0 * run.radius + 1e-6);
        if let Some(sample) = border.and_then(|b| Sample::before_end(path, b)) {
            let at = samples.partition_point(|other| other.s <= sample.s);
            samples.insert(at, sample);
        }
    }

    /// The names of all points looked at on run `i` once their number is fixed.
    pub fn places(&self, i: usize) -> Vec<usize> {
        let spread = self.counts[i].iter().enumerate().flat_map(|(slot, &n)| (0..n).map(move |j| slot * PLACES + j));
        spread.chain([usize::MAX - 1, usize::MAX]).collect()
    }

    /// Number of intervals on each stretch of run `i`, by slot.
    pub(super) fn intervals(&self, i: usize, state: &State) -> Vec<usize> {
        let (run, path) = (&self.problem.runs[i], &self.paths[i]);
        let stubs = [run.stub, run.ends[state.runs[i].end].stub];
        let mut counts = vec![1; SLOTS * path.lens.len()];
        for stretch in path.pieces.iter().flat_map(|p| stretches(path, p, stubs)) {
            counts[stretch.slot] = count(&self.counts[i], &stretch, self.weights.step);
        }
        counts
    }
}

fn count(fixed: &[usize], stretch: &SampledSpan, step: f64) -> usize {
    let by_length = ((stretch.part[1] - stretch.part[0]) / step).ceil().clamp(1.0, (PLACES - 1) as f64) as usize;
    fixed.get(stretch.slot).copied().unwrap_or(by_length)
}

/// The stretches of `piece`: stubs are apart, since their points stay at their distance from port or collector.
fn stretches(path: &TubePath, piece: &PathElement, [first, last]: [f64; 2]) -> Vec<SampledSpan> {
    let whole = |slot| SampledSpan { slot, part: [0.0, piece.length], held_to: None, arms: [0.0; 2] };
    let ElementShape::Straight { leg, .. } = piece.part else {
        let ElementShape::Arc { bend, .. } = piece.part else { return Vec::new() };
        return vec![whole(SLOTS * bend + 3)];
    };
    let before = if leg == 0 { first } else { 0.0 };
    let after = if leg + 1 == path.lens.len() { last } else { 0.0 };
    let slot = SLOTS * leg;
    if before + after >= piece.length || before + after == 0.0 {
        return vec![whole(slot + 1)];
    }
    let middle = [before, piece.length - after];
    let mut all = Vec::with_capacity(3);
    if before > 0.0 {
        all.push(SampledSpan { slot, part: [0.0, before], held_to: Some(0.0), arms: [0.0, before] });
    }
    all.push(SampledSpan { slot: slot + 1, part: middle, held_to: None, arms: [before, -after] });
    if after > 0.0 {
        let arms = [-after, 0.0];
        all.push(SampledSpan { slot: slot + 2, part: [middle[1], piece.length], held_to: Some(1.0), arms });
    }
    all
}
