//! The errors of a run, each with its standard deviation and the figures that it changes.
//!
//! How a source acts:
//! - a cut on a leg changes that leg, a straight's length once; on an arc it is a tape length along the outside: the angle
//!   changes by length / (CLR + OD/2), for each end on the arc;
//! - a piece with its item's whole arc has the supplier's angle error instead; a mill end the supplier's leg error;
//! - a CLR that is off by a ratio r belongs to the item: all its pieces have R (1 + r), and where an end is marked along the
//!   outside the angle becomes a (1 - r R / (R + OD/2));
//! - a tangent line found t off lengthens the leg by t and shortens the arc by t / (R + OD/2), on a piece with one leg and a
//!   part of the arc;
//! - faces out of square and the weld's pull kink a joint; a flange has one face;
//! - a slip joint is put together to its mark, as exactly as a cut is made; it has no weld, and tilts by its play;
//! - a coupling has a weld and two faces on either side.
//!
//! All errors are independent. The joint to the inlet is not there yet.

use crate::chain::{INLET, START, Slot, figure};
use crate::run::{End, Joining, Run};
use crate::shop::{Shop, Source, TACKED_PULL};

/// Where an error acts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// The start of the run.
    Start,
    /// The inlet.
    Inlet,
    /// The joint before that piece.
    Joint(usize),
    /// That piece.
    Piece(usize),
    /// All pieces of that item of the plan.
    Item(usize),
}

/// One error.
#[derive(Debug, Clone, PartialEq)]
pub struct Term {
    /// Where it comes from.
    pub source: Source,
    /// Where it acts.
    pub place: Place,
    /// Its mean, in the unit of the source.
    pub mean: f64,
    /// Its standard deviation.
    pub sd: f64,
    /// The figures that it changes and by how much for each unit of it.
    pub effects: Vec<(usize, f64)>,
}

/// How far a piece has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    /// Nothing is done to it.
    Uncut,
    /// It is cut.
    Cut,
    /// It is tacked to what lies before it.
    Tacked,
    /// It is welded to what lies before it.
    Welded,
}

/// The errors of a run made from start to end as drawn.
pub fn terms(run: &Run, shop: &Shop) -> Vec<Term> {
    terms_of(run, shop, &vec![State::Welded; run.parts.len()])
}

/// The errors of a run made from start to end, the joints before some pieces being tacked only.
pub fn terms_of(run: &Run, shop: &Shop, states: &[State]) -> Vec<Term> {
    let mut out = ends(run, shop);
    for (k, state) in states.iter().enumerate() {
        joint(run, shop, k, *state, &mut out);
        piece(run, shop, k, &mut out);
    }
    clr(run, shop, run.parts.len(), &mut out);
    out
}

/// The errors of what is built, of a port and of an inlet: what readings tell of.
///
/// The mean of what a weld shrinks is not taken as known here: its square is added to the variance, so that readings which
/// agree with the drawing change nothing.
pub fn built_terms(run: &Run, shop: &Shop, states: &[State]) -> Vec<Term> {
    let count = built(states);
    let mut out = ends(run, shop);
    for (k, state) in states.iter().enumerate().take(count) {
        joint(run, shop, k, *state, &mut out);
        piece(run, shop, k, &mut out);
    }
    clr(run, shop, count, &mut out);
    for term in &mut out {
        term.sd = term.sd.hypot(term.mean);
        term.mean = 0.0;
    }
    out
}

/// The errors of what is yet to be made: joints and pieces behind the built ones.
pub fn coming_terms(run: &Run, shop: &Shop, states: &[State]) -> Vec<Term> {
    let mut out = Vec::new();
    for k in built(states)..run.parts.len() {
        joint(run, shop, k, State::Welded, &mut out);
        piece(run, shop, k, &mut out);
    }
    out
}

/// How many pieces are joined to one another from the start on.
pub fn built(states: &[State]) -> usize {
    states.iter().take_while(|s| **s >= State::Tacked).count()
}

fn ends(run: &Run, shop: &Shop) -> Vec<Term> {
    let mut out = Vec::new();
    let mut both = |first: usize, place: Place, sources: [(Source, f64); 2]| {
        for i in 0..5 {
            let (source, sd) = sources[usize::from(i >= 3)];
            out.push(Term { source, place, mean: 0.0, sd, effects: vec![(first + i, 1.0)] });
        }
    };
    both(START, Place::Start, [(Source::Port, shop.port), (Source::PortAngle, shop.port_angle)]);
    if run.inlet.is_some() {
        both(INLET, Place::Inlet, [(Source::Inlet, shop.inlet), (Source::InletAngle, shop.inlet_angle)]);
    }
    out
}

