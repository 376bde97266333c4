//! What is marked on the tube: angles and tape lengths of every cut, clocking, and what is left.
//!
//! Tape lengths along a bend by an angle a from its first tangent line: outside (CLR + OD/2) a,
//! centre CLR a, inside (CLR - OD/2) a. Clocking as a distance around the tube: OD/2 x angle.
//! Elementary geometry of the torus; the laws are held by the tests.

use geom::{Centreline, Element, Vec3, signed_angle};
use job::model::KerfAt;
use job::routes::RunId;

use crate::CutJob;
use crate::plan::{Clocking, CutMark, CutPlace, CutPlan, Item, ItemShape};

/// Places closer than this are one, mm.
pub(crate) const NEAR: f64 = 1e-3;

/// A mark yet to be filled in.
pub(crate) fn blank() -> CutMark {
    CutMark { place: CutPlace::Straight { from_end: 0.0 }, mill_end: false, upstream: false }
}

/// What the pieces of one item leave.
pub(crate) struct Free {
    /// Whole stretches between cuts, mm.
    pub stretches: Vec<[f64; 2]>,
    /// Saw cuts made.
    pub cuts: u32,
}

/// Length that one cut takes beside the place `at`, on its far side (`after`) or its near side, mm.
pub(crate) fn kerf_beside(item: &Item, at: f64, after: bool, job: &CutJob<'_>) -> f64 {
    let kerf = job.saw.kerf;
    let ItemShape::Bend { clr, angle, legs } = item.shape else { return kerf };
    let on_arc = if after {
        at > legs[0] - NEAR && at < legs[0] + clr * angle - NEAR
    } else {
        at > legs[0] + NEAR && at < legs[0] + clr * angle + NEAR
    };
    if !on_arc {
        return kerf;
    }
    let radius = match job.saw.kerf_at {
        KerfAt::Inside => clr - 0.5 * item.od,
        KerfAt::Centreline => clr,
    };
    clr * (kerf / radius).asin()
}

/// The stretches of an item that no piece and no cut takes, and the cuts made in it.
pub(crate) fn free_stretches(plan: &CutPlan, index: usize, job: &CutJob<'_>) -> Free {
    let item = &plan.items[index];
    let mut places: Vec<[f64; 2]> = plan.pieces.iter().filter(|p| p.item == index).map(|p| p.at).collect();
    places.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let length = item.shape.length();
    let mut free = Free { stretches: Vec::new(), cuts: 0 };
    let mut at = 0.0;
    let mut milled = true;
    for place in places.iter().chain([&[length, length]]) {
        let last = place[0] >= length;
        let gap = place[0] - at;
        if gap > NEAR {
            let before = if milled { 0.0 } else { kerf_beside(item, at, true, job) };
            let after = if last { 0.0 } else { kerf_beside(item, place[0], false, job) };
            let one = before.max(after);
            let shared = !milled && !last && gap <= shared_gap(item, at, place[0], job) + NEAR;
            if shared || milled || last {
                free.cuts += 1;
            } else {
                free.cuts += 2;
            }
            let stretch = [at + before, place[0] - after];
            if !shared && stretch[1] - stretch[0] > one.max(NEAR) {
                free.stretches.push(stretch);
            }
        }
        at = place[1];
        milled = false;
    }
    free
}

/// The gap at which two neighbours share one cut, mm.
pub(crate) fn shared_gap(item: &Item, end: f64, start: f64, job: &CutJob<'_>) -> f64 {
    if let ItemShape::Bend { clr, angle, legs } = item.shape {
        let [first, second] = [legs[0], legs[0] + clr * angle];
        if end > first - NEAR && start < second + NEAR && end < second - NEAR && start > first + NEAR {
            return kerf_beside(item, end, true, job);
        }
    }
    job.saw.kerf
}

/// Where a place of an item's centreline lies, as it is measured on the bench.
pub(crate) fn place_of(item: &Item, at: f64) -> CutPlace {
    match item.shape {
        ItemShape::Straight { .. } => CutPlace::Straight { from_end: at },
        ItemShape::Bend { clr, angle, legs } => {
            let along = at - legs[0];
            if along < -NEAR {
                CutPlace::FirstLeg { from_tangent: -along }
            } else if along > clr * angle + NEAR {
                CutPlace::SecondLeg { from_tangent: along - clr * angle }
            } else {
                let a = (along / clr).clamp(0.0, angle);
                let half = 0.5 * item.od;
                CutPlace::Arc { angle: a, outside: (clr + half) * a, centre: clr * a, inside: (clr - half) * a }
            }
        }
    }
}

