//! Full size on small paper: a drawing at 1:1 is cut into windows that overlap, with register marks, and every
//! page carries bars to check the printer by.

use job::model::Units;

use crate::paper::Paper;
use crate::sheet::{Anchor, Block, Drawing, Ink, Mark, Sheet, SheetKind, Stroke, Text, Weight};
use crate::words;

/// Overlap of neighbouring pages, mm: enough to glue.
const OVERLAP: f64 = 12.0;

/// Room for the bars at the left and below, mm.
const BAR: f64 = 13.0;

/// Room for the words above the window, mm.
const WORDS: f64 = 9.0;

/// What a person does before cutting by a full-size page.
const CHECK: &str = "Print at 100 %. Before cutting, measure both bars (across and up the page): 100 mm and 4 in. If either is off, do not use this page.";

/// Something to be printed at 1:1.
pub(crate) struct FullSize<'a> {
    /// Kind of sheet.
    pub kind: SheetKind,
    /// Title of its pages.
    pub title: String,
    /// Columns the title.
    pub about: String,
    /// The drawing in true mm.
    pub drawing: &'a Drawing,
}

/// The part of a page that a full-size drawing has, mm.
pub(crate) fn window(paper: Paper, wide: bool) -> [f64; 2] {
    let [w, h] = paper.room(wide);
    [w - BAR, h - BAR - WORDS]
}

/// Whether a drawing of that size fits a page, and how it lies; upright first.
pub(crate) fn fits(size: [f64; 2], paper: Paper) -> Option<bool> {
    [false, true].into_iter().find(|wide| {
        let [w, h] = window(paper, *wide);
        size[0] <= w && size[1] <= h
    })
}

/// Pages across and down.
fn count(size: [f64; 2], paper: Paper, wide: bool) -> [usize; 2] {
    let room = window(paper, wide);
    [0, 1].map(|k| if size[k] <= room[k] { 1 } else { ((size[k] - OVERLAP) / (room[k] - OVERLAP)).ceil() as usize })
}

/// The pages of one full-size drawing.
pub(crate) fn tiled(full: &FullSize<'_>, paper: Paper, units: Units) -> Vec<Sheet> {
    let drawing = full.drawing.with_room();
    let size = [drawing.width, drawing.height];
    let pages = |wide: bool| count(size, paper, wide).iter().product::<usize>();
    let wide = pages(true) < pages(false);
    let [across, down] = count(size, paper, wide);
    let room = window(paper, wide);
    let mut sheets = Vec::new();
    for row in 0..down {
        for column in 0..across {
            let corner = [column, row].map(|n| n as f64).into_iter().zip(room).map(|(n, r)| n * (r - OVERLAP));
            let corner: Vec<f64> = corner.collect();
            let mut page = framed(paper, wide, units);
            let tile = Tile { at: [corner[0], corner[1]], size, room, grid: [across, down], place: [column, row] };
            page.marks.push(Mark::Inset([BAR, WORDS], tile.cut(&drawing)));
            let mut sheet = Sheet::new(full.kind, full.title.clone(), full.about.clone());
            if across * down > 1 {
                tile.register(&mut page);
                let place = tile.name(column, row);
                let overlap = words::with_unit(OVERLAP, units);
                sheet.about = format!("{} · sheet {place} of {across} x {down}, overlap {overlap}", full.about);
            }
            sheet.wide = wide;
            sheet.blocks.push(Block::Drawing(page));
            sheets.push(sheet);
        }
    }
    sheets
}

/// A page with check bars and words, and nothing else on it.
fn framed(paper: Paper, wide: bool, units: Units) -> Drawing {
    // A hair less than the room, so that no rounding pushes it over the page.
    let [w, h] = paper.room(wide).map(|l| l - 0.05);
    let mut page = Drawing::new(w, h);
    page.window = true;
    page.text([0.5, 1.6], 2.75, Anchor::Left, CHECK).weight = Weight::Bold;
    bars(&mut page, units);
    page
}

