//! The cuts of one item as they are made at the saw: which line the blade follows and on which side of it, which face is
//! trued to a line of its own afterwards, in which order, and what is held.
//!
//! The places of the kerfs follow from the plan by the rules of cutting. Where two pieces lie less than two blades apart
//! one cut parts them. On a bend their faces are not parallel: the blade runs along the line of one, and on the other
//! leaves a wedge that is ground off to its own line. Its thickness at the radius r from the bend's centre is
//! r sin(gap) - blade, square to the cut. Elementary geometry, held by the tests.
//!
//! The order: the longest stretch is held to the last, and cuts are made from both ends towards it. No order holds
//! more at its shortest grip, since the last cut of any two neighbours holds the longer of them.

use crate::CutJob;
use crate::marks::{NEAR, kerf_beside, place_of, shared_gap};
use crate::plan::{CutPlace, CutPlan, Item, ItemShape};

/// Below this length, mm, what is held wants a cradle or a vee block: common practice, no source.
pub const SHORT_HOLD: f64 = 60.0;

/// A ring of scrap narrower than this, mm, can jam beside the blade or be thrown: common practice, no source.
pub const THIN_RING: f64 = 12.0;

/// What a second cut would leave as a ring below this width, mm, is ground off with the wedge instead of sawn: a saw
/// does not part foil. Common practice, no source.
const FOIL: f64 = 0.5;

/// Less than this, mm, is left by the saw itself and needs no truing: common practice, no source.
pub const AS_SAWN: f64 = 0.2;

/// What a stretch of an item becomes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// A piece, by its index in the plan.
    Piece(usize),
    /// An offcut to keep, by its index in the plan.
    Offcut(usize),
    /// Scrap.
    Scrap,
}

/// A stretch of an item between cuts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SawnStretch {
    /// From and to, mm along the item's centreline.
    pub at: [f64; 2],
    /// What it becomes.
    pub part: Outcome,
}

/// The end of a piece that a cut makes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Face {
    /// The piece, by its index in the plan.
    pub piece: usize,
    /// Its line, mm along the item's centreline.
    pub line: f64,
    /// The same as it is measured on the bench.
    pub place: CutPlace,
    /// What the saw leaves on it outside and inside of the bend, mm, square to the cut; 0 where the blade runs along the
    /// line, negative where the blade reaches into the piece.
    pub over: [f64; 2],
}

impl Face {
    /// Whether something is ground off after the saw.
    pub fn trued(&self) -> bool {
        self.over.iter().any(|o| *o > AS_SAWN)
    }
}

/// One cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SawCut {
    /// 1 is made first.
    pub number: u32,
    /// What the saw takes and truing after it, mm along the item's centreline.
    pub kerf: [f64; 2],
    /// The piece's end that the blade runs along.
    pub saw: Face,
    /// The end of the piece on the blade's side, where there is one.
    pub second: Option<Face>,
    /// True when the blade lies beyond the line as seen from the item's end 0.
    pub kerf_after: bool,
    /// What lies on the blade's side; `None` where less than a blade is left of the item.
    pub beside: Option<Outcome>,
    /// Length of what is held when it is made, mm.
    pub held: f64,
    /// True when the side towards the item's end 0 is held.
    pub hold_start: bool,
    /// Width of the thin ring of scrap that comes off, mm; 0 when less than a blade comes off the item's end.
    pub ring: Option<f64>,
}

/// What is done with one item.
#[derive(Debug, Clone, PartialEq)]
pub struct SawWork {
    /// Its stretches from end 0 on.
    pub stretches: Vec<SawnStretch>,
    /// Its cuts from end 0 on; their numbers say the order.
    pub cuts: Vec<SawCut>,
}

impl SawWork {
    /// The cuts in the order in which they are made.
    pub fn in_order(&self) -> Vec<&SawCut> {
        let mut order: Vec<&SawCut> = self.cuts.iter().collect();
        order.sort_by_key(|c| c.number);
        order
    }
}

/// Where a tape reads a line when it is hooked over the end of the item.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FromEnd {
    /// 1 or 2: the end of that leg; 1 is the left end of a straight.
    pub leg: u8,
    /// Along the leg and the outside of the bend, mm.
    pub outside: f64,
    /// Along the leg and the inside of the bend, mm.
    pub inside: f64,
}

