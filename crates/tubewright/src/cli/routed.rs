//! What the commands after `route` start from: the job with its routes, and its cut plan.

use std::path::Path;

use app::cut_job::cut_job;
use app::price_job::{Saved, saved_plan};
use cutplan::file::PlanFile;
use cutplan::{CutError, CutPlan, CutSettings};
use job::rates::Rates;
use job::routes::Routes;
use job::{Monitor, OpenSettings, Opened, Problem, Problems, write_atomic};

use crate::exit::{Failure, eprint_line, eprint_problems};

/// A job that can be cut, with what it costs and where its runs go.
pub struct Routed {
    pub opened: Opened,
    pub rates: Rates,
    pub routes: Routes,
}

/// Opens a job to be cut and its routes.toml, and says what is odd about them.
pub fn routed(job: &Path, stock: Option<&Path>) -> Result<Routed, Failure> {
    let settings = OpenSettings { stock_file: stock.map(Path::to_path_buf) };
    let opened = job::open_with(job, &settings)?;
    opened.require_cutting()?;
    let rates = opened.rates.checked()?.clone();
    let (routes, warnings) = job::open_routes(&opened.folder.join("routes.toml"), &opened.job)?;
    eprint_problems(&[&opened.warnings, &warnings]);
    Ok(Routed { opened, rates, routes })
}

/// The saved cut plan when it still belongs to the routes and the stock, else a new one, which is saved.
pub fn plan(opened: &Opened, routes: &Routes) -> Result<Result<CutPlan, CutError>, Failure> {
    if let Some(plan) = saved(opened, routes)? {
        return Ok(Ok(plan));
    }
    let cut = cut_job(&opened.job, routes, &CutSettings::default(), &mut Monitor::silent());
    if let Ok(cut) = &cut {
        let text = PlanFile::from(&cut.plan).to_json().map_err(|e| Failure::System(e.to_string()))?;
        write(&opened.folder.join("cutplan.json"), &text)?;
    }
    Ok(cut.map(|c| c.plan))
}

/// The saved cut plan when there is one and it still belongs to the routes and the stock.
pub fn saved(opened: &Opened, routes: &Routes) -> Result<Option<CutPlan>, Failure> {
    let file = opened.folder.join("cutplan.json");
    if !file.is_file() {
        return Ok(None);
    }
    let shown = file.display().to_string();
    let text = std::fs::read_to_string(&file).map_err(|e| Failure::System(format!("{shown} cannot be read: {e}")))?;
    match saved_plan(&text, &opened.job, routes) {
        Saved::Fits(plan) => Ok(Some(*plan)),
        Saved::Stale(why) => {
            eprint_line(&format!("{shown} is out of date ({why}): planning again"));
            Ok(None)
        }
        Saved::Broken(why) => {
            let problem = Problem::error("cutplan", format!("{shown} is no cut plan: {why}"))
                .in_file(&shown)
                .expected("a cut plan as `tubewright cut` writes it")
                .hint("delete it, or write it anew with `tubewright cut`");
            Err(Problems::one(problem).into())
        }
    }
}

/// Writes a file whole or not at all.
pub fn write(file: &Path, text: &str) -> Result<(), Failure> {
    write_atomic(file, text.as_bytes())
        .map_err(|e| Failure::System(format!("{} cannot be written: {e}", file.display())))
}
