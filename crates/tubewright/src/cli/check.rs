//! `tubewright check`: everything that is wrong with a job.

use app::check_job::check_job;

use super::opened::JobArgs;
use crate::exit::{Failure, Outcome, print};

/// Checks the job and prints what was found.
pub fn run(args: &JobArgs) -> Result<Outcome, Failure> {
    let report = check_job(&args.folder(), &args.job);
    if args.json {
        print(&report.to_json().to_string());
    } else if report.problems.0.is_empty() {
        print(&format!("{}: OK ({})", report.job, report.holds));
    } else {
        print(&report.problems.to_string());
        if report.good() {
            print(&format!("{}: usable, with warnings ({})", report.job, report.holds));
        }
    }
    Ok(if report.good() { Outcome::Done } else { Outcome::WrongInput })
}
