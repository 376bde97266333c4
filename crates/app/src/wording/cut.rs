//! Why there is no cut plan.

use cutplan::CutError;
use job::model::Units;
use job::routes::RunId;
use job::show::{exact_with_unit, size, size_with_unit};

use super::routes::centreline;

/// Why there is no cut plan.
pub fn cut(error: &CutError, units: Units) -> String {
    let (long, named) = (|l: f64| exact_with_unit(l, units), |l: f64| size_with_unit(l, units));
    let tube = |od: f64, wall: f64| format!("{} x {}", size(od, units), long(wall));
    match error {
        CutError::BadRoute { run, reason } => {
            format!("the route of {run} is not a valid tube: {}", centreline(reason, units))
        }
        CutError::NoRuns => "there is nothing to cut: the routes are empty".into(),
        CutError::SlipOffStraight { run, at, overlap } => {
            off_straight(run, "slip", ("overlap", [*at, *overlap].map(long)))
        }
        CutError::JointOffStraight { run, at, width } => off_straight(run, "joint", ("width", [*at, *width].map(long))),
        CutError::NoBendOfClr { run, bend, clr, od, wall, near } => {
            let near = near.map_or(String::new(), |n| format!(" (nearest CLR {})", long(n)));
            format!(
                "{run}, bend {bend}: no bend of CLR {} for tube {} in stock{near}; add one, or route with a CLR that is in \
                 stock",
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
            "{run}, straight {straight}: {} is too short to hold in the saw (min_straight {}) and no bend beside it can \
             carry it on a leg; use bends with legs, or move the bends together or apart",
            long(*length),
            long(*min)
        ),
        CutError::NoStraightStock { run, straight, length, od, wall } => format!(
            "{run}, straight {straight}: needs {} of straight tube {}, and no stick or leg is long enough; add a stick to \
             the stock",
            long(*length),
            tube(*od, *wall)
        ),
        CutError::NotEnoughBends { clr, needed_deg, held_deg } => format!(
            "bends of CLR {}: the tubes need {needed_deg:.1}\u{b0} of bend and the stock holds {held_deg:.1}\u{b0}; raise a \
             `count` or add a bend to buy",
            long(*clr)
        ),
        CutError::NotEnoughStraight { od, wall, needed, held } => format!(
            "straights of tube {}: the tubes need {} and the stock holds {}; raise a `count` or add a stick to buy",
            tube(*od, *wall),
            long(*needed),
            long(*held)
        ),
        CutError::NoPlan { missing } => format!(
            "no cut plan found within the counts of the stock: {}; raise a `count`, or add a bend or a stick to buy",
            unplaced(missing, units)
        ),
    }
}

/// A part that needs a straight, by its table, and lies in none; `key` gives its length.
fn off_straight(run: &RunId, table: &str, (key, [at, length]): (&str, [String; 2])) -> String {
    format!(
        "{run}: the [[{table}]] at {at}, {key} {length}, does not lie in one straight of the run; correct its `at` or `{key}`"
    )
}

/// The straights that no stock was left for.
fn unplaced(missing: &[(RunId, usize, f64)], units: Units) -> String {
    if missing.is_empty() {
        return "the bends in stock do not hold all arcs, however they are split".into();
    }
    let one = |(run, place, length): &(RunId, usize, f64)| {
        format!("nothing left to cut straight {place} of {run} from ({})", exact_with_unit(*length, units))
    };
    missing.iter().map(one).collect::<Vec<_>>().join("; ")
}
