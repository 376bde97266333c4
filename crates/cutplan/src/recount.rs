//! A slow, plain recount of a cut plan against the rules of cutting.
//!
//! It shares no code with the search: it works on the finished plan, the routes' centrelines and
//! the job's stock alone. Every test of the search passes its plans through it.

mod fault;
mod marks;
mod stretches;

use geom::Centreline;
use job::model::{CutPer, KerfAt, SAME_SIZE};
use job::routes::RunId;

use crate::CutJob;
use crate::plan::{CutPlan, Item, ItemShape, Piece};

use stretches::{NEAR, item_stretches, route_stretches};

pub use fault::{PlanFault, TubeStretch};

/// What a recount found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Recount {
    /// Items + joints + cuts, thousandths of the currency's unit.
    pub cost: i64,
    /// Pieces less runs, and less slip joints.
    pub joints: u32,
    /// Saw cuts made.
    pub cuts: u32,
}

/// Counts a plan again and checks it against every rule of cutting.
///
/// # Errors
/// All faults found.
pub fn recount(plan: &CutPlan, runs: &[(RunId, Centreline)], job: &CutJob<'_>) -> Result<Recount, Vec<PlanFault>> {
    let mut faults = Vec::new();
    for (run, centreline) in runs {
        check_run(plan, run, centreline, job, &mut faults);
    }
    if plan.pieces.iter().any(|p| !runs.iter().any(|(run, _)| *run == p.run)) {
        faults.push(PlanFault::StrayPiece);
    }
    check_stock(plan, job, &mut faults);
    let places = places_on_items(plan);
    let cuts = plan.items.iter().zip(&places).map(|(item, places)| check_item(item, places, job, &mut faults)).sum();
    marks::check(plan, &places, job, &mut faults);
    let pieces = plan.pieces.len() as i64;
    let sections: usize = runs.iter().map(|(run, line)| job.sections(run, line.length()).len()).sum();
    let joints = pieces - sections as i64;
    let charged = match job.cost.cut_per {
        CutPer::Piece => pieces,
        CutPer::Saw => i64::from(cuts),
    };
    let items: i64 = plan.items.iter().map(|i| i.price.0).sum();
    let cost = items + job.cost.joint.0 * joints + job.cost.cut.0 * charged;
    if cost != plan.cost.0 {
        faults.push(PlanFault::Cost { given: plan.cost.0, counted: cost });
    }
    if i64::from(plan.joints) != joints || plan.cuts != cuts {
        let given = [plan.joints, plan.cuts].map(i64::from);
        faults.push(PlanFault::JointsAndCuts { given, counted: [joints, i64::from(cuts)] });
    }
    if plan.lower_bound > plan.cost || plan.proven != (plan.lower_bound == plan.cost) {
        faults.push(PlanFault::Bound);
    }
    if faults.is_empty() { Ok(Recount { cost, joints: joints as u32, cuts }) } else { Err(faults) }
}

fn check_run(plan: &CutPlan, run: &RunId, centreline: &Centreline, job: &CutJob<'_>, faults: &mut Vec<PlanFault>) {
    let mut pieces: Vec<&Piece> = plan.pieces.iter().filter(|p| p.run == *run).collect();
    pieces.sort_by(|a, b| a.from.total_cmp(&b.from));
    let mut sections = job.sections(run, centreline.length()).into_iter();
    let [mut at, mut end] = sections.next().unwrap_or([0.0, centreline.length()]);
    for piece in &pieces {
        if (at - end).abs() <= NEAR
            && let Some([from, to]) = sections.next()
        {
            // A slip joint: the next piece begins where the overlap does; a coupling: where it ends.
            (at, end) = (from, to);
        }
        if (piece.from - at).abs() > NEAR {
            let (from, piece) = (piece.from, piece.mark.clone());
            faults.push(PlanFault::PieceBegins { run: run.clone(), piece, from, expected: at });
        }
        at = piece.to;
        check_piece(plan, piece, centreline, job, faults);
    }
    marks::check_names(plan, run, &pieces, faults);
    if sections.next().is_some() || (at - centreline.length()).abs() > NEAR {
        faults.push(PlanFault::RunCovered { run: run.clone(), to: at, length: centreline.length() });
    }
}

