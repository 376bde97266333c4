//! Why a job cannot be cut.

use geom::CentrelineError;
use job::routes::RunId;

/// Why there is no cut plan. Bends and straights are counted from 1 along the flow; straight 1 is
/// the one before bend 1.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CutError {
    /// The points and radii of a route are no tube.
    #[error("the route of {run} is no tube: {reason}")]
    BadRoute {
        /// The run.
        run: RunId,
        /// What is wrong.
        reason: CentrelineError,
    },
    /// There are no routes.
    #[error("there is no run to cut: the routes are empty")]
    NoRuns,
    /// No bend of that CLR for the run's tube.
    #[error(
        "{run}, bend {bend}: there is no bend of CLR {clr:.3} mm for tube {od:.2} x {wall:.2} mm in the stock{}; add one, or route the run with a CLR that is in stock",
        near.map_or(String::new(), |n| format!(" (nearest CLR {n:.3} mm)"))
    )]
    NoBendOfClr {
        /// The run.
        run: RunId,
        /// The bend.
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
    #[error(
        "bends of CLR {clr:.3} mm in tube of {od:.2} mm cannot be cut with a kerf of {kerf:.2} mm: the inside radius is {inside:.2} mm"
    )]
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
    #[error(
        "{run}, straight {straight}: {length:.2} mm is too short to be held by the saw (min_straight {min:.2} mm) and no bend beside it can carry it on a leg; use stock with legs, or move the bends together or apart"
    )]
    StraightTooShort {
        /// The run.
        run: RunId,
        /// The straight.
        straight: usize,
        /// Its length, mm.
        length: f64,
        /// The shortest straight that can be held, mm.
        min: f64,
    },
    /// A straight for which there is no stick and no leg.
    #[error(
        "{run}, straight {straight}: {length:.2} mm of straight tube {od:.2} x {wall:.2} mm is needed and there is neither a stick nor a leg long enough to cut it from; add a stick to the stock"
    )]
    NoStraightStock {
        /// The run.
        run: RunId,
        /// The straight.
        straight: usize,
        /// Its length, mm.
        length: f64,
        /// Outside diameter, mm.
        od: f64,
        /// Wall, mm.
        wall: f64,
    },
    /// More arc is needed than the counted stock holds.
    #[error(
        "bends of CLR {clr:.3} mm: the runs turn {needed_deg:.1} degrees and all the stock together holds {held_deg:.1}; raise a `count` or add a bend to buy"
    )]
    NotEnoughBends {
        /// The CLR, mm.
        clr: f64,
        /// Turning of all runs with that CLR, degrees.
        needed_deg: f64,
        /// What the stock holds, degrees.
        held_deg: f64,
    },
    /// More straight tube is needed than the counted stock holds.
    #[error(
        "straights of tube {od:.2} x {wall:.2} mm: the runs need {needed:.1} mm and all the stock together holds {held:.1} mm; raise a `count` or add a stick to buy"
    )]
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
    #[error(
        "no cut plan was found with the counts of the stock: {what}; raise a `count`, or add a bend or a stick to buy"
    )]
    NoPlan {
        /// What could not be placed in the nearest try.
        what: String,
    },
}
