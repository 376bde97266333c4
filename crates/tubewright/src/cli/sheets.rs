//! `tubewright sheets`: what is printed for the saw, the bench and the customer.

use std::path::PathBuf;

use app::open_job::JobPart;
use app::papers_job::{PaperSettings, PapersError, date, print_planned, write_papers};
use job::NEVER;
use job::model::Units;
use papers::{Paper, SheetKind, SheetSet};

use super::opened::{JobArgs, Plan};
use crate::exit::{Failure, Outcome, cannot_be_cut, eprint_line, print};

/// Options of `sheets`.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    pub job: JobArgs,
    /// The folder to write papers.pdf and quote.pdf into
    #[arg(short, long, value_name = "OUT", default_value = "out/papers")]
    out: PathBuf,
    /// The header as it was built and corrected by fit.toml: overview, assembly, jig, inspection
    #[arg(long)]
    as_built: bool,
    #[command(flatten)]
    pub printing: Printing,
}

/// How sheets look.
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
    /// Date printed on every page (left blank if omitted)
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = date, default_value = "", hide_default_value = true)]
    date: String,
    /// Which set for the shop: short, or full with every bend and large template at full size
    #[arg(long, value_name = "SET", default_value = "short")]
    set: SheetSet,
    /// Only these sheets, with commas: cautions, overview, stock, saw, full-size, clocking, assembly, welding,
    /// jig, templates, inspection, quote
    #[arg(long, value_name = "KINDS", value_delimiter = ',', value_parser = kind)]
    only: Vec<SheetKind>,
}

fn kind(word: &str) -> Result<SheetKind, String> {
    let words: Vec<&str> = SheetKind::ALL.iter().map(|k| k.word()).collect();
    SheetKind::of_word(word.trim()).ok_or_else(|| format!("expected some of {}", words.join(", ")))
}

impl Printing {
    /// The options as settings of the sheets.
    pub fn settings(&self) -> PaperSettings {
        PaperSettings {
            paper: self.paper,
            units: self.units,
            revision: self.revision.clone(),
            date: self.date.clone(),
            set: self.set,
            only: self.only.clone(),
            as_built: false,
        }
    }
}

fn failure(error: PapersError, args: &Args) -> Failure {
    if !matches!(error, PapersError::NotMeasured | PapersError::NotAsBuilt) {
        return Failure::System(error.to_string());
    }
    args.job.not_as_built(error.to_string(), "a build that was measured, and sheets that show it")
}

/// Prints the job from its routes and its cut plan, planning the cuts again when that is out of date.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let (folder, open) = args.job.open(&[JobPart::Job, JobPart::Routes])?;
    let opened = open.require_cutting()?;
    open.require(&[JobPart::Rates, JobPart::Routes, JobPart::Extras, JobPart::Terms])?;
    let plan = match Plan::of(&folder, &open)? {
        Ok(plan) => plan,
        Err(error) => return Ok(cannot_be_cut(&error, opened.job.units, args.job.json)),
    };
    let settings = PaperSettings { as_built: args.as_built, ..args.printing.settings() };
    let set =
        print_planned(open.planned_by(&plan.plan, &plan.text)?, &settings, &NEVER).map_err(|e| failure(e, args))?;
    let failed = |e| Failure::System(format!("sheets cannot be written to {}: {e}", args.out.display()));
    write_papers(&set, &args.out).map_err(failed)?;
    set.warnings.iter().for_each(|w| eprint_line(&format!("warning: {w}")));
    if args.job.json {
        print(&set.to_json(&args.out).to_string());
        return Ok(Outcome::Done);
    }
    for file in &set.files {
        for sheet in &file.sheets {
            print(&format!("  page {:3}  {}", sheet.page, sheet.title));
        }
        let path = args.out.join(file.reader.file());
        print(&format!("\n{} pages, data {}, written to {}.\n", file.pdf.pages, set.hash, path.display()));
    }
    Ok(Outcome::Done)
}
