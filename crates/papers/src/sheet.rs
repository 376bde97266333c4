//! Neutral sheets: what stands on a paper, before any file format.
//!
//! A sheet is a list of blocks that run down the page. Tables may run over several pages; a [`Drawing`]
//! holds lines, arcs and text at fixed places in mm from its top left corner, y downwards, and is never
//! scaled by a writer. Whatever a block says was computed upstream.

mod drawing;
mod place;

use std::str::FromStr;

pub use drawing::{Anchor, Dash, Drawing, Ink, Mark, PenStep, Point, Stroke, Text, Weight, arc, polyline};
pub use place::Placing;

/// The kinds of paper, in the order in which they lie in the set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SheetKind {
    /// Cautions.
    Cautions,
    /// Views and figures of the whole header.
    Overview,
    /// What to buy and what to take from the shelf.
    Stock,
    /// One for each bend or stick: where to cut.
    Saw,
    /// Bends at 1:1 to lay the metal on.
    FullSize,
    /// Strips at 1:1 to wrap around the joints.
    Clocking,
    /// Pieces, joints and checks of one run.
    Assembly,
    /// Order of tacking and welding, purge and filler.
    Welding,
    /// Where everything stands over a flat table.
    Jig,
    /// Flanges and collector templates.
    Templates,
    /// Figures to check and blanks to fill in.
    Inspection,
    /// What to cut and turn, as measured.
    Slip,
    /// Quote for the customer.
    Quote,
}

/// Which sheets the shop prints when it names none. The quote is in neither: it goes to the customer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SheetSet {
    /// All that a header is built from.
    #[default]
    Short,
    /// Beside these, every bend and every large template at full size.
    Full,
}

impl SheetSet {
    /// All sets.
    pub const ALL: [SheetSet; 2] = [SheetSet::Short, SheetSet::Full];

    /// The word that asks for it.
    pub fn word(self) -> &'static str {
        match self {
            SheetSet::Short => "short",
            SheetSet::Full => "full",
        }
    }

    /// Its kinds, in order.
    pub fn kinds(self) -> Vec<SheetKind> {
        let printed = |k: &SheetKind| match k {
            SheetKind::Quote => false,
            SheetKind::FullSize => self == SheetSet::Full,
            _ => true,
        };
        SheetKind::ALL.into_iter().filter(printed).collect()
    }
}

impl FromStr for SheetSet {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        let found = SheetSet::ALL.into_iter().find(|s| s.word() == word);
        found.ok_or_else(|| format!("`{word}` is no set of sheets; expected short or full"))
    }
}

impl SheetKind {
    /// All kinds in order.
    pub const ALL: [SheetKind; 13] = [
        SheetKind::Cautions,
        SheetKind::Overview,
        SheetKind::Stock,
        SheetKind::Saw,
        SheetKind::FullSize,
        SheetKind::Clocking,
        SheetKind::Assembly,
        SheetKind::Welding,
        SheetKind::Jig,
        SheetKind::Templates,
        SheetKind::Inspection,
        SheetKind::Slip,
        SheetKind::Quote,
    ];

    /// The word that asks for it.
    pub fn word(self) -> &'static str {
        match self {
            SheetKind::Overview => "overview",
            SheetKind::Stock => "stock",
            SheetKind::Saw => "saw",
            SheetKind::FullSize => "full-size",
            SheetKind::Clocking => "clocking",
            SheetKind::Assembly => "assembly",
            SheetKind::Welding => "welding",
            SheetKind::Jig => "jig",
            SheetKind::Templates => "templates",
            SheetKind::Inspection => "inspection",
            SheetKind::Slip => "correction",
            SheetKind::Quote => "quote",
            SheetKind::Cautions => "cautions",
        }
    }

    /// The kind that a word asks for.
    pub fn of_word(word: &str) -> Option<SheetKind> {
        SheetKind::ALL.into_iter().find(|k| k.word() == word)
    }
}

/// One sheet; it may run over several pages, and a short one may share its page with others.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// Kind of sheet.
    pub kind: SheetKind,
    /// Its title: `Saw sheet b1`.
    pub title: String,
    /// What it is of or for, beside the title.
    pub about: String,
    /// True for a page that lies on its long side.
    pub wide: bool,
    /// What stands on it, from the top.
    pub blocks: Vec<Block>,
}

/// Style of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TextStyle {
    /// As most.
    Plain,
    /// Smaller, for sources and remarks.
    Small,
    /// Bold.
    Strong,
    /// Large and bold: a price, a mark.
    Large,
}

/// Which side of its column a table's cells keep to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Left.
    Left,
    /// Right: numbers.
    Right,
    /// In the middle.
    Middle,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Head of the column.
    pub head: String,
    /// Alignment of the cells.
    pub side: Side,
    /// Share of the width that is left over; 0: as wide as its cells.
    pub share: f64,
}

