//! In which order a header goes together, and from which side each run is built.

use crate::fit_report::RunFit;

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
