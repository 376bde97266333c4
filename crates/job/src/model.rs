//! A checked job. All lengths in mm, angles in rad, directions unit vectors, money as [`Money`].

pub use geom::Solid as Shape;
use geom::Vec3;

use crate::body::{Body, Making};
use crate::heat::Heat;
pub use crate::money::Money;
use crate::parts::listed::Parts;
use crate::routes::RunId;

/// The unit of bare numbers in the job's files and of what is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Units {
    /// Millimetres.
    #[default]
    Mm,
    /// Inches.
    Inch,
}

impl Units {
    /// Millimetres in one unit.
    pub fn in_mm(self) -> f64 {
        match self {
            Units::Mm => 1.0,
            Units::Inch => 25.4,
        }
    }

    /// The word for it in files, calls and beside numbers: `mm` or `in`.
    pub fn word(self) -> &'static str {
        match self {
            Units::Mm => "mm",
            Units::Inch => "in",
        }
    }
}

impl std::str::FromStr for Units {
    type Err = UnknownUnit;

    /// The unit that [`Units::word`] names.
    fn from_str(word: &str) -> Result<Self, UnknownUnit> {
        let known = [Units::Mm, Units::Inch].into_iter().find(|u| u.word() == word);
        known.ok_or(UnknownUnit)
    }
}

/// A word that names no unit of length.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("expected mm or in")]
pub struct UnknownUnit;

/// One header, manifold or exhaust to be made.
#[derive(Debug, Clone)]
pub struct Job {
    /// Name of the job.
    pub name: String,
    /// Unit of bare numbers in its files.
    pub units: Units,
    /// The engine, when given.
    pub engine: Option<Engine>,
    /// Requirements of the primaries.
    pub primary: RunSpec,
    /// Requirements of the secondaries; equals `primary` by default.
    pub secondary: RunSpec,
    /// Requirements of the tails; equals `primary` by default.
    pub tail: RunSpec,
    /// The gaps to keep.
    pub clearance: Clearance,
    /// Ports in the order of the file.
    pub ports: Vec<Port>,
    /// Collectors in the order of the file.
    pub collectors: Vec<Collector>,
    /// Everything that must not be touched.
    pub keepouts: Vec<Keepout>,
    /// Spark plugs whose socket and way out must stay free.
    pub plugs: Vec<Plug>,
    /// How the finished header is put on, when asked for: moves in order; the last one ends at the
    /// seated place.
    pub goes_on: Option<Vec<Vec3>>,
    /// Tail pipes.
    pub tails: Vec<Tail>,
    /// What sits on its tubes.
    pub parts: Parts,
    /// Heat of the gas, covers of the tubes, what obstacles bear.
    pub heat: Heat,
    /// Greatest share of its allowable stress range that a tube may reach when hot.
    pub highest_share: Option<f64>,
    /// What can be bought and what is on the shelf.
    pub stock: Stock,
    /// Kerf and limits of the saw.
    pub saw: Saw,
    /// Money per joint and cut.
    pub cost: Cost,
}

impl Job {
    /// The tube a run is made of.
    pub fn tube_of(&self, run: &RunId) -> &Tube {
        match run {
            RunId::Primary { .. } => &self.primary.tube,
            RunId::Secondary { .. } => &self.secondary.tube,
            RunId::Tail { .. } => &self.tail.tube,
        }
    }

    /// The runs that the job must have: primaries, secondaries, tails, each in the order of the file.
    pub fn run_ids(&self) -> Vec<RunId> {
        let primaries = self.ports.iter().map(|p| RunId::Primary { cylinder: p.cylinder });
        let feeding = self.collectors.iter().filter(|c| c.feeds.is_some());
        let secondaries = feeding.map(|c| RunId::Secondary { from: c.name.clone() });
        let tails = self.tails.iter().map(|t| RunId::Tail { from: t.from.clone() });
        primaries.chain(secondaries).chain(tails).collect()
    }
}

/// Engine layout.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    /// One cylinder.
    Single,
    /// In one row.
    Inline,
    /// Two banks at an angle.
    Vee,
    /// Two banks opposed.
    Flat,
}

