//! Cuts a job: from its routes to `cutplan.json`.

use std::time::Instant;

use cutplan::{CutError, CutJob, CutPlan, CutSettings, plan};
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
    let begun = Instant::now();
    let plan = plan(routes, &CutJob::of(job), settings, tell)?;
    Ok(CutReport { plan, seconds: begun.elapsed().as_secs_f64() })
}
