//! Which single change helps a hot header most: every sensible bracket and slip joint and every run on a wider way solved, the best
//! three reported.
//!
//! A change counts by two figures: the greatest share of the allowable stress range, and the greatest stress that 1 g of
//! shaking makes in the first modes. One that makes either of them clearly worse is no help. Crossing an engine order is not
//! held against a mode: a header that stands free at its far end has modes below idle that every engine passes.

use geom::Vec3;
use job::model::{Job, Money};
use job::parts::{BracketKind, USUAL_FRICTION, USUAL_STIFFNESS, straights};
use job::rates::Rates;
use job::routes::{Routes, RunId};
use job::routes_text;
use strength::frame::{Fitting, Frame, FrameError, Slide};
use strength::help::{Helper, Outcome, Place, mark};
use strength::stress::Worst;

use crate::strength_answer::{Fares, Help, HelpKind, HotterRun, WhatHelps};
use crate::strength_looser::{Looser, looser};
use crate::strength_model::{MM, StrengthModel, held, loose, share_of};
use crate::summary::rounded;

/// Changes that are reported.
const REPORTED: usize = 3;

/// Most places of brackets and of slip joints that are tried: of more, as only a strange job has, every second or third one.
const MOST_PLACES: [usize; 2] = [300, 60];

/// Overlap of a slip joint that is tried, in outside diameters (common practice, no source).
const OVERLAP_ODS: f64 = 1.0;

/// Straight left on both sides of one, mm: what can be held and welded (common practice, no source).
const BESIDE: f64 = 15.0;

/// A share of the allowable below this is good enough: no change is praised for lowering it.
const SHARE_ENOUGH: f64 = 0.25;

/// By how much a change may worsen one figure for the sake of the other.
const WORSE: f64 = 1.05;

/// A change that was solved.
struct Tried {
    help: Help,
    /// The lower the better.
    score: f64,
}

/// The best single changes.
///
/// # Errors
/// [`FrameError`]: what nothing holds.
pub fn what_helps(
    (job, routes, gas): (&Job, &Routes, Option<&str>),
    model: &StrengthModel,
    cold: impl Fn(&Frame) -> Frame,
    rates: &Rates,
    end_weld: f64,
) -> Result<WhatHelps, FrameError> {
    let mut frame = model.frame.clone();
    let slips = some(slip_places(job, model), MOST_PLACES[1]);
    for (tube, at, _) in &slips {
        mark(&mut frame, *tube, at * MM);
    }
    let stiff = cold(&frame);
    let helper = Helper::of(&frame, &stiff, end_weld)?;
    let search = Search { model, helper: &helper, before: fares(model, &helper.before()), rates };
    let mut tried: Vec<Tried> = Vec::new();
    let mut mechanisms = Vec::new();
    for (tube, at, overlap) in slips {
        match search.slip(tube, at, overlap) {
            Some(Ok(found)) => tried.push(found),
            Some(Err(error)) => {
                let run = &model.runs[tube].run;
                mechanisms.push(format!("with a slip joint in {run}, {}", loose(model, error)));
            }
            None => {}
        }
    }
    let bodies = (0..model.collectors.len()).map(Place::Body);
    for place in some(helper.places(), MOST_PLACES[0]).into_iter().chain(bodies) {
        tried.extend(search.brackets(place));
    }
    for found in looser(job, routes, gas) {
        let stiff = cold(&found.model.frame);
        let outcome = Helper::of(&found.model.frame, &stiff, end_weld)?.before();
        tried.push(search.longer(job, &found, &outcome));
    }
    mechanisms.dedup();
    let hotter = one_hotter(model, &helper);
    let count = tried.len();
    Ok(WhatHelps { tried: count, before: search.before.clone(), best: best(tried, &search.before), mechanisms, hotter })
}

/// At most so many of a list, evenly spread.
fn some<T>(all: Vec<T>, most: usize) -> Vec<T> {
    let every = all.len().div_ceil(most).max(1);
    all.into_iter().step_by(every).collect()
}

/// The best of each kind, then more of them on other things, the best first.
fn best(mut tried: Vec<Tried>, before: &Fares) -> Vec<Help> {
    let bearable = |after: f64, before: f64, enough: f64| after <= (WORSE * before).max(enough);
    tried.retain(|t| {
        let after = &t.help.after;
        t.score < -0.05
            && bearable(after.share_of_allowable, before.share_of_allowable, SHARE_ENOUGH)
            && bearable(after.mpa_per_g, before.mpa_per_g, 0.0)
    });
    tried.sort_by(|a, b| a.score.total_cmp(&b.score));
    let mut best: Vec<Tried> = Vec::new();
    let other_kind = |a: &Help, b: &Help| a.kind != b.kind;
    let other_thing = |a: &Help, b: &Help| a.kind != b.kind || a.on != b.on;
    for apart in [other_kind as fn(&Help, &Help) -> bool, other_thing] {
        let mut rest = Vec::new();
        for change in tried {
            if best.len() < REPORTED && best.iter().all(|b| apart(&b.help, &change.help)) {
                best.push(change);
            } else {
                rest.push(change);
            }
        }
        tried = rest;
    }
    best.sort_by(|a, b| a.score.total_cmp(&b.score));
    best.into_iter().map(|t| t.help).collect()
}

