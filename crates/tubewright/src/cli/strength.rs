//! `tubewright strength`: heat, growth, stress and vibration.

use std::path::PathBuf;

use app::open_job::JobPart;
use app::strength_job::strength_job;
use app::strength_sheet::strength_pdf;
use app::strength_text::strength_text;

use super::opened::{JobArgs, gas_text, write_pdf};
use crate::exit::{Failure, Outcome, print};

/// Options of `strength`.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    pub job: JobArgs,
    /// Also print it: a PDF with growth, runs, modes and what helps
    #[arg(long, value_name = "FILE")]
    sheet: Option<PathBuf>,
}

/// Computes what the hot header does.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let (folder, open) = args.job.open(&[JobPart::Job, JobPart::Routes])?;
    let (job, routes) = (&open.require_job()?.job, open.require_routes()?);
    let gas = gas_text(&folder.file("gas.json"))?;
    let answer = strength_job(job, routes, &open.rates, gas.as_deref(), open.fresh_plan())?;
    if let Some(file) = &args.sheet {
        let pdf = strength_pdf(job, routes, &answer, job.units).map_err(|e| Failure::System(e.to_string()))?;
        write_pdf(file, &pdf)?;
    }
    print(&if args.job.json { answer.to_json() } else { strength_text(&answer, job.units) });
    Ok(Outcome::Done)
}
