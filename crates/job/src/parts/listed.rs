//! The parts that a job lists, as it gives them: brackets, slip joints, sensor bungs, joints that come apart, heat shields.
//!
//! Places along a run are counted from its start (of a primary the port face) along the centreline, mm. Where a part looks
//! is counted as [`geom::any_perpendicular`] has it: from up, on a tube within 8 degrees of vertical from the front, by the
//! right-hand rule about the flow.

use geom::Vec3;

use crate::routes::RunId;

/// Stiffness of a bracket that gives none, N/mm: a tab of 3 mm sheet on a cast boss (common practice, no source; 300 to 3000).
pub const USUAL_STIFFNESS: f64 = 1000.0;

/// Friction of a slip joint that gives none, N (common practice, no source; 50 to 500).
pub const USUAL_FRICTION: f64 = 100.0;

/// Thread of an exhaust gas sensor.
pub const USUAL_THREAD: &str = "M18x1.5";

/// Outside diameter of the socket for a sensor of 22 mm across flats, mm (common practice, no source).
pub const USUAL_SOCKET: f64 = 30.0;

/// How far a sensor sits in its bung and tube, mm: that much farther it goes out (common practice, no source).
pub const USUAL_INSERTION: f64 = 30.0;

/// Stiffness of bellows that give none, N/mm, along and across, for a tube of 45 mm and 80 mm of waves (common practice, no source; 20
/// to 200 along).
pub const USUAL_GIVE: [f64; 2] = [60.0, 40.0];

/// Width of a joint that gives none, mm: two rolled lips in a clamp; two plates of 10 mm; eight waves (common practice, no source).
const USUAL_WIDTH: [f64; 3] = [20.0, 20.0, 80.0];

/// All parts of a job.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Parts {
    /// Brackets.
    pub brackets: Vec<Bracket>,
    /// Slip joints.
    pub slips: Vec<SlipJoint>,
    /// Sensor bungs.
    pub bungs: Vec<Bung>,
    /// Joints that come apart, and bellows.
    pub couplings: Vec<Coupling>,
    /// Heat shields.
    pub shields: Vec<Shield>,
}

/// What a bracket holds.
#[derive(Debug, Clone, PartialEq)]
pub enum Holds {
    /// A place of a run.
    Run {
        /// The run.
        run: RunId,
        /// From its start, mm.
        at: f64,
    },
    /// A collector, by its name.
    Collector(String),
}

impl std::fmt::Display for Holds {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Holds::Run { run, .. } => write!(f, "{run}"),
            Holds::Collector(name) => write!(f, "collector {name}"),
        }
    }
}

/// Which movements a bracket stops.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BracketKind {
    /// All three.
    Tab,
    /// Those across its slot.
    Slotted,
    /// That along it.
    Link,
}

impl BracketKind {
    /// Its word in job.toml.
    pub fn word(self) -> &'static str {
        match self {
            BracketKind::Tab => "tab",
            BracketKind::Slotted => "slotted",
            BracketKind::Link => "link",
        }
    }
}

/// A bracket.
#[derive(Debug, Clone, PartialEq)]
pub struct Bracket {
    /// What it holds.
    pub holds: Holds,
    /// Which movements it stops.
    pub kind: BracketKind,
    /// Unit direction of its slot or of the link; `None`: along the growth.
    pub along: Option<Vec3>,
    /// N/mm.
    pub stiffness: f64,
}

/// A slip joint: the tube upstream slides into the end of the one downstream, which is expanded.
#[derive(Debug, Clone, PartialEq)]
pub struct SlipJoint {
    /// The run.
    pub run: RunId,
    /// Where the tube downstream begins, from the start of the run, mm.
    pub at: f64,
    /// How far the tube upstream goes on inside it, mm.
    pub overlap: f64,
    /// Whether springs hold it together.
    pub springs: bool,
    /// Axial force below which it does not slide, N.
    pub friction: f64,
}

