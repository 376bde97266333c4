//! The share of the allowable stress range that routes reach: as a figure to compare routes by, and as a requirement of a job.

use job::model::{Job, Units};
use job::routes::{Routes, RunId};
use route::Routed;
use strength::stress::Worst;

use crate::strength_job::run_ranges;
use crate::strength_model::{share_of, strength_model};
use crate::summary::rounded;
use crate::view::finding::UnmetView;

/// The run that reaches the greatest share of its allowable.
#[derive(Debug, Clone, PartialEq)]
pub struct HighestShare {
    /// The run.
    pub run: RunId,
    /// Its greatest stress range over the allowable one.
    pub share: f64,
    /// Where, mm from its start.
    pub at_mm: f64,
}

/// The greatest share of routes, by the mean flow at peak power; `None` where it cannot be computed: engine figures are missing, the
/// allowable of a material is not known, nothing holds a part.
pub fn highest_share(job: &Job, routes: &Routes) -> Option<HighestShare> {
    let model = strength_model(job, routes, None).ok()?;
    let worst: Vec<Worst> = run_ranges(&model.frame).ok()?;
    let share = |(k, w): (usize, &Worst)| Some((share_of(&model, k, w)?, k, w.at * 1000.0));
    let shares: Option<Vec<(f64, usize, f64)>> = worst.iter().enumerate().map(share).collect();
    let (share, k, at) = shares?.into_iter().max_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(HighestShare { run: model.runs[k].run.clone(), share: rounded(share), at_mm: rounded(at) })
}

/// What routes miss of the share that the job allows.
pub fn share_missed(job: &Job, routes: &Routes, units: Units) -> Option<UnmetView> {
    let allowed = job.highest_share?;
    let found = highest_share(job, routes);
    (!found.as_ref().is_some_and(|f| f.share <= allowed))
        .then(|| UnmetView::of_share(found.as_ref(), (allowed, None), units))
}

/// Leaves of the router's answers those that keep to the share that the job allows. When none does, the one that comes nearest is
/// left, and what it misses is given.
pub fn keep_strong(job: &Job, routed: &mut Routed, units: Units) -> Option<UnmetView> {
    let allowed = job.highest_share?;
    let found: Vec<Option<HighestShare>> = routed.answers.iter().map(|a| highest_share(job, &a.routes)).collect();
    let share = |i: usize| found[i].as_ref().map_or(f64::INFINITY, |f| f.share);
    let all = routed.answers.len();
    let nearest = (0..all).min_by(|a, b| share(*a).total_cmp(&share(*b)))?;
    let mut place = 0..all;
    let met = share(nearest) <= allowed;
    routed.answers.retain(|_| place.next().is_some_and(|i| if met { share(i) <= allowed } else { i == nearest }));
    routed.met &= met;
    (!met).then(|| UnmetView::of_share(found[nearest].as_ref(), (allowed, Some(all)), units))
}
