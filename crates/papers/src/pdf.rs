//! Sets sheets on pages and writes them as one PDF.
//!
//! `text` shapes texts and breaks them into lines, `flow` and `table` set the blocks of a sheet down its pages as
//! pieces (`piece`), `frame` adds head and foot, `canvas` draws it all. No text of a job is ever read as markup.
//! Fonts come in as bytes, the date as text: the same sheets give the same bytes.

mod canvas;
mod chunk;
mod flow;
mod fonts;
mod frame;
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

use crate::paper::{BOTTOM, Paper, SIDE, TOP};
use crate::sheet::Sheet;
use canvas::{Canvas, points};
use chunk::Placed;
use flow::{ColumnBox, Cursor, Flow};
use fonts::Faces;
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
    let total = set.iter().map(|sheet| sheet.pages.len()).sum();
    let mut document = Document::new_with(settings);
    let mut outline = Outline::new();
    let mut starts = Vec::new();
    let mut faces = Faces::default();
    let mut number = 0;
    for sheet in &set {
        outline.push_child(OutlineNode::new(
            sheet.title.to_string(),
            XyzDestination::new(number, Point::from_xy(0.0, 0.0)),
        ));
        starts.push(number + 1);
        for page in &sheet.pages {
            number += 1;
            let foot = frame::foot(&mut typesetter, frame, sheet.size, [number, total]);
            draw_page(
                &mut document,
                sheet.size,
                sheet.head.iter().chain(page).chain(&foot),
                &mut typesetter,
                &mut faces,
            )?;
        }
    }
    document.set_outline(outline);
    document.set_metadata(Metadata::new().title(frame.job.clone()).document_id(frame.middle.clone()));
    let bytes = document.finish().map_err(|e| PdfError::File(format!("{e:?}")))?;
    Ok(Pdf { bytes, pages: total, starts })
}

/// A sheet set on its pages.
struct SetSheet<'a> {
    title: &'a str,
    /// Width and height of its pages, mm.
    size: [f64; 2],
    /// The head of every page.
    head: Vec<Placed<'static>>,
    /// Items of each page.
    pages: Vec<Vec<Placed<'a>>>,
}

impl<'a> SetSheet<'a> {
    fn new(sheet: &'a Sheet, frame: &Frame, typesetter: &mut Typesetter) -> Self {
        let [width, height] = frame.paper.size();
        let size = if sheet.wide { [height, width] } else { [width, height] };
        let head = frame::head(typesetter, sheet, frame, size[0]);
        let mut flow = Flow::new(typesetter, TOP, size[1] - TOP - BOTTOM);
        flow.set(&sheet.blocks, ColumnBox { x: SIDE, width: size[0] - 2.0 * SIDE }, Cursor::TOP);
        SetSheet { title: &sheet.title, size, head, pages: flow.finish() }
    }
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
