//! Cuts a job: from its routes to `cutplan.json`.

use std::time::Instant;

use cutplan::{CutError, CutJob, CutPlan, CutSettings, plan};
use job::Monitor;
use job::routes::Routes;

/// A cut plan and the time it took.
#[derive(Debug, Clone)]
pub struct CutReport {
    /// The cheapest plan found.
    pub plan: CutPlan,
    /// Seconds it took.
    pub seconds: f64,
}

/// Plans the cuts of `routes`; `monitor` hears of each better plan and bound.
///
/// # Errors
/// [`CutError`] when the runs cannot be made from the stock.
pub fn cut_job(
    job: &CutJob<'_>,
    routes: &Routes,
    settings: &CutSettings,
    monitor: &mut Monitor<CutPlan>,
) -> Result<CutReport, CutError> {
    let begun = Instant::now();
    let plan = plan(routes, job, settings, monitor)?;
    Ok(CutReport { plan, seconds: begun.elapsed().as_secs_f64() })
}
