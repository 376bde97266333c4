//! Lets short sheets share a page, so that no page is printed for a few lines.
//!
//! Sheets are taken in their order. One that is not higher than a page goes to the first page with room for it and its title, from
//! the first page of the kind before on; else it begins a page of its own. Where it only fits with less room between its blocks, it
//! stands so.

use super::chunk::Placed;
use super::frame::title;
use super::set::SetSheet;
use super::text::Typesetter;
use crate::paper::{BOTTOM, SIDE, TOP};
use crate::sheet::SheetKind;

/// Room above the title of a sheet that does not begin its page, mm.
const BETWEEN: f64 = 7.0;

/// A page ready to be drawn.
pub(super) struct Page<'a> {
    /// Width and height, mm.
    pub size: [f64; 2],
    /// What stands on it: its head and the blocks of its sheets.
    pub items: Vec<Placed<'a>>,
    /// Height that its blocks take, mm.
    used: f64,
}

/// Puts sheets on pages. Also gives the page, from 0, on which each of them begins.
pub(super) fn packed<'a>(sets: Vec<SetSheet<'a>>, typesetter: &mut Typesetter) -> (Vec<Page<'a>>, Vec<usize>) {
    let mut pages: Vec<Page<'a>> = Vec::new();
    let mut starts = Vec::new();
    // Where the kind before began, and where this one does.
    let (mut earliest, mut began) = (0, 0);
    let mut last: Option<SheetKind> = None;
    for mut set in sets {
        if last != Some(set.sheet.kind) {
            (earliest, began) = (began, pages.len());
            last = Some(set.sheet.kind);
        }
        let start = match shared(&mut pages, earliest, &mut set, typesetter) {
            Some(page) => page,
            None => {
                let first = pages.len();
                let (size, used) = (set.size, set.used);
                pages.extend(set.pages.into_iter().zip(used).map(|(blocks, used)| Page {
                    size,
                    items: set.head.iter().cloned().chain(blocks).collect(),
                    used,
                }));
                first
            }
        };
        starts.push(start);
    }
    (pages, starts)
}

/// Lays a sheet of one page below what stands on the first page with room, from `earliest` on; `None` where there is none.
fn shared<'a>(
    pages: &mut [Page<'a>],
    earliest: usize,
    set: &mut SetSheet<'a>,
    typesetter: &mut Typesetter,
) -> Option<usize> {
    if set.pages.len() != 1 {
        return None;
    }
    let [width, whole] = set.size;
    let head = title(typesetter, set.sheet, width - 2.0 * SIDE);
    let room = whole - TOP - BOTTOM;
    let choices = [(std::mem::take(&mut set.pages), set.used.clone()), set.closer(typesetter)];
    let later = pages.get(earliest..)?;
    for (blocks, used) in &choices {
        let ([blocks], [height]) = (&blocks[..], &used[..]) else { continue };
        let fits = |p: &Page<'_>| p.size == set.size && p.used + BETWEEN + head.height + height <= room;
        let Some(at) = later.iter().position(fits).map(|k| earliest + k) else { continue };
        let page = &mut pages[at];
        let top = page.used + BETWEEN;
        let down = top + head.height;
        page.items.extend(head.items.into_iter().map(|item| item.moved([SIDE, TOP + top])));
        page.items.extend(blocks.iter().cloned().map(|item| item.moved([0.0, down])));
        page.used = down + height;
        return Some(at);
    }
    let [(blocks, _), _] = choices;
    set.pages = blocks;
    None
}
