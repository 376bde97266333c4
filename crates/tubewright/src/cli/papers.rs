//! `tubewright papers`: what is printed for the saw, the bench and the customer.

use std::path::PathBuf;

use app::papers_job::{PaperSettings, Printed, date, print_papers, terms_of, write_papers};
use app::wording;
use cutplan::quote::quote;
use job::model::Units;
use job::{NEVER, Opened};
use papers::{Paper, SheetKind};

use super::routed::{Routed, plan, routed};
use crate::exit::{Failure, Outcome, cannot_be_cut, eprint_line, print};

/// Options of `papers`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The job's folder or its job.toml; its routes.toml must be there
    job: PathBuf,
    /// The folder to write papers.pdf into
    #[arg(short, long, value_name = "OUT", default_value = "out/papers")]
    out: PathBuf,
    #[command(flatten)]
    pub printing: Printing,
    /// The shop's file of stock and prices [default: stock.toml in the job's folder or the one above]
    #[arg(long, value_name = "FILE")]
    stock: Option<PathBuf>,
    /// Print what was written as JSON
    #[arg(long)]
    pub json: bool,
}

/// How papers look.
#[derive(Debug, clap::Args)]
pub struct Printing {
    /// Size of the paper: a4, letter, a3 or tabloid [default: a4 for jobs in mm, letter in inches]
    #[arg(long, value_name = "SIZE")]
    paper: Option<Paper>,
    /// Unit of lengths: mm or in [default: the job's]
    #[arg(long, value_name = "UNIT")]
    units: Option<Units>,
    /// Revision, printed on every page
    #[arg(long, value_name = "TEXT", default_value = "")]
    revision: String,
    /// Date, printed on every page; without it a blank
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = date, default_value = "", hide_default_value = true)]
    date: String,
    /// Only these papers, with commas: overview, stock, saw, full-size, clocking, assembly, welding, jig,
    /// templates, inspection, quote, cautions
    #[arg(long, value_name = "KINDS", value_delimiter = ',', value_parser = kind)]
    only: Vec<SheetKind>,
}

fn kind(word: &str) -> Result<SheetKind, String> {
    let words: Vec<&str> = SheetKind::ALL.iter().map(|k| k.word()).collect();
    SheetKind::of_word(word.trim()).ok_or_else(|| format!("expected some of {}", words.join(", ")))
}

impl Printing {
    /// The settings, with the terms that lie beside the job.
    pub fn settings(&self, opened: &Opened) -> Result<PaperSettings, Failure> {
        Ok(PaperSettings {
            paper: self.paper,
            units: self.units,
            revision: self.revision.clone(),
            date: self.date.clone(),
            only: self.only.clone(),
            details: job::open_extras(&opened.folder)?.details,
            terms: terms_of(opened).map_err(|e| Failure::System(e.to_string()))?,
        })
    }
}

/// Prints the job from its routes and its cut plan, or cuts it anew.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let Routed { opened, rates, routes } = routed(&args.job, args.stock.as_deref())?;
    let plan = match plan(&opened, &routes)? {
        Ok(plan) => plan,
        Err(error) => return Ok(cannot_be_cut(&error, opened.job.units, args.json)),
    };
    let quoted = quote(&opened.job, &routes, &plan, &rates).ok();
    let unmet: Vec<String> = if opened.require_routing().is_ok() {
        let units = args.printing.units.unwrap_or(opened.job.units);
        let misses = route::recount::recount(&opened.job, &routes);
        misses.iter().map(|m| wording::miss_of_run(m, units)).collect()
    } else {
        Vec::new()
    };
    let (routes_text, plan_text) = (&stored(&opened, "routes.toml")?, &stored(&opened, "cutplan.json")?);
    let quote = quoted.as_ref();
    let printed = Printed { routes: &routes, plan: &plan, quote, unmet: &unmet, routes_text, plan_text };
    let set = print_papers(&opened.job, printed, &args.printing.settings(&opened)?, &NEVER)
        .map_err(|e| Failure::System(e.to_string()))?;
    let file = args.out.join("papers.pdf");
    write_papers(&set, &file).map_err(|e| Failure::System(format!("{} cannot be written: {e}", file.display())))?;
    set.warnings.iter().for_each(|w| eprint_line(&format!("warning: {w}")));
    if args.json {
        print(&set.to_json(&file).to_string());
    } else {
        for sheet in &set.sheets {
            print(&format!("  page {:3}  {}", sheet.page, sheet.title));
        }
        print(&format!("\n{} pages, data {}, written to {}.", set.pdf.pages, set.hash, file.display()));
    }
    Ok(Outcome::Done)
}

/// The text of a file beside the job.
fn stored(opened: &Opened, name: &str) -> Result<String, Failure> {
    let file = opened.folder.join(name);
    std::fs::read_to_string(&file).map_err(|e| Failure::System(format!("{} cannot be read: {e}", file.display())))
}
