//! Brackets, slip joints, bungs, couplings and bellows of the job in its frame.

use geom::Vec3;
use job::model::Job;
use job::parts::{Bracket, BracketKind, CouplingKind, Holds, SlipJoint};
use job::{Problem, Problems};
use strength::frame::{Bellows, Fitting, FrameError, Hold, Slide, Standing, TOGETHER};

use super::header::{MM, SlipAnswer, StrengthModel, loose};

/// Springs of a slip joint together, N/m: two of 10 N/mm (common practice, no source).
const SLIP_SPRINGS: f64 = 2.0e4;

/// Mass of a bung with its sensor, kg (common practice, no source).
const SENSOR_MASS: f64 = 0.15;

/// Bungs and slip joints, sliding freely; brackets, those without a direction by how the header grows without them.
///
/// # Errors
/// Parts that are not where they can be; a bracket without a direction where nothing else holds the header.
pub fn add_parts(job: &Job, model: &mut StrengthModel) -> Result<(), Problems> {
    for bung in &job.parts.bungs {
        add(model, &bung.run, bung.at, Fitting::Mass(SENSOR_MASS));
    }
    for slip in &job.parts.slips {
        add(model, &slip.run, slip.at, Fitting::Slip(slide(job, slip, 0.0)));
    }
    for coupling in &job.parts.couplings {
        add(model, &coupling.run, coupling.at + 0.5 * coupling.width, Fitting::Mass(coupling.mass(job)));
        if let CouplingKind::Bellows { axial, lateral } = coupling.kind {
            let bellows = Bellows { length: coupling.width * MM, axial: axial / MM, lateral: lateral / MM };
            add(model, &coupling.run, coupling.at, Fitting::Bellows(bellows));
        }
    }
    let (directed, open): (Vec<&Bracket>, Vec<&Bracket>) =
        job.parts.brackets.iter().partition(|b| b.along.is_some() || b.kind == BracketKind::Tab);
    for bracket in directed {
        hold(model, bracket, bracket.along.unwrap_or(Vec3::X));
    }
    if open.is_empty() {
        return Ok(());
    }
    for bracket in &open {
        if let Holds::Run { run, at } = &bracket.holds {
            // A node to look at.
            add(model, run, *at, Fitting::Mass(0.0));
        }
    }
    let standing = model.frame.stand().map_err(|error| undirected(model, error))?;
    let grown: Vec<Vec3> = open.iter().map(|b| growth(model, &standing, &b.holds)).collect();
    for (bracket, growth) in open.into_iter().zip(grown) {
        hold(model, bracket, growth.try_normalize().unwrap_or(Vec3::X));
    }
    Ok(())
}

fn undirected(model: &StrengthModel, error: FrameError) -> Problems {
    let what = loose(model, error);
    let problem = Problem::error("loose", format!("{what} without the brackets whose `along` is not given"));
    Problems::one(problem.expected("`along` of those brackets").hint("give the direction of their slots"))
}

/// How a part of the frame moves when it gets hot, m.
pub fn growth(model: &StrengthModel, standing: &Standing, holds: &Holds) -> Vec3 {
    let six = match holds {
        Holds::Run { run, at } => {
            let index = model.runs.iter().position(|r| r.run == *run);
            let here = |p: &&(f64, [f64; 6])| (p.0 - at * MM).abs() <= TOGETHER;
            index.and_then(|k| standing.tubes[k].iter().find(here)).map(|p| p.1)
        }
        Holds::Collector(name) => model.collectors.iter().position(|c| c == name).map(|k| {
            let (moved, body) = (standing.bodies[k], &model.frame.bodies[k]);
            let turned = Vec3::new(moved[3], moved[4], moved[5]).cross(body.offset) + body.offset * body.growth;
            let [x, y, z] = (Vec3::new(moved[0], moved[1], moved[2]) + turned).to_array();
            [x, y, z, 0.0, 0.0, 0.0]
        }),
    };
    six.map_or(Vec3::ZERO, |m| Vec3::new(m[0], m[1], m[2]))
}

