//! `tubewright cut`: plans the cuts of a job's routes.

use app::cut_job::cut_job;
use app::open_job::JobPart;
use app::papers_job::plan_text;
use app::report::cut_text;
use app::reserve_job::cut_with_reserve;
use cutplan::{CutJob, CutPlan, CutSettings};
use job::Monitor;

use super::opened::{JobArgs, write};
use crate::exit::{Failure, Outcome, cannot_be_cut, eprint_line, print};

/// Options of `cut`.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    pub job: JobArgs,
    /// Seed of the search
    #[arg(long, default_value_t = CutSettings::default().seed)]
    seed: u64,
    /// Budget of search and proof, in steps
    #[arg(long, default_value_t = CutSettings::default().steps)]
    steps: u64,
    /// Leave pieces that are cut last longer, as `saw.reserve` says or where it costs nothing
    #[arg(long)]
    reserve: bool,
}

/// Plans the cuts.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let (folder, open) = args.job.open(&[JobPart::Job, JobPart::Routes])?;
    let (opened, routes) = (open.require_cutting()?, open.require_routes()?);
    let settings = CutSettings { seed: args.seed, steps: args.steps, ..CutSettings::default() };
    let offered = open.offered();
    let mut shown = None;
    let mut monitor = Monitor::reporting(|plan: &CutPlan| {
        if shown != Some((plan.cost, plan.lower_bound)) {
            eprint_line(&format!("plan for {:.2}, at least {:.2}", plan.cost.units(), plan.lower_bound.units()));
            shown = Some((plan.cost, plan.lower_bound));
        }
    });
    let job = CutJob::with_shelf(&opened.job, &offered);
    let planned = if args.reserve || opened.job.saw.reserve.is_some() {
        cut_with_reserve(&opened.job, &job, routes, &settings, &mut monitor)
    } else {
        cut_job(&job, routes, &settings, &mut monitor)
    };
    let report = match planned {
        Ok(report) => report,
        Err(error) => return Ok(cannot_be_cut(&error, opened.job.units, args.job.json)),
    };
    let text = plan_text(&report.plan).map_err(|e| Failure::System(e.to_string()))?;
    write(&folder.file("cutplan.json"), &text)?;
    print(&if args.job.json { text } else { cut_text(opened.job.units, &report.plan) });
    Ok(Outcome::Done)
}
