//! Why a job cannot be cut.

use geom::CentrelineError;
use job::routes::RunId;

/// Why there is no cut plan. Bends and straights are counted from 1 along the flow; straight 1 is
/// the one before bend 1.
#[derive(Debug, Clone, PartialEq)]
pub enum CutError {
    /// The points and radii of a route are no tube.
    BadRoute {
        /// The run that cannot be cut.
        run: RunId,
        /// What is wrong.
        reason: CentrelineError,
    },
    /// There are no routes.
    NoRuns,
    /// A slip joint that does not lie in one straight of its run, behind the flange.
    SlipOffStraight {
        /// The run it is on.
        run: RunId,
        /// Where it begins, mm from the start of the run.
        at: f64,
        /// Its overlap, mm.
        overlap: f64,
    },
    /// A joint that comes apart, or bellows, that does not lie in one straight of its run, behind the flange.
    JointOffStraight {
        /// The run it is on.
        run: RunId,
        /// Where the tube upstream ends, mm from the start of the run.
        at: f64,
        /// Its width, mm.
        width: f64,
    },
    /// No bend of that CLR for the run's tube.
    NoBendOfClr {
        /// The run that cannot be cut.
        run: RunId,
        /// Bend of the run, counted from 1.
        bend: usize,
        /// The CLR wanted, mm.
        clr: f64,
        /// Outside diameter of the run's tube, mm.
        od: f64,
        /// Wall of the run's tube, mm.
        wall: f64,
        /// The nearest CLR in stock for that tube, mm.
        near: Option<f64>,
    },
    /// The blade is wider than the inside of the bend allows, or the CLR is not above OD / 2.
    KerfTooWide {
        /// The CLR, mm.
        clr: f64,
        /// Outside diameter, mm.
        od: f64,
        /// Kerf, mm.
        kerf: f64,
        /// CLR - OD / 2, mm.
        inside: f64,
    },
    /// A straight that can neither be held by itself nor be part of a piece with a bend.
    StraightTooShort {
        /// The run that cannot be cut.
        run: RunId,
        /// Straight of the run, counted from 1: straight 1 comes before bend 1.
        straight: usize,
        /// Its length, mm.
        length: f64,
        /// The shortest straight that can be held, mm.
        min: f64,
    },
    /// A straight for which there is no stick and no leg.
    NoStraightStock {
        /// The run that cannot be cut.
        run: RunId,
        /// Straight of the run, counted from 1: straight 1 comes before bend 1.
        straight: usize,
        /// Its length, mm.
        length: f64,
        /// Outside diameter, mm.
        od: f64,
        /// Wall, mm.
        wall: f64,
    },
    /// More arc is needed than the counted stock holds.
    NotEnoughBends {
        /// The CLR, mm.
        clr: f64,
        /// Turning of all runs with that CLR, degrees.
        needed_deg: f64,
        /// What the stock holds, degrees.
        held_deg: f64,
    },
    /// More straight tube is needed than the counted stock holds.
    NotEnoughStraight {
        /// Outside diameter, mm.
        od: f64,
        /// Wall, mm.
        wall: f64,
        /// Needed, mm.
        needed: f64,
        /// Held by the stock, mm.
        held: f64,
    },
    /// The stock would hold the sums, but no plan was found.
    NoPlan {
        /// Straights that could not be placed in the nearest try, each with its run, its number and its length, mm; none:
        /// there was no try that held all arcs.
        missing: Vec<(RunId, usize, f64)>,
    },
}
