//! How well a shop works: one standard deviation of every source of error.
//!
//! `usual`: the "acceptable" row of common shop tables is two standard deviations; `careful`: the "good" row is. Common
//! practice without a source, but for: tangent line and legs of bought bends, ports and inlets, which are assumptions. Bend
//! angle and CLR as bought: +-2 degrees and +-2 % at most (common practice).

use job::fit::{Quality, ShopRecord};

/// Where an error comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Source {
    /// Place of the port.
    Port,
    /// Direction of the port.
    PortAngle,
    /// Place of the inlet.
    Inlet,
    /// Direction of the inlet.
    InletAngle,
    /// Place of a saw cut.
    Cut,
    /// Angle of a whole bought bend.
    BendAngle,
    /// Centreline radius of an item.
    Clr,
    /// Where the tangent line was marked.
    TangentLine,
    /// Bought leg up to its mill end.
    Leg,
    /// Squareness of a face.
    Squareness,
    /// Pull of the weld.
    Pull,
    /// Offset at a joint.
    Step,
    /// Gap at a joint.
    Gap,
    /// Shrinkage of the weld.
    Shrinkage,
    /// How far a slip joint is pushed in.
    Slide,
    /// Clocking at a joint.
    Clocking,
}

impl Source {
    /// All of them, in the order of the runs' making.
    pub const ALL: [Source; 16] = [
        Source::Port,
        Source::PortAngle,
        Source::Inlet,
        Source::InletAngle,
        Source::Cut,
        Source::BendAngle,
        Source::Clr,
        Source::TangentLine,
        Source::Leg,
        Source::Squareness,
        Source::Pull,
        Source::Step,
        Source::Gap,
        Source::Shrinkage,
        Source::Slide,
        Source::Clocking,
    ];

    /// Its word in answers.
    pub fn word(self) -> &'static str {
        match self {
            Source::Port => "port",
            Source::PortAngle => "port angle",
            Source::Inlet => "inlet",
            Source::InletAngle => "inlet angle",
            Source::Cut => "cut",
            Source::BendAngle => "bend angle",
            Source::Clr => "clr",
            Source::TangentLine => "tangent line",
            Source::Leg => "leg",
            Source::Squareness => "squareness",
            Source::Pull => "pull",
            Source::Step => "step",
            Source::Gap => "gap",
            Source::Shrinkage => "shrinkage",
            Source::Slide => "slip joint",
            Source::Clocking => "clocking",
        }
    }
}

/// Share of a weld's pull that its tacks already have. An assumption.
pub const TACKED_PULL: f64 = 0.3;

/// Thickest wall that is welded without filler, mm: above it a weld shrinks more. Common practice.
const THIN_WALL: f64 = 1.8;

/// One standard deviation of each source; lengths in mm, angles in rad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shop {
    /// Place of a cut, along the tube or, on an arc, along its outside.
    pub cut: f64,
    /// A face's squareness, each of two directions.
    pub squareness: f64,
    /// Clocking of a joint.
    pub clocking: f64,
    /// Angle of a whole bought bend.
    pub bend_angle: f64,
    /// CLR of an item, as a ratio.
    pub clr: f64,
    /// Where the tangent line is found.
    pub tangent_line: f64,
    /// A bought leg up to its mill end.
    pub leg: f64,
    /// Gap at a joint.
    pub gap: f64,
    /// Mean gap at a joint.
    pub gap_mean: f64,
    /// Offset at a joint, each of two directions.
    pub step: f64,
    /// Mean shrinkage of a weld.
    pub shrinkage: f64,
    /// Spread of it.
    pub shrinkage_sd: f64,
    /// True where the pieces are cut longer by the mean shrinkage.
    pub shrinkage_allowed: bool,
    /// Kink by a weld, each of two directions.
    pub pull: f64,
    /// Place of the port, each of three directions.
    pub port: f64,
    /// Axis of the port, each of two directions.
    pub port_angle: f64,
    /// Place of the inlet, each of three directions.
    pub inlet: f64,
    /// Axis of the inlet, each of two directions.
    pub inlet_angle: f64,
}

impl Shop {
    /// The shop of a record, for a tube of that wall, mm.
    pub fn of(record: &ShopRecord, wall: f64) -> Shop {
        let base = Shop::usual(record.quality, wall);
        let shrinkage = record.shrinkage.unwrap_or(base.shrinkage);
        Shop {
            cut: record.cut.unwrap_or(base.cut),
            squareness: record.squareness.unwrap_or(base.squareness),
            clocking: record.clocking.unwrap_or(base.clocking),
            bend_angle: record.bend_angle.unwrap_or(base.bend_angle),
            clr: record.clr.unwrap_or(base.clr),
            tangent_line: record.tangent_line.unwrap_or(base.tangent_line),
            leg: record.leg.unwrap_or(base.leg),
            gap: record.gap.unwrap_or(base.gap),
            gap_mean: record.gap_mean.unwrap_or(base.gap_mean),
            step: record.step.unwrap_or(base.step),
            shrinkage,
            shrinkage_sd: record.shrinkage_sd.unwrap_or(shrinkage / 3.0),
            shrinkage_allowed: record.shrinkage_allowed.unwrap_or(false),
            pull: record.pull.unwrap_or(base.pull),
            port: record.port.unwrap_or(base.port),
            port_angle: record.port_angle.unwrap_or(base.port_angle),
            inlet: record.inlet.unwrap_or(base.inlet),
            inlet_angle: record.inlet_angle.unwrap_or(base.inlet_angle),
        }
    }

    /// What a shop of that quality does without figures of its own.
    pub fn usual(quality: Quality, wall: f64) -> Shop {
        let pick = |usual: f64, careful: f64| match quality {
            Quality::Usual => usual,
            Quality::Careful => careful,
        };
        let degrees = |usual: f64, careful: f64| pick(usual, careful).to_radians();
        let shrinkage = if wall <= THIN_WALL { 0.3 } else { 0.8 };
        Shop {
            cut: pick(0.5, 0.25),
            squareness: degrees(0.25, 0.125),
            clocking: degrees(1.0, 0.5),
            bend_angle: degrees(1.0, 0.5),
            clr: pick(0.01, 0.005),
            tangent_line: pick(1.0, 0.5),
            leg: pick(1.0, 0.5),
            gap: pick(0.1, 0.05),
            gap_mean: 0.0,
            step: pick(0.2, 0.1),
            shrinkage,
            shrinkage_sd: shrinkage / 3.0,
            shrinkage_allowed: false,
            pull: degrees(0.4, 0.25),
            port: pick(0.5, 0.3),
            port_angle: degrees(0.25, 0.1),
            inlet: pick(1.0, 0.5),
            inlet_angle: degrees(0.5, 0.25),
        }
    }

    /// Mean length that a welded joint adds, mm.
    pub fn mean_shift(&self) -> f64 {
        self.gap_mean - if self.shrinkage_allowed { 0.0 } else { self.shrinkage }
    }
}
