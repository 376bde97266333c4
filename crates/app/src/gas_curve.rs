//! Curves of a header: as drawn, with other lengths, diameters or outlet; with bands; and maps of these over speed.
//!
//! What a page calls: [`crate::gas_model::gas_model`] once for a job, then
//! - [`gas_curve`] with [`Fineness::Coarse`], then [`Fineness::Fine`]: the curve of a model;
//! - [`Change::apply`] before it: the same with other sizes;
//! - [`gas_band`]: between which torques the curve lies when what is not known is picked at random;
//! - [`gas_map`]: torque over speed and one size;
//! - [`crate::gas_waves::gas_waves`]: pressures and the wave picture at one speed.
//!
//! All can be stopped, report progress, and give the same for any number of threads.

use gas::cycle::{Point, Settings};
use job::model::Job;
use job::routes::Routes;
use job::{Monitor, Problem, Problems};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::gas_model::{GasModel, Size, gas_model_sampled, sample_seed};
use crate::gas_speeds::{GasProgress, Speeds, mean_torque, run, spread};
use crate::gas_worth::optimum;
use crate::summary::rounded;

/// Length of a coarse cell, m.
const COARSE_DX: f64 = 0.040;
/// Change from cycle to cycle at which a coarse curve counts as settled.
const COARSE_TOLERANCE: f64 = 4e-3;
/// Length of a cell of a map, m: half the work of the fine curve's.
const MAP_DX: f64 = 0.030;
/// Speeds of a coarse curve at most.
const COARSE_SPEEDS: usize = 8;
/// Samples of a band at most.
pub const MOST_SAMPLES: usize = 500;
/// Values of a map at most.
pub const MOST_VALUES: usize = 40;
/// Diameters worth a look, over the drawn one.
const NEAR: [f64; 2] = [0.8, 1.3];
/// An eighth of an inch, mm: steps of tube sizes (common practice, no source).
const EIGHTH: f64 = 3.175;
/// A band leaves out this part of the samples at either side.
const OUTSIDE: f64 = 0.1;

/// How finely a curve is computed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum Fineness {
    /// Cells of 40 mm and at most 8 speeds: within about 1 %, for a slider that is being moved.
    Coarse,
    /// Cells of 20 mm, every speed.
    Fine,
}

/// Torque, power and breathing over engine speed.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct GasCurve {
    /// Length of every primary from the port face, mm.
    pub primaries_mm: Vec<f64>,
    /// Engine speeds, rpm.
    pub rpm: Vec<f64>,
    /// Torque at the crank, N m.
    pub torque_nm: Vec<f64>,
    /// Power, kW.
    pub power_kw: Vec<f64>,
    /// Fresh gas over what the swept volume holds of outside air.
    pub volumetric_efficiency: Vec<f64>,
    /// Greatest less least trapped mass over the mean, %.
    pub spread_percent: Vec<f64>,
    /// Mean torque of these speeds, N m.
    pub mean_torque_nm: f64,
    /// Whether every speed settled.
    pub settled: bool,
}

/// The curve of a model.
///
/// # Errors
/// That it was stopped, or at which speed the gas came to impossible values.
pub fn gas_curve(
    model: &GasModel,
    speeds: &Speeds,
    fineness: Fineness,
    monitor: &mut Monitor<'_, GasProgress>,
) -> Result<GasCurve, Problems> {
    let list = speeds.list();
    let (settings, list) = match fineness {
        Fineness::Fine => (Settings::default(), list),
        Fineness::Coarse => {
            let every = list.len().div_ceil(COARSE_SPEEDS).max(1);
            let last = list.last().copied();
            let mut few: Vec<f64> = list.into_iter().step_by(every).collect();
            few.extend(last.filter(|l| few.last() != Some(l)));
            (Settings { dx: COARSE_DX, tolerance: COARSE_TOLERANCE, ..Settings::default() }, few)
        }
    };
    let points = run(model, &list, &settings, monitor)?;
    Ok(GasCurve::of(model, &points))
}

