//! Prints a job: from routes, cut plan and quote to one PDF.

use std::io;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use cutplan::assembly::assembly;
use cutplan::file::PlanFile;
use cutplan::quote::Quote;
use cutplan::welding::welding;
use cutplan::{CutError, CutPlan};
use job::details::Details;
use job::model::{Job, Units};
use job::routes::Routes;
use job::write_atomic;
use papers::bench::Slip;
use papers::sheet::Sheet;
use papers::{
    BenchPaper, DEFAULT_TERMS, Frame, MOST_SHEETS, Paper, PaperJob, Pdf, PdfError, SheetKind, SheetSet,
    missing_characters, sheets, write_pdf,
};
use route::clearance::clearance;
use route::jig::{jig, suited_setup};
use route::judge::judge;
use route::torch::Torch;
use serde_json::{Value, json};

use crate::data_digits::{content_hash, quote_text};
use crate::fit_job::fit_job;
use crate::fit_paper::spreads;
use crate::fit_report::FitReport;
use crate::fonts::fonts_of;
use crate::open_job::Planned;
use crate::summary::rounded;
use crate::wording;

/// How papers are made.
#[derive(Debug, Clone, Default)]
pub struct PaperSettings {
    /// Size of the paper; without it A4 for jobs in mm and US Letter for jobs in inches.
    pub paper: Option<Paper>,
    /// Unit that lengths are printed in; without it the job's.
    pub units: Option<Units>,
    /// Revision of the papers.
    pub revision: String,
    /// Date of the papers; empty: a blank to fill in.
    pub date: String,
    /// The set that is printed when no kinds are named.
    pub set: SheetSet,
    /// Kinds of paper; empty: those of the set.
    pub only: Vec<SheetKind>,
    /// Whether the header is printed as it was built and corrected by fit.toml, not as drawn.
    pub as_built: bool,
}

/// What is printed of a header as built: what was sawn, and what it cost, is as it was planned.
pub const AS_BUILT: [SheetKind; 4] = [SheetKind::Overview, SheetKind::Assembly, SheetKind::Jig, SheetKind::Inspection];

/// For whom a PDF is: a customer gets no saw sheets, and the shop needs no prices.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reader {
    /// The shop.
    Shop,
    /// The customer: the quote.
    Customer,
}

impl Reader {
    /// Name of the file.
    pub fn file(self) -> &'static str {
        match self {
            Reader::Shop => "papers.pdf",
            Reader::Customer => "quote.pdf",
        }
    }

    /// The reader of a kind of sheet.
    pub fn of(kind: SheetKind) -> Reader {
        if kind == SheetKind::Quote { Reader::Customer } else { Reader::Shop }
    }
}

/// One PDF of a set.
#[derive(Debug, Clone, PartialEq)]
pub struct PrintedFile {
    /// Who reads it.
    pub reader: Reader,
    /// The PDF.
    pub pdf: Pdf,
    /// Its sheets, in order.
    pub sheets: Vec<SheetLine>,
}

/// Why there are no papers.
#[derive(Debug, thiserror::Error)]
pub enum PapersError {
    /// The runs are not valid tubes; lengths in the unit of the sheets.
    #[error("{}", wording::cut(.0, *.1))]
    Cut(CutError, Units),
    /// The page could not be set: a bug in Tubewright.
    #[error(transparent)]
    Pdf(#[from] PdfError),
    /// There would be more pages than anybody prints.
    #[error("these papers would have {0} sheets; at most {MOST_SHEETS} are set at a time")]
    TooMany(usize),
    /// It was stopped.
    #[error("the papers were stopped")]
    Stopped,
    /// A file could not be put into words: a number that is not finite.
    #[error("{0}")]
    Text(String),
    /// Nothing is known of the build.
    #[error("nothing is known of this header as built: measure it and write fit.toml first")]
    NotMeasured,
    /// Of what was asked for nothing is printed as built.
    #[error("of a header as built only overview, assembly, jig and inspection are printed")]
    NotAsBuilt,
}

/// What papers are made of.
#[derive(Debug, Clone, Copy)]
pub struct Printed<'a> {
    /// The job that is printed.
    pub job: &'a Job,
    /// Routes of its runs.
    pub routes: &'a Routes,
    /// The cut plan.
    pub plan: &'a CutPlan,
    /// The quote, when the job was priced.
    pub quote: Option<&'a Quote>,
    /// What is not met, in plain words.
    pub unmet: &'a [String],
    /// The text of routes.toml as it is stored.
    pub routes_text: &'a str,
    /// The text of cutplan.json as it is stored.
    pub plan_text: &'a str,
    /// Flanges and templates beside what the job says.
    pub details: &'a Details,
    /// The shop's terms for the customer; `None`: the program's own.
    pub terms: Option<&'a str>,
    /// Corrections as measured.
    pub slips: &'a [Slip],
}

/// A sheet of the set.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetLine {
    /// Kind of the sheet.
    pub kind: SheetKind,
    /// Title of the sheet.
    pub title: String,
    /// The page it begins on, from 1.
    pub page: usize,
}

