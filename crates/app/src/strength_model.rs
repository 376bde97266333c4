//! The hot header as a frame, made from a job and its routes.
//!
//! Every run is a tube; every collector that is entered a rigid body with its mass. A primary is built in at its port, which
//! moves as an aluminium head grows; a collector's free outlet is free. Heat comes from a steady mean flow at peak power.

mod assumed;
mod header;
mod hot;
mod kept_gas;
mod on_tubes;

use cutplan::quote::body_mass;
use geom::Vec3;
use job::Problems;
use job::catalogue::{self, Series};
use job::inlets::entering_tube;
use job::model::{Collector, Job};
use job::parts::misplaced;
use job::routes::{Route, Routes, RunId};
use strength::frame::{Body, End, Fitting, Frame, Slide, Tube as FrameTube};
use strength::material::Material;
use strength::section::{Flexibility, Section};
use strength::stress::{Worst, allowable};
use strength::table::Table;

use crate::strength_answer::GasSource;

pub use assumed::{Allowable, CYCLES, allowable_of};
use header::trouble;
pub use header::{Assumed, HotRun, MM, SlipAnswer, StrengthModel, ZERO_C, loose, not_held};
use hot::{Flow, Gas};
use kept_gas::KeptGas;
pub use on_tubes::{growth, held};

/// Temperature at which the header is built, K.
const COLD: f64 = 293.15;

/// Makes the model of a job; `gas` is the text of its kept gas answer, if any: one that is not of this job is not used, and
/// [`StrengthModel::gas`] says so.
///
/// # Errors
/// Engine data that is missing, routes that are no tubes, a material without figures, parts where they cannot be, what nothing
/// holds.
pub fn strength_model(job: &Job, routes: &Routes, gas: Option<&str>) -> Result<StrengthModel, Problems> {
    let misplaced = misplaced(job, routes);
    if !misplaced.is_empty() {
        return Err(Problems(misplaced.into_iter().map(|p| p.in_file("job.toml")).collect()));
    }
    let flow = Flow::of(job)?;
    let read = gas.map(|text| KeptGas::read(text, job, routes));
    let gas = Gas { flow, kept: read.as_ref().and_then(|r| r.as_ref().ok()) };
    let mut model = StrengthModel {
        frame: Frame::default(),
        runs: Vec::new(),
        collectors: Vec::new(),
        assumed: assumed::list(job, &gas),
        gas: GasSource {
            rpm: gas.kept.map(|k| k.rpm),
            along_runs: gas.kept.is_some_and(KeptGas::is_along_runs),
            refused: read.as_ref().and_then(|r| r.as_ref().err().copied()),
        },
        notes: vec![
            "the far end of every collector and tail is free but for the job's brackets: say what holds it before you trust \
             a frequency"
                .into(),
        ],
        slips: Vec::new(),
        air: flow.air,
        cycles: job.heat.cycles.unwrap_or(CYCLES),
    };
    let entered: Vec<&Collector> =
        job.collectors.iter().filter(|c| routes.runs.iter().any(|r| r.collector == c.name)).collect();
    model.collectors = entered.iter().map(|c| c.name.clone()).collect();
    // The gas of a secondary comes out of the primaries before it: the order of the routes is that of the flow.
    for route in &routes.runs {
        let (run, tube) = hot_tube(job, route, &gas, &model)?;
        model.runs.push(run);
        model.frame.tubes.push(tube);
    }
    for collector in entered {
        let body = rigid_body(job, collector, &model)?;
        model.frame.bodies.push(body);
    }
    on_tubes::add_parts(job, &mut model)?;
    model.slips = on_tubes::settle_slips(job, &mut model).map_err(|e| not_held(&model, e))?;
    Ok(model)
}

/// The share of the allowable range that a run's greatest range is, at the temperature of its place; `None` where the material
/// has no known allowable.
pub fn share_of(model: &StrengthModel, run: usize, worst: &Worst) -> Option<f64> {
    let (run, cycles) = (&model.runs[run], model.cycles);
    let limits = allowable_of(&run.material)?;
    let here = run.temperatures[1].wall(worst.at) - ZERO_C;
    Some(worst.range / allowable(limits.cold * 1e6, limits.at(here) * 1e6, cycles))
}

