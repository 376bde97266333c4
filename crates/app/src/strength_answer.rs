//! What `strength` answers: plain figures, as JSON and for the page. docs/strength.md says what each means.

use job::routes::RunId;
use serde::Serialize;
use utoipa::ToSchema;

/// Everything about a hot header.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct StrengthAnswer {
    /// 1.
    pub format: u32,
    /// Runs in the order of the routes.
    pub runs: Vec<RunAnswer>,
    /// Collectors that are entered.
    pub collectors: Vec<CollectorAnswer>,
    /// Modes from the lowest frequency on.
    pub modes: Vec<ModeAnswer>,
    /// Slip joints of the job.
    pub slips: Vec<SlipFigures>,
    /// Bellows of the job.
    pub bellows: Vec<BellowsFigures>,
    /// Brackets of the job.
    pub brackets: Vec<BracketFigures>,
    /// Single changes that were solved, and the best of them.
    pub helps: WhatHelps,
    /// What stands near hot tubes, the warmest first.
    pub near: Vec<NearAnswer>,
    /// What must be free to move.
    pub must_move: Vec<MustMove>,
    /// Where the gas comes from.
    pub gas: GasSource,
    /// What the job does not give.
    pub assumed: Vec<AssumedAnswer>,
    /// What was simplified.
    pub notes: Vec<String>,
}

impl StrengthAnswer {
    /// As one JSON object.
    pub fn to_json(&self) -> String {
        serde_json::to_string(self).expect("plain figures and texts are always JSON")
    }
}

/// Where mass flow and temperature of the gas come from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct GasSource {
    /// Engine speed of the kept gas answer that they are from, rpm; null: a mean flow at peak power.
    pub rpm: Option<f64>,
    /// Whether that answer has the gas along every run (`gas --waves`), or only where it leaves the cylinders.
    pub along_runs: bool,
    /// Why a kept gas answer was not used.
    pub refused: Option<GasRefusal>,
}

/// Why a kept gas answer is not used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum GasRefusal {
    /// It is of another engine or of other routes.
    Stale,
    /// It is not what `gas` writes.
    Unreadable,
    /// It has no settled speed within 10 % of peak power.
    NoSpeed,
}

/// A run.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RunAnswer {
    /// The run: `primary 1`.
    pub run: String,
    /// Hottest metal by the least, the middle and the greatest heat transfer, degrees Celsius.
    #[schema(value_type = Vec<f64>)]
    pub metal_c: [f64; 3],
    /// Hottest skin by the middle heat transfer, degrees Celsius.
    pub skin_c: f64,
    /// Greatest stress range, MPa.
    pub range_mpa: f64,
    /// That as a share of the allowable range; null where the material has no known allowable.
    pub share_of_allowable: Option<f64>,
    /// Where it is, mm from the start.
    pub at_mm: f64,
    /// The piece there; null without a cut plan of these routes.
    pub piece: Option<String>,
    /// The joint there; null where none is within 5 mm, and without a cut plan.
    pub joint: Option<String>,
    /// Cycles by the lower and the mean fatigue line; null above the temperature at which the metal creeps.
    #[schema(value_type = Option<Vec<f64>>)]
    pub cycles: Option<[f64; 2]>,
    /// Force on its start, N, hot.
    pub flange_force_n: f64,
    /// Moment on its start, Nm, hot.
    pub flange_moment_nm: f64,
    /// Elastic stress, MPa, that the steep rise of temperature beside a cold flange puts on the weld there, an upper value; null
    /// for a run that starts at no port.
    pub flange_weld_mpa: Option<f64>,
}

/// A collector.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CollectorAnswer {
    /// Name of the collector in the job.
    pub collector: String,
    /// How far it moves when hot, mm.
    #[schema(value_type = Vec<f64>)]
    pub moves_mm: [f64; 3],
}