/// Length of an interval that lies within another, mm.
fn overlap(at: [f64; 2], within: [f64; 2]) -> f64 {
    (at[1].min(within[1]) - at[0].max(within[0])).max(0.0)
}

/// Fills in legs, angle, cuts and clocking of every piece.
pub(crate) fn mark_all(plan: &mut CutPlan, _job: &CutJob<'_>, runs: &[(RunId, Centreline)]) {
    for k in 0..plan.pieces.len() {
        let piece = &plan.pieces[k];
        let item = &plan.items[piece.item];
        let length = item.shape.length();
        let (legs, angle) = match item.shape {
            ItemShape::Straight { .. } => ([piece.at[1] - piece.at[0], 0.0], 0.0),
            ItemShape::Bend { clr, angle, legs } => {
                let arc = [legs[0], legs[0] + clr * angle];
                let turn = overlap(piece.at, arc) / clr;
                ([overlap(piece.at, [0.0, arc[0]]), overlap(piece.at, [arc[1], length])], turn)
            }
        };
        let cuts = [0, 1].map(|end| CutMark {
            place: place_of(item, piece.at[end]),
            mill_end: if end == 0 { piece.at[0] <= NEAR } else { piece.at[1] >= length - NEAR },
            upstream: (end == 0) != piece.reversed,
        });
        let piece = &mut plan.pieces[k];
        piece.cuts = cuts;
        // A trace of the neighbouring element within the fit is no arc and no leg.
        let straight = angle * 1e3 < NEAR;
        piece.angle = if straight { 0.0 } else { angle - piece.reserve.angle };
        let [first, second] = if straight { [legs[0] + legs[1], 0.0] } else { legs };
        [piece.leg_in, piece.leg_out] = if piece.reversed && !straight { [second, first] } else { [first, second] };
        piece.leg_in -= piece.reserve.leg_in;
        piece.leg_out -= piece.reserve.leg_out;
    }
    for (run, centreline) in runs {
        let of_run: Vec<usize> = (0..plan.pieces.len()).filter(|&k| plan.pieces[k].run == *run).collect();
        let bent: Vec<usize> = of_run.into_iter().filter(|&k| plan.pieces[k].angle > 0.0).collect();
        for pair in bent.windows(2) {
            let angle = clocking(centreline, plan, pair[0], pair[1]);
            let od = plan.items[plan.pieces[pair[0]].item].od;
            let to = plan.pieces[pair[1]].mark.clone();
            plan.pieces[pair[0]].clocking = Some(Clocking { to, angle, around: 0.5 * od * angle });
        }
    }
}

/// Rotation from one piece's bend plane to the next one's about the flow, rad.
fn clocking(centreline: &Centreline, plan: &CutPlan, from: usize, to: usize) -> f64 {
    // Looked up a trace inside each arc, so that arcs that meet without a straight are told apart.
    let a = inward_at(centreline, plan.pieces[from].to - plan.pieces[from].leg_out, -0.01);
    let b = inward_at(centreline, plan.pieces[to].from + plan.pieces[to].leg_in, 0.01);
    match (a, b) {
        (Some((plane, _)), Some((next, direction))) => {
            let angle = signed_angle(plane, next, direction);
            if angle.abs() < 1e-9 { 0.0 } else { angle }
        }
        _ => 0.0,
    }
}

/// Unit vector towards the centre of the bend and the flow's direction at a station on or at the
/// end of the arc that holds the place `inside` mm further on.
fn inward_at(centreline: &Centreline, station: f64, inside: f64) -> Option<(Vec3, Vec3)> {
    let look = station + inside;
    let near = |(from, element): &(f64, &Element)| match element {
        Element::Arc(_) => (from - look).max(look - from - element.length()).max(0.0),
        Element::Straight(_) => f64::INFINITY,
    };
    let (from, element) = centreline.stations().min_by(|a, b| near(a).total_cmp(&near(b)))?;
    let Element::Arc(arc) = element else { return None };
    let angle = ((station - from) / arc.radius).clamp(0.0, arc.angle);
    Some((arc.inward_at(angle), arc.direction(angle)))
}
