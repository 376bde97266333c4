//! From a solution to pieces at exact places, with their marks.

use job::model::Money;
use job::routes::RunId;

use crate::ids::ArcId;
use crate::instance::{Instance, Need, Side};
use crate::marks;
use crate::plan::{CutPlan, Item, ItemShape, Offcut, Piece, Reserve};
use crate::solution::{BendUse, Solution, StickUse};

/// A piece on its item before it has a place on the route.
#[derive(Debug, Clone, Copy)]
struct Placed {
    item: usize,
    at: [f64; 2],
    reversed: bool,
}

/// A fragment with the legs it carries, on its item.
#[derive(Debug, Clone, Copy)]
struct PlacedFragment {
    placed: Placed,
    angle: f64,
    /// What it carries upstream and downstream, mm; `None` where it owns no straight.
    carry: [Option<f64>; 2],
}

/// Everything of one instance, laid out, items counted from `first_item`.
struct Layout {
    items: Vec<Item>,
    fragments: Vec<Vec<PlacedFragment>>,
    fillers: Vec<Placed>,
}

fn lay_out(instance: &Instance, solution: &Solution, bends_before: usize, sticks_before: usize) -> Layout {
    let blank = Placed { item: usize::MAX, at: [0.0; 2], reversed: false };
    let mut layout = Layout {
        items: Vec::new(),
        fragments: vec![Vec::new(); instance.arcs.len()],
        fillers: vec![blank; solution.fillers.len()],
    };
    for (i, used) in solution.bends.iter().enumerate() {
        layout.add_bend(instance, solution, used, format!("b{}", bends_before + i + 1));
    }
    for (i, used) in solution.sticks.iter().enumerate() {
        layout.add_stick(instance, solution, used, format!("s{}", sticks_before + i + 1));
    }
    layout
}

impl Layout {
    fn add_bend(&mut self, instance: &Instance, solution: &Solution, used: &BendUse, id: String) {
        let kind = &instance.bends[used.kind];
        let item = self.items.len();
        self.items.push(Item {
            id,
            stock: kind.stock,
            name: kind.name.clone(),
            od: instance.tube.od,
            shape: instance.bend_shape(used.kind),
            price: Money(kind.price),
        });
        let n = used.fragments.len();
        let arc_end = kind.legs[0] + kind.clr * kind.angle;
        for (k, (fragment, place)) in used.fragments.iter().zip(used.places(instance)).enumerate() {
            let mut at = [kind.legs[0] + kind.clr * place[0], kind.legs[0] + kind.clr * place[1]];
            let mut carry = [None, None];
            let mut reversed = false;
            if k == 0
                && let Some(side) = used.owns[0]
            {
                at[0] = kind.legs[0] - used.carry[0];
                carry[side.index()] = Some(used.carry[0]);
                reversed = side == Side::Out;
            }
            if k + 1 == n
                && let Some(side) = used.owns[1]
            {
                at[1] = arc_end + used.carry[1];
                carry[side.index()] = Some(used.carry[1]);
                reversed = side == Side::In;
            }
            let placed = Placed { item, at, reversed };
            self.fragments[fragment.arc].push(PlacedFragment { placed, angle: fragment.angle, carry });
        }
        self.add_fillers(instance, solution, &used.fillers[0], item);
        let mut at = arc_end + kind.legs[1];
        for &f in &used.fillers[1] {
            let length = solution.fillers[f].length;
            self.fillers[f] = Placed { item, at: [at - length, at], reversed: false };
            at -= length + instance.kerf;
        }
    }

    fn add_stick(&mut self, instance: &Instance, solution: &Solution, used: &StickUse, id: String) {
        let kind = &instance.sticks[used.kind];
        let item = self.items.len();
        self.items.push(Item {
            id,
            stock: kind.stock,
            name: kind.name.clone(),
            od: instance.tube.od,
            shape: ItemShape::Straight { length: kind.length },
            price: Money(kind.price),
        });
        self.add_fillers(instance, solution, &used.fillers, item);
    }

    /// Lays fillers one after the other along an item, from its start on.
    fn add_fillers(&mut self, instance: &Instance, solution: &Solution, fillers: &[usize], item: usize) {
        let mut at = 0.0;
        for &f in fillers {
            let length = solution.fillers[f].length;
            self.fillers[f] = Placed { item, at: [at, at + length], reversed: false };
            at += length + instance.kerf;
        }
    }
}

