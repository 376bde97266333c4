//! `tubewright size`: first diameters and lengths, and what the firing order says.

use app::open_job::JobPart;
use app::size_job::size_job;

use super::opened::JobArgs;
use crate::exit::{Failure, Outcome, print};

/// Sizes the job by published rules.
pub fn run(args: &JobArgs) -> Result<Outcome, Failure> {
    let (_, open) = args.open(&[JobPart::Job])?;
    let report = size_job(&open.require_job()?.job);
    print(&if args.json { report.to_json().to_string() } else { report.text() });
    Ok(Outcome::Done)
}
