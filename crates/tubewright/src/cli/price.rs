//! `tubewright price`: what a job costs.

use std::path::{Path, PathBuf};

use app::cut_job::cut_job;
use app::price_job::{Saved, quote_text, saved_plan};
use cutplan::file::PlanFile;
use cutplan::quote::file::QuoteFile;
use cutplan::quote::quote;
use cutplan::{CutPlan, CutSettings};
use job::routes::Routes;
use job::{OpenSettings, Opened, Problem, Problems, write_atomic};

use crate::exit::{Failure, Outcome, cannot_be_cut, print, say};

/// What `price` is told.
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
    let settings = OpenSettings { stock_file: args.stock.clone() };
    let opened = job::open_with(&args.job, &settings)?;
    opened.require_cutting()?;
    let rates = job::open_rates(&opened, &settings)?;
    let (routes, warnings) = job::open_routes(&opened.folder.join("routes.toml"), &opened.job)?;
    for problems in [&opened.warnings, &warnings] {
        if !problems.0.is_empty() {
            say(&problems.to_string());
        }
    }
    let priced = match plan(&opened, &routes)? {
        Ok(plan) => quote(&opened.job, &routes, &plan, &rates),
        Err(error) => Err(error),
    };
    let quoted = match priced {
        Ok(quoted) => quoted,
        Err(error) => {
            return Ok(cannot_be_cut(&error.said(opened.job.units), args.json));
        }
    };
    let text = QuoteFile::from(&quoted).to_json().map_err(|e| Failure::System(e.to_string()))?;
    write(&opened.folder.join("quote.json"), &text)?;
    print(&if args.json { text } else { quote_text(&quoted, opened.job.units) });
    Ok(Outcome::Done)
}

fn write(file: &Path, text: &str) -> Result<(), Failure> {
    write_atomic(file, text.as_bytes())
        .map_err(|e| Failure::System(format!("{} cannot be written: {e}", file.display())))
}

/// The saved cut plan when it still belongs to the routes and the stock, else a new one, which is saved.
pub(super) fn plan(opened: &Opened, routes: &Routes) -> Result<Result<CutPlan, cutplan::CutError>, Failure> {
    let file = opened.folder.join("cutplan.json");
    if file.is_file() {
        let shown = file.display().to_string();
        let text =
            std::fs::read_to_string(&file).map_err(|e| Failure::System(format!("{shown} cannot be read: {e}")))?;
        match saved_plan(&text, &opened.job, routes) {
            Saved::Fits(plan) => return Ok(Ok(*plan)),
            Saved::Stale(why) => say(&format!("{shown} is of other routes or other stock ({why}): cutting anew")),
            Saved::Broken(why) => {
                let problem = Problem::error("cutplan", format!("{shown} is no cut plan: {why}"))
                    .in_file(&shown)
                    .expected("a cut plan as `tubewright cut` writes it")
                    .hint("delete it, or write it anew with `tubewright cut`");
                return Err(Problems::one(problem).into());
            }
        }
    }
    let cut = cut_job(&opened.job, routes, &CutSettings::default(), &mut |_| ());
    if let Ok(cut) = &cut {
        let text = PlanFile::from(&cut.plan).to_json().map_err(|e| Failure::System(e.to_string()))?;
        write(&file, &text)?;
    }
    Ok(cut.map(|c| c.plan))
}
