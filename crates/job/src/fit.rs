//! What a person records of a build: `fit.toml`. Lengths in mm, angles in rad, directions as given.

use std::collections::BTreeMap;

use geom::Vec3;

use crate::source::Spot;

/// The places of a table's keys in the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Places {
    /// The table itself.
    pub table: Spot,
    /// Its keys' values.
    pub keys: BTreeMap<&'static str, Spot>,
}

impl Places {
    /// The place of a key's value; the table's when it has no such key.
    pub fn of(&self, key: &str) -> &Spot {
        self.keys.get(key).unwrap_or(&self.table)
    }
}

/// A whole record.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FitRecord {
    /// Digits of the papers it was built from, and where they stand.
    pub plan: Option<(String, Spot)>,
    /// How well the shop works.
    pub shop: ShopRecord,
    /// How well it measures.
    pub measuring: Measuring,
    /// When an end goes in.
    pub goes_in: GoesIn,
    /// How far each piece has come.
    pub pieces: Vec<PieceRecord>,
    /// Places and directions that were measured.
    pub measured: Vec<Measured>,
    /// Degree strips that were read.
    pub strips: Vec<Strip>,
    /// Chords that were measured.
    pub chords: Vec<ChordReading>,
    /// Corrections that were accepted.
    pub corrected: Vec<Corrected>,
}

/// How well a shop works.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Quality {
    /// As most do.
    #[default]
    Usual,
    /// With more care.
    Careful,
}

/// What the record says of the shop: one standard deviation each where it has its own.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ShopRecord {
    /// What holds where there is no figure.
    pub quality: Quality,
    /// Place of a cut, mm.
    pub cut: Option<f64>,
    /// Squareness of a face, rad.
    pub squareness: Option<f64>,
    /// Clocking of a joint, rad.
    pub clocking: Option<f64>,
    /// Angle of a whole bought bend, rad.
    pub bend_angle: Option<f64>,
    /// CLR of an item, as a ratio.
    pub clr: Option<f64>,
    /// Where the tangent line is found, mm.
    pub tangent_line: Option<f64>,
    /// A bought leg up to its mill end, mm.
    pub leg: Option<f64>,
    /// Gap at a joint, mm.
    pub gap: Option<f64>,
    /// Mean gap at a joint, mm.
    pub gap_mean: Option<f64>,
    /// Offset at a joint, mm.
    pub step: Option<f64>,
    /// Mean shrinkage of a weld, mm.
    pub shrinkage: Option<f64>,
    /// Spread of the shrinkage, mm.
    pub shrinkage_sd: Option<f64>,
    /// Whether pieces are cut longer by the mean shrinkage.
    pub shrinkage_allowed: Option<bool>,
    /// Kink by a weld, rad.
    pub pull: Option<f64>,
    /// Place of a port, mm.
    pub port: Option<f64>,
    /// Axis of a port, rad.
    pub port_angle: Option<f64>,
    /// Place of an inlet, mm.
    pub inlet: Option<f64>,
    /// Axis of an inlet, rad.
    pub inlet_angle: Option<f64>,
}

/// One standard deviation of each kind of reading.
///
/// Place, direction and points: what a careful person holds with a square and a rod (common practice, no source); the
/// others are assumptions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measuring {
    /// A coordinate of a centre, mm.
    pub place: f64,
    /// A direction, each way, rad.
    pub direction: f64,
    /// A coordinate of a point on a rod, mm.
    pub point: f64,
    /// A distance by tape, mm.
    pub distance: f64,
    /// The reference line about the flow, rad.
    pub line: f64,
    /// A degree strip, rad.
    pub strip: f64,
    /// A chord, mm.
    pub chord: f64,
}

impl Default for Measuring {
    fn default() -> Self {
        Measuring {
            place: 0.5,
            direction: 0.3_f64.to_radians(),
            point: 0.3,
            distance: 0.5,
            line: 0.4_f64.to_radians(),
            strip: 0.4_f64.to_radians(),
            chord: 0.5,
        }
    }
}