/// A part that has to be left free to move.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct MustMove {
    /// What has to move: a collector by its name, else the run.
    pub part: String,
    /// Its place on the run, mm from the start; null for a collector and for the end of a run.
    pub at_mm: Option<f64>,
    /// How far, mm.
    pub by_mm: f64,
    /// Unit direction in which it moves.
    #[schema(value_type = Vec<f64>)]
    pub along: [f64; 3],
    /// Why it moves there.
    pub why: MoveReason,
}

/// Why a part has to be left free to move.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum MoveReason {
    /// A collector moves as the tubes into it grow.
    Collector,
    /// The free end of a run moves as the run and what it is welded to grow.
    FreeEnd,
    /// A slotted bracket slides along its slot.
    Slot,
    /// A slip joint slides.
    Slip,
}

/// A mode.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ModeAnswer {
    /// Frequency, hot, Hz.
    pub frequency_hz: f64,
    /// Mass that moves with it along x, y and z, kg.
    #[schema(value_type = Vec<f64>)]
    pub mass_kg: [f64; 3],
    /// Greatest stress amplitude at resonance, MPa for 1 g of shake along the worst direction.
    pub mpa_per_g: f64,
    /// The run where that is.
    pub run: String,
    /// Its place there, mm from the start.
    pub at_mm: f64,
    /// Engine orders and the speeds at which they meet it.
    pub meets: Vec<Meets>,
    /// Its shape: for each run, places from the start and how they move, scaled to a greatest movement of 1.
    pub shape: Vec<RunShape>,
}

/// Where an engine order meets a mode.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Meets {
    /// Events in one turn of the crankshaft.
    pub order: f64,
    /// Engine speed, rpm.
    pub rpm: f64,
}

/// How a run moves.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RunShape {
    /// The run.
    pub run: String,
    /// Rows of mm from the start and movement along x, y and z.
    #[schema(value_type = Vec<Vec<f64>>)]
    pub rows: Vec<[f64; 4]>,
}

/// A slip joint of the job.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SlipFigures {
    /// Its run.
    pub run: String,
    /// Its place, mm from the start.
    pub at_mm: f64,
    /// How far it slides when hot, mm, negative: together; 0 where it sticks.
    pub slides_mm: f64,
    /// Axial force that it would carry if it stuck, N, positive: pressed together.
    pub locked_n: f64,
    /// Axial force below which it does not slide, N.
    pub friction_n: f64,
    /// Whether it sticks, and does nothing.
    pub sticks: bool,
}

/// Bellows of the job.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BellowsFigures {
    /// Their run.
    pub run: String,
    /// Where they begin, mm from the start.
    pub at_mm: f64,
    /// By how much they get shorter when hot, mm, negative: longer.
    pub shortens_mm: f64,
    /// How far one end moves across the other when hot, mm.
    pub aside_mm: f64,
}

/// A bracket of the job.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BracketFigures {
    /// What it holds.
    pub on: String,
    /// Its place on a run, mm from the start.
    pub at_mm: Option<f64>,
    /// `tab`, `slotted` or `link`.
    pub kind: String,
    /// How the place moves when hot, mm, with the bracket.
    #[schema(value_type = Vec<f64>)]
    pub moves_mm: [f64; 3],
}

/// What a single change does.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WhatHelps {
    /// Changes that were solved.
    pub tried: usize,
    /// The header as it is.
    pub before: Fares,
    /// The best changes, the best first.
    pub best: Vec<Help>,
    /// Changes after which something would be loose, in words.
    pub mechanisms: Vec<String>,
    /// One run hotter than computed.
    pub hotter: Option<HotterRun>,
}

/// How a header fares.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Fares {
    /// The greatest share of the allowable stress range (of 300 MPa where the material has none).
    pub share_of_allowable: f64,
    /// The run where that is.
    pub run: String,
    /// The range there, MPa.
    pub range_mpa: f64,
    /// The greatest stress amplitude of the first six modes, MPa for 1 g.
    pub mpa_per_g: f64,
    /// The first frequency, Hz.
    pub first_hz: f64,
}

