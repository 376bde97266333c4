//! What can be done about it before the saw: ways to finish a run, each with the chance that it goes in.
//!
//! A closing pair is two neighbouring bends with what lies between them: everything before it is built from the start,
//! everything behind it from the inlet, and the pair is cut last to what is measured: the first bend, then the straight and
//! the second bend, all tacked; the end is then turned, trimmed and dressed by hand. Straights beside the pair are trimmed
//! where that is wanted: without that, and with the straight cut along with the first bend, the second bend meets what is
//! measured in one build of ten. A single bend has four figures for five conditions and does not do.
//! Every chance is counted on builds that are simulated exactly, measuring noise included; the best pair is found by trying
//! all with a few builds and counted on more.

use geom::{Frame, Vec3, rotate_about};

use crate::builds::{Builds, Chance, Limit, SEED};
use crate::by_hand::{LEFT_LONG, TRIMMED, by_hand, meeting, slid, trimmed_end, turned_by_hand};
use crate::chain::{Chain, Miss, Slot, figure};
use crate::correction::{Freedom, Limits, correct_dressed};
use crate::random::Normals;
use crate::run::Run;
use crate::shop::Shop;
use crate::sources::{State, Term, terms, terms_of, with_errors};

/// Builds behind the chance of the remedy that is offered.
const COUNTED: usize = 504;
/// Builds by which pairs are compared.
const COMPARED: usize = 42;
/// One standard deviation of what is measured before a piece is cut: place, mm; direction and turn, rad.
const PLACE: f64 = 0.5;
const DIRECTION: f64 = 0.3 * std::f64::consts::PI / 180.0;
const TURN: f64 = 0.4 * std::f64::consts::PI / 180.0;
/// How far an end slides into its inlet either way of where it is drawn, mm. An assumption, where the record says nothing.
pub const SLIP: f64 = 12.0;
/// Most that is trimmed off a straight beside the pieces that are cut last, mm. An assumption: more is another plan.
const MOST_TRIMMED: f64 = 20.0;
/// Shortest drawn leg that is left longer, mm.
const LEAST_LEG: f64 = 1.0;
/// Share of builds that the reserve is enough for.
const ENOUGH: f64 = 0.95;

/// A way to finish a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RemedyKind {
    /// Cut and welded as drawn.
    AsDrawn,
    /// As drawn, the end sliding into its inlet.
    SlipInlet,
    /// As drawn, the run's own slip joints and V-bands moved until the end goes in.
    Slid,
    /// As drawn, the last piece trimmed to length.
    Trimmed,
    /// The last bend cut to measurement.
    ClosingPiece,
    /// Two neighbouring bends cut last to measurement.
    ClosingPair,
    /// Built from both ends, to meet at a joint.
    Meeting,
    /// The last two bends tacked and turned by hand, the last piece trimmed.
    TurnedByHand,
}

impl RemedyKind {
    /// Its words in answers.
    pub fn word(self) -> &'static str {
        match self {
            RemedyKind::AsDrawn => "as drawn",
            RemedyKind::SlipInlet => "slip joint at the inlet",
            RemedyKind::Slid => "slip joints and clamps moved",
            RemedyKind::Trimmed => "last piece trimmed",
            RemedyKind::ClosingPiece => "closing piece",
            RemedyKind::ClosingPair => "closing pair",
            RemedyKind::Meeting => "meeting at a joint",
            RemedyKind::TurnedByHand => "last two bends turned by hand",
        }
    }
}

/// What a piece is to be left with more than drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reserve {
    /// The piece.
    pub link: usize,
    /// Of the straight before the arc, or of a straight piece, mm.
    pub leg_in: f64,
    /// Of the arc, rad.
    pub angle: f64,
    /// Of the straight behind it, mm.
    pub leg_out: f64,
}

/// A way to finish a run with what it is worth.
#[derive(Debug, Clone, PartialEq)]
pub struct Remedy {
    /// The way.
    pub kind: RemedyKind,
    /// The pieces that are cut last, along the flow.
    pub cut_last: Vec<usize>,
    /// The piece behind the joint at which both halves meet.
    pub meets: Option<usize>,
    /// How often the open end is measured.
    pub measures: usize,
    /// Chance to go in.
    pub chance: Chance,
    /// What those pieces are to be left with more than drawn, enough for 95 % of the builds.
    pub reserve: Vec<Reserve>,
}

