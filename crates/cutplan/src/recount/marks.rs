//! What is written on pieces and items, recounted: legs and angles, marks, clocking, offcuts, and the items' own sizes.

use job::routes::RunId;

use super::fault::{PlanFault, TubeStretch};
use super::stretches::{NEAR, item_stretches};
use crate::plan::{CutMark, CutPlace, CutPlan, Item, ItemShape, Piece};
use crate::{CutJob, StockItem};

/// Lengths that were added up from rounded ones may differ by this, mm.
const ADDED: f64 = 6.0 * NEAR;

/// Checks everything that is written on pieces, items and offcuts.
pub(super) fn check(plan: &CutPlan, places: &[Vec<[f64; 2]>], job: &CutJob<'_>, faults: &mut Vec<PlanFault>) {
    for item in &plan.items {
        if !is_of_stock(item, job) {
            faults.push(PlanFault::ItemSizes { item: item.id.clone(), stock: item.stock });
        }
    }
    for piece in &plan.pieces {
        let Some(item) = plan.items.get(piece.item) else { continue };
        legs(piece, item, faults);
        for (mark, at) in piece.cuts.iter().zip(piece.at) {
            if !is_at(mark, item, at) {
                faults.push(PlanFault::MarkPlace { piece: piece.mark.clone(), item: item.id.clone() });
            }
        }
        clocking(plan, piece, item, faults);
    }
    for offcut in &plan.offcuts {
        let [from, to] = offcut.at;
        let inside = |i: &Item| from >= -NEAR && to > from && to <= i.shape.length() + NEAR;
        let free = |p: &[f64; 2]| p[1] <= from + NEAR || p[0] >= to - NEAR;
        let good = plan.items.get(offcut.item).is_some_and(inside) && places[offcut.item].iter().all(free);
        if !good {
            faults.push(PlanFault::OffcutNotFree { at: offcut.at });
        }
    }
}

/// The marks of a run begin with one number that no other run has, and no two are the same. Which number it is a plan may
/// choose: plans of before count the runs.
pub(super) fn check_names(plan: &CutPlan, run: &RunId, pieces: &[&Piece], faults: &mut Vec<PlanFault>) {
    let number = |p: &Piece| p.mark.trim_end_matches(|c: char| c.is_ascii_uppercase()).to_string();
    let Some(own) = pieces.first().map(|p| number(p)) else { return };
    let another = plan.pieces.iter().any(|p| p.run != *run && number(p) == own);
    for (k, piece) in pieces.iter().enumerate() {
        let twice = pieces[..k].iter().any(|p| p.mark == piece.mark);
        if another || twice || number(piece) != own || own.is_empty() || own == piece.mark {
            faults.push(PlanFault::PieceMark { run: run.clone(), piece: piece.mark.clone() });
        }
    }
}

/// Whether an item has the sizes of what it is in the stock.
fn is_of_stock(item: &Item, job: &CutJob<'_>) -> bool {
    let same = |a: f64, b: f64| (a - b).abs() <= 2.0 * NEAR;
    match (item.shape, job.item(item.stock)) {
        (ItemShape::Bend { clr, angle, legs }, Some(StockItem::Bend(b))) => {
            same(clr, b.clr)
                && same(angle * clr, b.angle * b.clr)
                && same(legs[0], b.legs[0])
                && same(legs[1], b.legs[1])
        }
        (ItemShape::Straight { length }, Some(StockItem::Straight(s))) => same(length, s.length),
        _ => false,
    }
}

/// Legs and angle are those of the stretch that is cut.
fn legs(piece: &Piece, item: &Item, faults: &mut Vec<PlanFault>) {
    let mut stretches = item_stretches(item, piece.at);
    if piece.reversed {
        stretches.reverse();
    }
    let (mut before, mut turn, mut after) = (0.0, 0.0, 0.0);
    for stretch in stretches {
        match stretch {
            TubeStretch::Arc { clr, length } => turn += length / clr,
            TubeStretch::Straight(length) if turn > 0.0 => after += length,
            TubeStretch::Straight(length) => before += length,
        }
    }
    let clr = if let ItemShape::Bend { clr, .. } = item.shape { clr } else { 1.0 };
    let more = piece.reserve;
    let cut = [piece.leg_in + more.leg_in, piece.angle + more.angle, piece.leg_out + more.leg_out];
    let wrong = [cut[0] - before, (cut[1] - turn) * clr, cut[2] - after];
    if wrong.iter().any(|w| w.abs() > ADDED) {
        faults.push(PlanFault::PieceSizes { piece: piece.mark.clone(), item: item.id.clone() });
    }
}

/// Whether a mark lies at that place of the item's centreline.
fn is_at(mark: &CutMark, item: &Item, at: f64) -> bool {
    let same = |a: f64, b: f64| (a - b).abs() <= 3.0 * NEAR;
    match (mark.place, item.shape) {
        (CutPlace::Straight { from_end }, ItemShape::Straight { .. }) => same(from_end, at),
        (CutPlace::FirstLeg { from_tangent }, ItemShape::Bend { legs, .. }) => same(legs[0] - from_tangent, at),
        (CutPlace::SecondLeg { from_tangent }, ItemShape::Bend { clr, angle, legs }) => {
            same(legs[0] + clr * angle + from_tangent, at)
        }
        (CutPlace::Arc { angle, outside, centre, inside }, ItemShape::Bend { clr, legs, .. }) => {
            let half = 0.5 * item.od;
            same(legs[0] + clr * angle, at)
                && same(outside, (clr + half) * angle)
                && same(centre, clr * angle)
                && same(inside, (clr - half) * angle)
        }
        _ => false,
    }
}

/// A clocking goes to a piece of the same run, and its angle and its length around the tube agree.
fn clocking(plan: &CutPlan, piece: &Piece, item: &Item, faults: &mut Vec<PlanFault>) {
    let Some(clocking) = &piece.clocking else { return };
    let around = 0.5 * item.od * clocking.angle;
    let there = plan.pieces.iter().any(|p| p.mark == clocking.to && p.run == piece.run);
    if !there || (clocking.around - around).abs() > ADDED {
        faults.push(PlanFault::Clocking { piece: piece.mark.clone(), to: clocking.to.clone() });
    }
}
