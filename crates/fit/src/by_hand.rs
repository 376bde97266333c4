//! What is done without measuring: tacked joints turned, faces trimmed and dressed until the end goes in.
//!
//! The end is offered up, so that its true place counts, not a measured one. Three ways are counted on exact builds: the last step
//! of a closing pair; the last two bends tacked, with the last piece left long; and two halves, one built from the start and
//! one from the inlet, that meet at a joint, each with its bend next to it tacked. In the last two only the joints of the
//! turned bends, or the one that is met at, are dressed: the others stand where they were made. Slip joints slide and turn in
//! all of them, and V-bands turn.

use crate::builds::{Builds, Chance, Limit, SEED};
use crate::chain::{Miss, Slot, figure};
use crate::correction::{
    Bounds, CLOCKING, Correction, CorrectionModel, HARDLY, LEG, NEAREST, Variable, dressing, finished, sliding, solve,
    turn,
};
use crate::random::Normals;
use crate::run::{Part, Run};
use crate::shop::Shop;
use crate::sources::{State, terms_of, with_errors};

/// What a person leaves to trim on each of the two faces of a closing pair, mm.
pub const TRIMMED: f64 = 3.0;
/// What is left to trim where nothing is measured, mm: two standard deviations of a run's length and of its shift by tilted
/// joints.
pub const LEFT_LONG: f64 = 10.0;
/// How often place is weighed against direction again.
const WEIGHED: usize = 3;

/// What a hand may change.
struct Hand {
    /// Joints that are turned: before those pieces.
    turned: Vec<usize>,
    /// Joints whose faces are dressed.
    dressed: Vec<usize>,
    /// Figures that are trimmed, and by how much either way of the planned length, mm.
    trimmed: Vec<(usize, f64)>,
}

/// The end of a closing pair that is tacked: joints before bends turned, the faces before and behind the last bend trimmed,
/// faces dressed.
pub(crate) fn by_hand(run: &Run, now: &[f64], limit: Limit) -> Correction {
    let last = run.parts.len() - 1;
    // Where the last bend meets a straight there is something to trim.
    let straight = last > 0 && (!run.parts[last - 1].is_bend() || now[figure(last - 1, Slot::LegOut)] > TRIMMED);
    let mut trimmed = vec![(figure(last, Slot::LegOut), TRIMMED)];
    if straight || now[figure(last, Slot::LegIn)] > TRIMMED {
        trimmed.push((figure(last, Slot::LegIn), TRIMMED));
    }
    let turned = (0..=last).filter(|&k| run.parts[k].is_bend()).collect();
    finish(run, now, &Hand { turned, dressed: (0..=last).collect(), trimmed }, limit)
}

/// The last two bends tacked, the last piece left long; nothing is measured. The pieces from the first of these bends on, and
/// the chance; `None` when there are no two bends.
pub(crate) fn turned_by_hand(run: &Run, shop: &Shop, limit: Limit, count: usize) -> Option<(Vec<usize>, Chance)> {
    let last = run.parts.len() - 1;
    let bends: Vec<usize> = (0..=last).filter(|&k| run.parts[k].is_bend()).rev().take(2).collect();
    let [second, first] = bends[..] else { return None };
    let hand = Hand {
        turned: vec![first, second],
        dressed: vec![first, second],
        trimmed: vec![(trimmed_end(run, last), LEFT_LONG)],
    };
    let tacked = |k: usize| if k >= first { State::Tacked } else { State::Welded };
    Some(((first..=last).collect(), counted(run, shop, &hand, &tacked, limit, count)))
}

/// Two halves that meet at the joint before piece `link`, tacked at the bends next to it; nothing is measured.
pub(crate) fn meeting(run: &Run, shop: &Shop, limit: Limit, link: usize, count: usize) -> Chance {
    let upstream = run.bend_before(link);
    let next = run.parts[link..].iter().position(Part::is_bend).map(|n| link + n + 1);
    let downstream = next.filter(|&k| k < run.parts.len());
    let joints: Vec<usize> = upstream.into_iter().chain([link]).chain(downstream).collect();
    let hand =
        Hand { turned: joints.clone(), dressed: vec![link], trimmed: vec![(trimmed_end(run, link - 1), LEFT_LONG)] };
    let tacked = |k: usize| if joints.contains(&k) { State::Tacked } else { State::Welded };
    counted(run, shop, &hand, &tacked, limit, count)
}

/// The figure that is trimmed at the downstream end of a piece.
pub(crate) fn trimmed_end(run: &Run, link: usize) -> usize {
    figure(link, if run.parts[link].is_bend() { Slot::LegOut } else { Slot::LegIn })
}

/// Nothing but what slides and turns by itself, put together as marked and then moved until the end goes in; nothing is measured.
/// `None` when nothing does.
pub(crate) fn slid(run: &Run, shop: &Shop, limit: Limit, count: usize) -> Option<Chance> {
    run.parts.iter().any(|p| p.joining.turns()).then(|| {
        let hand = Hand { turned: Vec::new(), dressed: Vec::new(), trimmed: Vec::new() };
        counted(run, shop, &hand, &|_| State::Welded, limit, count)
    })
}

fn counted(run: &Run, shop: &Shop, hand: &Hand, state: &dyn Fn(usize) -> State, limit: Limit, count: usize) -> Chance {
    let states: Vec<State> = (0..run.parts.len()).map(state).collect();
    let terms = terms_of(run, shop, &states);
    let mut normals = Normals::new(SEED);
    let build = |_| -> Miss {
        let errors: Vec<f64> = terms.iter().map(|t| t.mean + t.sd * normals.next()).collect();
        finish(run, &with_errors(&run.drawn, &terms, &errors), hand, limit).after
    };
    let builds = Builds { misses: (0..count).map(build).collect(), lengths: Vec::new() };
    builds.chance(|m| limit.holds(m))
}

/// Where a hand gets the end to.
///
/// Where it cannot be met a person weighs place against direction until both are within the limit, or neither can be.
fn finish(run: &Run, now: &[f64], hand: &Hand, limit: Limit) -> Correction {
    let mut variables: Vec<Variable> = Vec::new();
    let loose = |k: &usize| run.parts[*k].joining.turns() && !hand.turned.contains(k);
    variables.extend(hand.turned.iter().copied().chain((0..run.parts.len()).filter(loose)).map(|k| {
        let index = figure(k, Slot::Roll);
        Variable { index, unit: CLOCKING, bounds: turn(now[index]) }
    }));
    variables.extend((0..run.parts.len()).filter_map(|k| sliding(run, k)));
    variables.extend(hand.dressed.iter().flat_map(|&k| dressing(now, k)));
    variables.extend(hand.trimmed.iter().map(|&(index, by)| {
        let bounds = Bounds { lower: now[index] - by, upper: now[index] + by };
        Variable { index, unit: LEG, bounds }
    }));
    let worse = |c: &Correction| (limit.left(&c.after) / limit.within).max(c.after.angle / limit.angle);
    let mut best = solve(run, now, &variables);
    let mut weights = NEAREST;
    for _ in 0..WEIGHED {
        if worse(&best) <= 1.0 {
            break;
        }
        let lean = usize::from(best.after.angle / limit.angle > limit.left(&best.after) / limit.within);
        weights[lean] *= 2.0;
        let problem = CorrectionModel::new(run, now, &variables, HARDLY, weights);
        let other = finished(&problem, &problem.least(false));
        if worse(&other) < worse(&best) {
            best = other;
        }
    }
    best
}
