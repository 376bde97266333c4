//! `tubewright price`: what a job costs.

use std::path::PathBuf;

use app::price_job::quote_text;
use cutplan::quote::file::QuoteFile;
use cutplan::quote::quote;

use super::routed::{Routed, plan, routed, write};
use crate::exit::{Failure, Outcome, cannot_be_cut, print};

/// Options of `price`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The job's folder or its job.toml; its routes.toml must be there
    job: PathBuf,
    /// The shop's file of stock and prices [default: stock.toml in the job's folder or the one above]
    #[arg(long, value_name = "FILE")]
    stock: Option<PathBuf>,
    /// Print the quote as JSON instead of text
    #[arg(long)]
    pub json: bool,
}

/// Prices the job from its cut plan, or cuts it anew.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let Routed { opened, rates, routes } = routed(&args.job, args.stock.as_deref())?;
    let priced = match plan(&opened, &routes)? {
        Ok(plan) => quote(&opened.job, &routes, &plan, &rates),
        Err(error) => Err(error),
    };
    let quoted = match priced {
        Ok(quoted) => quoted,
        Err(error) => return Ok(cannot_be_cut(&error, opened.job.units, args.json)),
    };
    let text = QuoteFile::from(&quoted).to_json().map_err(|e| Failure::System(e.to_string()))?;
    write(&opened.folder.join("quote.json"), &text)?;
    print(&if args.json { text } else { quote_text(&quoted, opened.job.units) });
    Ok(Outcome::Done)
}