/// Places of slip joints worth trying: the middle of every straight that is long enough, in runs that have none. Run, place and
/// overlap, mm.
fn slip_places(job: &Job, model: &StrengthModel) -> Vec<(usize, f64, f64)> {
    let mut places = Vec::new();
    for (k, (run, tube)) in model.runs.iter().zip(&model.frame.tubes).enumerate() {
        if tube.fittings.iter().any(|(_, f)| matches!(f, Fitting::Slip(_))) {
            continue;
        }
        let overlap = (OVERLAP_ODS * job.tube_of(&run.run).od).max(25.0).round();
        for (from, to) in straights(&tube.line) {
            if to - from >= overlap + 2.0 * BESIDE {
                places.push((k, (0.5 * (from + to - overlap)).round(), overlap));
            }
        }
    }
    places
}

fn fares(model: &StrengthModel, outcome: &Outcome) -> Fares {
    let share = |(k, w): (usize, &Worst)| (share_of(model, k, w).unwrap_or(w.range / 300e6), k, *w);
    let all = outcome.ranges.iter().enumerate().map(share);
    let (share, k, worst) = all.max_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((0.0, 0, Worst::default()));
    Fares {
        share_of_allowable: rounded(share),
        run: model.runs.get(k).map_or(String::new(), |r| r.run.to_string()),
        range_mpa: rounded(worst.range / 1e6),
        mpa_per_g: rounded(outcome.stress_per_g / 1e6),
        first_hz: rounded(outcome.frequencies.first().copied().unwrap_or(0.0)),
    }
}

struct Search<'a> {
    model: &'a StrengthModel,
    helper: &'a Helper<'a>,
    before: Fares,
    rates: &'a Rates,
}