/// The engine as far as routing and sizing need it.
#[derive(Debug, Clone)]
pub struct Engine {
    /// Arrangement of the cylinders.
    pub layout: Layout,
    /// Number of cylinders.
    pub cylinders: u32,
    /// Bore, mm.
    pub bore: Option<f64>,
    /// Stroke, mm.
    pub stroke: Option<f64>,
    /// Length of the connecting rod, mm.
    pub rod_length: Option<f64>,
    /// Compression ratio.
    pub compression_ratio: Option<f64>,
    /// Cylinders in the order in which they fire; a permutation of 1..=cylinders.
    pub firing_order: Option<Vec<u32>>,
    /// Speed of peak power, rpm.
    pub peak_power_rpm: Option<f64>,
    /// Opening of the exhaust valve, rad of crank before bottom dead centre.
    pub exhaust_opens: Option<f64>,
    /// Cams, valves and intake, as far as given.
    pub breathing: Breathing,
}

/// Cams, valves and intake: what a gas simulation needs beyond the engine's main figures.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Breathing {
    /// Exhaust: opens before bottom dead centre, closes after top dead centre.
    pub exhaust_cam: Option<Cam>,
    /// Intake: opens before top dead centre, closes after bottom dead centre.
    pub intake_cam: Option<Cam>,
    /// The valves of one cylinder.
    pub valves: Option<Valves>,
    /// The intake tract of one cylinder.
    pub intake: Option<Intake>,
}

/// Timing and lift of one kind of valve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cam {
    /// Opening, rad of crank before the dead centre it is counted from.
    pub opens: f64,
    /// Closing, rad of crank after the dead centre it is counted from.
    pub closes: f64,
    /// Greatest lift, mm, when given.
    pub lift: Option<f64>,
    /// Lift at which opening and closing are counted, mm.
    pub timed_at_lift: f64,
}

/// The valves of one cylinder.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Valves {
    /// Number of exhaust valves.
    pub exhaust_count: u32,
    /// Diameter of an exhaust valve's head, mm.
    pub exhaust_diameter: f64,
    /// Discharge coefficient at full lift, when measured.
    pub exhaust_discharge: Option<f64>,
    /// Number of intake valves.
    pub intake_count: u32,
    /// Diameter of an intake valve's head, mm.
    pub intake_diameter: f64,
    /// Discharge coefficient at full lift, when measured.
    pub intake_discharge: Option<f64>,
}

/// The intake tract of one cylinder.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Intake {
    /// Length from the valve to the open end or plenum, mm.
    pub runner_length: f64,
    /// Inside diameter, mm.
    pub runner_diameter: f64,
    /// Volume of the plenum, litres; `None`: open to the air.
    pub plenum_volume_l: Option<f64>,
    /// Diameter of the throttle, mm.
    pub throttle_diameter: Option<f64>,
    /// Pressure above the air's, kPa.
    pub boost_kpa: f64,
}

/// Requirements of one kind of run.
#[derive(Debug, Clone)]
pub struct RunSpec {
    /// The tube it is made of.
    pub tube: Tube,
    /// Wanted length.
    pub length: LengthTarget,
}

/// A round tube.
#[derive(Debug, Clone, PartialEq)]
pub struct Tube {
    /// Outside diameter, mm.
    pub od: f64,
    /// Wall, mm.
    pub wall: f64,
    /// Name of its material in the catalogue.
    pub material: String,
    /// Nominal pipe size in inches when it is pipe (for elbows).
    pub nominal: Option<f64>,
}

/// Outside diameters, walls and CLRs that differ by no more than this are one size, mm: standards in inches and in
/// millimetres write 48.26 and 48.3 for one pipe, 1.651 and 1.6 for one wall. Sizes that are sold apart differ by more.
pub const SAME_SIZE: f64 = 0.1;

impl Tube {
    /// Inside diameter, mm.
    pub fn id(&self) -> f64 {
        self.od - 2.0 * self.wall
    }

    /// Whether stock of this outside diameter and wall, mm, makes the tube.
    pub fn is_same_size(&self, od: f64, wall: f64) -> bool {
        (self.od - od).abs() <= SAME_SIZE && (self.wall - wall).abs() <= SAME_SIZE
    }
}

