//! Writes sheets as one PDF.
//!
//! A thin writer: the layout engine gets the sheets as data through the inputs of its library, and a fixed
//! template (`sheets.typ`) sets them. No text of a job is ever read as markup. Fonts come in as bytes, the
//! date as text: the same sheets give the same bytes.

mod fonts;
mod values;
mod world;

use std::collections::BTreeSet;

use typst::foundations::{NativeElement, Selector, Smart};
use typst::introspection::Introspector;
use typst::layout::PagedDocument;
use typst::model::HeadingElem;
use typst_pdf::PdfOptions;

pub use fonts::Fonts;

use crate::paper::Paper;
use crate::sheet::Sheet;
use world::SheetWorld;

/// What stands on every page.
#[derive(Debug, Clone, PartialEq)]
pub struct Frame {
    /// Name of the job, at the head.
    pub job: String,
    /// Size of the paper.
    pub paper: Paper,
    /// At the left of the foot: revision and date.
    pub left: String,
    /// In the middle of the foot: the hash of what the papers were made from.
    pub middle: String,
    /// White on black in the head: why no page may be worked by; empty: nothing.
    pub flag: String,
}

/// Why no PDF came about: a fault of ours.
#[derive(Debug, thiserror::Error)]
#[error("the papers could not be set: {0}")]
pub struct PdfError(String);

/// A PDF and what is to be said of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Pdf {
    /// The file.
    pub bytes: Vec<u8>,
    /// Number of pages.
    pub pages: usize,
    /// The page, from 1, on which each sheet begins.
    pub starts: Vec<usize>,
}

/// The characters of the sheets that none of the fonts has, in order.
pub fn missing_characters(sheets: &[Sheet], job: &str, fonts: &Fonts) -> Vec<char> {
    let mut wanted: BTreeSet<char> = job.chars().collect();
    for sheet in sheets {
        sheet.each_text(&mut |text| wanted.extend(text.chars()));
    }
    wanted.retain(|c| !c.is_control() && !fonts.has(*c));
    wanted.into_iter().collect()
}

/// Sets the sheets and writes them.
///
/// # Errors
/// [`PdfError`] when the template and the data do not go together: a fault of ours.
pub fn write_pdf(sheets: &[Sheet], frame: &Frame, fonts: &Fonts) -> Result<Pdf, PdfError> {
    let world = SheetWorld::new(values::inputs(sheets, frame, fonts), fonts);
    let said = |list: &[typst::diag::SourceDiagnostic]| {
        PdfError(list.iter().map(|d| d.message.to_string()).collect::<Vec<_>>().join("; "))
    };
    let document: PagedDocument = typst::compile(&world).output.map_err(|e| said(&e))?;
    // Without structure tags: they double the time, and drawings have none.
    let options = PdfOptions { ident: Smart::Custom(&frame.middle), tagged: false, ..PdfOptions::default() };
    let bytes = typst_pdf::pdf(&document, &options).map_err(|e| said(&e))?;
    let starts = sheet_starts(&document.introspector);
    // What was kept of earlier sets would only take memory.
    typst::comemo::evict(0);
    Ok(Pdf { bytes, pages: document.pages.len(), starts })
}

fn sheet_starts(introspector: &Introspector) -> Vec<usize> {
    let titles = introspector.query(&Selector::Elem(HeadingElem::ELEM, None));
    titles.iter().filter_map(|t| Some(introspector.page(t.location()?).get())).collect()
}