/// The ways to finish a run, the best first.
pub fn remedies(run: &Run, shop: &Shop, limit: Limit, limits: &[Limits]) -> Vec<Remedy> {
    let all = terms(run, shop);
    let builds = Builds::of(run, &run.drawn, &all, COUNTED, SEED);
    let simple =
        |kind, chance| Remedy { kind, cut_last: Vec::new(), meets: None, measures: 0, chance, reserve: Vec::new() };
    let mut out = vec![simple(RemedyKind::AsDrawn, builds.chance(|m| limit.holds(m)))];
    if limit.slip == 0.0 {
        out.push(simple(RemedyKind::SlipInlet, builds.chance(|m| limit.sliding(SLIP).holds(m))));
    }
    out.extend(slid(run, shop, limit, COUNTED).map(|chance| simple(RemedyKind::Slid, chance)));
    let trimmed = builds.chance(|m| limit.sliding(LEFT_LONG).holds(m));
    out.push(Remedy { reserve: left_long(run, run.parts.len() - 1), ..simple(RemedyKind::Trimmed, trimmed) });
    let last = (0..run.parts.len()).rfind(|&k| run.parts[k].is_bend());
    let site = Site { run, shop, limit, limits };
    out.extend(last.map(|k| site.closing([k, k]).simulated(RemedyKind::ClosingPiece, COUNTED)));
    out.extend(site.best_pair().map(|span| site.closing(span).simulated(RemedyKind::ClosingPair, COUNTED)));
    out.extend(turned_by_hand(run, shop, limit, COUNTED).map(|(pieces, chance)| {
        let reserve = left_long(run, pieces[pieces.len() - 1]);
        Remedy { cut_last: pieces, reserve, ..simple(RemedyKind::TurnedByHand, chance) }
    }));
    let compared = (1..run.parts.len()).map(|k| (k, meeting(run, shop, limit, k, COMPARED).share));
    let best = compared.max_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    out.extend(best.map(|(link, _)| {
        let chance = meeting(run, shop, limit, link, COUNTED);
        let reserve = left_long(run, link - 1);
        Remedy { meets: Some(link), reserve, ..simple(RemedyKind::Meeting, chance) }
    }));
    out.sort_by(|a, b| b.chance.share.total_cmp(&a.chance.share));
    out
}

/// The reserve of a piece that is trimmed at its downstream end.
fn left_long(run: &Run, link: usize) -> Vec<Reserve> {
    let straight = trimmed_end(run, link) == figure(link, Slot::LegIn);
    let [leg_in, leg_out] = if straight { [LEFT_LONG, 0.0] } else { [0.0, LEFT_LONG] };
    vec![Reserve { link, leg_in, angle: 0.0, leg_out }]
}

/// What the pieces of the best closing pair are to be left with more than drawn; empty when there are no two bends.
///
/// The same pair as in [`remedies`], on a third of its builds: the bounds of a plan need no more.
pub fn reserve(run: &Run, shop: &Shop, limit: Limit, limits: &[Limits]) -> Vec<Reserve> {
    let site = Site { run, shop, limit, limits };
    let Some(span) = site.best_pair() else { return Vec::new() };
    site.closing(span).simulated(RemedyKind::ClosingPair, COUNTED / 3).reserve
}

/// A run, the shop that makes it, and what is asked of it.
#[derive(Clone, Copy)]
struct Site<'a> {
    run: &'a Run,
    shop: &'a Shop,
    limit: Limit,
    limits: &'a [Limits],
}

impl<'a> Site<'a> {
    fn closing(self, span: [usize; 2]) -> Closing<'a> {
        // The pieces that are cut last are tacked until the end is in: they are welded where it holds them.
        let tacked = |k: usize| if (span[0]..=span[1] + 1).contains(&k) { State::Tacked } else { State::Welded };
        let states: Vec<State> = (0..self.run.parts.len()).map(tacked).collect();
        Closing { site: self, terms: terms_of(self.run, self.shop, &states), span }
    }

    /// The two neighbouring bends that close best, of those that the plan has a reserve on when there are such.
    fn best_pair(self) -> Option<[usize; 2]> {
        let parts = &self.run.parts;
        let bends: Vec<usize> = (0..parts.len()).filter(|&k| parts[k].is_bend()).collect();
        let pairs: Vec<[usize; 2]> = bends.windows(2).map(|w| [w[0], w[1]]).collect();
        let reserved: Vec<usize> = (0..parts.len()).filter(|&k| !parts[k].reserve.is_none()).collect();
        let holds = |pair: &[usize; 2]| reserved.iter().filter(|k| (pair[0]..=pair[1]).contains(k)).count();
        let most = pairs.iter().map(holds).max()?;
        let planned: Vec<[usize; 2]> = pairs.into_iter().filter(|pair| holds(pair) == most).collect();
        if let [only] = planned[..] {
            return Some(only);
        }
        let tried = |span| self.closing(span).simulated(RemedyKind::ClosingPair, COMPARED);
        let compared = planned.into_iter().map(|span| (span, tried(span).chance.share));
        // Of pairs that do alike the last one: the most is built before it.
        compared.max_by(|a, b| a.1.total_cmp(&b.1).then(a.0[0].cmp(&b.0[0]))).map(|best| best.0)
    }
}