/// Target for the lengths of one kind of run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LengthTarget {
    /// Each within `tolerance` of this, mm; without it every pair differs by at most `tolerance`.
    pub target: Option<f64>,
    /// Tolerance, mm; infinite when nothing is asked.
    pub tolerance: f64,
    /// What counts beyond that.
    pub objective: Objective,
}

/// What counts in the search once all requirements hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Objective {
    /// Even lengths, then few bends and little turning.
    Even,
    /// As short as possible, then even.
    Compact,
}

/// Gaps to keep, surface to surface, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clearance {
    /// Between tubes.
    pub tubes: f64,
    /// To keep-outs that name none of their own.
    pub keepouts: f64,
}

/// An exhaust port.
#[derive(Debug, Clone)]
pub struct Port {
    /// Its cylinder, from 1.
    pub cylinder: u32,
    /// Centre at the flange face.
    pub at: Vec3,
    /// Unit direction of flow out of the head.
    pub axis: Vec3,
    /// Least straight length leaving it, mm.
    pub stub: f64,
    /// Length of the port in the head, mm.
    pub length_in_head: f64,
    /// Unit direction square to the flange face, out of the head, where it is known: see [`crate::face`].
    pub face: Option<Vec3>,
    /// From the port face along the flow to the square end of its tube, mm; 0 where flange.toml says nothing of it.
    pub seat: f64,
    /// Whether a transition of sheet stands before its tube.
    pub transition: bool,
    /// The bolts of its flange.
    pub bolts: Vec<Bolt>,
}

/// A flange bolt that a socket must reach.
#[derive(Debug, Clone)]
pub struct Bolt {
    /// Centre at the flange face.
    pub at: Vec3,
    /// Diameter of the socket, mm.
    pub socket_od: f64,
    /// How far straight out the tool must go, mm.
    pub reach: f64,
}

/// A spark plug.
#[derive(Debug, Clone)]
pub struct Plug {
    /// Centre of its seat.
    pub at: Vec3,
    /// Unit direction in which it is withdrawn.
    pub axis: Vec3,
    /// Diameter of the socket, mm.
    pub socket_od: f64,
    /// How far out the socket must go, mm.
    pub reach: f64,
}

/// A collector or turbo flange.
#[derive(Debug, Clone)]
pub struct Collector {
    /// Its name, unique.
    pub name: String,
    /// Centre of the inlet plane.
    pub at: Vec3,
    /// Unit direction of flow.
    pub axis: Vec3,
    /// Unit vector across `axis` that fixes the roll of the inlets.
    pub up: Vec3,
    /// Number of inlets.
    pub inlets: usize,
    /// Groups of a divided entry.
    pub groups: Groups,
    /// Arrangement of the inlets.
    pub pattern: Pattern,
    /// Gap between neighbouring inlets, mm.
    pub gap: f64,
    /// Least straight length entering it, mm.
    pub stub: f64,
    /// Cylinders it takes; empty: any.
    pub cylinders: Vec<u32>,
    /// Fixed inlets: cylinder to inlet number from 1.
    pub inlet_of: Vec<(u32, usize)>,
    /// Whether the inlets must follow the firing order.
    pub rotation: Rotation,
    /// Name of the collector that its outlet feeds.
    pub feeds: Option<String>,
    /// How far it may be moved.
    pub may_move: MayMove,
    /// What lies behind its inlet plane; `None`: it is taken as that plane.
    pub body: Option<Body>,
}

impl Collector {
    /// Whether its tubes slide into sleeves, and are not welded.
    pub fn is_slid_into(&self) -> bool {
        self.body.as_ref().is_some_and(|b| matches!(b.making, Making::Slip { .. }))
    }
}

/// Whether a flange is divided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Groups {
    /// One entry.
    None,
    /// Twin entry: inlets 1..=n/2 and the rest, each with one of the two groups of the firing order.
    Twin,
}

/// Arrangement of a collector's inlets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pattern {
    /// Side by side.
    Line,
    /// Three, one up.
    Triangle,
    /// Four in a square.
    Square,
    /// On a circle.
    Ring,
}

