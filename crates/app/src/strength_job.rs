//! Heat, growth, stress and vibration of a job's header. [`strength_job`] is the one call for command line and page: it gives a
//! [`StrengthAnswer`], which [`strength_text`](crate::strength_text::strength_text) sets for people.

use cutplan::CutPlan;
use cutplan::assembly::{RunAssembly, assembly};
use geom::Vec3;
use job::Problems;
use job::model::Job;
use job::parts::{BracketKind, Coupling, CouplingKind, Holds};
use job::rates::Rates;
use job::routes::{Routes, RunId};
use strength::flange_weld::weld_stress;
use strength::frame::{End, Frame, FrameError, Six, Standing, StretchForces, System, TOGETHER, Tube};
use strength::modes::{Mode, modes};
use strength::stress::{Worst, cycles, worst_range};
use strength::table::Table;

use crate::strength_answer::{
    AssumedAnswer, BellowsFigures, BracketFigures, CollectorAnswer, Meets, ModeAnswer, MoveReason, MustMove, RunAnswer,
    RunShape, SlipFigures, StrengthAnswer,
};
use crate::strength_help::what_helps;
use crate::strength_model::{
    Assumed, MM, SlipAnswer, StrengthModel, ZERO_C, allowable_of, growth, not_held, share_of, strength_model,
};
use crate::strength_near::near_heat;
use crate::summary::rounded;

/// Modes that are reported.
const MODES: usize = 8;

/// Stress factor of the weld at both ends of a run, flange and collector: a fillet, 1.3 to 2.1 (from memory).
pub(crate) const END_WELD: f64 = 1.3;

/// Length beside the flange within which the metal gets to its heat, m.
const RISES_WITHIN: f64 = 0.06;

/// A movement that what holds an end has to let happen, mm.
const MUST_MOVE: f64 = 1.0;

/// Solves the header of a job. `rates` give the prices of what would help; `gas` is the text of a kept gas answer, `plan` a cut plan of
/// these routes, if any.
///
/// # Errors
/// Problems of the job ([`strength_model`]); what nothing holds.
pub fn strength_job(
    job: &Job,
    routes: &Routes,
    rates: &Rates,
    gas: Option<&str>,
    plan: Option<&CutPlan>,
) -> Result<StrengthAnswer, Problems> {
    let assembled = plan.and_then(|plan| Some((plan, assembly(job, routes, plan).ok()?)));
    let model = strength_model(job, routes, gas)?;
    let wrong = |e: FrameError| not_held(&model, e);
    let system = model.frame.system().map_err(wrong)?;
    let hot = system.stand().map_err(wrong)?;
    let cold = cold_metal(&model.frame).stand().map_err(wrong)?;
    let found = modes(&system, MODES).map_err(wrong)?;
    let helps = what_helps((job, routes, gas), &model, cold_metal, rates, END_WELD).map_err(wrong)?;
    let moves = |m: &Six| [0, 1, 2].map(|i| rounded(m[i] / MM));
    let collectors: Vec<CollectorAnswer> = model
        .collectors
        .iter()
        .zip(&hot.bodies)
        .map(|(name, moved)| CollectorAnswer { collector: name.clone(), moves_mm: moves(moved) })
        .collect();
    Ok(StrengthAnswer {
        format: 1,
        runs: (0..model.runs.len()).map(|k| run_answer(&model, k, [&hot, &cold], assembled.as_ref())).collect(),
        modes: found.iter().map(|m| mode_answer(job, &model, &system, m)).collect(),
        slips: model.slips.iter().map(|s| slip_figures(&model, s)).collect(),
        bellows: bellows(job, &model, &hot),
        brackets: brackets(job, &model, &hot),
        near: near_heat(job, routes, &model),
        must_move: must_move(job, &model, &hot),
        collectors,
        helps,
        gas: model.gas,
        assumed: model.assumed.iter().map(assumed).collect(),
        notes: model.notes.clone(),
    })
}

/// The greatest stress range of every run.
///
/// # Errors
/// [`FrameError`]: what nothing holds.
pub fn run_ranges(frame: &Frame) -> Result<Vec<Worst>, FrameError> {
    let cold = cold_metal(frame).stand()?;
    let worst = |(tube, stretches): (&Tube, &Vec<StretchForces>)| worst_range(&tube.section, stretches, END_WELD);
    Ok(frame.tubes.iter().zip(&cold.stretches).map(worst).collect())
}

/// The same frame with its cold stiffness, as the allowable range is defined.
fn cold_metal(frame: &Frame) -> Frame {
    let mut frame = frame.clone();
    for tube in &mut frame.tubes {
        tube.material.young = Table::constant(tube.material.young.at(tube.material.reference));
    }
    frame
}

