//! The share of the allowable stress range that routes reach: as a figure to compare routes by, and as a requirement of a job.

use job::model::{Job, Units};
use job::routes::{Route, Routes, RunId};
use rayon::iter::{IntoParallelIterator, ParallelIterator};
use route::Routed;
use route::goes_on::can_be_put_on;
use route::search::outcome::Answer;
use strength::stress::Worst;

use crate::strength_answer::HighestShare;
use crate::strength_job::run_ranges;
use crate::strength_model::{share_of, strength_model};
use crate::summary::rounded;
use crate::view::finding::UnmetView;

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

/// Answers whose share is computed, of those that one search gives: half of them the router's best, half the softest by
/// [`stiffness`]. One takes some 10 ms; fewer may leave out the one that is flexible enough.
const MOST_RATED: usize = 24;

/// An answer of the router with its share.
#[derive(Debug)]
pub struct Rated {
    answer: Answer,
    share: Option<HighestShare>,
    /// Whether it can be put on.
    fits: bool,
}

impl Rated {
    fn share(&self) -> f64 {
        self.share.as_ref().map_or(f64::INFINITY, |s| s.share)
    }

    fn is_within(&self, allowed: f64) -> bool {
        self.fits && self.share() <= allowed
    }
}

/// Computes the shares of the most promising answers, which keep their order; the others are left out.
pub fn rate(job: &Job, answers: Vec<Answer>) -> Vec<Rated> {
    let chosen = promising(&answers.iter().map(|a| stiffness(job, &a.routes)).collect::<Vec<f64>>(), MOST_RATED);
    let mut place = 0..answers.len();
    let kept = answers.into_iter().filter(|_| place.next().is_some_and(|i| chosen.contains(&i)));
    let rated = |answer: Answer| Rated {
        share: highest_share(job, &answer.routes),
        fits: can_be_put_on(job, &answer.routes),
        answer,
    };
    kept.collect::<Vec<_>>().into_par_iter().map(rated).collect()
}

/// Whether one of them can be put on and keeps to a share.
pub fn any_within(rated: &[Rated], allowed: f64) -> bool {
    rated.iter().any(|r| r.is_within(allowed))
}

/// Makes of rated answers, best first, those of the router that keep to the share that the job allows. When none does, the
/// one that comes nearest is left, and what it misses is given.
pub fn keep_strong(job: &Job, rated: Vec<Rated>, routed: &mut Routed, units: Units) -> Option<UnmetView> {
    let allowed = job.highest_share?;
    let count = rated.len();
    if any_within(&rated, allowed) {
        routed.answers = rated.into_iter().filter(|r| r.is_within(allowed)).map(|r| r.answer).collect();
        return None;
    }
    routed.met = false;
    let nearest = rated.into_iter().min_by(|a, b| b.fits.cmp(&a.fits).then(a.share().total_cmp(&b.share())))?;
    let missed =
        (nearest.share() > allowed).then(|| UnmetView::of_share(nearest.share.as_ref(), (allowed, Some(count)), units));
    routed.answers = vec![nearest.answer];
    missed
}

/// The places of the first `most / 2` and of those with the lowest figures, `most` in all, in their order.
fn promising(stiffnesses: &[f64], most: usize) -> Vec<usize> {
    let first = stiffnesses.len().min(most / 2);
    let mut softest: Vec<usize> = (first..stiffnesses.len()).collect();
    softest.sort_by(|a, b| stiffnesses[*a].total_cmp(&stiffnesses[*b]));
    let mut chosen: Vec<usize> = (0..first).chain(softest.into_iter().take(most - first)).collect();
    chosen.sort_unstable();
    chosen
}

/// How stiff the stiffest primary is held to be by its shape alone: D U / (L - U)^2 with its outside diameter D, length L and
/// the distance U of its ends, to which its growth is proportional (ASME B31.3, 319.4.1, from memory: lines of one size
/// between two anchors). It only orders what is then computed.
fn stiffness(job: &Job, routes: &Routes) -> f64 {
    let of = |route: &Route| {
        let line = route.centreline().ok()?;
        let (apart, od) = (line.start().origin.distance(line.end().origin), job.tube_of(&route.run).od);
        Some(od * apart / (line.length() - apart).powi(2))
    };
    let primaries = routes.runs.iter().filter(|r| matches!(r.run, RunId::Primary { .. }));
    primaries.map(|r| of(r).unwrap_or(f64::INFINITY)).fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::promising;

    #[test]
    fn the_best_and_the_softest_are_computed_and_no_more() {
        assert_eq!(promising(&[3.0, 9.0, 8.0, 7.0, 1.0, 2.0], 4), [0, 1, 4, 5]);
        assert_eq!(promising(&[3.0, 9.0], 4), [0, 1]);
        assert_eq!(promising(&[f64::INFINITY, f64::INFINITY, f64::INFINITY], 2), [0, 1]);
        assert!(promising(&[], 4).is_empty());
    }
}
