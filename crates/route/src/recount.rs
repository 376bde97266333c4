//! The slow truth: every requirement of a job counted again for given routes, the plain way.
//!
//! Nothing of the search or of the exact report is used: runs are traced from their points and radii
//! into points half a millimetre apart, and every point is held against every other and against
//! every solid. A gap found so is at most some thousandths of a millimetre too great, never too
//! small, so what is reported here is truly missed. Tests hold every answer of the search to it.

mod gaps;
mod rules;
mod trace;
mod traced;

use job::model::{Job, LengthTarget};
use job::routes::{Routes, RunId};

use crate::finding::{Miss, Shortfall};
use traced::{PLACE_TOLERANCE, Traced};

/// Everything that the routes miss of the job; empty when every requirement holds.
pub fn recount(job: &Job, routes: &Routes) -> Vec<Miss> {
    let (mut misses, runs) = rules_of(job, routes);
    gaps::count(job, routes, &runs, &mut misses);
    misses
}

/// What the routes miss of everything but the gaps: quick, for routes that are being changed.
pub fn recount_but_gaps(job: &Job, routes: &Routes) -> Vec<Miss> {
    rules_of(job, routes).0
}

fn rules_of<'a>(job: &'a Job, routes: &'a Routes) -> (Vec<Miss>, Vec<Traced<'a>>) {
    let mut misses = Vec::new();
    let mut runs = Vec::new();
    for wanted in job.run_ids() {
        match routes.runs.iter().filter(|r| r.run == wanted).collect::<Vec<_>>()[..] {
            [route] => match rules::trace(job, routes, route) {
                Ok(traced) => runs.push(traced),
                Err(miss) => misses.push(miss),
            },
            ref several => misses.push(Miss::of(&wanted, 1.0, Shortfall::RouteCount { count: several.len() })),
        }
    }
    for run in &runs {
        rules::ends(run, &mut misses);
        rules::shape(job, run, &mut misses);
    }
    rules::collectors(job, routes, &mut misses);
    rules::inlets(job, &runs, &mut misses);
    lengths(job, &runs, &mut misses);
    (misses, runs)
}

/// A target for lengths and the runs it is for.
type KindTarget<'a> = (&'a LengthTarget, fn(&RunId) -> bool);

fn lengths(job: &Job, runs: &[Traced], misses: &mut Vec<Miss>) {
    let kinds: [KindTarget; 3] = [
        (&job.primary.length, |r| matches!(r, RunId::Primary { .. })),
        (&job.secondary.length, |r| matches!(r, RunId::Secondary { .. })),
        (&job.tail.length, |r| matches!(r, RunId::Tail { .. })),
    ];
    for (wanted, is_kind) in kinds {
        let kind: Vec<&Traced> = runs.iter().filter(|r| is_kind(&r.route.run)).collect();
        if let Some(target) = wanted.target {
            for run in kind {
                let length = run.trace.length();
                let over = (length - target).abs() - wanted.tolerance;
                if over > PLACE_TOLERANCE {
                    let what = Shortfall::LengthOffTarget { length, target, tolerance: wanted.tolerance };
                    misses.push(Miss::of(&run.route.run, over, what));
                }
            }
            continue;
        }
        let by_length = |a: &&&Traced, b: &&&Traced| a.trace.length().total_cmp(&b.trace.length());
        let (Some(least), Some(most)) = (kind.iter().min_by(by_length), kind.iter().max_by(by_length)) else {
            continue;
        };
        let spread = most.trace.length() - least.trace.length();
        if spread - wanted.tolerance > PLACE_TOLERANCE {
            let shortest = least.route.run.clone();
            let what = Shortfall::LengthSpread { spread, shortest, tolerance: wanted.tolerance };
            misses.push(Miss::of(&most.route.run, spread - wanted.tolerance, what));
        }
    }
}