/// A cut plan with how its runs go together.
type Assembled<'a> = (&'a CutPlan, Vec<RunAssembly>);

/// How near to a joint a place counts as at it, mm: what a weld and its heated rim take.
const AT_JOINT: f64 = 5.0;

/// The piece and the joint at a place of a run.
fn named(assembled: Option<&Assembled<'_>>, run: &RunId, at: f64) -> [Option<String>; 2] {
    let Some((plan, runs)) = assembled else { return [None, None] };
    let of_run = || plan.pieces.iter().filter(|p| p.run == *run);
    // What lies within the flange counts to the first piece.
    let piece = of_run().find(|p| at <= p.to).or_else(|| of_run().next_back());
    let joints = runs.iter().filter(|r| r.run == *run).flat_map(|r| &r.joints);
    let nearest = joints.min_by(|a, b| (a.station - at).abs().total_cmp(&(b.station - at).abs()));
    let joint = nearest.filter(|j| (j.station - at).abs() <= AT_JOINT);
    [piece.map(|p| p.mark.clone()), joint.map(|j| j.name.clone())]
}

fn run_answer(
    model: &StrengthModel,
    k: usize,
    [hot, cold]: [&Standing; 2],
    assembled: Option<&Assembled<'_>>,
) -> RunAnswer {
    let (run, tube) = (&model.runs[k], &model.frame.tubes[k]);
    let length = tube.line.length() * MM;
    let steps = (length / 0.005).ceil().max(1.0) as usize;
    let greatest = |at: &dyn Fn(f64) -> f64| {
        let along = (0..=steps).map(|i| at(length * i as f64 / steps as f64));
        along.fold(f64::MIN, f64::max) - ZERO_C
    };
    let metal_c = [0, 1, 2].map(|case| rounded(greatest(&|s| run.temperatures[case].wall(s))));
    let worst = worst_range(&tube.section, &cold.stretches[k], END_WELD);
    let creeps = allowable_of(&run.material).is_none_or(|a| metal_c[1] > a.creeps_from);
    let size = |six: &Six, first: usize| six[first..first + 3].iter().map(|v| v * v).sum::<f64>().sqrt();
    let start = hot.ends[k][0];
    let flange = matches!(run.run, RunId::Primary { .. }).then(|| {
        let rise = run.temperatures[1].rise(RISES_WITHIN);
        let warm = run.temperatures[1].wall(0.0) + 0.5 * rise.hotter;
        let metal = &tube.material;
        weld_stress(&tube.section, metal.young.at(warm), metal.poisson, metal.expansion.at(warm), rise)
    });
    let [piece, joint] = named(assembled, &run.run, worst.at / MM);
    RunAnswer {
        run: run.run.to_string(),
        metal_c,
        skin_c: rounded(greatest(&|s| run.temperatures[1].skin(s))),
        range_mpa: rounded(worst.range / 1e6),
        share_of_allowable: share_of(model, k, &worst).map(rounded),
        at_mm: rounded(worst.at / MM),
        piece,
        joint,
        cycles: (!creeps).then(|| cycles(worst.range)),
        flange_force_n: rounded(size(&start, 0)),
        flange_moment_nm: rounded(size(&start, 3)),
        flange_weld_mpa: flange.map(|s| rounded(s / 1e6)),
    }
}

/// The engine orders that matter: the first, and that of the firing.
pub fn orders(job: &Job) -> [f64; 2] {
    [1.0, 0.5 * job.engine.as_ref().map_or(4.0, |e| f64::from(e.cylinders))]
}

fn mode_answer(job: &Job, model: &StrengthModel, system: &System, mode: &Mode) -> ModeAnswer {
    let shake = system.shake(&model.frame, mode, END_WELD);
    let meet = |order: f64| Meets { order, rpm: rounded(60.0 * mode.frequency / order) };
    let size = |six: &Six| (six[0] * six[0] + six[1] * six[1] + six[2] * six[2]).sqrt();
    let most = mode.tubes.iter().flatten().map(|(_, six)| size(six)).fold(f64::MIN_POSITIVE, f64::max);
    let row = |(at, six): &(f64, Six)| {
        let [x, y, z] = [0, 1, 2].map(|i| rounded(six[i] / most));
        [rounded(at / MM), x, y, z]
    };
    let shape = model
        .runs
        .iter()
        .zip(&mode.tubes)
        .map(|(run, places)| RunShape { run: run.run.to_string(), rows: places.iter().map(row).collect() });
    ModeAnswer {
        frequency_hz: rounded(mode.frequency),
        mass_kg: shake.shares.map(|g| rounded(g * g)),
        mpa_per_g: rounded(shake.stress_per_g / 1e6),
        run: model.runs[shake.at.0].run.to_string(),
        at_mm: rounded(shake.at.1 / MM),
        meets: orders(job).map(meet).to_vec(),
        shape: shape.collect(),
    }
}