/// Adds the pieces and items of one solved instance to a plan; whether its reserve could be given to pieces of it.
///
/// `runs` are all runs of the job in the order of the routes, `numbers` what their marks begin with.
pub(crate) fn add_to_plan(
    plan: &mut CutPlan,
    instance: &Instance,
    solution: &Solution,
    runs: &[(RunId, geom::Centreline)],
    numbers: &[u32],
) -> bool {
    let bends_before = plan.items.iter().filter(|i| matches!(i.shape, ItemShape::Bend { .. })).count();
    let layout = lay_out(instance, solution, bends_before, plan.items.len() - bends_before);
    let offset = plan.items.len();
    let mut of_straight: Vec<Vec<usize>> = vec![Vec::new(); instance.straights.len()];
    for (f, filler) in solution.fillers.iter().enumerate() {
        of_straight[filler.straight].push(f);
    }
    let mut whole = true;
    for run in &instance.runs {
        let id = &runs[run.route].0;
        let mut stretches: Vec<UnplacedPiece> = Vec::new();
        let mut ends = vec![0];
        for need in &run.needs {
            match *need {
                Need::Straight(s) => {
                    let filler = |&f: &usize| UnplacedPiece::new(layout.fillers[f], solution.fillers[f].length);
                    stretches.extend(of_straight[s].iter().map(filler));
                }
                Need::Arc(a) => stretches.extend(arc_pieces(instance, a, &layout.fragments[a])),
            }
            ends.push(stretches.len());
        }
        whole &= give_reserve(instance, &run.needs, &ends, &mut stretches);
        let [mut at, end] = run.section;
        let count = stretches.len();
        // Behind a slip joint the letters go on.
        let before = plan.pieces.iter().filter(|p| p.run == *id).count();
        for (k, UnplacedPiece { mut placed, length, reserve, .. }) in stretches.into_iter().enumerate() {
            placed.item += offset;
            let to = if k + 1 == count { end } else { at + length };
            plan.pieces.push(Piece {
                mark: format!("{}{}", numbers[run.route], letters(before + k)),
                run: id.clone(),
                from: at,
                to,
                item: placed.item,
                at: placed.at,
                reversed: placed.reversed,
                reserve,
                leg_in: 0.0,
                angle: 0.0,
                leg_out: 0.0,
                cuts: [marks::blank(), marks::blank()],
                clocking: None,
            });
            at = to;
        }
    }
    plan.items.extend(layout.items);
    whole
}

/// A piece before it has a place on the route.
struct UnplacedPiece {
    placed: Placed,
    /// Angle of its arc as it is sawn, rad.
    angle: f64,
    /// What it carries upstream and downstream as it is sawn, mm; `None` where it owns no straight.
    carry: [Option<f64>; 2],
    /// Its length on the route, mm.
    length: f64,
    reserve: Reserve,
}

impl UnplacedPiece {
    fn new(placed: Placed, length: f64) -> Self {
        UnplacedPiece { placed, angle: 0.0, carry: [None, None], length, reserve: Reserve::default() }
    }
}

/// The pieces of one arc in the order of the flow, each as long as it is sawn.
fn arc_pieces(instance: &Instance, arc: ArcId, fragments: &[PlacedFragment]) -> Vec<UnplacedPiece> {
    let mut ordered: Vec<&PlacedFragment> = fragments.iter().collect();
    ordered.sort_by_key(|f| match f.carry {
        [Some(_), _] => 0,
        [None, None] => 1,
        [None, Some(_)] => 2,
    });
    // The route's own arc may differ from the sum of fragments in the last digit.
    let need = &instance.arcs[arc];
    let wanted = need.to - need.from + instance.classes[need.class].clr * need.reserve;
    let scale = wanted / fragments.iter().map(|f| f.angle).sum::<f64>();
    let piece = |f: &&PlacedFragment| {
        let length = f.angle * scale + f.carry[0].unwrap_or(0.0) + f.carry[1].unwrap_or(0.0);
        UnplacedPiece { angle: f.angle, carry: f.carry, ..UnplacedPiece::new(f.placed, length) }
    };
    ordered.iter().map(piece).collect()
}

/// What of a carried leg is left at least when its reserve is off, mm: a leg that is drawn.
const LEAST_LEG: f64 = 1.0;

/// Which of its three a piece has more of.
#[derive(Clone, Copy)]
enum More {
    LegIn,
    Angle,
    LegOut,
}

