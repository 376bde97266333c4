//! `tubewright strength`: heat, growth, stress and vibration.

use app::open_job::JobPart;
use app::strength_job::strength_job;
use app::strength_text::strength_text;

use super::opened::JobArgs;
use crate::exit::{Failure, Outcome, print};

/// Computes what the hot header does.
pub fn run(args: &JobArgs) -> Result<Outcome, Failure> {
    let (_, open) = args.open(&[JobPart::Job, JobPart::Routes])?;
    let job = &open.require_job()?.job;
    let answer = strength_job(job, open.require_routes()?, &open.rates)?;
    print(&if args.json { answer.to_json() } else { strength_text(&answer, job.units) });
    Ok(Outcome::Done)
}