fn hot_tube(job: &Job, route: &Route, gas: &Gas<'_>, before: &StrengthModel) -> Result<(HotRun, FrameTube), Problems> {
    let line = route.centreline().map_err(|_| trouble(&route.run, "its points and radii do not make a tube"))?;
    let tube = job.tube_of(&route.run);
    let section = Section { od: tube.od * MM, wall: tube.wall * MM };
    let known = catalogue::material(&tube.material)
        .ok_or_else(|| trouble(&route.run, &format!("no figures of {} are known", tube.material)))?;
    let temperatures = hot::temperatures(route, &line, section, known, (gas, job.heat.cover(&route.run)), before)?;
    let wall = temperatures[1].wall_table().map_err(|_| trouble(&route.run, "its temperatures are not numbers"))?;
    let length = line.length() * MM;
    let place = |name: &str| before.collectors.iter().position(|c| c == name);
    let start = match &route.run {
        RunId::Primary { cylinder } => port_end(job, *cylinder),
        RunId::Secondary { from } | RunId::Tail { from } => place(from).map_or(End::Free, End::Body),
    };
    let slid = job.collectors.iter().any(|c| c.name == route.collector && c.is_slid_into());
    let fittings = if slid { vec![(length, Fitting::Slip(Slide::default()))] } else { Vec::new() };
    let tube = FrameTube {
        end: place(&route.collector).map_or(End::Free, End::Body),
        line,
        section,
        material: metal(known),
        flexibility: Flexibility::Code,
        temperature: wall,
        start,
        // A tube ends in its collector: the joint slides just before it.
        fittings: fittings.into_iter().map(|(at, f)| (at - 2.0 * MM, f)).collect(),
    };
    Ok((HotRun { run: route.run.clone(), material: known.name.clone(), temperatures }, tube))
}

/// A port moves with the head, from the middle of the ports of this header.
fn port_end(job: &Job, cylinder: u32) -> End {
    let ports: Vec<Vec3> = job.ports.iter().map(|p| p.at).collect();
    let middle = ports.iter().copied().sum::<Vec3>() / ports.len().max(1) as f64;
    let at = job.ports.iter().find(|p| p.cylinder == cylinder).map_or(middle, |p| p.at);
    let [x, y, z] = ((at - middle) * MM * assumed::HEAD_GROWTH).to_array();
    End::Fixed([x, y, z, 0.0, 0.0, 0.0])
}

fn rigid_body(job: &Job, collector: &Collector, model: &StrengthModel) -> Result<Body, Problems> {
    let tube = entering_tube(job, collector);
    let metal_of = catalogue::material(&tube.material);
    let hottest = model.runs.iter().zip(&model.frame.tubes).filter(|(_, t)| t.end == ends_on(model, collector));
    let hot = hottest.map(|(run, t)| run.temperatures[1].wall(t.line.length() * MM)).fold(COLD, f64::max);
    let offset = collector.body.as_ref().map_or(Vec3::ZERO, |b| collector.axis * (0.5 * b.length * MM));
    Ok(Body {
        at: collector.at * MM,
        held: false,
        growth: metal_of.map_or(0.0, |m| metal(m).growth(hot)),
        mass: body_mass(job, collector),
        offset,
        inertia: [0.0; 3],
        spring: [0.0; 6],
        holds: Vec::new(),
        load: [0.0; 6],
    })
}

fn ends_on(model: &StrengthModel, collector: &Collector) -> End {
    model.collectors.iter().position(|c| *c == collector.name).map_or(End::Free, End::Body)
}

/// A material of the catalogue as a frame needs it.
fn metal(known: &catalogue::Material) -> Material {
    let table = |series: &Series, scale: f64, other: f64| {
        let rows: Vec<(f64, f64)> =
            series.points.iter().filter(|p| p.0.is_finite()).map(|p| (p.0 + ZERO_C, p.1 * scale)).collect();
        Table::new(rows).unwrap_or_else(|_| Table::constant(other))
    };
    Material {
        young: table(&known.modulus, 1e9, assumed::YOUNG),
        poisson: 0.3,
        density: known.density,
        expansion: table(&known.expansion, 1e-6, assumed::EXPANSION),
        reference: COLD,
    }
}
