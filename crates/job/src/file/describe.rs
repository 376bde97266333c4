//! How the tables of a file are described.
//!
//! One description per table drives the reader, the JSON Schema and the check that the manual names
//! every key. It says what a value must be; what a job as a whole must be stands in `check`.

/// A table of a file: its keys in the order in which the manual and `new` write them.
#[derive(Debug)]
pub struct TableShape {
    /// How it is called in messages, e.g. `[tube]`.
    pub title: &'static str,
    /// What it is, one sentence.
    pub doc: &'static str,
    /// Keys of the table.
    pub keys: &'static [Key],
}

/// One key of a table.
#[derive(Debug)]
pub struct Key {
    /// How the key is written.
    pub name: &'static str,
    /// What its value must be.
    pub kind: ValueKind,
    /// True when the table is nothing without it.
    pub required: bool,
    /// What it means, one sentence.
    pub doc: &'static str,
}

/// A key that must be there.
pub const fn must(name: &'static str, kind: ValueKind, doc: &'static str) -> Key {
    Key { name, kind, required: true, doc }
}

/// A key that may be left out.
pub const fn may(name: &'static str, kind: ValueKind, doc: &'static str) -> Key {
    Key { name, kind, required: false, doc }
}

/// Least and greatest value, in mm, degrees or plain numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Least value.
    pub min: f64,
    /// Greatest value.
    pub max: f64,
    /// True when `min` itself is not allowed.
    pub above: bool,
}

/// From `min` to `max`.
pub const fn range(min: f64, max: f64) -> Range {
    Range { min, max, above: false }
}

/// Above `min`, up to `max`.
pub const fn above(min: f64, max: f64) -> Range {
    Range { min, max, above: true }
}

impl Range {
    /// Whether `value` lies in it; never for a value that is not finite.
    pub fn holds(&self, value: f64) -> bool {
        value.is_finite() && value <= self.max && if self.above { value > self.min } else { value >= self.min }
    }
}

/// Most values of one list, places of a run or moves say: ten times what the longest real one has.
pub const MOST_IN_LIST: usize = 1000;

/// What a value must be.
#[derive(Debug, Clone, Copy)]
pub enum ValueKind {
    /// Any text that is not empty.
    Text,
    /// `true` or `false`.
    Flag,
    /// A whole number from .. to ..
    Whole(i64, i64),
    /// A plain number.
    Number(Range),
    /// A length: a number in the file's units or text with a unit; the range is in mm.
    Length(Range),
    /// A wall: a length or a tube gauge such as `"16 ga"`.
    Wall(Range),
    /// The size of a tube in one text.
    Size,
    /// An angle in degrees; kept in rad.
    Angle(Range),
    /// An angle in degrees or `"any"`, which is 180 degrees either way.
    AngleOrAny(Range),
    /// One of some words.
    Choice(&'static [&'static str]),
    /// A thread such as `"M8"` or `"3/8 in"`.
    Thread,
    /// A material of the catalogue.
    Material,
    /// An elbow such as `"LR 90"`.
    Elbow,
    /// An amount of money of at least 0, with at most three decimals.
    Money,
    /// A day, as TOML writes it.
    Date,
    /// A name, or a place.
    NameOrPoint,
    /// A place: three coordinates.
    Point,
    /// A direction: three numbers, not all 0.
    Direction,
    /// A list of at least that many places.
    Points(usize),
    /// That many lengths.
    Lengths(usize, Range),
    /// A list of lengths of any number.
    LengthList(Range),
    /// A list of whole numbers from .. to ..
    WholeList(i64, i64),
    /// Three directions, the rows of a box's axes.
    Axes,
    /// `{ cylinder = inlet }`.
    InletOf,
    /// Three places on a mesh and the three places where they belong.
    Placing,
    /// Rows of bending data: `[length, rotation, angle, clr]`, last a straight.
    Steps,
    /// A list of names, from .. to .. of them; one alone without brackets where one is enough.
    Names(usize, usize),
    /// A whole number from .. to .., or a list of them.
    WholesOrOne(i64, i64),
    /// A point's name, or `{ mean_normal = [names] }`.
    Side,
    /// Rows of what was read in a survey.
    Readings(ReadingRow),
    /// A table.
    Table(&'static TableShape),
    /// Tables in a list, `[[...]]`, at most that many.
    Tables(&'static TableShape, usize),
    /// Tables in a list, at most that many, or one table of what holds for all of them.
    TablesOrOne(&'static TableShape, usize),
}

/// What a row of a survey holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReadingRow {
    /// From, to, length.
    Length,
    /// From, to, how much higher the second is.
    Height,
    /// From, to, angle above the horizontal.
    Incline,
    /// From, to, reading over the edges, the two diameters.
    Edges,
    /// Three points of a plane, the points touched.
    Touching,
}

/// The longest reading, mm: far beyond any engine bay.
const LONGEST_READING: f64 = 20_000.0;

impl ReadingRow {
    /// The cells of a row.
    pub fn cells(self) -> &'static [ValueKind] {
        const LENGTH: ValueKind = ValueKind::Length(above(0.0, LONGEST_READING));
        const HEIGHT: ValueKind = ValueKind::Length(range(-LONGEST_READING, LONGEST_READING));
        const ANGLE: ValueKind = ValueKind::Angle(range(-90.0, 90.0));
        match self {
            ReadingRow::Length => &[ValueKind::Text, ValueKind::Text, LENGTH],
            ReadingRow::Height => &[ValueKind::Text, ValueKind::Text, HEIGHT],
            ReadingRow::Incline => &[ValueKind::Text, ValueKind::Text, ANGLE],
            ReadingRow::Edges => &[ValueKind::Text, ValueKind::Text, LENGTH, LENGTH, LENGTH],
            ReadingRow::Touching => &[ValueKind::Names(3, 3), ValueKind::Names(1, 100)],
        }
    }

    /// The row in words.
    pub fn words(self) -> &'static str {
        match self {
            ReadingRow::Length => "rows [\"from\", \"to\", length]",
            ReadingRow::Height => "rows [\"from\", \"to\", how much higher the second is]",
            ReadingRow::Incline => "rows [\"from\", \"to\", degrees above the horizontal]",
            ReadingRow::Edges => "rows [\"from\", \"to\", reading, diameter of the first, diameter of the second]",
            ReadingRow::Touching => "rows [[three points of a plane], [points touched]]",
        }
    }
}

impl TableShape {
    /// The key called `name`.
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|k| k.name == name)
    }
}
