//! What is written on pieces and items, recounted: legs and angles, marks, clocking, offcuts, and the items' own sizes.

use job::model::{BendStock, Remnant, StraightStock};
use job::routes::RunId;

use super::{NEAR, Stretch, item_stretches};
use crate::CutJob;
use crate::plan::{CutMark, CutPlace, CutPlan, Item, ItemShape, Piece, StockRef};

/// Lengths that were added up from rounded ones may differ by this, mm.
const ADDED: f64 = 6.0 * NEAR;

/// Checks everything that is written on pieces, items and offcuts.
pub(super) fn check(plan: &CutPlan, places: &[Vec<[f64; 2]>], job: &CutJob<'_>, faults: &mut Vec<String>) {
    for item in &plan.items {
        if !is_of_stock(item, job) {
            faults.push(format!("item {} has other sizes than {} of the stock", item.id, item.stock));
        }
    }
    for piece in &plan.pieces {
        let Some(item) = plan.items.get(piece.item) else { continue };
        legs(piece, item, faults);
        for (mark, at) in piece.cuts.iter().zip(piece.at) {
            if !is_at(mark, item, at) {
                faults.push(format!("piece {}: a mark is not where the piece ends on {}", piece.mark, item.id));
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
            faults.push(format!("an offcut from {from} to {to} is not free on its item"));
        }
    }
}

/// The marks of a run begin with one number that no other run has, and no two are the same. Which number it is a plan may
/// choose: plans of before count the runs.
pub(super) fn check_names(plan: &CutPlan, run: &RunId, pieces: &[&Piece], faults: &mut Vec<String>) {
    let number = |p: &Piece| p.mark.trim_end_matches(|c: char| c.is_ascii_uppercase()).to_string();
    let Some(own) = pieces.first().map(|p| number(p)) else { return };
    let another = plan.pieces.iter().any(|p| p.run != *run && number(p) == own);
    for (k, piece) in pieces.iter().enumerate() {
        let twice = pieces[..k].iter().any(|p| p.mark == piece.mark);
        if another || twice || number(piece) != own || own.is_empty() || own == piece.mark {
            faults.push(format!("{run}: mark {} is not this run's alone", piece.mark));
        }
    }
}

/// Whether an item has the sizes of what it is in the stock.
fn is_of_stock(item: &Item, job: &CutJob<'_>) -> bool {
    let same = |a: f64, b: f64| (a - b).abs() <= 2.0 * NEAR;
    let bend = |b: &BendStock| match item.shape {
        ItemShape::Bend { clr, angle, legs } => {
            same(clr, b.clr)
                && same(angle * clr, b.angle * b.clr)
                && same(legs[0], b.legs[0])
                && same(legs[1], b.legs[1])
        }
        ItemShape::Straight { .. } => false,
    };
    let straight = |s: &StraightStock| match item.shape {
        ItemShape::Straight { length } => same(length, s.length),
        ItemShape::Bend { .. } => false,
    };
    match item.stock {
        StockRef::Bend(i) => job.stock.bends.get(i).is_some_and(bend),
        StockRef::Straight(i) => job.stock.straights.get(i).is_some_and(straight),
        StockRef::Remnant(i) => job.stock.remnants.get(i).is_some_and(|r| match r {
            Remnant::Bend(b) => bend(b),
            Remnant::Straight(s) => straight(s),
        }),
    }
}

/// Legs and angle are those of the stretch that is cut.
fn legs(piece: &Piece, item: &Item, faults: &mut Vec<String>) {
    let mut stretches = item_stretches(item, piece.at);
    if piece.reversed {
        stretches.reverse();
    }
    let (mut before, mut turn, mut after) = (0.0, 0.0, 0.0);
    for stretch in stretches {
        match stretch {
            Stretch::Arc { clr, length } => turn += length / clr,
            Stretch::Straight(length) if turn > 0.0 => after += length,
            Stretch::Straight(length) => before += length,
        }
    }
    let clr = if let ItemShape::Bend { clr, .. } = item.shape { clr } else { 1.0 };
    let wrong = [piece.leg_in - before, (piece.angle - turn) * clr, piece.leg_out - after];
    if wrong.iter().any(|w| w.abs() > ADDED) {
        faults.push(format!("piece {}: its legs or its angle are not those of its stretch of {}", piece.mark, item.id));
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
fn clocking(plan: &CutPlan, piece: &Piece, item: &Item, faults: &mut Vec<String>) {
    let Some(clocking) = &piece.clocking else { return };
    let around = 0.5 * item.od * clocking.angle;
    let there = plan.pieces.iter().any(|p| p.mark == clocking.to && p.run == piece.run);
    if !there || (clocking.around - around).abs() > ADDED {
        faults.push(format!("piece {}: its clocking to {} does not agree with itself", piece.mark, clocking.to));
    }
}