fn check_piece(plan: &CutPlan, piece: &Piece, centreline: &Centreline, job: &CutJob<'_>, faults: &mut Vec<PlanFault>) {
    let mark = || piece.mark.clone();
    let Some(item) = plan.items.get(piece.item) else {
        faults.push(PlanFault::NoItem { piece: mark() });
        return;
    };
    if piece.at[0] < -NEAR || piece.at[1] > item.shape.length() + NEAR || piece.at[1] <= piece.at[0] {
        faults.push(PlanFault::OutsideItem { piece: mark() });
    }
    let wanted = with_reserve(route_stretches(centreline, piece.from, piece.to), piece, faults);
    let mut cut = item_stretches(item, piece.at);
    if piece.reversed {
        cut.reverse();
    }
    let alike = wanted.len() == cut.len()
        && wanted.iter().zip(&cut).all(|(a, b)| match (a, b) {
            (TubeStretch::Straight(a), TubeStretch::Straight(b)) => (a - b).abs() < 2.0 * NEAR,
            (TubeStretch::Arc { clr: r, length: a }, TubeStretch::Arc { clr: q, length: b }) => {
                (r - q).abs() < 0.02 && (a / r - b / q).abs() * r < 6.0 * NEAR
            }
            _ => false,
        });
    if !alike {
        faults.push(PlanFault::OtherStretch { piece: mark(), route: wanted.clone(), item: cut });
    }
    match wanted.iter().find(|s| matches!(s, TubeStretch::Arc { .. })) {
        None if piece.at[1] - piece.at[0] < job.saw.min_straight - NEAR => {
            faults.push(PlanFault::StraightTooShort { piece: mark() });
        }
        Some(TubeStretch::Arc { clr, length }) => {
            let whole = whole_arc(centreline, piece);
            if length + NEAR < (job.saw.min_arc * clr).min(whole) {
                faults.push(PlanFault::ArcTooShort { piece: mark() });
            }
        }
        _ => {}
    }
}

/// The stretches of a route longer by what a piece has more on its item. A reserve lies on straights and arcs that exist,
/// and one of an arc at an end that can be trimmed: not between two legs.
fn with_reserve(mut wanted: Vec<TubeStretch>, piece: &Piece, faults: &mut Vec<PlanFault>) -> Vec<TubeStretch> {
    let more = piece.reserve;
    let mut left = [more.leg_in, more.angle, more.leg_out];
    let arc = wanted.iter().position(|s| matches!(s, TubeStretch::Arc { .. }));
    let count = wanted.len();
    for (k, stretch) in wanted.iter_mut().enumerate() {
        match stretch {
            TubeStretch::Straight(length) if arc.is_none_or(|a| k < a) => *length += std::mem::take(&mut left[0]),
            TubeStretch::Straight(length) => *length += std::mem::take(&mut left[2]),
            TubeStretch::Arc { clr, length } => *length += *clr * std::mem::take(&mut left[1]),
        }
    }
    let negative = [more.leg_in, more.angle, more.leg_out].iter().any(|m| !(*m >= 0.0 && m.is_finite()));
    let between = more.angle > 0.0 && count > 2;
    if negative || between || left.iter().any(|l| *l != 0.0) {
        faults.push(PlanFault::Reserve { piece: piece.mark.clone() });
    }
    wanted
}

