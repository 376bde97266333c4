//! Sets sheets on pages and writes them as one PDF.
//!
//! `text` shapes texts and breaks them into lines, `flow` and `table` set the blocks of a sheet down its pages as
//! chunks (`chunk`), `frame` adds head and foot, `pack` lets short sheets share a page, `canvas` draws it all. No text of a job is ever read as markup.
//! Fonts come in as bytes, the date as text: the same sheets give the same bytes.

mod canvas;
mod chunk;
mod flow;
mod fonts;
mod frame;
mod pack;
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

pub use fonts::Fonts;

use crate::CAUTION;
use crate::paper::{BOTTOM, Paper, SIDE, TOP};
use crate::sheet::{Sheet, SheetKind};
use canvas::{Canvas, points};
use chunk::Placed;
use flow::{ColumnBox, Cursor, Flow};
use fonts::Faces;
use pack::packed;
use text::Typesetter;

/// Head and foot of every page.
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

/// Why a PDF could not be written: a bug, not a wrong job.
#[derive(Debug, thiserror::Error)]
pub enum PdfError {
    /// A font that texts were shaped with can't be embedded.
    #[error("cannot write the PDF: a font cannot be embedded")]
    Font,
    /// A size of page that PDF does not know.
    #[error("cannot write the PDF: a page of {0} x {1} mm")]
    Page(f64, f64),
    /// The file can't be written.
    #[error("cannot write the PDF: {0}")]
    File(String),
}

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

/// A sheet set on its pages.
struct SetSheet<'a> {
    sheet: &'a Sheet,
    /// Width and height of its pages, mm.
    size: [f64; 2],
    /// The head of every page.
    head: Vec<Placed<'static>>,
    /// Items of each page.
    pages: Vec<Vec<Placed<'a>>>,
    /// Height that the blocks of each page take, mm.
    used: Vec<f64>,
}

/// Share of a page that a sheet's last page should have; less looks like a page for a few lines.
const LEAST_SHARE: f64 = 0.3;

impl<'a> SetSheet<'a> {
    fn new(sheet: &'a Sheet, frame: &Frame, typesetter: &mut Typesetter) -> Self {
        let [width, height] = frame.paper.size();
        let size = if sheet.wide { [height, width] } else { [width, height] };
        let head = frame::head(typesetter, sheet, frame, size[0]);
        let pages = SetSheet::best(sheet, size, typesetter);
        let used = heights(&pages);
        SetSheet { sheet, size, head, pages, used }
    }

    /// Its pages, and the height that their blocks take, with less room between blocks.
    fn closer(&self, typesetter: &mut Typesetter) -> (Vec<Vec<Placed<'a>>>, Vec<f64>) {
        let pages = flowed(self.sheet, self.size, typesetter, (self.size[1] - TOP - BOTTOM, true));
        let used = heights(&pages);
        (pages, used)
    }

    /// The sheet as it lies best: with less room between blocks where that saves a page, and with its last page no shorter than it
    /// has to be.
    fn best(sheet: &'a Sheet, size: [f64; 2], typesetter: &mut Typesetter) -> Vec<Vec<Placed<'a>>> {
        let room = size[1] - TOP - BOTTOM;
        let mut set = |height: f64, tight: bool| flowed(sheet, size, typesetter, (height, tight));
        let plain = set(room, false);
        if plain.len() == 1 {
            return plain;
        }
        let tight = set(room, true);
        if tight.len() < plain.len() {
            return tight;
        }
        // A lower page pushes blocks to the next one.
        let mut lower = (0..12).map(|k| set(room * (1.0 - 0.04 * f64::from(k)), false));
        let share = |pages: &[Vec<Placed<'_>>]| heights(pages).last().map_or(0.0, |h| h / room);
        lower.find(|pages| pages.len() == plain.len() && share(pages) >= LEAST_SHARE).unwrap_or(plain)
    }
}

/// The blocks of a sheet on pages of so much room, mm, close to one another or not.
fn flowed<'a>(
    sheet: &'a Sheet,
    size: [f64; 2],
    typesetter: &mut Typesetter,
    (room, tight): (f64, bool),
) -> Vec<Vec<Placed<'a>>> {
    let mut flow = Flow::new(typesetter, TOP, room, tight);
    flow.set(&sheet.blocks, ColumnBox { x: SIDE, width: size[0] - 2.0 * SIDE }, Cursor::TOP);
    flow.finish()
}

/// Height that the blocks of each page take, mm.
fn heights(pages: &[Vec<Placed<'_>>]) -> Vec<f64> {
    pages.iter().map(|items| (chunk::lowest(items) - TOP).max(0.0)).collect()
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
