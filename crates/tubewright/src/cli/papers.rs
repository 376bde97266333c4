//! `tubewright papers`: what is printed for the saw, the bench and the customer.

use std::path::PathBuf;

use app::papers_job::{PaperSettings, Printed, content_hash, print_papers, quote_text, terms_of, write_papers};
use cutplan::quote::{Quote, quote};
use job::Opened;
use job::model::Units;
use papers::{Kind, Paper};

use super::routed::{Routed, no_plan, plan, routed};
use crate::exit::{Failure, Outcome, print, say};

/// What `papers` is told.
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
    #[arg(long, value_name = "UNIT", value_parser = unit)]
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
    only: Vec<Kind>,
}

fn unit(word: &str) -> Result<Units, String> {
    match word {
        "mm" => Ok(Units::Mm),
        "in" => Ok(Units::Inch),
        _ => Err("expected mm or in".into()),
    }
}

fn kind(word: &str) -> Result<Kind, String> {
    let words: Vec<&str> = Kind::ALL.iter().map(|k| k.word()).collect();
    Kind::of_word(word.trim()).ok_or_else(|| format!("expected some of {}", words.join(", ")))
}

/// A date of the calendar as ISO 8601 writes it; nothing else of it is looked at.
fn date(text: &str) -> Result<String, String> {
    let bad = || Err("expected a date as 2025-03-31".to_string());
    if text.is_empty() {
        return Ok(String::new());
    }
    let parts: Vec<&str> = text.split('-').collect();
    let [year, month, day] = parts[..] else { return bad() };
    let digits = |part: &str, n: usize| part.len() == n && part.bytes().all(|b| b.is_ascii_digit());
    if !(digits(year, 4) && digits(month, 2) && digits(day, 2)) {
        return bad();
    }
    let number = |part: &str| part.parse::<u32>().unwrap_or(0);
    let leap =
        number(year).is_multiple_of(4) && (!number(year).is_multiple_of(100) || number(year).is_multiple_of(400));
    let days = match number(month) {
        2 if leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => return bad(),
    };
    if (1..=days).contains(&number(day)) { Ok(text.to_string()) } else { bad() }
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
            details: job::open_beside(&opened.folder)?.details,
            terms: terms_of(opened).map_err(|e| Failure::System(e.to_string()))?,
        })
    }
}

/// Prints the job from its routes and its cut plan, or cuts it anew.
pub fn run(args: &Args) -> Result<Outcome, Failure> {
    let Routed { opened, rates, routes } = routed(&args.job, args.stock.as_deref())?;
    let plan = match plan(&opened, &routes)? {
        Ok(plan) => plan,
        Err(error) => return Ok(no_plan(&error.to_string(), args.json)),
    };
    let quoted = quote(&opened.job, &routes, &plan, &rates).ok();
    let unmet: Vec<String> = if opened.require_routing().is_ok() {
        route::recount::recount(&opened.job, &routes).iter().map(ToString::to_string).collect()
    } else {
        Vec::new()
    };
    let hash = hash(&opened, quoted.as_ref())?;
    let printed = Printed { routes: &routes, plan: &plan, quote: quoted.as_ref(), unmet: &unmet, hash: &hash };
    let set = print_papers(&opened.job, printed, &args.printing.settings(&opened)?)
        .map_err(|e| Failure::System(e.to_string()))?;
    let file = args.out.join("papers.pdf");
    write_papers(&set, &file).map_err(|e| Failure::System(format!("{} cannot be written: {e}", file.display())))?;
    set.warnings.iter().for_each(|w| say(&format!("warning: {w}")));
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

/// Hash of routes and cut plan as they lie beside the job, and of the quote.
fn hash(opened: &Opened, quote: Option<&Quote>) -> Result<String, Failure> {
    let text = |name: &str| {
        let file = opened.folder.join(name);
        std::fs::read_to_string(&file).map_err(|e| Failure::System(format!("{} cannot be read: {e}", file.display())))
    };
    let quote = quote_text(quote).map_err(|e| Failure::System(e.to_string()))?;
    Ok(content_hash(&text("routes.toml")?, &text("cutplan.json")?, quote.as_deref()))
}

#[cfg(test)]
mod tests {
    use super::date;

    #[test]
    fn dates_are_those_of_the_calendar() {
        for good in ["2025-03-31", "2024-02-29", ""] {
            assert_eq!(date(good).as_deref(), Ok(good));
        }
        for bad in ["2025-02-29", "31.3.2025", "2025-13-01", "2025-1-1", "tomorrow", "2025-04-31"] {
            assert!(date(bad).is_err(), "{bad}");
        }
    }
}