/// When an end goes into its inlet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GoesIn {
    /// Greatest distance, mm.
    pub within: f64,
    /// Greatest angle, rad.
    pub angle: f64,
    /// How far it may slide along the inlet, mm; `None`: it is butted.
    pub slip: Option<f64>,
}

impl Default for GoesIn {
    fn default() -> Self {
        GoesIn { within: 1.0, angle: 1.0_f64.to_radians(), slip: None }
    }
}

/// How far a piece has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PieceState {
    /// Nothing is done to it.
    Uncut,
    /// It is cut.
    Cut,
    /// It is tacked to what lies before it.
    Tacked,
    /// It is welded to what lies before it.
    Welded,
}

/// A piece of the build.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceRecord {
    /// Its mark.
    pub mark: String,
    /// How far it has come.
    pub state: PieceState,
    /// What its downstream leg has more than the plan says, mm.
    pub left_long: f64,
    /// What its arc has more than the plan says, rad.
    pub left_angle: f64,
    /// Where this stands.
    pub places: Places,
}

/// Where something was measured.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Spotted {
    /// The downstream end of the piece with that mark.
    After(String),
    /// An inlet, as `merge 2`.
    Inlet(String),
}

/// Where a distance is taken from.
#[derive(Debug, Clone, PartialEq)]
pub enum From {
    /// Something with a name, as `port 1`.
    Name(String),
    /// A place, mm.
    Place(Vec3),
}

/// What was read of one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// Where.
    pub what: Spotted,
    /// The day.
    pub on: Option<String>,
    /// The centre in the vehicle's axes, mm.
    pub at: Option<Vec3>,
    /// The centre in the jig table's axes, mm.
    pub table: Option<Vec3>,
    /// Distances of the centre from places, mm, each with where it stands.
    pub distances: Vec<(From, f64, Places)>,
    /// Direction of the flow.
    pub axis: Option<Vec3>,
    /// Two points along the flow on the axis, mm.
    pub points: Option<[Vec3; 2]>,
    /// Direction by the angle finder over the jig's table: bearing and angle to the table, rad.
    pub heading_rise: Option<[f64; 2]>,
    /// From the centre to the reference line.
    pub line: Option<Vec3>,
    /// Where this stands.
    pub places: Places,
}

/// A degree strip that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Strip {
    /// Name of the joint.
    pub joint: String,
    /// Past its mark, right-hand rule about the flow, rad.
    pub off: f64,
    /// Where this stands.
    pub places: Places,
}

/// A chord that was measured.
#[derive(Debug, Clone, PartialEq)]
pub struct ChordReading {
    /// Marks of the piece, or of neighbours from the first to the last.
    pub pieces: Vec<String>,
    /// Between the outside lines, mm.
    pub outside: Option<f64>,
    /// Between the inside lines, mm.
    pub inside: Option<f64>,
    /// Where this stands.
    pub places: Places,
}

/// The figures of a piece that a correction changes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PieceFigures {
    /// Straight before the arc, mm; the whole length of a straight piece.
    pub leg_in: f64,
    /// Angle of the arc, rad.
    pub angle: f64,
    /// Straight behind the arc, mm.
    pub leg_out: f64,
    /// Turned on at the joint before it, rad from where it was to be.
    pub turned: f64,
    /// How much farther the slip joint before it is pushed in than it was to be, mm.
    pub slid: f64,
}

/// A correction that was accepted.
#[derive(Debug, Clone, PartialEq)]
pub struct Corrected {
    /// The day.
    pub on: Option<String>,
    /// The run.
    pub run: String,
    /// The piece and what it is to be, when it is of one.
    pub piece: Option<(String, PieceFigures)>,
    /// The joint that is cut open.
    pub cut_open: Option<String>,
    /// Where this stands.
    pub places: Places,
}
