//! Sets sheets on pages and writes them as one PDF.
//!
//! `text` shapes texts and breaks them into lines, `flow` and `table` set the blocks of a sheet down its pages as
//! chunks (`chunk`), `frame` adds head and foot, `set` is a sheet on its pages, `pack` lets short sheets share a page, `canvas` draws it all. No text of a job is ever read as markup.
//! Fonts come in as bytes, the date as text: the same sheets give the same bytes.

mod canvas;
mod chunk;
mod error;
mod flow;
mod fonts;
mod frame;
mod pack;
mod set;
mod table;
#[cfg(test)]
mod tests;
mod text;

use std::collections::BTreeSet;

use krilla::destination::XyzDestination;
use krilla::geom::Point;
use krilla::metadata::Metadata;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::{Document, SerializeSettings};

pub use error::PdfError;
pub use fonts::Fonts;
pub use frame::Frame;

use crate::CAUTION;
use crate::sheet::{Sheet, SheetKind};
use canvas::{Canvas, points};
use chunk::Placed;
use fonts::Faces;
use pack::packed;
use set::SetSheet;
use text::Typesetter;

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
/// [`PdfError`]: a bug, whatever the sheets say.
pub fn write_pdf(sheets: &[Sheet], frame: &Frame, fonts: &Fonts) -> Result<Pdf, PdfError> {
    write_with(sheets, frame, fonts, settings())
}

/// How the file is written: colours as sRGB whatever the printer, no structure tags.
fn settings() -> SerializeSettings {
    SerializeSettings { no_device_cs: true, enable_tagging: false, ..SerializeSettings::default() }
}

fn write_with(sheets: &[Sheet], frame: &Frame, fonts: &Fonts, settings: SerializeSettings) -> Result<Pdf, PdfError> {
    let mut typesetter = Typesetter::new(fonts);
    let set: Vec<SetSheet<'_>> = sheets.iter().map(|sheet| SetSheet::new(sheet, frame, &mut typesetter)).collect();
    let (pages, starts) = packed(set, &mut typesetter);
    let total = pages.len();
    let mut document = Document::new_with(settings);
    let mut outline = Outline::new();
    for (sheet, page) in sheets.iter().zip(&starts) {
        let top = XyzDestination::new(*page, Point::from_xy(0.0, 0.0));
        outline.push_child(OutlineNode::new(sheet.title.clone(), top));
    }
    let mut faces = Faces::default();
    // A customer does no work by a quote.
    let caution = if sheets.iter().all(|s| s.kind == SheetKind::Quote) { "" } else { CAUTION };
    for (number, page) in (1..).zip(&pages) {
        let foot = frame::foot(&mut typesetter, frame, page.size, [number, total], caution);
        draw_page(&mut document, page.size, page.items.iter().chain(&foot), &mut typesetter, &mut faces)?;
    }
    document.set_outline(outline);
    document.set_metadata(Metadata::new().title(frame.job.clone()).document_id(frame.middle.clone()));
    let bytes = document.finish().map_err(|e| PdfError::File(format!("{e:?}")))?;
    Ok(Pdf { bytes, pages: total, starts: starts.into_iter().map(|page| page + 1).collect() })
}

fn draw_page<'i>(
    document: &mut Document,
    [width, height]: [f64; 2],
    items: impl Iterator<Item = &'i Placed<'i>>,
    typesetter: &mut Typesetter,
    faces: &mut Faces,
) -> Result<(), PdfError> {
    let settings = PageSettings::from_wh(points(width), points(height)).ok_or(PdfError::Page(width, height))?;
    let mut page = document.start_page_with(settings);
    let mut surface = page.surface();
    let mut canvas = Canvas { surface: &mut surface, typesetter, faces };
    let mut drawn = Ok(());
    for item in items {
        drawn = drawn.and_then(|()| canvas.item(item));
    }
    surface.finish();
    page.finish();
    drawn
}
