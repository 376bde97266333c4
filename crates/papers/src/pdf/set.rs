//! A sheet set on its pages: the head and the blocks of each, and how high they stand.

use super::chunk::{self, Placed};
use super::flow::{ColumnBox, Cursor, Flow};
use super::frame::{self, Frame};
use super::text::Typesetter;
use crate::paper::{BOTTOM, SIDE, TOP};
use crate::sheet::Sheet;

/// A sheet set on its pages.
pub(super) struct SetSheet<'a> {
    /// The sheet.
    pub sheet: &'a Sheet,
    /// Width and height of its pages, mm.
    pub size: [f64; 2],
    /// The head of every page.
    pub head: Vec<Placed<'static>>,
    /// Items of each page.
    pub pages: Vec<Vec<Placed<'a>>>,
    /// Height that the blocks of each page take, mm.
    pub used: Vec<f64>,
}

/// Share of a page that a sheet's last page should have; less looks like a page for a few lines.
const LEAST_SHARE: f64 = 0.3;

impl<'a> SetSheet<'a> {
    /// Sets a sheet.
    pub fn new(sheet: &'a Sheet, frame: &Frame, typesetter: &mut Typesetter) -> Self {
        let [width, height] = frame.paper.size();
        let size = if sheet.wide { [height, width] } else { [width, height] };
        let head = frame::head(typesetter, sheet, frame, size[0]);
        let pages = SetSheet::best(sheet, size, typesetter);
        let used = heights(&pages);
        SetSheet { sheet, size, head, pages, used }
    }

    /// Its pages, and the height that their blocks take, with less room between blocks.
    pub fn closer(&self, typesetter: &mut Typesetter) -> (Vec<Vec<Placed<'a>>>, Vec<f64>) {
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
