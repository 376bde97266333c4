//! A saved cut plan: whether it still belongs to the routes and the stock.

use cutplan::file::PlanFile;
use cutplan::{CutJob, CutPlan, centrelines, recount};
use job::model::Units;
use job::routes::Routes;

use crate::wording;

/// What a saved cut plan is worth.
pub enum Saved {
    /// It is whole and belongs to these routes and this stock.
    Fits(Box<CutPlan>),
    /// It is a cut plan, but of other routes or other stock, for this reason.
    Stale(String),
    /// It is no cut plan at all, for this reason.
    Broken(String),
}

/// Reads the text of a `cutplan.json` and recounts it against the routes.
pub fn saved_plan(text: &str, job: &CutJob<'_>, routes: &Routes, units: Units) -> Saved {
    let file = match PlanFile::from_json(text) {
        Ok(file) => file,
        Err(error) => return Saved::Broken(error.to_string()),
    };
    let plan = match file.to_plan() {
        Ok(plan) => plan,
        Err(error) => return Saved::Stale(error.to_string()),
    };
    if let Some(item) = plan.items.iter().find(|i| job.item(i.stock).map(|s| s.price()) != Some(i.price)) {
        return Saved::Stale(format!("the stock has no {} at that price", item.name));
    }
    let runs = match centrelines(routes) {
        Ok(runs) => runs,
        Err(error) => return Saved::Stale(wording::cut(&error, units)),
    };
    match recount(&plan, &runs, job) {
        Ok(_) => Saved::Fits(Box::new(plan)),
        Err(faults) => Saved::Stale(faults.first().map_or(String::new(), |fault| wording::plan_fault(fault, units))),
    }
}