/// A place from the end of its leg; one on the arc from the end of leg 1.
pub fn from_end(shape: &ItemShape, place: &CutPlace) -> FromEnd {
    let legs = if let ItemShape::Bend { legs, .. } = shape { *legs } else { [0.0; 2] };
    let both = |leg, length| FromEnd { leg, outside: length, inside: length };
    match *place {
        CutPlace::FirstLeg { from_tangent } => both(1, legs[0] - from_tangent),
        CutPlace::SecondLeg { from_tangent } => both(2, legs[1] - from_tangent),
        CutPlace::Straight { from_end } => both(1, from_end),
        CutPlace::Arc { outside, inside, .. } => {
            FromEnd { leg: 1, outside: legs[0] + outside, inside: legs[0] + inside }
        }
    }
}

/// The stretches and cuts of the item `index` of a plan.
pub fn saw_work(plan: &CutPlan, index: usize, job: &CutJob<'_>) -> SawWork {
    let mut pieces: Vec<usize> = (0..plan.pieces.len()).filter(|&k| plan.pieces[k].item == index).collect();
    pieces.sort_by(|&a, &b| plan.pieces[a].at[0].total_cmp(&plan.pieces[b].at[0]));
    let mut bench = Bench { plan, index, job, work: SawWork { stretches: Vec::new(), cuts: Vec::new() } };
    let length = plan.items[index].shape.length();
    let mut before: Option<usize> = None;
    for piece in pieces {
        let at = plan.pieces[piece].at;
        match before {
            Some(before) => bench.between(before, piece),
            None if at[0] > NEAR => bench.end([0.0, at[0]], piece),
            None => {}
        }
        bench.work.stretches.push(SawnStretch { at, part: Outcome::Piece(piece) });
        before = Some(piece);
    }
    if let Some(last) = before.filter(|&k| length - plan.pieces[k].at[1] > NEAR) {
        bench.end([plan.pieces[last].at[1], length], last);
    }
    number(&mut bench.work, length);
    bench.work
}

/// An item on which cuts are gathered.
struct Bench<'a> {
    plan: &'a CutPlan,
    index: usize,
    job: &'a CutJob<'a>,
    work: SawWork,
}

