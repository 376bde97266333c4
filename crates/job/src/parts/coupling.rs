//! Joints that come apart, bellows, and the metal that they are: `[[joint]]`.

use geom::{Centreline, Solid};

use crate::model::Job;
use crate::routes::RunId;

/// Outside diameter of a joint beyond that of its tube, mm: a clamp of two lips, a two-bolt flange across its bolts, the waves of a
/// bellows (common practice, no source).
const BEYOND_TUBE: [f64; 3] = [26.0, 60.0, 16.0];

/// Width of a joint that gives none, mm: two rolled lips in a clamp; two plates of 10 mm; eight waves (common practice, no source).
const USUAL_WIDTH: [f64; 3] = [20.0, 20.0, 80.0];

/// Mass of a joint that gives none, kg for each mm of tube diameter (common practice, no source).
const USUAL_MASS: [f64; 3] = [0.008, 0.015, 0.006];

/// Stiffness of bellows that give none, N/mm, along and across, for a tube of 45 mm and 80 mm of waves (common practice, no source; 20
/// to 200 along).
pub const USUAL_GIVE: [f64; 2] = [60.0, 40.0];

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
    fn index(self) -> usize {
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

    /// Its mass, kg, with both halves.
    pub fn mass(&self, job: &Job) -> f64 {
        self.mass.unwrap_or(USUAL_MASS[self.kind.index()] * job.tube_of(&self.run).od)
    }

    /// Its outside radius, mm.
    pub fn radius(&self, job: &Job) -> f64 {
        0.5 * (job.tube_of(&self.run).od + BEYOND_TUBE[self.kind.index()])
    }

    /// The cylinder that stands for it on its run.
    pub fn solid(&self, job: &Job, line: &Centreline) -> Solid {
        let [from, to] = [self.at, self.end()].map(|at| line.at(at.min(line.length())).origin);
        Solid::Cylinder { from, to, radius: self.radius(job) }
    }

    /// `V-band of primary 1`.
    pub fn name(&self) -> String {
        format!("{} of {}", self.kind.words(), self.run)
    }
}