/// A printed set.
#[derive(Debug, Clone, PartialEq)]
pub struct Papers {
    /// The PDFs that have sheets: the shop's, then the customer's.
    pub files: Vec<PrintedFile>,
    /// Hash of routes, cut plan and quote.
    pub hash: String,
    /// What is to be said: characters that no font has.
    pub warnings: Vec<String>,
    /// Seconds it took.
    pub seconds: f64,
}

impl Papers {
    /// As one JSON object, for files written to that folder.
    pub fn to_json(&self, folder: &Path) -> Value {
        let files = self.files.iter().map(|f| {
            let path = folder.join(f.reader.file());
            json!({"file": path.display().to_string(), "pages": f.pdf.pages, "bytes": f.pdf.bytes.len()})
        });
        let sheets = self.files.iter().flat_map(|f| {
            let line = |s: &SheetLine| {
                json!({"kind": s.kind.word(), "title": s.title, "page": s.page, "file": f.reader.file()})
            };
            f.sheets.iter().map(line)
        });
        json!({
            "format": 1,
            "files": files.collect::<Vec<_>>(),
            "hash": self.hash,
            "sheets": sheets.collect::<Vec<_>>(),
            "warnings": self.warnings,
            "seconds": {"papers": rounded(self.seconds)},
        })
    }
}

/// Sets the papers of an opened job with its cut plan; ends soon after `stop` became true.
///
/// # Errors
/// [`PapersError`].
pub fn print_planned(planned: Planned<'_>, settings: &PaperSettings, stop: &AtomicBool) -> Result<Papers, PapersError> {
    let Planned { open, opened, routes, plan, plan_text } = planned;
    let job = &opened.job;
    let units = settings.units.unwrap_or(job.units);
    let misses = if open.routable() { judge(job, routes).misses } else { Vec::new() };
    let unmet: Vec<String> = misses.iter().map(|m| wording::miss_of_run(&m.miss, units)).collect();
    let quote = planned.quote();
    // A record with errors prints no slip: `fit` says what is wrong with it.
    let measured = open.fit.as_ref().and_then(|_| fit_job(planned).ok());
    if settings.as_built {
        return print_as_built(planned, &measured.ok_or(PapersError::NotMeasured)?, settings, stop);
    }
    let slips = measured.map(|report| FitReport { units, ..report }.slips()).unwrap_or_default();
    let printed = Printed {
        job,
        routes,
        plan,
        quote: quote.as_ref(),
        unmet: &unmet,
        routes_text: &open.routes_text,
        plan_text,
        details: &open.beside.details,
        terms: open.terms.as_deref(),
        slips: &slips,
    };
    print_papers(printed, settings, stop)
}

/// Sets the papers of a header as it was built and corrected. They bear the digits of its plan, as the record does.
fn print_as_built(
    planned: Planned<'_>,
    report: &FitReport,
    settings: &PaperSettings,
    stop: &AtomicBool,
) -> Result<Papers, PapersError> {
    let Planned { open, opened, plan_text, .. } = planned;
    let printed = Printed {
        job: &opened.job,
        routes: &report.as_built(planned.routes),
        plan: &report.plan_as_built(planned.plan),
        quote: None,
        unmet: &[],
        routes_text: &open.routes_text,
        plan_text,
        details: &open.beside.details,
        terms: None,
        slips: &[],
    };
    let only: Vec<SheetKind> =
        AS_BUILT.into_iter().filter(|kind| settings.only.is_empty() || settings.only.contains(kind)).collect();
    if only.is_empty() {
        return Err(PapersError::NotAsBuilt);
    }
    print_papers(printed, &PaperSettings { only, ..settings.clone() }, stop)
}

