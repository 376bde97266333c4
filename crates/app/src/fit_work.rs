//! What a way to finish a run costs beside the plan, by the shop's rates, and in which order a header goes together.

use fit::{Remedy, RemedyKind, Run};
use job::model::Money;
use job::rates::Rates;

use crate::fit_job::RunFit;

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

/// From which side a run is built by its best remedy.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BuiltFrom {
    /// From the flange to its end.
    Flange,
    /// From the collector to its start.
    Collector,
    /// From both, to be closed between.
    Both,
}

impl BuiltFrom {
    /// Its word in answers.
    pub fn word(self) -> &'static str {
        match self {
            BuiltFrom::Flange => "flange",
            BuiltFrom::Collector => "collector",
            BuiltFrom::Both => "both",
        }
    }

    fn of(run: &RunFit) -> BuiltFrom {
        let last = run.build.run.parts.len() - 1;
        let best = run.remedies.first();
        let cut = best.map_or(&[][..], |r| &r.cut_last);
        let meets = best.is_some_and(|r| r.meets.is_some());
        match (cut.first(), cut.last()) {
            (Some(0), Some(end)) if *end < last => BuiltFrom::Collector,
            (Some(start), Some(end)) if *start > 0 && *end < last => BuiltFrom::Both,
            _ if meets => BuiltFrom::Both,
            _ => BuiltFrom::Flange,
        }
    }
}

/// Indices of the runs in the order in which they are built, each with the side it is built from: the one that is the least
/// likely to go in is first, while the collector can still give; the likeliest is last.
pub fn order(runs: &[RunFit]) -> Vec<(usize, BuiltFrom)> {
    let chance = |k: &usize| runs[*k].remedies.first().map_or(0.0, |r| r.chance.share);
    let mut order: Vec<usize> = (0..runs.len()).collect();
    order.sort_by(|a, b| chance(a).total_cmp(&chance(b)).then(a.cmp(b)));
    order.into_iter().map(|k| (k, BuiltFrom::of(&runs[k]))).collect()
}
