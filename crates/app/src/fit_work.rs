//! What a way to finish a run costs beside the plan, by the shop's rates.

use fit::{Remedy, RemedyKind, Run};
use job::model::Money;
use job::rates::Rates;

/// Time to measure an open end and enter it, min. An assumption.
const MEASURE: f64 = 10.0;

/// Work beside what the plan has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExtraWork {
    /// Cuts more.
    pub cuts: usize,
    /// Joints that are tacked and turned before they are welded.
    pub turned: usize,
    /// Times that an open end is measured.
    pub measures: usize,
    /// Time, min.
    pub minutes: f64,
    /// That time at the rate for labour, with a slip joint that is not drawn.
    pub cost: Money,
}

impl ExtraWork {
    /// Of a way to finish a run. No weld more: a joint that is turned is welded once.
    pub fn of(remedy: &Remedy, run: &Run, rates: &Rates) -> ExtraWork {
        let trimmed = |k: &usize| !run.parts[*k].is_bend();
        let (cut, turned): (Vec<usize>, usize) = match remedy.kind {
            RemedyKind::AsDrawn | RemedyKind::SlipInlet | RemedyKind::Slid => (Vec::new(), 0),
            RemedyKind::Trimmed => (vec![run.parts.len() - 1], 0),
            RemedyKind::ClosingPiece => (remedy.cut_last.clone(), 1),
            RemedyKind::ClosingPair => (remedy.cut_last.clone(), 2),
            RemedyKind::Meeting => (remedy.meets.map(|k| k - 1).into_iter().collect(), 3),
            RemedyKind::TurnedByHand => (remedy.cut_last.last().copied().into_iter().collect(), 2),
        };
        let time = |key: &str| rates.time(key).value;
        let straights = cut.iter().filter(|k| trimmed(k)).count();
        let ends = time("face_end") + time("deburr_end") + time("clean_end");
        let minutes = straights as f64 * time("cut_straight")
            + (cut.len() - straights) as f64 * time("cut_bend")
            + cut.len() as f64 * ends
            + turned as f64 * time("tack_joint")
            + remedy.measures as f64 * MEASURE;
        let hour = rates.price("labour_per_hour").price;
        let slip = if remedy.kind == RemedyKind::SlipInlet { rates.price("slip_joint").price } else { Money(0) };
        let cost = Money(slip.0 + (hour.0 as f64 * minutes / 60.0).round() as i64);
        ExtraWork { cuts: cut.len(), turned, measures: remedy.measures, minutes, cost }
    }
}
