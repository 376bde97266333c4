//! `tubewright size`: first diameters and lengths, and what the firing order says.

use app::open_job::Part;
use app::size_job::size_job;

use super::opened::JobArgs;
use crate::exit::{Failure, Outcome, print};

/// Options of `size`.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    job: JobArgs,
    /// Print one JSON object instead of text
    #[arg(long)]
    pub json: bool,
}

/// Sizes the job by published rules.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let (_, open) = args.job.open(&[Part::Job])?;
    let report = size_job(&open.require_job()?.job);
    print(&if args.json { report.to_json().to_string() } else { report.text() });
    Ok(Outcome::Done)
}