/// Pieces that are cut last, from one bend to another.
struct Closing<'a> {
    site: Site<'a>,
    terms: Vec<Term>,
    span: [usize; 2],
}

/// One build: its miss, and the figures of the pair beyond the drawn ones.
struct Closed {
    miss: Miss,
    grown: Vec<f64>,
}

impl Closing<'_> {
    fn simulated(&self, kind: RemedyKind, count: usize) -> Remedy {
        let [first, last] = self.span;
        let mut normals = Normals::new(SEED);
        let part = self.part();
        let closed: Vec<Closed> = (0..count).map(|_| self.build(&part, &mut normals)).collect();
        let builds = Builds { misses: closed.iter().map(|c| c.miss).collect(), lengths: Vec::new() };
        let enough = |link: usize, slot: Slot| {
            // A leg that is not drawn cannot be left long: the builds that ask for one are the few that hardly close.
            if slot != Slot::Angle && self.site.run.figure(link, slot) < LEAST_LEG {
                return 0.0;
            }
            let index = figure(link - first, slot);
            let mut grown: Vec<f64> = closed.iter().map(|c| c.grown[index]).collect();
            grown.sort_by(f64::total_cmp);
            let enough = grown[((ENOUGH * count as f64) as usize).min(count - 1)].max(0.0);
            // The straight before the last bend is trimmed by hand at the end.
            let trimmed = link + 1 == last && slot == Slot::LegIn && !self.site.run.parts[link].is_bend();
            enough + if trimmed { TRIMMED } else { 0.0 }
        };
        let reserve = (first..=last).map(|link| Reserve {
            link,
            leg_in: enough(link, Slot::LegIn),
            angle: enough(link, Slot::Angle),
            leg_out: enough(link, Slot::LegOut),
        });
        Remedy {
            kind,
            cut_last: (first..=last).collect(),
            meets: None,
            measures: if first == last { 1 } else { 2 },
            chance: builds.chance(|m| self.site.limit.holds(m)),
            reserve: reserve.collect(),
        }
    }

    /// What saw and stock allow of the pieces, and what can be trimmed off straights before and behind them.
    fn limits(&self) -> Vec<Limits> {
        let [first, last] = self.span;
        let mut limits = self.site.limits[first..=last].to_vec();
        let spare = |link: Option<usize>, slot: Slot| {
            let link = link.filter(|&k| k < self.site.run.parts.len());
            link.map_or(0.0, |k| {
                (self.site.run.figure(k, slot) - self.site.limits[k].min_straight).clamp(0.0, MOST_TRIMMED)
            })
        };
        let before = first.checked_sub(1);
        let slot = if before.is_some_and(|k| self.site.run.parts[k].is_bend()) { Slot::LegOut } else { Slot::LegIn };
        limits[0].beside[0] = spare(before, slot);
        limits[last - first].beside[1] = spare(Some(last + 1), Slot::LegIn);
        limits
    }

    /// The pieces as a run of their own.
    fn part(&self) -> Run {
        let [first, last] = self.span;
        let mut part = self.site.run.clone();
        part.parts = self.site.run.parts[first..=last].to_vec();
        part.chain.links = part.parts.len();
        part.drawn = vec![0.0; part.chain.figures()];
        let from = figure(first, Slot::Shift);
        let own = figure(0, Slot::Shift);
        let count = part.drawn.len() - own;
        part.drawn[own..].copy_from_slice(&self.site.run.drawn[from..from + count]);
        part
    }

    /// One build with errors drawn at random: the rest first, the pair by measurement, the end by hand.
    fn build(&self, part: &Run, normals: &mut Normals) -> Closed {
        let [first, last] = self.span;
        let errors: Vec<f64> = self.terms.iter().map(|t| t.mean + t.sd * normals.next()).collect();
        let figures = with_errors(&self.site.run.drawn, &self.terms, &errors);
        let laid = self.site.run.chain.lay(&figures);
        let start = if first == 0 { laid.start } else { laid.exit[first - 1] };
        let target = match laid.entry.get(last + 1) {
            Some(entry) => carried(entry, &laid.end(), &laid.inlet),
            None => laid.inlet,
        };
        // What the pair's own making adds to whatever it is cut to.
        let from = figure(first, Slot::Shift);
        let own = figure(0, Slot::Shift);
        let made = |cut: &[f64], link: usize| {
            let slots = figure(link, Slot::Shift)..figure(link + 1, Slot::Shift);
            let error = |i: usize| figures[i - own + from] - self.site.run.drawn[i - own + from];
            // Faces are dressed at the end, by hand.
            let dressed = |i: usize| [Slot::KinkUp, Slot::KinkRight].iter().any(|s| i == figure(link, *s));
            slots.map(|i| (i, if dressed(i) { 0.0 } else { cut[i] } + error(i))).collect::<Vec<_>>()
        };
        let count = part.parts.len();
        let limits = self.limits();
        let mut now = part.drawn.clone();
        let mut cut_to = part.drawn.clone();
        for stage in 0..count.min(2) {
            let mut seen = part.clone();
            // Measured at the open end: what stands before it is carried along.
            let open = match stage {
                0 => start,
                _ => Chain { start, inlet: target, links: count }.lay(&now).exit[stage - 1],
            };
            seen.chain.start = along(&start, &open, &measured(&open, true, normals));
            seen.chain.inlet = measured(&target, false, normals);
            let free = |k: usize| Freedom::of(if k < stage { State::Tacked } else { State::Uncut });
            let freedoms: Vec<Freedom> = (0..count).map(free).collect();
            let answer = correct_dressed(&seen, &now, &freedoms, &limits).figures;
            let until = if stage == 0 { 1 } else { count };
            for link in stage..until {
                let slots = figure(link, Slot::Shift)..figure(link + 1, Slot::Shift);
                cut_to[slots.clone()].copy_from_slice(&answer[slots]);
                made(&answer, link).into_iter().for_each(|(i, v)| now[i] = v);
            }
            // What is turned by hand while it is offered up, and what is planned for the pieces yet to come.
            (0..stage).for_each(|k| now[figure(k, Slot::Roll)] = answer[figure(k, Slot::Roll)]);
            for link in until..count {
                let slots = figure(link, Slot::Shift)..figure(link + 1, Slot::Shift);
                now[slots.clone()].copy_from_slice(&answer[slots]);
                [Slot::KinkUp, Slot::KinkRight].iter().for_each(|s| now[figure(link, *s)] = 0.0);
            }
        }
        let mut offered = part.clone();
        (offered.chain.start, offered.chain.inlet) = (start, target);
        let miss = by_hand(&offered, &now, self.site.limit).after;
        let grown = cut_to.iter().zip(&part.drawn).map(|(a, b)| a - b).collect();
        Closed { miss, grown }
    }
}