/// Sets the papers of a job; ends soon after `stop` became true.
///
/// # Errors
/// [`PapersError`].
pub fn print_papers(printed: Printed<'_>, settings: &PaperSettings, stop: &AtomicBool) -> Result<Papers, PapersError> {
    let begun = Instant::now();
    let job = printed.job;
    let go_on = || if stop.load(Ordering::Relaxed) { Err(PapersError::Stopped) } else { Ok(()) };
    go_on()?;
    // As the file says it, so that a plan just made and the same one read back print the same.
    let plan = PlanFile::from(printed.plan).to_plan().map_err(|e| PapersError::Text(e.to_string()))?;
    let units = settings.units.unwrap_or(job.units);
    let not_tubes = |error: CutError| PapersError::Cut(error, units);
    let runs = assembly(job, printed.routes, &plan).map_err(not_tubes)?;
    let welds = welding(job, printed.routes, &runs, &Torch::default()).map_err(not_tubes)?;
    let over_table = jig(job, printed.routes, suited_setup(job)).ok();
    let (templates, omitted) = template::header::drawings(job, printed.details, units);
    let mut warnings: Vec<String> = omitted.iter().map(|o| wording::omission(o, units)).collect();
    go_on()?;
    let gaps = clearance(job, printed.routes).ok();
    let spreads = spreads(job, printed.routes, &runs, &plan);
    let bench = BenchPaper { spreads, slips: printed.slips.to_vec() };
    let paper = settings.paper.unwrap_or(usual_paper(job.units));
    let given = PaperJob {
        job,
        routes: printed.routes,
        plan: &plan,
        assembly: &runs,
        welding: &welds,
        jig: over_table.as_ref(),
        templates: &templates,
        large_templates: settings.set == SheetSet::Full || !settings.only.is_empty(),
        bench: &bench,
        clearance: gaps.as_ref(),
        quote: printed.quote,
        unmet: printed.unmet,
        terms: printed.terms.unwrap_or(DEFAULT_TERMS),
        units,
        paper,
        revision: &settings.revision,
        date: &settings.date,
        stop,
    };
    let mut wanted = settings.only.clone();
    if wanted.is_empty() {
        wanted = settings.set.kinds();
        wanted.push(SheetKind::Quote);
    }
    go_on()?;
    let list = sheets(&given, &wanted);
    if list.len() > MOST_SHEETS {
        return Err(PapersError::TooMany(list.len()));
    }
    go_on()?;
    let mut set = set_pages(&list, paper, printed, settings)?;
    warnings.append(&mut set.warnings);
    Ok(Papers { warnings, seconds: begun.elapsed().as_secs_f64(), ..set })
}

/// Sets drawn sheets as pages, for each reader apart.
fn set_pages(
    list: &[Sheet],
    paper: Paper,
    printed: Printed<'_>,
    settings: &PaperSettings,
) -> Result<Papers, PapersError> {
    let priced = quote_text(printed.quote, printed.job.units).map_err(|e| PapersError::Text(e.to_string()))?;
    let hash = content_hash(printed.routes_text, printed.plan_text, priced.as_deref());
    let frame = Frame {
        job: printed.job.name.clone(),
        paper,
        left: left(settings),
        middle: format!("data {hash}"),
        flag: flag(printed.unmet, settings.as_built).into(),
    };
    let fonts = fonts_of(list, &frame.job);
    let missing = missing_characters(list, &frame.job, &fonts);
    let mut files = Vec::new();
    for reader in [Reader::Shop, Reader::Customer] {
        let own: Vec<Sheet> = list.iter().filter(|s| Reader::of(s.kind) == reader).cloned().collect();
        if own.is_empty() {
            continue;
        }
        let pdf = write_pdf(&own, &frame, &fonts)?;
        let line = |(s, page): (&Sheet, &usize)| SheetLine { kind: s.kind, title: s.title.clone(), page: *page };
        let sheets = own.iter().zip(&pdf.starts).map(line).collect();
        files.push(PrintedFile { reader, pdf, sheets });
    }
    Ok(Papers { files, hash, warnings: glyph_warnings(&missing), seconds: 0.0 })
}

/// What stands white on black at the head of every page.
fn flag(unmet: &[String], as_built: bool) -> &'static str {
    match (as_built, unmet.is_empty()) {
        (true, _) => "AS BUILT",
        (false, true) => "",
        (false, false) => "NOT MET: do not cut",
    }
}

/// The paper of a shop that works in those units.
pub(crate) fn usual_paper(units: Units) -> Paper {
    match units {
        Units::Mm => Paper::A4,
        Units::Inch => Paper::Letter,
    }
}

fn left(settings: &PaperSettings) -> String {
    let blank = |text: &str| if text.is_empty() { "________".to_string() } else { text.to_string() };
    format!("revision {} · date {}", blank(&settings.revision), blank(&settings.date))
}

fn glyph_warnings(missing: &[char]) -> Vec<String> {
    let named: Vec<String> = missing.iter().take(12).map(|c| format!("{c} (U+{:04X})", u32::from(*c))).collect();
    match named.len() {
        0 => Vec::new(),
        _ => vec![format!("no font has {}: an empty box stands in its place on the papers", named.join(", "))],
    }
}

/// The text of `cutplan.json`.
///
/// # Errors
/// [`PapersError::Text`] when a number is not finite.
pub fn plan_text(plan: &CutPlan) -> Result<String, PapersError> {
    PlanFile::from(plan).to_json().map_err(|e| PapersError::Text(e.to_string()))
}

/// Writes the PDFs of a set to a folder, which is made when it is missing. Of a set without a quote, or without sheets for the
/// shop, an earlier PDF stays as it is.
///
/// # Errors
/// What the system says.
pub fn write_papers(papers: &Papers, folder: &Path) -> io::Result<()> {
    std::fs::create_dir_all(folder)?;
    papers.files.iter().try_for_each(|f| write_atomic(&folder.join(f.reader.file()), &f.pdf.bytes))
}

/// A date of the calendar as ISO 8601 writes it; empty: none.
///
/// # Errors
/// What was expected.
pub fn date(text: &str) -> Result<String, String> {
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