impl Bench<'_> {
    fn item(&self) -> &Item {
        &self.plan.items[self.index]
    }

    /// What the blade takes beyond (`after`) or before a line, mm along the centreline.
    fn kerf(&self, line: f64, after: bool) -> f64 {
        kerf_beside(self.item(), line, after, self.job)
    }

    /// Parts two neighbours by one cut or by two.
    fn between(&mut self, first: usize, second: usize) {
        let (end, start) = (self.plan.pieces[first].at[1], self.plan.pieces[second].at[0]);
        let gap = start - end;
        let blades = [self.kerf(end, true), self.kerf(start, false)];
        let shared = gap <= shared_gap(self.item(), end, start, self.job) + NEAR;
        if shared || gap < blades[0] + blades[1] + FOIL {
            self.part(first, second);
            return;
        }
        let scrap = [end + blades[0], start - blades[1]];
        self.free(scrap);
        let beside = self.work.stretches.last().map(|s| s.part);
        self.cut([end, scrap[0]], true, [first, first], beside);
        self.cut([scrap[1], start], false, [second, second], beside);
    }

    /// One cut between two neighbours. The blade runs along the end of the shorter one: the longer is easier to hold when
    /// it is trued.
    fn part(&mut self, first: usize, second: usize) {
        let ends = [self.plan.pieces[first].at[1], self.plan.pieces[second].at[0]];
        let length = |k: usize| self.plan.pieces[k].at[1] - self.plan.pieces[k].at[0];
        let after = length(first) <= length(second) || !self.cut_on_arc(ends);
        let [near, far] = if after { [first, second] } else { [second, first] };
        self.cut(ends, after, [near, far], Some(Outcome::Piece(far)));
    }

    fn cut_on_arc(&self, ends: [f64; 2]) -> bool {
        let heading = |at| self.item().shape.heading(at);
        (heading(ends[1]) - heading(ends[0])) * self.item().od > AS_SAWN
    }

    /// Cuts off what lies between an end of the item and its outermost piece.
    fn end(&mut self, free: [f64; 2], piece: usize) {
        let after = free[0] > NEAR;
        let line = free[usize::from(!after)];
        let blade = self.kerf(line, after).min(free[1] - free[0]);
        let (kerf, rest) = if after {
            ([line, line + blade], [line + blade, free[1]])
        } else {
            ([line - blade, line], [free[0], line - blade])
        };
        let left = rest[1] - rest[0] > NEAR;
        // On a bend it is a wedge, thickest outside.
        let thick = self.left_over(line, if after { free[1] } else { free[0] })[0];
        let thin = if thick > AS_SAWN { thick } else { 0.0 };
        if left {
            self.free(rest);
        }
        let beside = self.work.stretches.last().map(|s| s.part).filter(|_| left);
        self.cut(kerf, after, [piece, piece], beside);
        if !left && let Some(cut) = self.work.cuts.last_mut() {
            cut.ring = Some(thin);
        }
    }

    /// Adds a stretch that no piece takes.
    fn free(&mut self, at: [f64; 2]) {
        let middle = 0.5 * (at[0] + at[1]);
        let offcuts = &self.plan.offcuts;
        let kept = offcuts.iter().position(|o| o.item == self.index && o.at[0] <= middle && middle <= o.at[1]);
        self.work.stretches.push(SawnStretch { at, part: kept.map_or(Outcome::Scrap, Outcome::Offcut) });
    }

    /// Adds a cut along the end of the first of `pieces`; the second has its end on the blade's side, unless it is the same.
    fn cut(&mut self, kerf: [f64; 2], kerf_after: bool, pieces: [usize; 2], beside: Option<Outcome>) {
        let line = |piece: usize, after: bool| self.plan.pieces[piece].at[usize::from(after)];
        let face =
            |piece: usize, line: f64, over: [f64; 2]| Face { piece, line, place: place_of(self.item(), line), over };
        let sawn = line(pieces[0], kerf_after);
        let second = (pieces[1] != pieces[0]).then(|| {
            let far = line(pieces[1], !kerf_after);
            face(pieces[1], far, self.left_over(sawn, far))
        });
        let saw = face(pieces[0], sawn, [0.0; 2]);
        let cut = SawCut { number: 0, kerf, saw, second, kerf_after, beside, held: 0.0, hold_start: true, ring: None };
        self.work.cuts.push(cut);
    }

    /// What a blade that runs along the line `sawn` leaves before the line `far`, mm, outside and inside of the bend.
    fn left_over(&self, sawn: f64, far: f64) -> [f64; 2] {
        let shape = &self.item().shape;
        let a = shape.heading(sawn);
        let way = if far > sawn { 1.0 } else { -1.0 };
        let origin = shape.point(sawn, 0.0);
        [0.5, -0.5].map(|side| {
            let [x, y] = shape.point(far, side * self.item().od);
            way * ((x - origin[0]) * a.cos() + (y - origin[1]) * a.sin()) - self.job.saw.kerf
        })
    }
}

/// Numbers the cuts from both ends towards the longest stretch, and says what is held at each and which rings come off.
fn number(work: &mut SawWork, length: f64) {
    let long = |s: &SawnStretch| s.at[1] - s.at[0];
    let longest = work.stretches.iter().fold(None, |best: Option<&SawnStretch>, s| match best {
        Some(b) if long(s) <= long(b) + NEAR => Some(b),
        _ => Some(s),
    });
    let Some(keep) = longest.map(|s| 0.5 * (s.at[0] + s.at[1])) else { return };
    let first_side = work.cuts.iter().filter(|c| c.kerf[1] <= keep).count();
    let count = work.cuts.len();
    let order: Vec<usize> = (0..first_side).chain((first_side..count).rev()).collect();
    let mut whole = [0.0, length];
    for (number, k) in order.into_iter().enumerate() {
        let cut = &mut work.cuts[k];
        cut.number = number as u32 + 1;
        cut.hold_start = k >= first_side;
        let off = if cut.hold_start { [cut.kerf[1], whole[1]] } else { [whole[0], cut.kerf[0]] };
        if cut.hold_start {
            whole[1] = cut.kerf[0];
        } else {
            whole[0] = cut.kerf[1];
        }
        cut.held = whole[1] - whole[0];
        // Each cut takes off one stretch, or what is thinner than the blade along the item.
        let comes = work.stretches.iter().find(|s| s.at[0] < off[1] - NEAR && s.at[1] > off[0] + NEAR);
        if let Some(ring) = comes.filter(|s| s.part == Outcome::Scrap && long(s) < THIN_RING) {
            cut.ring = Some(long(ring));
        }
    }
}

#[cfg(test)]
mod tests;