/// Check bars in both directions: 100 mm and 4 in along the foot and up the left side, each exact from edge to
/// edge.
fn bars(page: &mut Drawing, units: Units) {
    let (x0, y0) = (BAR, page.height - 9.5);
    let (u0, v0) = (0.5, page.height - BAR);
    let in_words = if units == Units::Mm { "4 in = 101.6 mm" } else { "4 in" };
    for (length, parts, off, words) in [(100.0, 10, 0.0, "100 mm"), (101.6, 4, 5.2, in_words)] {
        let part = length / f64::from(parts);
        for upright in [false, true] {
            let at = |along: f64, aside: f64| {
                if upright { [u0 + off + aside, v0 - along] } else { [x0 + along, y0 + off + aside] }
            };
            page.rectangle(at(0.0, 0.0), at(length, 0.9), None, Some(Ink::BLACK));
            for k in 0..=parts {
                // Ticks stay within the bar's ends, so that its edges are the measure.
                let tick = if k == 0 || k == parts { 2.8 } else { 1.8 };
                let from = (part * f64::from(k) - 0.1).clamp(0.0, length - 0.2);
                page.rectangle(at(from, 0.9), at(from + 0.2, tick), None, Some(Ink::BLACK));
            }
            let written = page.text(at(length + 2.0, 1.2), 2.7, Anchor::Left, words);
            written.turn = if upright { -std::f64::consts::FRAC_PI_2 } else { 0.0 };
        }
    }
}

/// One window on a full-size drawing.
struct Tile {
    /// Corner of the tile on the drawing, mm.
    at: [f64; 2],
    /// Size of the drawing.
    size: [f64; 2],
    /// Size of the window.
    room: [f64; 2],
    /// Pages across and down.
    grid: [usize; 2],
    /// Index of this tile.
    place: [usize; 2],
}

impl Tile {
    /// What of the drawing lies in the window, moved into it.
    fn cut(&self, drawing: &Drawing) -> Drawing {
        let mut out = Drawing::new(self.room[0], self.room[1]);
        out.window = true;
        for mark in &drawing.marks {
            let shift = match mark {
                Mark::Text(text) => self.whole(text),
                _ => {
                    let [low, high] = mark.extent();
                    let seen = (0..2).all(|k| low[k] <= self.at[k] + self.room[k] && high[k] >= self.at[k]);
                    seen.then_some([0.0, 0.0])
                }
            };
            out.marks.extend(shift.map(|by| mark.moved([by[0] - self.at[0], by[1] - self.at[1]])));
        }
        out
    }

    /// How far a text is moved to be whole on this page; `None` where it is not written.
    ///
    /// It stands in its place on every page that has it whole. One that no page has whole is moved on the first page that has
    /// its middle, so that no text is ever cut.
    fn whole(&self, text: &Text) -> Option<[f64; 2]> {
        let letters = text.letters();
        let ways = [0, 1].map(|k| self.whole_along(k, letters[0][k], letters[1][k]));
        Some([ways[0]?, ways[1]?])
    }

    fn whole_along(&self, k: usize, low: f64, high: f64) -> Option<f64> {
        let step = self.room[k] - OVERLAP;
        let from = |n: usize| n as f64 * step;
        let holds = |n: usize| low >= from(n) - 1e-9 && high <= from(n) + self.room[k] + 1e-9;
        if (0..self.grid[k]).any(holds) {
            return holds(self.place[k]).then_some(0.0);
        }
        let middle = 0.5 * (low + high);
        let home = (0..self.grid[k]).find(|n| middle <= from(*n) + self.room[k]).unwrap_or(self.grid[k] - 1);
        let inward = (from(home) - low).max(0.0) - (high - from(home) - self.room[k]).max(0.0);
        (home == self.place[k]).then_some(inward)
    }

    fn name(&self, column: usize, row: usize) -> String {
        format!("{}{}", char::from(b'A' + (row % 26) as u8), column + 1)
    }

