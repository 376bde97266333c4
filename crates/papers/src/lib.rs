//! Papers: what goes to the saw, the bench and the customer, printed.
//!
//! Everything a paper says was decided upstream, in routes, cut plan and quote; here it is only set on the
//! page. Three steps: [`sheets()`] lays out neutral sheets (a file of `layout` for each kind of paper), which
//! hold text, tables and drawings in mm; `pdf` writes them. The crate reads no file and no clock.

mod balloon;
mod bay;
pub mod bench;
mod chart;
pub mod gas;
mod layout;
mod outline;
mod paper;
mod pdf;
pub mod sheet;
pub mod strength;
pub mod survey;
mod tile;
mod view;
mod words;

use std::sync::atomic::{AtomicBool, Ordering};

use cutplan::CutPlan;
use cutplan::assembly::RunAssembly;
use cutplan::quote::Quote;
use cutplan::welding::Welding;
use job::model::{Job, Saw, Units};
use job::routes::Routes;
use route::clearance::Clearance;
use route::jig::Jig;

/// One line of caution, at the foot of every sheet and at the end of a report.
pub const CAUTION: &str = "Estimates from your measurements: check before you cut. Fume, argon, saws, heat and exhaust gas can \
    hurt: follow your local code and, where the law asks, use licensed people.";

/// Most sheets of a set that is looked at to its end. A set of 24 runs has 200.
pub const MOST_SHEETS: usize = 1_000;

pub use bench::BenchPaper;
pub use layout::quote::DEFAULT_TERMS;
pub use layout::sheets;
pub use paper::Paper;
pub use pdf::{Fonts, Frame, Pdf, PdfError, missing_characters, write_pdf};
pub use sheet::{SheetKind, SheetSet};

/// Everything that papers are made from.
#[derive(Debug, Clone, Copy)]
pub struct PaperJob<'a> {
    /// The job.
    pub job: &'a Job,
    /// The routes.
    pub routes: &'a Routes,
    /// Cut plan of the job.
    pub plan: &'a CutPlan,
    /// How the runs go together, in the order of the routes.
    pub assembly: &'a [RunAssembly],
    /// Order of tacking and welding.
    pub welding: &'a Welding,
    /// Where everything stands over a table; `None` for runs that the job has no ports and collectors for.
    pub jig: Option<&'a Jig>,
    /// Flanges and collector templates at full size.
    pub templates: &'a [template::Drawing],
    /// Whether templates that are larger than a page are drawn at full size, on pages to be glued; else only their notes stand on a sheet.
    pub large_templates: bool,
    /// How the build comes out.
    pub bench: &'a BenchPaper,
    /// The gaps, when they were measured.
    pub clearance: Option<&'a Clearance>,
    /// The quote, when the job was priced.
    pub quote: Option<&'a Quote>,
    /// Requirements that are not met, in plain words.
    pub unmet: &'a [String],
    /// The shop's terms for the customer: paragraphs, and headings that begin with `# `.
    pub terms: &'a str,
    /// Unit that lengths are printed in.
    pub units: Units,
    /// Size of the paper.
    pub paper: Paper,
    /// Revision of the papers, for the quote.
    pub revision: &'a str,
    /// Date of the papers, for the quote; empty: to be written by hand.
    pub date: &'a str,
    /// Ends the drawing of sheets soon after it became true; then they are not whole.
    pub stop: &'a AtomicBool,
}

impl PaperJob<'_> {
    /// The saw that cuts.
    pub(crate) fn saw(&self) -> &Saw {
        &self.job.saw
    }

    /// Whether to draw further sheets after so many: not when they are stopped, and not when there are more than anybody prints.
    pub(crate) fn go_on(&self, sheets: usize) -> bool {
        sheets <= MOST_SHEETS && !self.stop.load(Ordering::Relaxed)
    }
}
