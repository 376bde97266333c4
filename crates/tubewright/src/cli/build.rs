//! `tubewright build`: everything, into one folder.

use std::path::PathBuf;

use app::build::{BuildSettings, Progress, build};
use app::open_job::JobPart;
use cutplan::CutSettings;

use super::opened::gas_text;
use super::route::{Search, show_found};
use super::sheets::Printing;
use crate::exit::{Failure, Outcome, eprint_line, eprint_problems, print};

/// Options of `build`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The folder to write into
    #[arg(short, long, value_name = "OUT", default_value = "out")]
    out: PathBuf,
    #[command(flatten)]
    pub search: Search,
    /// Offer up to N alternatives: fewest welds, cheapest, most equal, most clearance, least bend, most flexible
    #[arg(long, value_name = "N", default_value_t = 0)]
    alternatives: usize,
    #[command(flatten)]
    printing: Printing,
    /// Skip the sheets
    #[arg(long, alias = "no-papers")]
    no_sheets: bool,
}

/// Builds the job.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let (folder, open, last) = args.search.open()?;
    let opened = open.require_cutting()?;
    let settings = BuildSettings {
        route: args.search.settings(),
        cut: CutSettings::default(),
        alternatives: args.alternatives,
        rates: open.require_rates()?.clone(),
        papers: (!args.no_sheets).then(|| args.printing.settings()),
        beside: open.require_extras()?.clone(),
        terms: if args.no_sheets { None } else { open.require_terms()?.map(String::from) },
        gas: gas_text(&folder.file("gas.json"))?,
    };
    eprint_problems(&[open.warnings(JobPart::Extras)]);
    let built = build(opened, last.as_ref(), &args.out, &settings, &|progress| match progress {
        Progress::Route(found) => show_found(found),
        Progress::Warning(words) => eprint_line(&format!("warning: {words}")),
        Progress::Cut(plan) => {
            eprint_line(&format!(
                "           cut plan for {:.2}, at least {:.2}",
                plan.cost.units(),
                plan.lower_bound.units()
            ));
        }
    })
    .map_err(|e| Failure::System(format!("{}: {e}", args.out.display())))?;
    print(&if args.search.job.json { built.summary.to_string() } else { built.text.clone() });
    if !args.search.job.json {
        print(&format!("\nWritten to {}.", args.out.display()));
    }
    Ok(if built.met { Outcome::Done } else { Outcome::Unmet })
}