/// Gives the reserve of a run's straights and arcs to pieces of theirs, the largest first, and takes it off their lengths on
/// the route; `ends` are where the pieces of each need end. Whether all of it could be given.
fn give_reserve(instance: &Instance, needs: &[Need], ends: &[usize], stretches: &mut [UnplacedPiece]) -> bool {
    let mut whole = true;
    for (j, need) in needs.iter().enumerate() {
        let own = ends[j]..ends[j + 1];
        let mut rooms: Vec<(usize, More, f64)> = Vec::new();
        let mut left = match *need {
            Need::Arc(a) => {
                let least = instance.least_arc(a);
                let legs = |k: usize| stretches[k].carry.iter().flatten().filter(|c| **c > 0.0).count();
                let trimmed = own.filter(|&k| legs(k) < 2);
                rooms.extend(trimmed.map(|k| (k, More::Angle, stretches[k].angle - least)));
                instance.arcs[a].reserve
            }
            Need::Straight(s) => {
                let carried = |k: usize, side: usize| stretches[k].carry[side].unwrap_or(0.0) - LEAST_LEG;
                if let Some(before) = own.start.checked_sub(1).filter(|_| j > 0) {
                    rooms.push((before, More::LegOut, carried(before, 1)));
                }
                if own.end < stretches.len() {
                    rooms.push((own.end, More::LegIn, carried(own.end, 0)));
                }
                rooms.extend(own.map(|k| (k, More::LegIn, stretches[k].length - instance.min_straight)));
                instance.straights[s].reserve
            }
        };
        rooms.sort_by(|a, b| b.2.total_cmp(&a.2));
        for (k, more, room) in rooms {
            let given = left.min(room).max(0.0);
            let piece = &mut stretches[k];
            left -= given;
            match more {
                More::LegIn => piece.reserve.leg_in += given,
                More::LegOut => piece.reserve.leg_out += given,
                More::Angle => piece.reserve.angle += given,
            }
            piece.length -= match (more, need) {
                (More::Angle, Need::Arc(a)) => instance.classes[instance.arcs[*a].class].clr * given,
                _ => given,
            };
        }
        whole &= left <= 0.0;
    }
    whole
}

/// A, B ... Z, AA, AB ...
fn letters(mut k: usize) -> String {
    let mut out = Vec::new();
    loop {
        out.push(b'A' + (k % 26) as u8);
        if k < 26 {
            break;
        }
        k = k / 26 - 1;
    }
    out.reverse();
    out.into_iter().map(char::from).collect()
}

/// Fills in joints, cuts, cost, offcuts and marks of a plan whose items and pieces stand.
pub(crate) fn finish(
    plan: &mut CutPlan,
    job: &crate::CutJob<'_>,
    runs: &[(RunId, geom::Centreline)],
    least_offcut: f64,
) {
    let sections: usize = runs.iter().map(|(run, line)| job.sections(run, line.length()).len()).sum();
    plan.joints = (plan.pieces.len() - sections) as u32;
    plan.cuts = 0;
    plan.offcuts.clear();
    for item in 0..plan.items.len() {
        let free = marks::free_stretches(plan, item, job);
        plan.cuts += free.cuts;
        let useful = |at: &[f64; 2]| at[1] - at[0] >= least_offcut;
        plan.offcuts.extend(free.stretches.into_iter().filter(useful).map(|at| Offcut { item, at }));
    }
    plan.offcuts.sort_by(|a, b| {
        let length = |o: &Offcut| o.at[1] - o.at[0];
        length(b).total_cmp(&length(a)).then(a.item.cmp(&b.item)).then(a.at[0].total_cmp(&b.at[0]))
    });
    let charged = match job.cost.cut_per {
        job::model::CutPer::Piece => plan.pieces.len() as i64,
        job::model::CutPer::Saw => i64::from(plan.cuts),
    };
    let items: i64 = plan.items.iter().map(|i| i.price.0).sum();
    plan.cost = Money(items + job.cost.joint.0 * i64::from(plan.joints) + job.cost.cut.0 * charged);
    marks::mark_all(plan, job, runs);
}

#[cfg(test)]
mod tests {
    use super::letters;

    #[test]
    fn letters_go_on_after_z() {
        assert_eq!([0, 25, 26, 27, 51, 52].map(letters), ["A", "Z", "AA", "AB", "AZ", "BA"]);
    }
}
