//! The plan in figures that add up: every length and angle on a step of what it is printed with.
//!
//! A figure rounded on its own is off by up to half a step, and a run of ten of them drifts by five. So stations
//! along a run are rounded where they are, each piece is the difference of its two stations, and the places on an
//! item are the sums of the rounded pieces and blades: what stands on paper adds up, and no place is ever farther
//! off than half a step along the run. Angles are rounded alone: they lie in different planes and do not add up.

use job::model::Units;

use crate::CutJob;
use crate::marks::{NEAR, place_of, shared_gap};
use crate::plan::{CutPlan, ItemShape, Offcut, Piece};

/// The finest steps that figures are printed in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steps {
    /// Of a length, mm.
    pub length: f64,
    /// Of an angle, rad.
    pub angle: f64,
}

impl Steps {
    /// Those of papers and tables: tenths of a millimetre or thousandths of an inch, and hundredths of a degree.
    pub fn of(units: Units) -> Steps {
        let length = match units {
            Units::Mm => 0.1,
            Units::Inch => 0.0254,
        };
        Steps { length, angle: 0.01_f64.to_radians() }
    }

    /// A length on the nearest step, mm.
    pub fn length(&self, mm: f64) -> f64 {
        (mm / self.length).round() * self.length
    }

    fn angle(&self, rad: f64) -> f64 {
        (rad / self.angle).round() * self.angle
    }
}

/// The plan as it is printed in `steps`. Pieces, items and offcuts keep their order; CLR, OD, costs and marks stay.
///
/// A place moves by less than a few steps, so the result is for people, not for the recount.
pub fn in_steps(plan: &CutPlan, steps: Steps, job: &CutJob<'_>) -> CutPlan {
    let mut shown = plan.clone();
    for piece in &mut shown.pieces {
        // Where one piece ends the next begins: half a step apart they would be rounded to two figures.
        let before = plan.pieces.iter().find(|p| p.run == piece.run && (p.to - piece.from).abs() <= NEAR);
        let from = before.map_or(piece.from, |p| p.to);
        (piece.from, piece.to) = (steps.length(from), steps.length(piece.to));
        piece.angle = steps.angle(piece.angle);
        let straight = piece.angle <= 0.0;
        piece.leg_in = if straight { piece.to - piece.from } else { steps.length(piece.leg_in) };
        piece.leg_out = if straight { 0.0 } else { steps.length(piece.leg_out) };
        let more = &mut piece.reserve;
        [more.leg_in, more.leg_out] = [more.leg_in, more.leg_out].map(|l| steps.length(l));
        more.angle = steps.angle(more.angle);
        if let Some(clocking) = &mut piece.clocking {
            clocking.angle = steps.angle(clocking.angle);
            clocking.around = 0.5 * plan.items[piece.item].od * clocking.angle;
        }
    }
    for index in 0..plan.items.len() {
        shown.items[index].shape = match plan.items[index].shape {
            ItemShape::Straight { length } => ItemShape::Straight { length: steps.length(length) },
            ItemShape::Bend { clr, angle, legs } => {
                ItemShape::Bend { clr, angle: steps.angle(angle), legs: legs.map(|l| steps.length(l)) }
            }
        };
        place_pieces(plan, &mut shown, index, steps, job);
    }
    shown.offcuts = plan.offcuts.iter().map(|offcut| follow(plan, &shown, offcut)).collect();
    shown
}