/// A sensor bung.
#[derive(Debug, Clone, PartialEq)]
pub struct Bung {
    /// The run.
    pub run: RunId,
    /// From the start of the run, mm.
    pub at: f64,
    /// Where it looks, rad: see the head of this file.
    pub clock: f64,
    /// Its thread.
    pub thread: String,
    /// From the tube to the end of the sensor with its plug, mm.
    pub length: f64,
    /// Diameter of the sensor's socket, mm.
    pub socket_od: f64,
    /// How far out the sensor must go to come free, mm.
    pub reach: f64,
}

impl Parts {
    /// Slip joints of a run along the flow.
    pub fn slips_of(&self, run: &RunId) -> Vec<&SlipJoint> {
        let mut slips: Vec<&SlipJoint> = self.slips.iter().filter(|s| s.run == *run).collect();
        slips.sort_by(|a, b| a.at.total_cmp(&b.at));
        slips
    }

    /// How many times a run is parted by slip joints, joints and bellows.
    pub fn partings_of(&self, run: &RunId) -> usize {
        let slips = self.slips.iter().filter(|s| s.run == *run).count();
        slips + self.couplings.iter().filter(|c| c.run == *run).count()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        let (brackets, slips, bungs) = (self.brackets.is_empty(), self.slips.is_empty(), self.bungs.is_empty());
        brackets && slips && bungs && self.couplings.is_empty() && self.shields.is_empty()
    }
}

/// What joins the two ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CouplingKind {
    /// Two lips held by a V-band clamp.
    VBand,
    /// Two flanges with bolts.
    Flange,
    /// Flexible bellows.
    Bellows {
        /// Stiffness along the tube, N/mm.
        axial: f64,
        /// Force across the tube that moves one end by 1 mm, both ends kept parallel, N/mm.
        lateral: f64,
    },
}

impl CouplingKind {
    /// Place of its kind in the lists of what is usual.
    pub(super) fn index(self) -> usize {
        match self {
            CouplingKind::VBand => 0,
            CouplingKind::Flange => 1,
            CouplingKind::Bellows { .. } => 2,
        }
    }

    /// Its words.
    pub fn words(self) -> &'static str {
        ["V-band", "bolted flange", "bellows"][self.index()]
    }

    /// Its key in the price list.
    pub fn price_key(self) -> &'static str {
        ["v_band", "bolted_flange", "bellows"][self.index()]
    }

    /// Width that it usually has, mm.
    pub fn usual_width(self) -> f64 {
        USUAL_WIDTH[self.index()]
    }
}

/// A joint in a run: the tube ends before it and goes on behind it.
#[derive(Debug, Clone, PartialEq)]
pub struct Coupling {
    /// The run.
    pub run: RunId,
    /// Where the tube upstream ends, from the start of the run, mm.
    pub at: f64,
    /// Length of the centreline that it takes the place of, mm.
    pub width: f64,
    /// What it is.
    pub kind: CouplingKind,
    /// Its mass, kg, where the job gives it.
    pub mass: Option<f64>,
}

impl Coupling {
    /// Where the tube downstream begins, mm from the start of the run.
    pub fn end(&self) -> f64 {
        self.at + self.width
    }

    /// `V-band of primary 1`.
    pub fn name(&self) -> String {
        format!("{} of {}", self.kind.words(), self.run)
    }
}

/// A sheet of metal between a run and an obstacle, where the two come nearest.
#[derive(Debug, Clone, PartialEq)]
pub struct Shield {
    /// The run.
    pub run: RunId,
    /// Name of the obstacle.
    pub obstacle: String,
    /// Its sheet, mm.
    pub thickness: f64,
    /// From the outside of the tube to the sheet, mm.
    pub stand_off: f64,
    /// Along the tube, mm.
    pub length: f64,
    /// Across the tube, mm.
    pub width: f64,
    /// Material of the sheet, for the list.
    pub material: String,
}
