//! `tubewright strength`: heat, growth, stress and vibration.

use app::open_job::JobPart;
use app::strength_job::strength_job;

use super::opened::JobArgs;
use crate::exit::{Failure, Outcome, print};

/// Computes what the hot header does.
pub fn run(args: &JobArgs) -> Result<Outcome, Failure> {
    let (_, open) = args.open(&[JobPart::Job, JobPart::Routes])?;
    let report = strength_job(&open.require_job()?.job, open.require_routes()?)?;
    print(&if args.json { report.to_json().to_string() } else { report.text() });
    Ok(Outcome::Done)
}
