//! What stands in `cutplan.json`, as it is written, and why it cannot be read.

use serde::{Deserialize, Serialize};

/// Why a `cutplan.json` cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum FileError {
    /// It is no JSON of this shape.
    #[error("{0}")]
    Json(#[from] serde_json::Error),
    /// A format number of another version.
    #[error("format {0} is not known; this version reads format 1")]
    Format(u32),
    /// A name or value that says nothing.
    #[error("{0}")]
    Value(String),
}

/// A cut plan as `cutplan.json` has it; lengths in mm, angles in degrees.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlanFile {
    /// 1.
    pub format: u32,
    /// Items + joints + cuts, money.
    pub cost: f64,
    /// No plan costs less, money.
    pub lower_bound: f64,
    /// True when both are equal.
    pub proven: bool,
    /// Welds between pieces of one run.
    pub joints: u32,
    /// Saw cuts made.
    pub cuts: u32,
    /// Length of pieces / length of stock used.
    #[serde(rename = "yield")]
    pub yield_ratio: f64,
    /// What is taken, counted.
    #[serde(default)]
    pub buy: Vec<BuyFile>,
    /// Items used.
    pub items: Vec<ItemFile>,
    /// Pieces, port to collector.
    pub pieces: Vec<PieceFile>,
    /// What is left and worth keeping.
    pub offcuts: Vec<OffcutFile>,
}

/// A line of what is taken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BuyFile {
    /// Kind and place in the job's stock, counted from 0.
    pub stock: String,
    /// Its name in lists.
    pub name: String,
    /// How many.
    pub count: u32,
    /// Price of one, money.
    pub price: f64,
}

/// An item.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ItemFile {
    /// Its name in the plan.
    pub id: String,
    /// Kind and place in the job's stock, counted from 0.
    pub stock: String,
    /// Its name in lists.
    #[serde(default)]
    pub name: String,
    /// Outside diameter, mm.
    #[serde(default)]
    pub od_mm: f64,
    /// Centreline radius of a bend, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clr_mm: Option<f64>,
    /// Angle of a bend, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub angle_deg: Option<f64>,
    /// Legs of a bend, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub legs_mm: Option<[f64; 2]>,
    /// Length of the whole centreline, mm.
    #[serde(default)]
    pub length_mm: f64,
    /// Its price, money.
    #[serde(default)]
    pub price: f64,
}

/// A piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PieceFile {
    /// Run number and letter.
    pub mark: String,
    /// `primary 1`, `secondary NAME`, `tail NAME`.
    pub run: String,
    /// Where it begins on the route, mm.
    pub from: f64,
    /// Where it ends on the route, mm.
    pub to: f64,
    /// The item's id.
    pub item: String,
    /// The stretch of the item's centreline, mm.
    pub at: [f64; 2],
    /// True when the route's `from` end lies at `at[1]`.
    pub reversed: bool,
    /// What it has more on the item than on the route; none in most pieces.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reserve: Option<ReserveFile>,
    /// Straight before the arc along the flow, mm.
    #[serde(default)]
    pub leg_in_mm: f64,
    /// Arc, degrees.
    #[serde(default)]
    pub angle_deg: f64,
    /// Straight after the arc along the flow, mm.
    #[serde(default)]
    pub leg_out_mm: f64,
    /// The marks at `at[0]` and `at[1]`.
    #[serde(default)]
    pub marks: Vec<MarkFile>,
    /// Turn to the next piece with a bend.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clocking: Option<ClockingFile>,
}

/// What a piece has more on its item than on its route.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct ReserveFile {
    /// Of the straight before the arc, or of a straight piece, mm.
    #[serde(skip_serializing_if = "is_zero")]
    pub leg_in_mm: f64,
    /// Of the arc, degrees.
    #[serde(skip_serializing_if = "is_zero")]
    pub angle_deg: f64,
    /// Of the straight after the arc, mm.
    #[serde(skip_serializing_if = "is_zero")]
    pub leg_out_mm: f64,
}

fn is_zero(value: &f64) -> bool {
    *value == 0.0
}

/// A mark: where an end of a piece lies on its item.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MarkFile {
    /// `leg 1`, `arc`, `leg 2` or `straight`.
    pub on: String,
    /// On a leg: from its tangent line outwards; on a straight: from its end 0, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_mm: Option<f64>,
    /// On the arc: from the first tangent line, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub angle_deg: Option<f64>,
    /// The same with a tape along the outside, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outside_mm: Option<f64>,
    /// The same along the centreline, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub centre_mm: Option<f64>,
    /// The same along the inside, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inside_mm: Option<f64>,
    /// True where the item's own end is used.
    pub mill_end: bool,
    /// True at the end of the piece that lies upstream.
    pub upstream: bool,
}

/// Clocking to the next piece with a bend.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ClockingFile {
    /// Mark of that piece.
    pub to: String,
    /// By the right-hand rule about the flow, degrees.
    pub angle_deg: f64,
    /// Around the outside of the tube, mm.
    pub around_mm: f64,
}

/// What is left.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OffcutFile {
    /// The item's id.
    pub item: String,
    /// The stretch of the item's centreline, mm.
    pub at: [f64; 2],
}
