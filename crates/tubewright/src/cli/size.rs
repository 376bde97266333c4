//! `tubewright size`: first diameters and lengths, and what the firing order says.

use std::path::PathBuf;

use app::size_job::size_job;
use job::OpenSettings;

use crate::exit::{Failure, Outcome, eprint_problems, print};

/// Options of `size`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The job's folder or its job.toml
    job: PathBuf,
    /// The shop's file of stock and prices [default: stock.toml in the job's folder or the one above]
    #[arg(long, value_name = "FILE")]
    stock: Option<PathBuf>,
    /// Print one JSON object instead of text
    #[arg(long)]
    pub json: bool,
}

/// Sizes the job by published rules.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let opened = job::open_with(&args.job, &OpenSettings { stock_file: args.stock.clone() })?;
    eprint_problems(&[&opened.warnings]);
    let report = size_job(&opened.job);
    print(&if args.json { report.to_json().to_string() } else { report.text() });
    Ok(Outcome::Done)
}
