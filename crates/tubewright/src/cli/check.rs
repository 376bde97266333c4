//! `tubewright check`: everything that is wrong with a job.

use std::path::PathBuf;

use app::check_job::check_job;
use job::OpenSettings;

use crate::exit::{Failure, Outcome, print};

/// Options of `check`.
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

/// Checks the job and prints what was found.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let report = check_job(&args.job, &OpenSettings { stock_file: args.stock.clone() });
    if args.json {
        print(&report.to_json().to_string());
    } else if report.problems.0.is_empty() {
        print(&format!("{}: nothing wrong ({})", report.job, report.holds));
    } else {
        print(&report.problems.to_string());
        if report.good() {
            print(&format!("{}: can be worked on ({})", report.job, report.holds));
        }
    }
    Ok(if report.good() { Outcome::Done } else { Outcome::WrongInput })
}
