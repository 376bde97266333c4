//! A survey: named points, what was read between them, the axes, markers in photos.
//!
//! What survey.toml says, checked and in mm and rad; `crates/survey` makes places of it.

use crate::model::Units;
use crate::source::Spot;

/// What something was read with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tool {
    /// Calipers, between centres.
    Calipers,
    /// A steel rule.
    Rule,
    /// A tape.
    Tape,
    /// A rod of known length, from its foot to its end.
    Rod,
    /// Outer edge to outer edge of two round things.
    Outside,
    /// Inner edge to inner edge of two round things.
    Inside,
    /// How much higher the second point is, against gravity.
    Height,
    /// Angle of a line above the horizontal.
    Incline,
    /// Points that a straight-edge over three others touches.
    Flush,
    /// Points on the line of two others, seen in a plane.
    Row,
}

/// All tools, in the order of the manual.
pub const TOOLS: [Tool; 10] = [
    Tool::Calipers,
    Tool::Rule,
    Tool::Tape,
    Tool::Rod,
    Tool::Outside,
    Tool::Inside,
    Tool::Height,
    Tool::Incline,
    Tool::Flush,
    Tool::Row,
];

impl Tool {
    /// Its key in survey.toml.
    pub fn key(self) -> &'static str {
        match self {
            Tool::Calipers => "calipers",
            Tool::Rule => "rule",
            Tool::Tape => "tape",
            Tool::Rod => "rod",
            Tool::Outside => "outside",
            Tool::Inside => "inside",
            Tool::Height => "height",
            Tool::Incline => "incline",
            Tool::Flush => "flush",
            Tool::Row => "row",
        }
    }

    /// Standard deviation unless the file says otherwise, mm; of an incline rad. Common practice, no source.
    pub fn default_sd(self) -> f64 {
        match self {
            Tool::Calipers => 0.15,
            Tool::Rule | Tool::Outside | Tool::Inside | Tool::Row => 0.5,
            Tool::Tape | Tool::Height => 1.0,
            Tool::Rod => 0.3,
            Tool::Flush => 0.2,
            Tool::Incline => 0.3f64.to_radians(),
        }
    }

    /// Whether it reads the length between two points.
    pub fn is_length(self) -> bool {
        !matches!(self, Tool::Height | Tool::Incline | Tool::Flush | Tool::Row)
    }
}

/// One reading between named points.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// What it was read with.
    pub tool: Tool,
    /// Points by their numbers in [`SurveyFile::names`]: two, or for `flush` and `row` the three of the plane and the one touched.
    pub points: Vec<usize>,
    /// Value as read, mm or rad; 0 for `flush` and `row`.
    pub read: f64,
    /// Distance between centres, or the value as read, mm or rad.
    pub value: f64,
    /// Its row in the list of its tool, from 0; a row of `flush` or `row` is a reading for each point touched.
    pub row: usize,
    /// Where it stands in the file.
    pub spot: Spot,
}

/// What tells left from right.
#[derive(Debug, Clone, PartialEq)]
pub enum Side {
    /// This point lies on the left (true) or the right.
    Point(usize, bool),
    /// The mean of the normals of these points' markers points left.
    MeanNormal(Vec<usize>),
}

/// The job's axes.
#[derive(Debug, Clone, PartialEq)]
pub struct Frame {
    /// The point at 0, 0, 0.
    pub origin: usize,
    /// x runs from the first to the second.
    pub forward: [usize; 2],
    /// A point in the half plane of x and -z (true) or of x and z.
    pub upright: Option<(usize, bool)>,
    /// Left or right.
    pub side: Option<Side>,
}

/// The photos of a survey.
#[derive(Debug, Clone, PartialEq)]
pub struct Photos {
    /// File names or patterns with `*` and `?`, in the folder of survey.toml.
    pub files: Vec<String>,
    /// Side of the black square as drawn, mm.
    pub side: f64,
    /// From the printed face to the face it stands for, mm.
    pub plate: f64,
    /// Two markers of one print and their distance as measured, mm.
    pub bar: Option<([u32; 2], f64)>,
    /// Where the table stands.
    pub spot: Spot,
}

/// A printed marker.
#[derive(Debug, Clone, PartialEq)]
pub struct Marker {
    /// Its number in the family.
    pub tag: u32,
    /// The point under its centre.
    pub name: Option<usize>,
    /// Thickness of its plate, mm, when it is not that of all.
    pub plate: Option<f64>,
    /// Side of its black square, mm, when it is not that of all.
    pub side: Option<f64>,
}

/// What a point is in the job.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// What part of the job.
    pub part: Part,
    /// The points that give its keys: `at` and the two of `axis`, or `from` and `to`.
    pub at: Option<usize>,
    /// From, to: the direction of `axis`.
    pub axis: Option<[usize; 2]>,
    /// Start of a capsule.
    pub from: Option<usize>,
    /// Its end.
    pub to: Option<usize>,
    /// Where three points of a scan lie.
    pub scan: Option<[usize; 3]>,
    /// Where it stands in the file.
    pub spot: Spot,
}

/// A part of a job that has a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Part {
    /// The port of a cylinder.
    Port(u32),
    /// A collector by its name.
    Collector(String),
    /// An obstacle by its name.
    Keepout(String),
}

/// A survey as its file says.
#[derive(Debug, Clone, PartialEq)]
pub struct SurveyFile {
    /// Unit of bare numbers.
    pub units: Units,
    /// Names of the points; a point is its number here.
    pub names: Vec<String>,
    /// The job's axes.
    pub frame: Frame,
    /// Standard deviation of each tool in the order of [`TOOLS`], mm or rad.
    pub sd: [f64; 10],
    /// Everything that was read.
    pub readings: Vec<Reading>,
    /// The photos.
    pub photos: Option<Photos>,
    /// The markers in them.
    pub markers: Vec<Marker>,
    /// What points are in the job.
    pub places: Vec<Place>,
}

impl SurveyFile {
    /// Standard deviation of a tool, mm or rad.
    pub fn sd_of(&self, tool: Tool) -> f64 {
        TOOLS.iter().position(|t| *t == tool).map_or(tool.default_sd(), |i| self.sd[i])
    }
}
