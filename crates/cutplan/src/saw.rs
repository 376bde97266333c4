//! The cuts of one item as they are made at the saw: where the line is drawn, on which side of it the
//! kerf lies, in which order, and what is held.
//!
//! The places of the kerfs follow from the plan by the rules of cutting (neighbours one kerf apart share a
//! cut; else each face has a cut of its own). The order: the longer of the item's two end parts is held to
//! the last, and cuts are made from the far end towards it, so that what is clamped is always the long
//! side (common practice, no source).

use crate::CutJob;
use crate::marks::{NEAR, kerf_beside, place_of, shared_gap};
use crate::plan::{CutPlace, CutPlan};

/// Below this length, mm, what is held wants a cradle or a vee block: common practice, no source.
pub const SHORT_HOLD: f64 = 60.0;

/// What a stretch of an item becomes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// A piece, by its index in the plan.
    Piece(usize),
    /// An offcut to keep, by its index in the plan.
    Offcut(usize),
    /// Scrap.
    Scrap,
}

/// A stretch of an item between cuts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// From and to, mm along the item's centreline.
    pub at: [f64; 2],
    /// What it becomes.
    pub part: Part,
}

/// One cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SawCut {
    /// 1 is made first.
    pub number: u32,
    /// What the saw takes, mm along the item's centreline.
    pub kerf: [f64; 2],
    /// The line to mark: the face of a piece, mm along the item's centreline.
    pub line: f64,
    /// The same as it is measured on the bench.
    pub place: CutPlace,
    /// True when the kerf lies beyond the line as seen from the item's end 0.
    pub kerf_after: bool,
    /// Length of what is held when it is made, mm.
    pub held: f64,
    /// True when the side towards the item's end 0 is held.
    pub hold_start: bool,
}

/// What is done with one item.
#[derive(Debug, Clone, PartialEq)]
pub struct SawWork {
    /// Its stretches from end 0 on.
    pub stretches: Vec<Stretch>,
    /// Its cuts from end 0 on; their numbers say the order.
    pub cuts: Vec<SawCut>,
}

/// The stretches and cuts of the item `index` of a plan.
pub fn saw_work(plan: &CutPlan, index: usize, job: &CutJob<'_>) -> SawWork {
    let item = &plan.items[index];
    let length = item.shape.length();
    let mut pieces: Vec<usize> = (0..plan.pieces.len()).filter(|&k| plan.pieces[k].item == index).collect();
    pieces.sort_by(|&a, &b| plan.pieces[a].at[0].total_cmp(&plan.pieces[b].at[0]));
    let mut work = SawWork { stretches: Vec::new(), cuts: Vec::new() };
    let cut = |kerf: [f64; 2], kerf_after: bool| {
        let line = kerf[usize::from(!kerf_after)];
        let place = place_of(item, line);
        SawCut { number: 0, kerf, line, place, kerf_after, held: 0.0, hold_start: true }
    };
    let mut end = 0.0;
    for (k, &piece) in pieces.iter().enumerate() {
        let at = plan.pieces[piece].at;
        let gap = at[0] - end;
        let first = k == 0;
        if !first && gap <= shared_gap(item, end, at[0], job) + NEAR {
            work.cuts.push(cut([end, at[0]], true));
        } else if gap > NEAR {
            let before = if first { 0.0 } else { kerf_beside(item, end, true, job).min(gap) };
            let after = kerf_beside(item, at[0], false, job).min(gap - before);
            if !first {
                work.cuts.push(cut([end, end + before], true));
            }
            push_free(&mut work.stretches, plan, index, [end + before, at[0] - after]);
            work.cuts.push(cut([at[0] - after, at[0]], false));
        }
        work.stretches.push(Stretch { at, part: Part::Piece(piece) });
        end = at[1];
    }
    if length - end > NEAR && !pieces.is_empty() {
        let kerf = kerf_beside(item, end, true, job).min(length - end);
        work.cuts.push(cut([end, end + kerf], true));
        push_free(&mut work.stretches, plan, index, [end + kerf, length]);
    }
    number(&mut work, length);
    work
}

/// Adds what no piece takes, when anything of it is left.
fn push_free(stretches: &mut Vec<Stretch>, plan: &CutPlan, index: usize, at: [f64; 2]) {
    if at[1] - at[0] <= NEAR {
        return;
    }
    let middle = 0.5 * (at[0] + at[1]);
    let kept = plan.offcuts.iter().position(|o| o.item == index && o.at[0] <= middle && middle <= o.at[1]);
    stretches.push(Stretch { at, part: kept.map_or(Part::Scrap, Part::Offcut) });
}

/// Numbers the cuts and says what is held at each.
fn number(work: &mut SawWork, length: f64) {
    let Some((first, last)) = work.cuts.first().zip(work.cuts.last()) else { return };
    let hold_start = first.kerf[0] >= length - last.kerf[1];
    let count = work.cuts.len();
    for (k, cut) in work.cuts.iter_mut().enumerate() {
        cut.number = if hold_start { count - k } else { k + 1 } as u32;
        cut.hold_start = hold_start;
        cut.held = if hold_start { cut.kerf[0] } else { length - cut.kerf[1] };
    }
    // Of the last cut both sides are free to hold: the longer one.
    let (k, other) =
        if hold_start { (0, work.stretches.get(1)) } else { (count - 1, work.stretches.iter().rev().nth(1)) };
    if let Some(other) = other.map(|s| s.at[1] - s.at[0])
        && other > work.cuts[k].held
    {
        work.cuts[k].held = other;
        work.cuts[k].hold_start = !hold_start;
    }
}

#[cfg(test)]
mod tests;