    /// Crosses in the overlaps, the same on both neighbours, and where to go on.
    fn register(&self, page: &mut Drawing) {
        let pen = Stroke::black(0.2);
        let step = [self.room[0] - OVERLAP, self.room[1] - OVERLAP];
        let mut cross = |x: f64, y: f64| {
            let (px, py) = (BAR + x - self.at[0], WORDS + y - self.at[1]);
            if x >= self.at[0] && x <= self.at[0] + self.room[0] && y >= self.at[1] && y <= self.at[1] + self.room[1] {
                page.line([px - 4.0, py], [px + 4.0, py], pen);
                page.line([px, py - 4.0], [px, py + 4.0], pen);
                page.circle([px, py], 2.0, Some(pen), None);
            }
        };
        for seam in 1..self.grid[0] {
            let x = seam as f64 * step[0] + 0.5 * OVERLAP;
            for k in 0..=4 {
                cross(x, 8.0 + (self.size[1].max(60.0) - 16.0) * f64::from(k) / 4.0);
            }
        }
        for seam in 1..self.grid[1] {
            let y = seam as f64 * step[1] + 0.5 * OVERLAP;
            for k in 0..=4 {
                cross(8.0 + (self.size[0].max(60.0) - 16.0) * f64::from(k) / 4.0, y);
            }
        }
        let edge = Stroke::of(0.2, Ink::GREY).dashed(&[20, 20]);
        let [c, r] = self.place;
        let (w, h) = (BAR + self.room[0], WORDS + self.room[1]);
        if c + 1 < self.grid[0] {
            page.line([w - OVERLAP, WORDS], [w - OVERLAP, h], edge);
            let t = page.text(
                [w - 2.5, WORDS + 22.0],
                2.8,
                Anchor::Middle,
                format!("continues on {}", self.name(c + 1, r)),
            );
            t.turn = std::f64::consts::FRAC_PI_2;
        }
        if r + 1 < self.grid[1] {
            page.line([BAR, h - OVERLAP], [w, h - OVERLAP], edge);
            page.text([w - 22.0, h - 2.5], 2.8, Anchor::Middle, format!("continues on {}", self.name(c, r + 1)));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheets(width: f64, height: f64, paper: Paper) -> Vec<Sheet> {
        let mut drawing = Drawing::new(width, height);
        drawing.line([0.0, 0.0], [width, height], Stroke::black(0.3));
        let about = String::new();
        tiled(&FullSize { kind: SheetKind::FullSize, title: "t".into(), about, drawing: &drawing }, paper, Units::Mm)
    }

    #[test]
    fn what_fits_is_one_page_and_is_never_scaled() {
        let one = sheets(150.0, 200.0, Paper::A4);
        assert_eq!(one.len(), 1);
        let page = one[0].drawings()[0];
        let inner = page.marks.iter().find_map(|m| if let Mark::Inset(_, inner) = m { Some(inner) } else { None });
        let [low, high] = inner.unwrap().marks[0].extent();
        assert!((high[0] - low[0] - 150.0).abs() < 1e-9 && (high[1] - low[1] - 200.0).abs() < 1e-9);
    }

    #[test]
    fn what_does_not_fit_is_tiled_and_every_place_is_on_a_page() {
        for (w, h) in [(250.0, 200.0), (400.0, 300.0), (700.0, 500.0)] {
            let tiles = sheets(w, h, Paper::A4);
            let wide = tiles[0].wide;
            let [across, down] = count([w, h], Paper::A4, wide);
            assert_eq!(tiles.len(), across * down);
            let room = window(Paper::A4, wide);
            assert!(across as f64 * (room[0] - OVERLAP) + OVERLAP >= w);
            assert!(down as f64 * (room[1] - OVERLAP) + OVERLAP >= h);
        }
    }

    #[test]
    fn no_text_is_cut_by_the_edge_of_a_page_and_none_is_lost() {
        let mut drawing = Drawing::new(700.0, 500.0);
        for k in 0..60 {
            let at = [11.7 * f64::from(k), 8.3 * f64::from(k)];
            drawing.text(at, 3.0, Anchor::Middle, format!("place {k} of sixty")).turn = 0.1 * f64::from(k);
        }
        let (title, about) = ("t".into(), String::new());
        let pages =
            tiled(&FullSize { kind: SheetKind::FullSize, title, about, drawing: &drawing }, Paper::A4, Units::Mm);
        let mut seen = std::collections::BTreeSet::new();
        for page in &pages {
            let inner =
                page.drawings()[0].marks.iter().find_map(|m| if let Mark::Inset(_, i) = m { Some(i) } else { None });
            let inner = inner.unwrap();
            assert!(inner.overrun().iter().all(|by| *by < 1e-6), "{:?}", inner.overrun());
            seen.extend(inner.texts().into_iter().map(|t| t.text.clone()));
        }
        assert_eq!(seen.len(), 60);
    }

    #[test]
    fn every_page_has_its_bars() {
        for tile in sheets(400.0, 300.0, Paper::Letter) {
            let page = tile.drawings()[0];
            let bar = |k: usize, length: f64| {
                page.marks.iter().any(|m| {
                    let [low, high] = m.extent();
                    matches!(m, Mark::Path { fill: Some(Ink::BLACK), .. })
                        && (high[k] - low[k] - length).abs() < 1e-9
                        && high[1 - k] - low[1 - k] < 1.0
                })
            };
            assert!([0, 1].into_iter().all(|k| bar(k, 100.0) && bar(k, 101.6)));
            assert!(page.texts().iter().any(|t| t.text == CHECK));
        }
    }
}