impl GasCurve {
    /// The curve of speeds that are computed already.
    pub fn of(model: &GasModel, points: &[Point]) -> GasCurve {
        let pick = |f: fn(&Point) -> f64| points.iter().map(|p| rounded(f(p))).collect();
        GasCurve {
            primaries_mm: model.primaries.iter().map(|l| rounded(*l)).collect(),
            rpm: pick(|p| p.rpm),
            torque_nm: pick(|p| p.torque),
            power_kw: pick(|p| p.power * 1e-3),
            volumetric_efficiency: pick(|p| p.volumetric_efficiency),
            spread_percent: pick(spread),
            mean_torque_nm: rounded(mean_torque(points)),
            settled: points.iter().all(|p| p.settled),
        }
    }
}

/// Other sizes of a header, mm; what is not given stays as drawn.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Change {
    /// Length of every primary from the port face, 50 to 5000.
    pub length_mm: Option<f64>,
    /// Inside diameter of every primary, 10 to 200.
    pub diameter_mm: Option<f64>,
    /// Inside diameter of the outlet of every collector, 10 to 300.
    pub outlet_mm: Option<f64>,
}

impl Change {
    /// A change of one size, mm.
    pub fn of(size: Size, value: f64) -> Change {
        match size {
            Size::Length => Change { length_mm: Some(value), ..Change::default() },
            Size::Diameter => Change { diameter_mm: Some(value), ..Change::default() },
            Size::Outlet => Change { outlet_mm: Some(value), ..Change::default() },
        }
    }

    /// The model with these sizes.
    ///
    /// # Errors
    /// A size that is out of its range.
    pub fn apply(&self, model: &GasModel) -> Result<GasModel, Problems> {
        let mut changed = model.clone();
        for (value, [least, most], what) in [
            (self.length_mm, [50.0, 5000.0], "length_mm"),
            (self.diameter_mm, [10.0, 200.0], "diameter_mm"),
            (self.outlet_mm, [10.0, 300.0], "outlet_mm"),
        ] {
            if value.is_some_and(|v| !(least..=most).contains(&v)) {
                let problem = Problem::error("gas", format!("{what} is {}", value.unwrap_or(f64::NAN))).about(what);
                return Err(Problems::one(
                    problem.expected(format!("{least} to {most} mm")).hint("choose a tube that can be bought"),
                ));
            }
        }
        if let Some(length) = self.length_mm {
            changed = changed.with_primaries(&vec![length; model.primaries.len()]);
        }
        if let Some(diameter) = self.diameter_mm {
            changed.set_diameter(diameter);
        }
        if let Some(outlet) = self.outlet_mm {
            changed.set_outlet(outlet);
        }
        Ok(changed)
    }
}

/// Torque over engine speed and one size.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct GasMap {
    /// Which size changes.
    pub size: Size,
    /// Its value as drawn, mm; for lengths the mean.
    pub drawn_mm: f64,
    /// Its values, ascending, mm.
    pub values_mm: Vec<f64>,
    /// Engine speeds, rpm.
    pub rpm: Vec<f64>,
    /// Torque by value and speed, N m.
    pub torque_nm: Vec<Vec<f64>>,
    /// Mean torque by value, N m.
    pub mean_torque_nm: Vec<f64>,
    /// Value with the greatest mean torque, mm.
    pub best_mm: f64,
    /// Values around the best between which mean torque falls by 0.1 % at most, mm; at the end of what was tried: not known
    /// further.
    pub within_0_1_percent_mm: [f64; 2],
}

/// A map over `values`, mm; at most [`MOST_VALUES`] of them. Its cells are 30 mm: torques are within 0.4 % of those of the
/// fine curve.
///
/// # Errors
/// Values out of range; that it was stopped.
pub fn gas_map(
    model: &GasModel,
    speeds: &Speeds,
    size: Size,
    values: &[f64],
    monitor: &mut Monitor<'_, GasProgress>,
) -> Result<GasMap, Problems> {
    let rpm = speeds.list();
    let mut values: Vec<f64> = values.iter().copied().take(MOST_VALUES).collect();
    values.sort_by(f64::total_cmp);
    let settings = Settings { dx: MAP_DX, ..Settings::default() };
    let (mut torque_nm, mut mean_torque_nm) = (Vec::new(), Vec::new());
    for value in &values {
        let points = run(&Change::of(size, *value).apply(model)?, &rpm, &settings, monitor)?;
        torque_nm.push(points.iter().map(|p| rounded(p.torque)).collect());
        mean_torque_nm.push(rounded(mean_torque(&points)));
    }
    let best = (0..values.len()).max_by(|a, b| mean_torque_nm[*a].total_cmp(&mean_torque_nm[*b]));
    let best_mm = best.map_or(0.0, |i| values[i]);
    let pairs: Vec<[f64; 2]> = values.iter().zip(&mean_torque_nm).map(|(v, nm)| [*v, *nm]).collect();
    let flat = if pairs.is_empty() { [0.0; 2] } else { optimum(&pairs).1 };
    Ok(GasMap {
        size,
        drawn_mm: rounded(model.drawn(size)),
        values_mm: values,
        rpm,
        torque_nm,
        mean_torque_nm,
        best_mm,
        within_0_1_percent_mm: flat.map(rounded),
    })
}

