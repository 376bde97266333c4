//! Pressures at the valves of a running engine, where its reflections come from, the wave picture of a run, and the gas
//! along every pipe, at one engine speed.
//!
//! Arrivals are those of small waves that start when an exhaust valve opens and run through the gas as it is in the mean
//! over the cycle: each way along a pipe takes the sum of dx / (c + u) or dx / (c - u). Steep pulses are a little faster.

mod angles;
mod arrivals;
mod entries;

use gas::cycle::{Point, Settings};
use gas::trace::{Along, Record};
use job::{Monitor, Problems};
use serde::Serialize;
use utoipa::ToSchema;

use crate::gas_model::GasModel;
use crate::gas_speeds::{GasProgress, run};
use crate::summary::figure;

use angles::{ANGLES, ascending, degrees};
pub use arrivals::{Arrival, Origin};
pub use entries::EntryPulse;

/// What the gas does at one speed.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct GasWaves {
    /// Engine speed, rpm.
    pub rpm: f64,
    /// Whether cycles repeated.
    pub settled: bool,
    /// Pressures at the valves of every cylinder.
    pub cylinders: Vec<ValvePressures>,
    /// The picture of every run that gas leaves by: a primary with what is behind its collector.
    pub pictures: Vec<WavePicture>,
    /// Gas along every pipe of the exhaust.
    pub runs: Vec<RunGas>,
    /// How much of one group's pulse reaches the other group's entry of a turbine; one for each group of a divided flange.
    pub entries: Vec<EntryPulse>,
}

/// Pressures at the valves of one cylinder.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ValvePressures {
    /// The cylinder.
    pub cylinder: u32,
    /// Degrees of crank from the top dead centre at which it fires, ascending.
    pub angle_deg: Vec<f64>,
    /// Absolute pressure in the pipe at the exhaust valves, kPa.
    pub exhaust_kpa: Vec<f64>,
    /// In the cylinder, kPa.
    pub cylinder_kpa: Vec<f64>,
    /// In the pipe at the intake valves, kPa.
    pub intake_kpa: Vec<f64>,
    /// Lift of the exhaust valves, mm.
    pub exhaust_lift_mm: Vec<f64>,
    /// Lift of the intake valves, mm.
    pub intake_lift_mm: Vec<f64>,
    /// Waves that come back to its exhaust valves, ascending.
    pub arrivals: Vec<Arrival>,
}

/// Pressure along a run over crank angle.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct WavePicture {
    /// The cylinder whose primary it is.
    pub cylinder: u32,
    /// Distance from its exhaust valves, ascending, mm.
    pub at_mm: Vec<f64>,
    /// Where one pipe ends and the next begins, mm.
    pub joints_mm: Vec<f64>,
    /// Degrees of crank from its firing, ascending.
    pub angle_deg: Vec<f64>,
    /// Absolute pressure by angle and distance, kPa.
    pub kpa: Vec<Vec<f64>>,
}

/// Means over the cycle along a pipe.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RunGas {
    /// Name of the pipe: `primary 1`, or what is behind a collector.
    pub name: String,
    /// From where it begins: the exhaust valves, or where the tubes of a collector end, mm.
    pub at_mm: Vec<f64>,
    /// Temperature of the gas, K.
    pub gas_k: Vec<f64>,
    /// Heat to the wall, W/m.
    pub heat_w_per_m: Vec<f64>,
}

/// Runs a model at one speed and keeps what the gas does.
///
/// # Errors
/// That it was stopped, or that the gas came to impossible values.
pub fn gas_waves(model: &GasModel, rpm: f64, monitor: &mut Monitor<'_, GasProgress>) -> Result<GasWaves, Problems> {
    let points = run(model, &[rpm], &Settings { trace: ANGLES, ..Settings::default() }, monitor)?;
    let entries = entries::entry_pulses(model, rpm, monitor)?;
    Ok(GasWaves { entries, ..waves_of(model, &points[0]) })
}

/// The same of a point that was computed with a record; empty without one.
pub(crate) fn waves_of(model: &GasModel, point: &Point) -> GasWaves {
    let nothing = Record::default();
    let record = point.record.as_ref().unwrap_or(&nothing);
    let cylinders = (0..record.traces.len()).map(|c| valves(model, record, c, point.rpm)).collect();
    let pictures = (0..record.traces.len()).map(|c| picture(model, record, c)).collect();
    let exhaust = model.names.iter().zip(&record.along);
    let runs = exhaust.map(|(name, along)| run_gas(name, along)).collect();
    GasWaves { rpm: point.rpm, settled: point.settled, cylinders, pictures, runs, entries: Vec::new() }
}

fn kpa(pressures: &[f64]) -> Vec<f64> {
    pressures.iter().map(|p| figure(p * 1e-3)).collect()
}

fn valves(model: &GasModel, record: &Record, c: usize, rpm: f64) -> ValvePressures {
    let trace = &record.traces[c];
    let order = ascending(&trace.angle);
    let sorted = |lane: &[f64]| order.iter().map(|i| lane[*i]).collect::<Vec<f64>>();
    let angle = sorted(&trace.angle);
    let lift = |gear: &gas::cylinder::ValveGear| angle.iter().map(|a| figure(gear.lift_at(*a) * 1e3)).collect();
    ValvePressures {
        cylinder: model.cylinders[c],
        exhaust_kpa: kpa(&sorted(&trace.exhaust)),
        cylinder_kpa: kpa(&sorted(&trace.cylinder)),
        intake_kpa: kpa(&sorted(&trace.intake)),
        exhaust_lift_mm: lift(&model.engine.exhaust),
        intake_lift_mm: lift(&model.engine.intake),
        arrivals: arrivals::arrivals(model, &record.along, c, rpm),
        angle_deg: angle.iter().map(|a| degrees(*a)).collect(),
    }
}

fn picture(model: &GasModel, record: &Record, c: usize) -> WavePicture {
    let pipes = model.path(c);
    let (mut at_mm, mut joints_mm, mut start) = (Vec::new(), Vec::new(), 0.0);
    for k in &pipes {
        let Along { dx, t, .. } = &record.along[*k];
        at_mm.extend((0..t.len()).map(|i| figure((start + (i as f64 + 0.5) * dx) * 1e3)));
        start += dx * t.len() as f64;
        joints_mm.push(figure(start * 1e3));
    }
    joints_mm.pop();
    let own: Vec<f64> =
        record.angle.iter().map(|a| (a - model.engine.firing[c]).rem_euclid(gas::cylinder::CYCLE)).collect();
    let order = ascending(&own);
    let row = |i: &usize| pipes.iter().flat_map(|k| kpa(&record.picture[*k][*i])).collect();
    WavePicture {
        cylinder: model.cylinders[c],
        at_mm,
        joints_mm,
        angle_deg: order.iter().map(|i| degrees(own[*i])).collect(),
        kpa: order.iter().map(row).collect(),
    }
}

fn run_gas(name: &str, along: &Along) -> RunGas {
    RunGas {
        name: name.to_string(),
        at_mm: (0..along.t.len()).map(|i| figure((i as f64 + 0.5) * along.dx * 1e3)).collect(),
        gas_k: along.t.iter().map(|t| figure(*t)).collect(),
        heat_w_per_m: along.heat.iter().map(|q| figure(*q)).collect(),
    }
}