fn slip_figures(model: &StrengthModel, slip: &SlipAnswer) -> SlipFigures {
    SlipFigures {
        run: model.runs[slip.run].run.to_string(),
        at_mm: rounded(slip.at),
        slides_mm: rounded(slip.slides),
        locked_n: rounded(slip.locked),
        friction_n: slip.friction,
        sticks: slip.sticks(),
    }
}

fn bellows(job: &Job, model: &StrengthModel, hot: &Standing) -> Vec<BellowsFigures> {
    let figures = |c: &Coupling| {
        let k = model.runs.iter().position(|r| r.run == c.run)?;
        let moved =
            |at: f64| hot.tubes[k].iter().find(|(s, _)| (s - at * MM).abs() <= TOGETHER).map(|(_, six)| shift(six));
        let by = moved(c.end())? - moved(c.at)?;
        let along = model.frame.tubes[k].line.at(c.at).forward;
        Some(BellowsFigures {
            run: c.run.to_string(),
            at_mm: rounded(c.at),
            shortens_mm: rounded(-by.dot(along) / MM),
            aside_mm: rounded(by.reject_from_normalized(along).length() / MM),
        })
    };
    let couplings = job.parts.couplings.iter().filter(|c| matches!(c.kind, CouplingKind::Bellows { .. }));
    couplings.filter_map(figures).collect()
}

fn shift(six: &Six) -> Vec3 {
    Vec3::new(six[0], six[1], six[2])
}

fn brackets(job: &Job, model: &StrengthModel, hot: &Standing) -> Vec<BracketFigures> {
    let figures = |b: &job::parts::Bracket| BracketFigures {
        on: b.holds.to_string(),
        at_mm: if let Holds::Run { at, .. } = &b.holds { Some(rounded(*at)) } else { None },
        kind: b.kind.word().into(),
        moves_mm: growth(model, hot, &b.holds).to_array().map(|v| rounded(v / MM)),
    };
    job.parts.brackets.iter().map(figures).collect()
}

/// Collectors, free ends, slots and slip joints that have to be left free to move.
fn must_move(job: &Job, model: &StrengthModel, hot: &Standing) -> Vec<MustMove> {
    let of = |part: String, at_mm: Option<f64>, by: Vec3, why: MoveReason| {
        let far = by.length() / MM;
        let along = (by / by.length()).to_array().map(rounded);
        (far > MUST_MOVE).then(|| MustMove { part, at_mm, by_mm: rounded(far), along, why })
    };
    let collectors = model.collectors.iter().zip(&hot.bodies);
    let collectors = collectors.map(|(name, six)| of(name.clone(), None, shift(six), MoveReason::Collector));
    let ends = model.runs.iter().zip(&model.frame.tubes).zip(&hot.tubes).filter(|((_, t), _)| t.end == End::Free);
    let ends = ends.map(|((run, _), places)| {
        let last = places.last().map_or(Vec3::ZERO, |(_, six)| shift(six));
        of(run.run.to_string(), None, last, MoveReason::FreeEnd)
    });
    let slots = job.parts.brackets.iter().filter(|b| b.kind == BracketKind::Slotted).map(|b| {
        let (part, at) = match &b.holds {
            Holds::Run { run, at } => (run.to_string(), Some(rounded(*at))),
            Holds::Collector(name) => (name.clone(), None),
        };
        of(part, at, growth(model, hot, &b.holds), MoveReason::Slot)
    });
    let slips = model.slips.iter().filter(|s| !s.sticks()).map(|s| {
        let tube = &model.frame.tubes[s.run];
        let along = tube.line.at(s.at).forward * (s.slides * MM);
        of(model.runs[s.run].run.to_string(), Some(rounded(s.at)), along, MoveReason::Slip)
    });
    collectors.chain(ends).chain(slots).chain(slips).flatten().collect()
}

fn assumed(a: &Assumed) -> AssumedAnswer {
    let [value, low, high] = a.value;
    AssumedAnswer {
        what: a.what.into(),
        value: rounded(value),
        range: [low, high],
        unit: a.unit.into(),
        source: a.source.into(),
    }
}
