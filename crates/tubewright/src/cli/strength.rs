//! `tubewright strength`: heat, growth, stress and vibration.

use std::path::PathBuf;

use app::open_job::JobPart;
use app::strength_job::strength_job;
use app::strength_sheet::strength_pdf;
use app::strength_text::strength_text;
use job::write_atomic;

use super::opened::{JobArgs, gas_text};
use crate::exit::{Failure, Outcome, eprint_line, print};

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
    let answer = strength_job(job, routes, &open.rates, gas_text(&folder.file("gas.json"))?.as_deref())?;
    if let Some(file) = &args.sheet {
        let pdf = strength_pdf(job, routes, &answer, job.units).map_err(|e| Failure::System(e.to_string()))?;
        let failed = |e| Failure::System(format!("{} cannot be written: {e}", file.display()));
        write_atomic(file, &pdf.bytes).map_err(failed)?;
        eprint_line(&format!("{} pages written to {}", pdf.pages, file.display()));
    }
    print(&if args.job.json { answer.to_json() } else { strength_text(&answer, job.units) });
    Ok(Outcome::Done)
}