/// Length of the route's whole (merged) arc that a piece is part of, mm.
fn whole_arc(centreline: &Centreline, piece: &Piece) -> f64 {
    let whole = route_stretches(centreline, 0.0, centreline.length());
    let mut station = 0.0;
    for stretch in whole {
        let overlap = piece.to.min(station + stretch.length()) - piece.from.max(station);
        if matches!(stretch, TubeStretch::Arc { .. }) && overlap > 0.1 * stretch.length().min(1.0) {
            return stretch.length();
        }
        station += stretch.length();
    }
    f64::INFINITY
}

/// Items exist in the stock, are of the right tube and not more than there are.
fn check_stock(plan: &CutPlan, job: &CutJob<'_>, faults: &mut Vec<PlanFault>) {
    for line in plan.stock_lines() {
        if job.item(line.stock).map(|i| i.price()) != Some(line.price) {
            faults.push(PlanFault::Price { stock: line.stock });
        }
        if let Some(held) = job.count(line.stock).filter(|held| *held < line.count) {
            faults.push(PlanFault::Count { stock: line.stock, used: line.count, held });
        }
    }
    for piece in &plan.pieces {
        let tube = job.tube_of(&piece.run);
        if plan.items.get(piece.item).is_some_and(|i| (i.od - tube.od).abs() > SAME_SIZE) {
            faults.push(PlanFault::OtherTube { piece: piece.mark.clone() });
        }
    }
}

/// For each item the stretches that its pieces take, in order.
fn places_on_items(plan: &CutPlan) -> Vec<Vec<[f64; 2]>> {
    let mut places = vec![Vec::new(); plan.items.len()];
    for piece in &plan.pieces {
        if let Some(places) = places.get_mut(piece.item) {
            places.push(piece.at);
        }
    }
    places.iter_mut().for_each(|places| places.sort_by(|a: &[f64; 2], b| a[0].total_cmp(&b[0])));
    places
}

/// Room between the pieces of one item; returns its saw cuts.
fn check_item(item: &Item, places: &[[f64; 2]], job: &CutJob<'_>, faults: &mut Vec<PlanFault>) -> u32 {
    let (Some(first), Some(last)) = (places.first(), places.last()) else {
        faults.push(PlanFault::UnusedItem { item: item.id.clone() });
        return 0;
    };
    let mut cuts = u32::from(first[0] > NEAR) + u32::from(last[1] < item.shape.length() - NEAR);
    for pair in places.windows(2) {
        let gap = pair[1][0] - pair[0][1];
        let least = least_gap(item, pair[0][1], pair[1][0], job, faults);
        if gap < least - NEAR {
            let between = [pair[0][1], pair[1][0]];
            faults.push(PlanFault::NoRoomForSaw { item: item.id.clone(), between, gap, least });
        }
        cuts += if (gap - least).abs() <= NEAR { 1 } else { 2 };
    }
    cuts
}

/// What the saw takes between a piece that ends at `end` and one that begins at `start`, mm.
fn least_gap(item: &Item, end: f64, start: f64, job: &CutJob<'_>, faults: &mut Vec<PlanFault>) -> f64 {
    let kerf = job.saw.kerf;
    let ItemShape::Bend { clr, angle, legs } = item.shape else { return kerf };
    let (first, second) = (legs[0], legs[0] + clr * angle);
    if end <= first + NEAR && start >= first - NEAR {
        // The cut that parts leg 1 from the arc lies on the leg.
        if end > first - kerf + NEAR {
            faults.push(PlanFault::CutNotOnLeg { item: item.id.clone(), tangent: 1 });
        }
        return kerf;
    }
    if start >= second - NEAR && end <= second + NEAR {
        if start < second + kerf - NEAR {
            faults.push(PlanFault::CutNotOnLeg { item: item.id.clone(), tangent: 2 });
        }
        return kerf;
    }
    if end < first || start > second {
        return kerf;
    }
    let radius = match job.saw.kerf_at {
        KerfAt::Inside => clr - 0.5 * item.od,
        KerfAt::Centreline => clr,
    };
    clr * (kerf / radius).asin()
}
