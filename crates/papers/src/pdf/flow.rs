//! Sets the blocks of a sheet down its pages, mm from the top left corner of the page.
//!
//! A [`Cursor`] runs down the page and over to the next. Every block is a [`Chunk`], or several, that stays whole;
//! [`Flow::put`] is the only place where a page ends. Columns side by side start at the same spot and end at the
//! lowest one. A heading whose block went over to the next page is taken back and goes with it.

use std::rc::Rc;

use super::chunk::{Chunk, Placed};
use super::table::{Rows, widths};
use super::text::{PLAIN, PLAIN_POINTS, Style, Typesetter, Words, points_mm};
use crate::sheet::{Block, Drawing, Ink, RowHeight, Side, Stroke, Table, TextStyle};

/// Rounding that a full page forgives, mm.
const SLACK: f64 = 1e-6;

/// Room between two blocks where neither asks for its own, mm: 0.7 of the size of plain type.
const USUAL: f64 = 0.7 * PLAIN;

/// Share of the usual room between blocks that is left where they stand closer.
const TIGHT: f64 = 0.6;

/// Indent of the points of a list and of its numbers, mm.
const BULLET: f64 = 4.0;
const NUMBER: f64 = 7.0;

/// Padding of a notice and indent of its points, mm.
const PADDING: f64 = 2.6;
const POINT: f64 = 3.5;

/// Gutter between columns side by side, mm.
const GUTTER: f64 = 5.0;

/// Gutter and row gap of blanks, and the height of a line to write on, mm.
const BLANK_GUTTER: f64 = 2.5;
const BLANK_GAP: f64 = 5.5;
const BLANK_HEIGHT: f64 = 3.2;

/// Room that a block asks for above or below.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Gap {
    /// The usual room, which gives way to any other.
    Usual,
    /// So much, mm; of two the larger holds.
    Of(f64),
}

impl Gap {
    /// Room between two blocks, mm.
    fn between(self, other: Gap) -> f64 {
        match (self, other) {
            (Gap::Usual, Gap::Usual) => USUAL,
            (Gap::Usual, Gap::Of(x)) | (Gap::Of(x), Gap::Usual) => x,
            (Gap::Of(x), Gap::Of(y)) => x.max(y),
        }
    }
}

/// The part of a page's width that blocks have, mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct ColumnBox {
    /// Left side.
    pub x: f64,
    /// Width.
    pub width: f64,
}

/// How far a column of blocks has come.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cursor {
    /// Index of the page within the sheet.
    page: usize,
    /// Below the top margin, mm.
    y: f64,
    /// What the last block asks for below it; `None` where nothing stands above.
    due: Option<Gap>,
}

impl Cursor {
    /// The top of a sheet.
    pub const TOP: Cursor = Cursor { page: 0, y: 0.0, due: None };

    /// The same, with other room asked for below.
    #[must_use]
    fn then(self, below: Gap) -> Cursor {
        Cursor { due: Some(below), ..self }
    }

    fn over(self) -> Cursor {
        Cursor { page: self.page + 1, ..Cursor::TOP }
    }

    fn gap(self, above: Gap) -> f64 {
        self.due.map_or(0.0, |due| due.between(above))
    }
}

fn style_of(look: TextStyle) -> Style {
    match look {
        TextStyle::Plain => Style::plain(),
        TextStyle::Small => Style::regular(8.0).inked(Ink(60, 60, 60)),
        TextStyle::Strong => Style::bold(PLAIN_POINTS),
        TextStyle::Large => Style::bold(17.0),
    }
}

/// Blocks being set: the pages of one sheet so far.
pub(super) struct Flow<'a, 't> {
    /// Shapes the texts.
    pub typesetter: &'t mut Typesetter,
    /// Items of each page.
    pages: Vec<Vec<Placed<'a>>>,
    /// Height of the top margin, mm.
    top: f64,
    /// Room of a page below it, mm.
    height: f64,
    /// Whether blocks and rows stand closer than usual, to save a page.
    tight: bool,
}

