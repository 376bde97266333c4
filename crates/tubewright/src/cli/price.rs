//! `tubewright price`: what a job costs.

use app::open_job::JobPart;
use app::price_job::quote_text;
use app::quote_file::QuoteFile;
use cutplan::quote::quote;

use super::opened::{JobArgs, Plan, write};
use crate::exit::{Failure, Outcome, cannot_be_cut, print};

/// Prices the job from its cut plan, planning the cuts again when that is out of date.
pub fn run(args: &JobArgs) -> Result<Outcome, Failure> {
    let (folder, open) = args.open(&[JobPart::Job, JobPart::Routes])?;
    let (opened, rates, routes) = (open.require_cutting()?, open.require_rates()?, open.require_routes()?);
    let priced = match Plan::of(&folder, &open)? {
        Ok(plan) => quote(&opened.job, routes, &plan.plan, rates),
        Err(error) => Err(error),
    };
    let quoted = match priced {
        Ok(quoted) => quoted,
        Err(error) => return Ok(cannot_be_cut(&error, opened.job.units, args.json)),
    };
    let text = QuoteFile::of(&quoted, opened.job.units).to_json().map_err(|e| Failure::System(e.to_string()))?;
    write(&folder.file("quote.json"), &text)?;
    print(&if args.json { text } else { quote_text(&quoted, opened.job.units) });
    Ok(Outcome::Done)
}
