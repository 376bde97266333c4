//! Why a job cannot be cut.

use std::fmt;

use geom::CentrelineError;
use job::model::Units;
use job::routes::RunId;
use job::show::{exact_with_unit, size, size_with_unit};

/// Why there is no cut plan. Bends and straights are counted from 1 along the flow; straight 1 is
/// the one before bend 1.
#[derive(Debug, Clone, PartialEq)]
pub enum CutError {
    /// The points and radii of a route are no tube.
    BadRoute {
        /// The run.
        run: RunId,
        /// What is wrong.
        reason: CentrelineError,
    },
    /// There are no routes.
    NoRuns,
    /// No bend of that CLR for the run's tube.
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

impl CutError {
    /// The error in words, its lengths in `units`.
    pub fn said(&self, units: Units) -> String {
        let (long, named) = (|l: f64| exact_with_unit(l, units), |l: f64| size_with_unit(l, units));
        let tube = |od: f64, wall: f64| format!("{} x {}", size(od, units), long(wall));
        match self {
            CutError::BadRoute { run, reason } => format!("the route of {run} is no tube: {reason}"),
            CutError::NoRuns => "there is no run to cut: the routes are empty".into(),
            CutError::NoBendOfClr { run, bend, clr, od, wall, near } => {
                let near = near.map_or(String::new(), |n| format!(" (nearest CLR {})", long(n)));
                format!(
                    "{run}, bend {bend}: there is no bend of CLR {} for tube {} in the stock{near}; add one, or route the run \
                     with a CLR that is in stock",
                    long(*clr),
                    tube(*od, *wall)
                )
            }
            CutError::KerfTooWide { clr, od, kerf, inside } => format!(
                "bends of CLR {} in tube of {} cannot be cut with a kerf of {}: the inside radius is {}",
                long(*clr),
                named(*od),
                long(*kerf),
                long(*inside)
            ),
            CutError::StraightTooShort { run, straight, length, min } => format!(
                "{run}, straight {straight}: {} is too short to be held by the saw (min_straight {}) and no bend beside it can \
                 carry it on a leg; use stock with legs, or move the bends together or apart",
                long(*length),
                long(*min)
            ),
            CutError::NoStraightStock { run, straight, length, od, wall } => format!(
                "{run}, straight {straight}: {} of straight tube {} is needed and there is neither a stick nor a leg long \
                 enough to cut it from; add a stick to the stock",
                long(*length),
                tube(*od, *wall)
            ),
            CutError::NotEnoughBends { clr, needed_deg, held_deg } => format!(
                "bends of CLR {}: the runs turn {needed_deg:.1} degrees and all the stock together holds {held_deg:.1}; raise a \
                 `count` or add a bend to buy",
                long(*clr)
            ),
            CutError::NotEnoughStraight { od, wall, needed, held } => format!(
                "straights of tube {}: the runs need {} and all the stock together holds {}; raise a `count` or add a stick to \
                 buy",
                tube(*od, *wall),
                long(*needed),
                long(*held)
            ),
            CutError::NoPlan { missing } => format!(
                "no cut plan was found with the counts of the stock: {}; raise a `count`, or add a bend or a stick to buy",
                without_stock(missing, units)
            ),
        }
    }
}

/// The straights that no stock was left for, in words.
fn without_stock(missing: &[(RunId, usize, f64)], units: Units) -> String {
    if missing.is_empty() {
        return "the bends in stock do not hold all arcs, however they are split".into();
    }
    let one = |(run, place, length): &(RunId, usize, f64)| {
        format!("{run}, straight {place} of {} has nothing to be cut from", exact_with_unit(*length, units))
    };
    missing.iter().map(one).collect::<Vec<_>>().join("; ")
}

impl fmt::Display for CutError {
    /// In millimetres.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.said(Units::Mm))
    }
}

impl std::error::Error for CutError {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_error_speaks_the_unit_of_the_job() {
        let run = RunId::Primary { cylinder: 2 };
        let error = CutError::NoBendOfClr { run, bend: 1, clr: 63.5, od: 44.45, wall: 1.651, near: Some(76.2) };
        let inches = error.said(Units::Inch);
        assert!(inches.contains("CLR 2.500 in for tube 1 3/4 x 0.065 in"), "{inches}");
        assert!(inches.contains("nearest CLR 3.000 in") && !inches.contains("mm"), "{inches}");
        assert!(error.to_string().contains("CLR 63.50 mm for tube 44.45 x 1.65 mm"), "{error}");
    }
}
