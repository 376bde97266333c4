//! Cuts a job: from its routes to `cutplan.json`.

use std::sync::atomic::AtomicBool;
use std::time::Instant;

use cutplan::{CutError, CutJob, CutPlan, CutSettings, plan_until};
use job::model::Job;
use job::routes::Routes;

/// What cutting brought.
#[derive(Debug, Clone)]
pub struct CutReport {
    /// The plan.
    pub plan: CutPlan,
    /// Seconds it took.
    pub seconds: f64,
}

/// Plans the cuts of `routes`; `tell` hears of each better plan.
///
/// # Errors
/// [`CutError`] when the runs can't be made from the stock.
pub fn cut_job(
    job: &Job,
    routes: &Routes,
    settings: &CutSettings,
    tell: &mut dyn FnMut(&CutPlan),
) -> Result<CutReport, CutError> {
    cut_job_until(job, routes, settings, &AtomicBool::new(false), tell)
}

/// As [`cut_job`], and ends with the best so far soon after `stop` became true.
///
/// # Errors
/// As [`cut_job`].
pub fn cut_job_until(
    job: &Job,
    routes: &Routes,
    settings: &CutSettings,
    stop: &AtomicBool,
    tell: &mut dyn FnMut(&CutPlan),
) -> Result<CutReport, CutError> {
    let begun = Instant::now();
    let plan = plan_until(routes, &CutJob::of(job), settings, stop, tell)?;
    Ok(CutReport { plan, seconds: begun.elapsed().as_secs_f64() })
}