fn add(model: &mut StrengthModel, run: &job::routes::RunId, at: f64, fitting: Fitting) {
    if let Some(k) = model.runs.iter().position(|r| r.run == *run) {
        model.frame.tubes[k].fittings.push((at * MM, fitting));
    }
}

/// What a bracket of a kind with its direction is in a frame. `stiffness` N/mm.
pub fn held(kind: BracketKind, along: Vec3, stiffness: f64) -> Hold {
    let k = stiffness / MM;
    let stiffness = match kind {
        BracketKind::Tab => [k, k],
        BracketKind::Slotted => [0.0, k],
        BracketKind::Link => [k, 0.0],
    };
    Hold { along, stiffness }
}

fn hold(model: &mut StrengthModel, bracket: &Bracket, along: Vec3) {
    let hold = held(bracket.kind, along, bracket.stiffness);
    match &bracket.holds {
        Holds::Run { run, at } => add(model, run, *at, Fitting::Hold(hold)),
        Holds::Collector(name) => {
            if let Some(k) = model.collectors.iter().position(|c| c == name) {
                model.frame.bodies[k].holds.push(hold);
            }
        }
    }
}

fn slide(job: &Job, slip: &SlipJoint, push: f64) -> Slide {
    let radius = 0.5 * job.tube_of(&slip.run).od * MM;
    let springs = if slip.springs { [SLIP_SPRINGS, SLIP_SPRINGS * radius * radius] } else { [0.0; 2] };
    Slide { springs, push }
}

/// Lets every slip joint of the job slide against its friction, or stick where it carries less than that, and says what it does.
///
/// # Errors
/// [`FrameError`]: what nothing holds.
pub fn settle_slips(job: &Job, model: &mut StrengthModel) -> Result<Vec<SlipAnswer>, FrameError> {
    let slips = &job.parts.slips;
    if slips.is_empty() {
        return Ok(Vec::new());
    }
    let free = model.frame.stand()?;
    let mut locked = model.frame.clone();
    for slip in slips {
        replace(&mut locked, model, slip, Fitting::Mass(0.0));
    }
    let standing = locked.stand()?;
    let mut answers = Vec::new();
    for slip in slips {
        let Some(run) = model.runs.iter().position(|r| r.run == slip.run) else { continue };
        let at = slip.at * MM;
        let here = |d: f64| (d - at).abs() <= TOGETHER;
        let slides = free.slides.iter().find(|s| s.0 == run && here(s.1)).map_or(0.0, |s| s.2);
        let stretch = standing.stretches[run].iter().find(|s| here(s.from));
        let axial = |s: &strength::frame::StretchForces| {
            let [x, y, z, ..] = s.ends[0];
            Vec3::new(x, y, z).dot(s.shape.direction(0.0))
        };
        let locked = stretch.map_or(0.0, axial);
        answers.push(SlipAnswer { run, at: slip.at, slides: slides / MM, locked, friction: slip.friction });
    }
    for (slip, answer) in slips.iter().zip(&mut answers) {
        let fitting = if answer.sticks() {
            answer.slides = 0.0;
            Fitting::Mass(0.0)
        } else {
            // Friction works against the way it goes.
            Fitting::Slip(slide(job, slip, slip.friction * answer.slides.signum()))
        };
        let mut frame = std::mem::take(&mut model.frame);
        replace(&mut frame, model, slip, fitting);
        model.frame = frame;
    }
    Ok(answers)
}

fn replace(frame: &mut strength::frame::Frame, model: &StrengthModel, slip: &SlipJoint, fitting: Fitting) {
    let Some(k) = model.runs.iter().position(|r| r.run == slip.run) else { return };
    let here = |(at, f): &&mut (f64, Fitting)| (*at - slip.at * MM).abs() < 1e-9 && matches!(f, Fitting::Slip(_));
    if let Some((_, old)) = frame.tubes[k].fittings.iter_mut().find(here) {
        *old = fitting;
    }
}