/// Order of the inlets around the collector.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rotation {
    /// Any.
    Any,
    /// As the engine fires, either way round.
    Firing,
}

/// How far a collector may be moved from where it was drawn; zeros: not at all.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct MayMove {
    /// Along its axis, either way, mm.
    pub along: f64,
    /// Across its axis, mm.
    pub aside: f64,
    /// Roll about its axis, either way, rad; pi for any.
    pub roll: f64,
}

/// Something that must not be touched.
#[derive(Debug, Clone)]
pub struct Keepout {
    /// Name of the obstacle.
    pub name: String,
    /// Shape of the obstacle.
    pub shape: Shape,
    /// Gap to keep, mm.
    pub clearance: f64,
    /// True for what ports or collectors sit in: no gap is asked within the stub there.
    pub holds_ports: bool,
}

/// A tail pipe from the last collector out.
#[derive(Debug, Clone)]
pub struct Tail {
    /// The collector it leaves.
    pub from: String,
    /// Points that its centreline passes through, in order.
    pub via: Vec<Vec3>,
    /// Where it ends.
    pub to: Vec3,
    /// Unit direction of flow at its end.
    pub axis: Vec3,
}

/// All stock.
#[derive(Debug, Clone, Default)]
pub struct Stock {
    /// Bends and elbows to buy: `bend:0` ...
    pub bends: Vec<BendStock>,
    /// Sticks to buy: `straight:0` ...
    pub straights: Vec<StraightStock>,
    /// What is on the shelf: `remnant:0` ...
    pub remnants: Vec<Remnant>,
}

/// A bend to buy.
#[derive(Debug, Clone, PartialEq)]
pub struct BendStock {
    /// How it is called in lists.
    pub name: String,
    /// Outside diameter and wall, mm.
    pub od: f64,
    /// Wall, mm.
    pub wall: f64,
    /// Centreline radius, mm.
    pub clr: f64,
    /// Angle, rad.
    pub angle: f64,
    /// Legs before and after the arc, mm.
    pub legs: [f64; 2],
    /// Price of one.
    pub price: Money,
    /// How many there are; `None`: as many as wanted.
    pub count: Option<u32>,
}

/// A stick to buy.
#[derive(Debug, Clone, PartialEq)]
pub struct StraightStock {
    /// How it is called in lists.
    pub name: String,
    /// Outside diameter, mm.
    pub od: f64,
    /// Wall, mm.
    pub wall: f64,
    /// Length, mm.
    pub length: f64,
    /// Price of one.
    pub price: Money,
    /// How many there are; `None`: as many as wanted.
    pub count: Option<u32>,
}

/// Something on the shelf.
#[derive(Debug, Clone, PartialEq)]
pub enum Remnant {
    /// A bend, perhaps with less angle and one leg.
    Bend(BendStock),
    /// A length of tube.
    Straight(StraightStock),
}

/// The saw and what it can hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Saw {
    /// Width of the cut, mm.
    pub kerf: f64,
    /// Where the blade's width counts on a bend.
    pub kerf_at: KerfAt,
    /// Shortest straight piece, mm.
    pub min_straight: f64,
    /// Least arc of a piece with arc, rad.
    pub min_arc: f64,
    /// What pieces that are cut last are left longer; `None` where the job does not say.
    pub reserve: Option<Reserving>,
}

/// Whether pieces that are cut last, to measurement, are planned longer than drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reserving {
    /// Never.
    Never,
    /// Where it costs nothing.
    WhenFree,
    /// Always, also when it costs a bend more.
    Always,
}

/// Where the blade's width counts on a bend.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KerfAt {
    /// asin(kerf / (CLR - OD/2)): both faces are radial.
    Inside,
    /// asin(kerf / CLR).
    Centreline,
}

/// Money per joint and cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cost {
    /// Per welded joint.
    pub joint: Money,
    /// Per cut.
    pub cut: Money,
    /// What counts as a cut.
    pub cut_per: CutPer,
}

/// What counts as a cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CutPer {
    /// One cut a piece.
    Piece,
    /// Every saw cut made.
    Saw,
}