/// Kind of a change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum HelpKind {
    /// A slip joint.
    Slip,
    /// A bracket that holds all ways.
    Tab,
    /// A bracket with a slot.
    Slotted,
    /// A bracket that holds one way.
    Link,
    /// A run on a wider way.
    Longer,
}

impl HelpKind {
    /// Its word in job.toml.
    pub fn word(self) -> &'static str {
        match self {
            HelpKind::Slip => "slip",
            HelpKind::Tab => "tab",
            HelpKind::Slotted => "slotted",
            HelpKind::Link => "link",
            HelpKind::Longer => "longer",
        }
    }
}

/// A change that helps.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Help {
    /// What is changed.
    pub kind: HelpKind,
    /// The run or `collector NAME` it is on.
    pub on: String,
    /// Its place on a run, mm from the start.
    pub at_mm: Option<f64>,
    /// Overlap of a slip joint, mm.
    pub overlap_mm: Option<f64>,
    /// Direction of the slot or link.
    #[schema(value_type = Option<Vec<f64>>)]
    pub along: Option<[f64; 3]>,
    /// How much longer a run is, mm.
    pub longer_mm: Option<f64>,
    /// Start, intersection points and end of a longer run, mm.
    #[schema(value_type = Option<Vec<Vec<f64>>>)]
    pub points: Option<Vec<[f64; 3]>>,
    /// CLR at each of its intersection points, mm.
    pub radii: Option<Vec<f64>>,
    /// Stiffness of the bracket that it was solved with, N/mm.
    pub stiffness_n_per_mm: Option<f64>,
    /// The header with it.
    pub after: Fares,
    /// Force on the bracket when hot, N; of a slip joint the axial force that it takes away.
    pub force_n: f64,
    /// How far the slip joint slides, mm, negative: together.
    pub slides_mm: f64,
    /// Price of the part, in the currency of the rates.
    pub price: f64,
    /// The table to add to job.toml; of a longer run the one of routes.toml.
    pub table: String,
}

/// One run hotter than the others.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct HotterRun {
    /// The run that matters most.
    pub run: String,
    /// How much hotter, K.
    pub by_k: f64,
    /// Greatest stress range then, over the greatest one now.
    pub range_times: f64,
}

/// A thing near hot tubes.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct NearAnswer {
    /// Name of the obstacle.
    pub obstacle: String,
    /// The run that comes nearest.
    pub run: String,
    /// Where, mm from its start.
    pub at_mm: f64,
    /// Clearance there, mm.
    pub gap_mm: f64,
    /// Skin of the tube there, degrees Celsius.
    pub skin_c: f64,
    /// About how warm a small thing there gets: all around, and the face that looks at the tube, degrees Celsius.
    #[schema(value_type = Vec<f64>)]
    pub about_c: [f64; 2],
    /// Temperature of the shield between the two, degrees Celsius, where the job has one.
    pub shield_c: Option<f64>,
    /// What it bears, degrees Celsius, where the job says so.
    pub bears_c: Option<f64>,
    /// What would be too warm there: the thing itself, else kinds of things.
    pub too_warm: Vec<String>,
}

/// A default that was taken.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct AssumedAnswer {
    /// What it is.
    pub what: String,
    /// The value that was taken.
    pub value: f64,
    /// The range it usually lies in.
    #[schema(value_type = Vec<f64>)]
    pub range: [f64; 2],
    /// Its unit.
    pub unit: String,
    /// Where it comes from.
    pub source: String,
}

/// The run that reaches the greatest share of its allowable.
#[derive(Debug, Clone, PartialEq)]
pub struct HighestShare {
    /// The run.
    pub run: RunId,
    /// Its greatest stress range over the allowable one.
    pub share: f64,
    /// Where, mm from its start.
    pub at_mm: f64,
}