/// A frame moved as `from` is moved to `to`.
fn along(frame: &Frame, from: &Frame, to: &Frame) -> Frame {
    let parts = |v: Vec3| [v.dot(from.forward), v.dot(from.up), v.dot(from.right())];
    let place = |[f, u, r]: [f64; 3]| to.forward * f + to.up * u + to.right() * r;
    Frame {
        origin: to.origin + place(parts(frame.origin - from.origin)),
        forward: place(parts(frame.forward)),
        up: place(parts(frame.up)),
    }
}

/// Where the start of what is built from the inlet comes to lie when its end sits in the inlet.
fn carried(entry: &Frame, end: &Frame, inlet: &Frame) -> Frame {
    let axis = end.forward.cross(inlet.forward);
    let angle = axis.length().atan2(end.forward.dot(inlet.forward));
    let turned = |v| axis.try_normalize().map_or(v, |axis| rotate_about(v, axis, angle));
    Frame {
        origin: inlet.origin + turned(entry.origin - end.origin),
        forward: turned(entry.forward),
        up: turned(entry.up),
    }
}

/// A frame as it is measured.
fn measured(frame: &Frame, roll: bool, normals: &mut Normals) -> Frame {
    let mut out = *frame;
    let mut noise = |sd: f64| sd * normals.next();
    out.origin += out.forward * noise(PLACE) + out.up * noise(PLACE) + out.right() * noise(PLACE);
    for axis in [out.up, out.right()] {
        let angle = noise(DIRECTION);
        out.forward = rotate_about(out.forward, axis, angle);
        out.up = rotate_about(out.up, axis, angle);
    }
    if roll {
        out.up = rotate_about(out.up, out.forward, noise(TURN));
    }
    out
}