fn joint(run: &Run, shop: &Shop, k: usize, state: State, out: &mut Vec<Term>) {
    let welded = state == State::Welded;
    // Welds of the joint: each has two faces, but one has the flange's.
    let welds: f64 = match run.parts[k].joining {
        Joining::Slip { overlap } => return slip(shop, k, overlap, out),
        Joining::Coupling { .. } => 2.0,
        Joining::Weld => 1.0,
    };
    let faces = if k == 0 { 1.0 } else { 2.0 * welds };
    let pull = if welded { shop.pull } else { TACKED_PULL * shop.pull };
    let mut add = |source: Source, sd: f64, mean: f64, slots: &[Slot]| {
        for slot in slots {
            let effects = vec![(figure(k, *slot), 1.0)];
            out.push(Term { source, place: Place::Joint(k), mean, sd, effects });
        }
    };
    let several = welds.sqrt();
    add(Source::Gap, shop.gap * several, shop.gap_mean * welds, &[Slot::Shift]);
    if welded {
        let mean = if shop.shrinkage_allowed { 0.0 } else { -shop.shrinkage * welds };
        add(Source::Shrinkage, shop.shrinkage_sd * several, mean, &[Slot::Shift]);
    }
    add(Source::Step, shop.step * several, 0.0, &[Slot::StepUp, Slot::StepRight]);
    add(Source::Squareness, shop.squareness * faces.sqrt(), 0.0, &[Slot::KinkUp, Slot::KinkRight]);
    add(Source::Pull, pull * several, 0.0, &[Slot::KinkUp, Slot::KinkRight]);
    add(Source::Clocking, shop.clocking, 0.0, &[Slot::Roll]);
}

/// The errors of the slip joint before piece `k`: set by a mark along and around; the play tilts it about the middle of the
/// overlap.
fn slip(shop: &Shop, k: usize, overlap: f64, out: &mut Vec<Term>) {
    let mut add = |source: Source, sd: f64, slot: Slot| {
        out.push(Term { source, place: Place::Joint(k), mean: 0.0, sd, effects: vec![(figure(k, slot), 1.0)] });
    };
    add(Source::Slide, shop.cut, Slot::Shift);
    for (step, kink) in [(Slot::StepUp, Slot::KinkRight), (Slot::StepRight, Slot::KinkUp)] {
        add(Source::Step, shop.step, step);
        add(Source::Step, shop.step / (0.5 * overlap), kink);
    }
    add(Source::Clocking, shop.clocking, Slot::Roll);
}

fn piece(run: &Run, shop: &Shop, k: usize, out: &mut Vec<Term>) {
    let part = &run.parts[k];
    let mut add = |source: Source, sd: f64, effects: Vec<(usize, f64)>| {
        out.push(Term { source, place: Place::Piece(k), mean: 0.0, sd, effects });
    };
    let [leg_in, angle, leg_out] = [Slot::LegIn, Slot::Angle, Slot::LegOut].map(|s| figure(k, s));
    if !part.is_bend() {
        return add(Source::Cut, shop.cut, vec![(leg_in, 1.0)]);
    }
    let outside = part.clr + 0.5 * run.od;
    for (end, leg) in part.ends.into_iter().zip([leg_in, leg_out]) {
        match end {
            End::Leg => add(Source::Cut, shop.cut, vec![(leg, 1.0)]),
            End::Mill => add(Source::Leg, shop.leg, vec![(leg, 1.0)]),
            End::Arc if !part.whole => add(Source::Cut, shop.cut, vec![(angle, 1.0 / outside)]),
            End::Arc => {}
        }
    }
    if part.whole {
        add(Source::BendAngle, shop.bend_angle, vec![(angle, 1.0)]);
    }
    if let Some(leg) = one_leg(run, k) {
        add(Source::TangentLine, shop.tangent_line, vec![(leg, 1.0), (angle, -1.0 / outside)]);
    }
}

/// The figure of the leg of a piece that has one leg and a part of the arc.
pub fn one_leg(run: &Run, k: usize) -> Option<usize> {
    let part = &run.parts[k];
    let has = |slot| run.figure(k, slot) > 1e-3;
    match (has(Slot::LegIn), has(Slot::LegOut)) {
        _ if !part.is_bend() || part.whole => None,
        (true, false) => Some(figure(k, Slot::LegIn)),
        (false, true) => Some(figure(k, Slot::LegOut)),
        _ => None,
    }
}

/// One error for each item whose arcs are among the first `count` pieces.
fn clr(run: &Run, shop: &Shop, count: usize, out: &mut Vec<Term>) {
    let mut items: Vec<usize> = run.parts[..count].iter().filter(|p| p.is_bend()).map(|p| p.item).collect();
    items.sort_unstable();
    items.dedup();
    for item in items {
        let mut effects = Vec::new();
        for (k, part) in run.parts[..count].iter().enumerate().filter(|(_, p)| p.is_bend() && p.item == item) {
            effects.push((figure(k, Slot::Clr), part.clr));
            if !part.whole {
                let ratio = part.clr / (part.clr + 0.5 * run.od);
                effects.push((figure(k, Slot::Angle), -run.figure(k, Slot::Angle) * ratio));
            }
        }
        out.push(Term { source: Source::Clr, place: Place::Item(item), mean: 0.0, sd: shop.clr, effects });
    }
}

/// The figures with errors on them.
pub fn with_errors(figures: &[f64], terms: &[Term], errors: &[f64]) -> Vec<f64> {
    let mut out = figures.to_vec();
    for (term, error) in terms.iter().zip(errors) {
        for (index, factor) in &term.effects {
            out[*index] += factor * error;
        }
    }
    out
}