/// Puts the pieces of one item where their rounded lengths and angles add up: those with an arc on the tangent lines, the
/// others from the item's end 0, beyond the arc from the end of leg 2.
fn place_pieces(plan: &CutPlan, shown: &mut CutPlan, index: usize, steps: Steps, job: &CutJob<'_>) {
    let mut order: Vec<usize> = (0..plan.pieces.len()).filter(|&k| plan.pieces[k].item == index).collect();
    order.sort_by(|&a, &b| plan.pieces[a].at[0].total_cmp(&plan.pieces[b].at[0]));
    let blade = steps.length(job.saw.kerf);
    let item = &plan.items[index];
    let joined = |a: usize, b: usize| {
        let (end, start) = (plan.pieces[a].at[1], plan.pieces[b].at[0]);
        start - end <= shared_gap(item, end, start, job) + NEAR
    };
    for (place, &k) in order.iter().enumerate().filter(|(_, k)| !is_beyond(plan, **k)) {
        let before = place.checked_sub(1).map(|p| order[p]).filter(|&p| joined(p, k));
        let start = before.map_or(steps.length(plan.pieces[k].at[0]), |p| shown.pieces[p].at[1] + blade);
        let arc = shown.pieces[k].angle > 0.0;
        let at = if arc { on_arc(plan, shown, k, steps) } else { [start, start + straight(&shown.pieces[k])] };
        shown.pieces[k].at = at;
    }
    let whole = shown.items[index].shape.length();
    for (place, &k) in order.iter().enumerate().rev().filter(|(_, k)| is_beyond(plan, **k)) {
        let after = order.get(place + 1).copied().filter(|&n| joined(k, n));
        let rest = steps.length(item.shape.length() - plan.pieces[k].at[1]);
        let end = after.map_or(whole - rest, |n| shown.pieces[n].at[0] - blade);
        shown.pieces[k].at = [end - straight(&shown.pieces[k]), end];
    }
    for k in order {
        let at = shown.pieces[k].at;
        let places = at.map(|at| place_of(&shown.items[index], at));
        shown.pieces[k].cuts.iter_mut().zip(places).for_each(|(cut, place)| cut.place = place);
    }
}

/// Length of a straight piece as it is sawn, mm.
fn straight(piece: &Piece) -> f64 {
    piece.leg_in + piece.reserve.leg_in
}

/// Whether a piece is a straight from leg 2 of a bend.
fn is_beyond(plan: &CutPlan, k: usize) -> bool {
    let piece = &plan.pieces[k];
    match plan.items[piece.item].shape {
        ItemShape::Bend { clr, angle, legs } => piece.angle <= 0.0 && piece.at[0] > legs[0] + 0.5 * clr * angle,
        ItemShape::Straight { .. } => false,
    }
}

/// A piece with an arc: it hangs on the tangent line whose leg it carries, else on its own first face.
fn on_arc(plan: &CutPlan, shown: &CutPlan, k: usize, steps: Steps) -> [f64; 2] {
    let (old, piece) = (&plan.pieces[k], &shown.pieces[k]);
    let (ItemShape::Bend { clr, angle: was, legs: had }, ItemShape::Bend { angle, legs, .. }) =
        (plan.items[old.item].shape, shown.items[old.item].shape)
    else {
        return old.at;
    };
    let legs_sawn = [piece.leg_in + piece.reserve.leg_in, piece.leg_out + piece.reserve.leg_out];
    let [first, second] = if piece.reversed { [legs_sawn[1], legs_sawn[0]] } else { legs_sawn };
    let sawn = piece.angle + piece.reserve.angle;
    let tangents = [legs[0], legs[0] + clr * angle];
    let turned = |at: f64| (at - had[0]) / clr;
    let [from, to] = old.at.map(turned);
    if from <= NEAR / clr {
        let end = if to >= was - NEAR / clr { tangents[1] } else { tangents[0] + clr * sawn };
        return [tangents[0] - first, end + second];
    }
    if to >= was - NEAR / clr {
        return [tangents[1] - clr * sawn, tangents[1] + second];
    }
    let from = steps.angle(from);
    [tangents[0] + clr * from, tangents[0] + clr * (from + sawn)]
}

/// An offcut between the places of its neighbours as they are shown.
fn follow(plan: &CutPlan, shown: &CutPlan, offcut: &Offcut) -> Offcut {
    let moved = |at: f64, end: usize| {
        let of_item = |p: &&Piece| p.item == offcut.item;
        let near = |p: &Piece| (p.at[1 - end] - at).abs();
        let pieces = plan.pieces.iter().zip(&shown.pieces).filter(|(p, _)| of_item(p));
        let beside = pieces.min_by(|a, b| near(a.0).total_cmp(&near(b.0)));
        let whole = plan.items[offcut.item].shape.length();
        match (at <= NEAR, at >= whole - NEAR, beside) {
            (true, _, _) => 0.0,
            (_, true, _) => shown.items[offcut.item].shape.length(),
            (_, _, Some((was, is))) => at + is.at[1 - end] - was.at[1 - end],
            _ => at,
        }
    };
    Offcut { item: offcut.item, at: [moved(offcut.at[0], 0), moved(offcut.at[1], 1)] }
}

#[cfg(test)]
mod tests;