impl<'a, 't> Flow<'a, 't> {
    /// An empty sheet whose pages have that room below a top margin, mm.
    pub fn new(typesetter: &'t mut Typesetter, top: f64, height: f64, tight: bool) -> Self {
        Flow { typesetter, pages: vec![Vec::new()], top, height, tight }
    }

    /// The pages, at least one.
    pub fn finish(self) -> Vec<Vec<Placed<'a>>> {
        self.pages
    }

    /// Sets blocks one below the other and says where the last one ends.
    pub fn set(&mut self, blocks: &'a [Block], column: ColumnBox, mut spot: Cursor) -> Cursor {
        let mut rest = blocks;
        while !rest.is_empty() {
            let headings = rest.iter().take_while(|b| matches!(b, Block::Heading(_))).count();
            let (group, later) = rest.split_at((headings + 1).min(rest.len()));
            let (headings, body) = group.split_at(headings.min(group.len()));
            spot = self.together(headings, body, column, spot);
            rest = later;
        }
        spot
    }

    /// Sets headings on the page on which what they head begins.
    fn together(&mut self, headings: &'a [Block], body: &'a [Block], column: ColumnBox, spot: Cursor) -> Cursor {
        let before: Vec<usize> = self.pages.iter().map(Vec::len).collect();
        let headed = self.each(headings, column, spot);
        let filled = self.pages[headed.page].len();
        let end = self.each(body, column, headed);
        let parted = end.page > headed.page && self.pages[headed.page].len() == filled;
        if headings.is_empty() || !parted || headed.page > spot.page {
            return end;
        }
        self.take_back(&before);
        let headed = self.each(headings, column, spot.over());
        self.each(body, column, headed)
    }

    /// Sets blocks on the next page when they would run over from this one.
    fn whole(&mut self, blocks: &'a [Block], column: ColumnBox, spot: Cursor) -> Cursor {
        let before: Vec<usize> = self.pages.iter().map(Vec::len).collect();
        let end = self.set(blocks, column, spot);
        if end.page == spot.page || spot.y <= 0.0 {
            return end;
        }
        self.take_back(&before);
        self.set(blocks, column, spot.over())
    }

    fn each(&mut self, blocks: &'a [Block], column: ColumnBox, spot: Cursor) -> Cursor {
        blocks.iter().fold(spot, |spot, block| self.block(block, column, spot))
    }

    fn take_back(&mut self, before: &[usize]) {
        for (page, items) in self.pages.iter_mut().enumerate() {
            items.truncate(before.get(page).copied().unwrap_or(0));
        }
    }

    fn block(&mut self, block: &'a Block, column: ColumnBox, spot: Cursor) -> Cursor {
        match block {
            Block::Heading(text) => {
                let style = Style::bold(11.5);
                let piece = self.paragraph(text, style, column.width);
                self.put(spot, column, Gap::Of(4.5), piece, Gap::Of(2.2))
            }
            Block::Text(look, text) => {
                let piece = self.paragraph(text, style_of(*look), column.width);
                self.put(spot, column, Gap::Of(1.8), piece, Gap::Of(1.8))
            }
            Block::Notice { title, points, grave } => {
                let piece = self.notice(title, points, *grave, column.width);
                self.put(spot, column, Gap::Of(2.5), piece, Gap::Of(2.5))
            }
            Block::Steps(items) => self.list(items, true, column, spot),
            Block::Points(items) => self.list(items, false, column, spot),
            Block::Table(table) => self.table(table, column, spot),
            Block::Drawing(drawing) => self.drawing(drawing, column, spot),
            Block::Columns(columns) => self.beside(columns, column, spot),
            Block::Whole(blocks) => self.whole(blocks, column, spot),
            Block::Blanks(items) => self.blanks(items, column, spot),
            Block::Room(height) => Cursor { y: spot.y + height * self.closeness(), ..spot },
        }
    }

    /// Puts a piece at the spot or, when it does not fit there, on the next page. One that is higher than a page
    /// runs on over several.
    fn put(&mut self, spot: Cursor, column: ColumnBox, above: Gap, mut piece: Chunk<'a>, below: Gap) -> Cursor {
        let fits = self.fits(spot, above, &piece);
        let Cursor { mut page, y, .. } = if fits { spot } else { spot.over() };
        let mut y = if fits { y + self.gap(spot, above) } else { y };
        while y + piece.height > self.height + SLACK {
            let Some(rest) = piece.split(self.height - y) else { break };
            self.lay(page, column, y, std::mem::replace(&mut piece, rest));
            (page, y) = (page + 1, 0.0);
        }
        let height = piece.height;
        self.lay(page, column, y, piece);
        Cursor { page, y: y + height, due: Some(below) }
    }

    /// Whether a piece fits at a spot, or no other page would hold it better.
    fn fits(&self, spot: Cursor, above: Gap, piece: &Chunk<'_>) -> bool {
        spot.y <= 0.0 || spot.y + self.gap(spot, above) + piece.height <= self.height + SLACK
    }

    /// Room between two blocks, mm.
    fn gap(&self, spot: Cursor, above: Gap) -> f64 {
        spot.gap(above) * self.closeness()
    }

    fn closeness(&self) -> f64 {
        if self.tight { TIGHT } else { 1.0 }
    }

    fn lay(&mut self, page: usize, column: ColumnBox, y: f64, piece: Chunk<'a>) {
        if self.pages.len() <= page {
            self.pages.resize_with(page + 1, Vec::new);
        }
        let corner = [column.x, self.top + y];
        self.pages[page].extend(piece.items.into_iter().map(|item| item.moved(corner)));
    }

    fn paragraph(&mut self, text: &str, style: Style, width: f64) -> Chunk<'a> {
        let mut piece = Chunk::default();
        piece.write(self.typesetter.lines(text, style, width, Side::Left), [0.0, 0.0]);
        piece
    }

    fn notice(&mut self, title: &str, points: &[String], grave: bool, width: f64) -> Chunk<'a> {
        let inner = width - 2.0 * PADDING;
        let mut words = Chunk::default();
        let title = self.typesetter.lines(title, Style::bold(if grave { 11.0 } else { 10.0 }), inner, Side::Left);
        words.write(title, [PADDING, PADDING]);
        for point in points {
            let y = words.height + 1.6;
            self.point(&mut words, "•", Style::plain(), point, [PADDING, y], [POINT, inner]);
        }
        let size = [width, words.height + PADDING];
        let (fill, stroke) = if grave {
            (Ink::WHITE, Stroke::black(points_mm(1.6)))
        } else {
            (Ink(238, 238, 238), Stroke::of(points_mm(0.6), Ink(105, 105, 105)))
        };
        let mut piece = Chunk {
            height: size[1],
            items: vec![Placed::Area { corner: [0.0, 0.0], size, fill, stroke: Some(stroke) }],
        };
        piece.items.append(&mut words.items);
        piece
    }

    /// Writes a point of a list: its mark at `at`, its text beside it, `[indent, width]` of both in mm.
    fn point(&mut self, piece: &mut Chunk<'a>, mark: &str, style: Style, text: &str, at: [f64; 2], across: [f64; 2]) {
        let [indent, width] = across;
        piece.write(self.typesetter.lines(mark, style, indent, Side::Left), at);
        piece.write(self.typesetter.lines(text, Style::plain(), width - indent, Side::Left), [at[0] + indent, at[1]]);
    }

    fn list(&mut self, items: &[String], numbered: bool, column: ColumnBox, mut spot: Cursor) -> Cursor {
        for (i, item) in items.iter().enumerate() {
            let mut piece = Chunk::default();
            if numbered {
                let mark = format!("{}.", i + 1);
                self.point(&mut piece, &mark, Style::bold(PLAIN_POINTS), item, [0.0, 0.0], [NUMBER, column.width]);
            } else {
                self.point(&mut piece, "•", Style::plain(), item, [0.0, 0.0], [BULLET, column.width]);
            }
            spot = self.put(spot, column, Gap::Of(1.7), piece, Gap::Of(1.7));
        }
        spot
    }

    /// Sets a table: its heads before the first row, and again before every row that begins a page.
    fn table(&mut self, table: &Table, column: ColumnBox, mut spot: Cursor) -> Cursor {
        let rise = if self.tight && table.row_height == RowHeight::Plain { RowHeight::Low } else { table.row_height };
        let Rows { heads, rows } = Rows::new(self.typesetter, table, rise, column.width);
        if rows.is_empty() {
            return self.put(spot, column, Gap::Usual, heads, Gap::Usual);
        }
        let mut above = Gap::Usual;
        for (i, row) in rows.into_iter().enumerate() {
            let piece = if i > 0 && self.fits(spot, above, &row) { row } else { heads.clone().above(row) };
            spot = self.put(spot, column, above, piece, Gap::Of(0.0));
            above = Gap::Of(0.0);
        }
        spot.then(Gap::Usual)
    }

    fn drawing(&mut self, drawing: &'a Drawing, column: ColumnBox, spot: Cursor) -> Cursor {
        let piece = Chunk { height: drawing.height, items: vec![Placed::Drawing(drawing, [0.0, 0.0])] };
        self.put(spot, column, Gap::Of(1.5), piece, Gap::Of(1.5))
    }

    fn beside(&mut self, columns: &'a [(f64, Vec<Block>)], column: ColumnBox, spot: Cursor) -> Cursor {
        let room = column.width - GUTTER * columns.len().saturating_sub(1) as f64;
        let shares: f64 = columns.iter().map(|c| c.0).sum();
        let start = Cursor { y: spot.y + self.gap(spot, Gap::Of(1.5)), due: None, ..spot };
        let mut end = start;
        let mut x = column.x;
        for (share, blocks) in columns {
            let width = room * share / shares;
            let last = self.set(blocks, ColumnBox { x, width }, start);
            if (last.page, last.y) > (end.page, end.y) {
                end = last;
            }
            x += width + GUTTER;
        }
        end.then(Gap::Of(1.5))
    }

    /// Two blanks on each row: what belongs there, and a line to write on.
    fn blanks(&mut self, items: &[String], column: ColumnBox, mut spot: Cursor) -> Cursor {
        let labels: Vec<Words> = items.iter().map(|t| self.typesetter.words(t, Style::plain())).collect();
        let natural = |k: usize| labels.iter().skip(k).step_by(2).map(Words::width).fold(0.0, f64::max);
        let room = column.width - 3.0 * BLANK_GUTTER;
        let shared = widths(&[(natural(0), 0.0), (0.0, 1.0), (natural(1), 0.0), (0.0, 1.0)], room);
        let rows = labels.len().div_ceil(2);
        let mut labels = labels.into_iter();
        for row in 0..rows {
            let mut piece = Chunk { height: BLANK_HEIGHT, items: Vec::new() };
            let mut x = 0.0;
            for (k, label) in labels.by_ref().take(2).enumerate() {
                let [label_width, line] = [shared[2 * k], shared[2 * k + 1]];
                piece.write(Rc::new(label.broken(label_width, Side::Left)), [x, 0.0]);
                x += label_width + BLANK_GUTTER;
                piece.items.push(Placed::Rule {
                    from: [x, BLANK_HEIGHT],
                    length: line,
                    stroke: Stroke::black(points_mm(0.5)),
                });
                x += line + BLANK_GUTTER;
            }
            let gap = |outer: bool| if outer { Gap::Usual } else { Gap::Of(BLANK_GAP) };
            spot = self.put(spot, column, gap(row == 0), piece, gap(row + 1 == rows));
        }
        spot
    }
}
