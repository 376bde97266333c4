//! `tubewright check`: everything that is wrong with a job.

use app::check_job::check_job;

use super::opened::JobArgs;
use crate::exit::{Failure, Outcome, print};

/// Options of `check`.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    job: JobArgs,
    /// Print one JSON object instead of text
    #[arg(long)]
    pub json: bool,
}

/// Checks the job and prints what was found.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let report = check_job(&args.job.folder(), &args.job.job);
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
