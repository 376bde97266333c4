//! What is wrong with a cut plan, and how the lines of a quote came about.

use cutplan::quote::{Basis, LineSource, PriceFrom, ShareOf, Standard};
use cutplan::{PlanFault, TubeStretch};
use job::model::{Money, Units};
use job::show::{exact_with_unit, length_with_unit};

/// What is wrong with a cut plan.
pub fn plan_fault(fault: &PlanFault, units: Units) -> String {
    let long = |l: f64| exact_with_unit(l, units);
    match fault {
        PlanFault::StrayPiece => "a piece belongs to no run".into(),
        PlanFault::PieceBegins { run, piece, from, expected } => {
            format!("{run}: piece {piece} begins at {}, not at {}", long(*from), long(*expected))
        }
        PlanFault::PieceMark { run, piece } => format!("{run}: mark {piece} is not this run's alone"),
        PlanFault::RunCovered { run, to, length } => {
            format!("{run} is covered up to {} of {}", long(*to), long(*length))
        }
        PlanFault::NoItem { piece } => format!("piece {piece} names no item"),
        PlanFault::OutsideItem { piece } => format!("piece {piece} lies outside its item"),
        PlanFault::OtherStretch { piece, route, item } => {
            format!(
                "piece {piece}: the route wants {}, the item gives {}",
                stretches(route, units),
                stretches(item, units)
            )
        }
        PlanFault::Reserve { piece } => {
            format!("piece {piece} has a reserve where it has no straight or arc that can be trimmed")
        }
        PlanFault::StraightTooShort { piece } => format!("piece {piece} is a straight shorter than the saw holds"),
        PlanFault::ArcTooShort { piece } => format!("piece {piece} has less arc than the saw holds"),
        PlanFault::OtherTube { piece } => format!("piece {piece} is cut from another tube"),
        PlanFault::MarkPlace { piece, item } => format!("piece {piece}: a mark is not where the piece ends on {item}"),
        PlanFault::PieceSizes { piece, item } => {
            format!("piece {piece}: its legs or its angle are not those of its stretch of {item}")
        }
        PlanFault::Clocking { piece, to } => format!("piece {piece}: its clocking to {to} does not agree with itself"),
        PlanFault::Price { stock } => format!("{stock} has another price in the stock"),
        PlanFault::Count { stock, used, held } => format!("{used} of {stock} are used, there are {held}"),
        PlanFault::UnusedItem { item } => format!("item {item} is not used"),
        PlanFault::NoRoomForSaw { item, between: [end, start], gap, least } => {
            let (end, start) = (long(*end), long(*start));
            format!("item {item}: between {end} and {start} there are {}; the saw needs {}", long(*gap), long(*least))
        }
        PlanFault::CutNotOnLeg { item, tangent } => {
            let which = if *tangent == 1 { "first" } else { "second" };
            format!("item {item}: the cut at the {which} tangent point is not on the leg")
        }
        PlanFault::ItemSizes { item, stock } => format!("item {item} has other sizes than {stock} of the stock"),
        PlanFault::OffcutNotFree { at: [from, to] } => {
            format!("an offcut from {} to {} is not free on its item", long(*from), long(*to))
        }
        PlanFault::Cost { given, counted } => {
            let [given, counted] = [given, counted].map(|money| Money(*money).units());
            format!("the plan says it costs {given:.2}, recounted {counted:.2}")
        }
        PlanFault::JointsAndCuts { given: [joints, cuts], counted: [j, c] } => {
            format!("the plan says {joints} joints and {cuts} cuts, recounted {j} and {c}")
        }
        PlanFault::Bound => "bound and proof do not agree with the cost".into(),
    }
}

fn stretches(all: &[TubeStretch], units: Units) -> String {
    let long = |l: f64| exact_with_unit(l, units);
    let one = |stretch: &TubeStretch| match stretch {
        TubeStretch::Straight(length) => format!("a straight of {}", long(*length)),
        TubeStretch::Arc { clr, length } => format!("an arc of {} at CLR {}", long(*length), long(*clr)),
    };
    if all.is_empty() { "nothing".into() } else { all.iter().map(one).collect::<Vec<_>>().join(", ") }
}

/// Where price and standard of a line of a quote come from.
pub fn quote_source(source: &LineSource) -> String {
    let price = match source.price {
        PriceFrom::StockList => "price: stock list",
        PriceFrom::Job => "price: the job's own",
        PriceFrom::Shop => "price: the shop's own",
        PriceFrom::Invented => "price: placeholder",
    };
    match &source.standard {
        None => price.to_string(),
        Some(Standard::Quantity(standard)) => format!("{price}; standard: {standard}"),
        Some(Standard::Time(standard)) => format!("{price}; time: {standard}"),
    }
}

/// How the quantity of a line of a quote came about; may be empty.
pub fn quote_basis(basis: &Basis, units: Units) -> String {
    let welds = |length: f64| format!("{} of weld", length_with_unit(length, units));
    match *basis {
        Basis::Plain => String::new(),
        Basis::WeldLength(length) => welds(length),
        Basis::Argon { arc_min } => format!("{arc_min:.1} min of arc, purge"),
        Basis::Welds(count) => format!("{count} welds"),
        Basis::Standard { count, minutes } => format!("{} x {} min", trim(count), trim(minutes)),
        Basis::Welding { length, arc_on_percent } => format!("{}, arc on {} %", welds(length), trim(arc_on_percent)),
        Basis::Share { percent, of } => {
            let of = match of {
                ShareOf::Joints => "the time at joints",
                ShareOf::AllButRework => "all above but rework",
            };
            format!("{} % of {of}", trim(percent))
        }
    }
}

/// A figure with up to two decimals.
fn trim(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}