impl Search<'_> {
    fn tried(&self, help: Help) -> Tried {
        let less = |after: f64, before: f64, enough: f64| (after.max(enough) / before.max(enough)).ln();
        let (after, before) = (&help.after, &self.before);
        let score = less(after.share_of_allowable, before.share_of_allowable, SHARE_ENOUGH)
            + less(after.mpa_per_g, before.mpa_per_g, 1e-6);
        Tried { help, score }
    }

    fn price(&self, key: &str) -> f64 {
        let Money(thousandths) = self.rates.price(key).price;
        thousandths as f64 / 1000.0
    }

    /// A slip joint; `None` where it would not slide.
    fn slip(&self, tube: usize, at: f64, overlap: f64) -> Option<Result<Tried, FrameError>> {
        let locked = self.helper.axial(tube, at * MM)?;
        if locked.abs() <= USUAL_FRICTION {
            return None;
        }
        // Pressed together it closes, and friction pushes it apart.
        let slide = Slide { push: -USUAL_FRICTION * locked.signum(), ..Slide::default() };
        let solved = self.helper.slip(tube, at * MM, slide)?;
        Some(solved.map(|outcome| {
            let run = &self.model.runs[tube].run;
            let table = format!("[[slip]]\nrun = \"{run}\"\nat = \"{at} mm\"\noverlap = \"{overlap} mm\"\n");
            self.tried(Help {
                kind: HelpKind::Slip,
                on: run.to_string(),
                at_mm: Some(at),
                overlap_mm: Some(overlap),
                stiffness_n_per_mm: None,
                after: fares(self.model, &outcome),
                force_n: rounded(locked.abs()),
                slides_mm: rounded(outcome.slides / MM),
                price: self.price("slip_joint"),
                table,
                ..self.nothing()
            })
        }))
    }

    /// The three kinds of bracket at a place.
    fn brackets(&self, place: Place) -> Vec<Tried> {
        let growth = self.helper.growth(place).and_then(|g| g.try_normalize()).unwrap_or(Vec3::X);
        let across = |v: Vec3| v.reject_from_normalized(growth).try_normalize();
        let sway = self.helper.sway(place).and_then(across);
        let Some(trial) = self.helper.trial(place) else { return Vec::new() };
        let kinds = [
            (BracketKind::Tab, HelpKind::Tab, None),
            (BracketKind::Slotted, HelpKind::Slotted, Some(growth)),
            (BracketKind::Link, HelpKind::Link, sway),
        ];
        let of_kind = |(kind, helps, along): (BracketKind, HelpKind, Option<Vec3>)| {
            if kind == BracketKind::Link && along.is_none() {
                return None;
            }
            let hold = held(kind, along.unwrap_or(Vec3::X), USUAL_STIFFNESS);
            let outcome = trial.with(&hold);
            Some(self.tried(self.bracket(place, helps, along, &outcome)))
        };
        kinds.into_iter().filter_map(of_kind).collect()
    }

    fn bracket(&self, place: Place, kind: HelpKind, along: Option<Vec3>, outcome: &Outcome) -> Help {
        let along = along.map(|v| v.to_array().map(|c| (c * 1000.0).round() / 1000.0 + 0.0));
        let (on, at, holds) = match place {
            Place::Tube(tube, at) => {
                let (run, at) = (self.model.runs[tube].run.to_string(), (at / MM * 10.0).round() / 10.0);
                let holds = format!("run = \"{run}\"\nat = \"{at} mm\"\n");
                (run, Some(at), holds)
            }
            Place::Body(body) => {
                let name = &self.model.collectors[body];
                (format!("collector {name}"), None, format!("collector = {}\n", toml_edit::value(name)))
            }
        };
        let direction = along.map_or(String::new(), |[x, y, z]| format!("along = [{x:?}, {y:?}, {z:?}]\n"));
        let table = format!("[[bracket]]\n{holds}kind = \"{}\"\n{direction}", kind.word());
        Help {
            kind,
            on,
            at_mm: at,
            along,
            stiffness_n_per_mm: Some(USUAL_STIFFNESS),
            after: fares(self.model, outcome),
            force_n: rounded(outcome.force),
            price: self.price("bracket"),
            table,
            ..self.nothing()
        }
    }

    /// A run on a wider way.
    fn longer(&self, job: &Job, found: &Looser, outcome: &Outcome) -> Tried {
        let route = &found.route;
        let only = Routes { runs: vec![route.clone()], collectors: Vec::new() };
        self.tried(Help {
            kind: HelpKind::Longer,
            on: route.run.to_string(),
            longer_mm: Some(rounded(found.longer)),
            points: Some(route.points.iter().map(|p| p.to_array().map(rounded)).collect()),
            radii: Some(route.radii.iter().map(|r| rounded(*r)).collect()),
            after: fares(&found.model, outcome),
            price: rounded(found.longer * price_of_tube(job, &route.run)),
            table: routes_text(&only, job.units),
            ..self.nothing()
        })
    }

    /// A change without anything, to be filled in.
    fn nothing(&self) -> Help {
        Help {
            kind: HelpKind::Tab,
            on: String::new(),
            at_mm: None,
            overlap_mm: None,
            along: None,
            longer_mm: None,
            points: None,
            radii: None,
            stiffness_n_per_mm: None,
            after: self.before.clone(),
            force_n: 0.0,
            slides_mm: 0.0,
            price: 0.0,
            table: String::new(),
        }
    }
}

/// Price of a millimetre of the cheapest stick of a run's tube; 0 where none is sold.
fn price_of_tube(job: &Job, run: &RunId) -> f64 {
    let tube = job.tube_of(run);
    let sticks = job.stock.straights.iter().filter(|s| tube.is_same_size(s.od, s.wall) && s.length > 0.0);
    let cheapest = sticks.map(|s| s.price.units() / s.length).fold(f64::INFINITY, f64::min);
    if cheapest.is_finite() { cheapest } else { 0.0 }
}

/// The run that raises the greatest stress range most when it alone is hotter than computed.
fn one_hotter(model: &StrengthModel, helper: &Helper<'_>) -> Option<HotterRun> {
    let greatest = |ranges: &[Worst]| ranges.iter().map(|w| w.range).fold(0.0, f64::max);
    let before = greatest(&helper.before().ranges);
    let factor = |k: usize| {
        let tube = &model.frame.tubes[k];
        let mean = tube.temperature.at(0.5 * tube.line.length() * MM);
        let strain = tube.material.growth(mean + HOTTER) - tube.material.growth(mean);
        (k, greatest(&helper.hotter(k, strain)) / before)
    };
    let (k, factor) = (0..model.runs.len()).map(factor).max_by(|a, b| a.1.total_cmp(&b.1))?;
    factor.is_finite().then(|| HotterRun {
        run: model.runs[k].run.to_string(),
        by_k: HOTTER,
        range_times: rounded(factor),
    })
}

/// How much hotter, K: one lean cylinder, or one that carries more of the heat (common practice, no source).
pub const HOTTER: f64 = 60.0;
