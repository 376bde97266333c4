//! `tubewright cut`: plans the cuts of a job's routes.

use std::path::PathBuf;

use app::cut_job::cut_job;
use app::report::cut_text;
use cutplan::file::PlanFile;
use cutplan::{CutPlan, CutSettings};
use job::{Monitor, OpenSettings};

use super::routed::write;
use crate::exit::{Failure, Outcome, cannot_be_cut, eprint_line, eprint_problems, print};

/// Options of `cut`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The job's folder or its job.toml; its routes.toml must be there
    job: PathBuf,
    /// Seed of the search
    #[arg(long, default_value_t = CutSettings::default().seed)]
    seed: u64,
    /// Budget of search and proof, in steps
    #[arg(long, default_value_t = CutSettings::default().steps)]
    steps: u64,
    /// The shop's file of stock and prices [default: stock.toml in the job's folder or the one above]
    #[arg(long, value_name = "FILE")]
    stock: Option<PathBuf>,
    /// Print the cut plan as JSON instead of text
    #[arg(long)]
    pub json: bool,
}

/// Plans the cuts.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let opened = job::open_with(&args.job, &OpenSettings { stock_file: args.stock.clone() })?;
    opened.require_cutting()?;
    let (routes, warnings) = job::open_routes(&opened.folder.join("routes.toml"), &opened.job)?;
    eprint_problems(&[&opened.warnings, &warnings]);
    let settings = CutSettings { seed: args.seed, steps: args.steps, ..CutSettings::default() };
    let mut shown = None;
    let mut monitor = Monitor::reporting(|plan: &CutPlan| {
        if shown != Some((plan.cost, plan.lower_bound)) {
            eprint_line(&format!("plan for {:.2}, at least {:.2}", plan.cost.units(), plan.lower_bound.units()));
            shown = Some((plan.cost, plan.lower_bound));
        }
    });
    let report = match cut_job(&opened.job, &routes, &settings, &mut monitor) {
        Ok(report) => report,
        Err(error) => return Ok(cannot_be_cut(&error, opened.job.units, args.json)),
    };
    let text = PlanFile::from(&report.plan).to_json().map_err(|e| Failure::System(e.to_string()))?;
    write(&opened.folder.join("cutplan.json"), &text)?;
    print(&if args.json { text } else { cut_text(opened.job.units, &report.plan) });
    Ok(Outcome::Done)
}