impl Column {
    /// As wide as its cells, which keep to the left.
    pub fn left(head: impl Into<String>) -> Self {
        Column { head: head.into(), side: Side::Left, share: 0.0 }
    }

    /// As wide as its cells, which keep to the right: numbers.
    pub fn right(head: impl Into<String>) -> Self {
        Column { head: head.into(), side: Side::Right, share: 0.0 }
    }

    /// Takes a share of the width that is left over.
    pub fn wide(head: impl Into<String>, share: f64) -> Self {
        Column { head: head.into(), side: Side::Left, share }
    }
}

/// A table; its heads are repeated on every page.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// Columns of the table.
    pub columns: Vec<Column>,
    /// Its rows, a cell for each column. The first cell of a row is bold.
    pub rows: Vec<Vec<String>>,
    /// Height of the rows.
    pub row_height: RowHeight,
}

/// Height of the rows of a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RowHeight {
    /// Low, so that a long table stays on its page.
    Low,
    /// As most.
    Plain,
    /// So high that a person can write in them.
    Roomy,
}

impl RowHeight {
    /// The one that keeps a sheet of so many rows on its page.
    pub fn of(rows: usize) -> RowHeight {
        if rows > MOST_PLAIN { RowHeight::Low } else { RowHeight::Plain }
    }
}

/// Rows that an upright A4 page holds in plain height beside a drawing and words.
const MOST_PLAIN: usize = 24;

impl Table {
    /// A table without rows.
    pub fn new(columns: Vec<Column>) -> Self {
        Table { columns, rows: Vec::new(), row_height: RowHeight::Plain }
    }

    /// Adds a row.
    ///
    /// # Panics
    /// When it has not a cell for each column: a bug in the caller.
    pub fn row(&mut self, cells: Vec<String>) {
        assert_eq!(cells.len(), self.columns.len(), "a row has a cell for each column");
        self.rows.push(cells);
    }
}

/// A part of a sheet.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A heading within the sheet.
    Heading(String),
    /// A paragraph.
    Text(TextStyle, String),
    /// A framed notice with a title and its points; `grave` ones have a heavy frame.
    Notice {
        /// Title of the notice.
        title: String,
        /// Points of the list.
        points: Vec<String>,
        /// Whether something may go wrong without it.
        grave: bool,
    },
    /// Numbered steps.
    Steps(Vec<String>),
    /// Points of a list.
    Points(Vec<String>),
    /// A table.
    Table(Table),
    /// A drawing.
    Drawing(Drawing),
    /// Columns side by side, each with its share of the width.
    Columns(Vec<(f64, Vec<Block>)>),
    /// Blocks that stand on one page together, where one page holds them.
    Whole(Vec<Block>),
    /// Blanks to fill in by hand, each with what belongs there.
    Blanks(Vec<String>),
    /// Room, mm.
    Room(f64),
}

impl Sheet {
    /// A sheet without blocks, upright.
    pub fn new(kind: SheetKind, title: impl Into<String>, about: impl Into<String>) -> Self {
        Sheet { kind, title: title.into(), about: about.into(), wide: false, blocks: Vec::new() }
    }

    /// Calls `with` for every text on it.
    pub fn each_text(&self, with: &mut dyn FnMut(&str)) {
        with(&self.title);
        with(&self.about);
        self.blocks.iter().for_each(|b| b.each_text(with));
    }

    /// Every drawing on it.
    pub fn drawings(&self) -> Vec<&Drawing> {
        fn gather<'a>(blocks: &'a [Block], found: &mut Vec<&'a Drawing>) {
            for block in blocks {
                match block {
                    Block::Drawing(d) => found.push(d),
                    Block::Columns(columns) => columns.iter().for_each(|(_, b)| gather(b, found)),
                    Block::Whole(blocks) => gather(blocks, found),
                    _ => {}
                }
            }
        }
        let mut found = Vec::new();
        gather(&self.blocks, &mut found);
        found
    }
}

impl Block {
    fn each_text(&self, with: &mut dyn FnMut(&str)) {
        match self {
            Block::Heading(t) | Block::Text(_, t) => with(t),
            Block::Notice { title, points, .. } => {
                with(title);
                points.iter().for_each(|p| with(p));
            }
            Block::Steps(list) | Block::Points(list) | Block::Blanks(list) => list.iter().for_each(|p| with(p)),
            Block::Table(table) => {
                table.columns.iter().for_each(|c| with(&c.head));
                table.rows.iter().flatten().for_each(|c| with(c));
            }
            Block::Drawing(drawing) => drawing.texts().into_iter().for_each(|t| with(&t.text)),
            Block::Columns(columns) => columns.iter().flat_map(|(_, b)| b).for_each(|b| b.each_text(with)),
            Block::Whole(blocks) => blocks.iter().for_each(|b| b.each_text(with)),
            Block::Room(_) => {}
        }
    }
}