/// Values worth a look: eleven lengths or outlets around the drawn one; the inside diameters of tubes that can be bought,
/// and where those are fewer than three, outside diameters by eighths of an inch with the wall of the primaries.
pub fn usual_values(job: &Job, model: &GasModel, size: Size) -> Vec<f64> {
    let drawn = model.drawn(size);
    if size != Size::Diameter {
        return (0..11).map(|i| (drawn * (0.70 + 0.06 * f64::from(i))).round()).collect();
    }
    let straights = job.stock.straights.iter().map(|s| s.od - 2.0 * s.wall);
    let bought = job.stock.bends.iter().map(|b| b.od - 2.0 * b.wall).chain(straights).chain([drawn]);
    let near = |ids: &mut dyn Iterator<Item = f64>| {
        let mut ids: Vec<f64> = ids.filter(|d| (NEAR[0] * drawn..=NEAR[1] * drawn).contains(d)).map(rounded).collect();
        ids.sort_by(f64::total_cmp);
        ids.dedup_by(|a, b| (*a - *b).abs() < 0.3);
        ids
    };
    let ids = near(&mut bought.into_iter());
    if ids.len() >= 3 {
        return ids;
    }
    let wall = job.primary.tube.wall;
    let eighths = (8..=24).map(|i| f64::from(i) * EIGHTH - 2.0 * wall);
    near(&mut eighths.chain(ids))
}

/// Between which torques a curve lies when everything that the job does not give is picked at random.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct GasBand {
    /// Engine speeds, rpm.
    pub rpm: Vec<f64>,
    /// A tenth of the samples lies below, N m.
    pub low_nm: Vec<f64>,
    /// A tenth lies above, N m.
    pub high_nm: Vec<f64>,
    /// How many samples.
    pub samples: usize,
}

/// The band of a job's header with coarse cells: what is not known moves it by far more than they do.
///
/// # Errors
/// Problems of the job; that it was stopped.
pub fn gas_band(
    job: &Job,
    routes: &Routes,
    speeds: &Speeds,
    (samples, seed): (usize, u64),
    monitor: &mut Monitor<'_, GasProgress>,
) -> Result<GasBand, Problems> {
    let mut curves: Vec<GasCurve> = Vec::new();
    let samples = samples.clamp(1, MOST_SAMPLES);
    for i in 0..samples {
        let model = gas_model_sampled(job, routes, sample_seed(seed, i))?;
        curves.push(gas_curve(&model, speeds, Fineness::Coarse, monitor)?);
    }
    let rpm = curves[0].rpm.clone();
    let (mut low_nm, mut high_nm) = (Vec::new(), Vec::new());
    for s in 0..rpm.len() {
        let mut torque: Vec<f64> = curves.iter().map(|c| c.torque_nm[s]).collect();
        torque.sort_by(f64::total_cmp);
        let out = (OUTSIDE * (samples - 1) as f64).round() as usize;
        low_nm.push(torque[out]);
        high_nm.push(torque[samples - 1 - out]);
    }
    Ok(GasBand { rpm, low_nm, high_nm, samples })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_bounded() {
        let change = Change { diameter_mm: Some(f64::NAN), ..Change::default() };
        assert!(change.diameter_mm.is_some_and(|v| !(10.0..=200.0).contains(&v)));
        assert_eq!(Change::of(Size::Outlet, 50.0).outlet_mm, Some(50.0));
    }
}
