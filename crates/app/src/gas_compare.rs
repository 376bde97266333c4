//! Headers side by side: the cylinders of one as routed and with equal lengths, other pairings of the same tubes, and
//! other routes of the same job.

use gas::cycle::{Point, Settings};
use gas::engine::{Link, Merging, Pipe};
use job::model::Job;
use job::routes::Routes;
use job::{Monitor, Problems};
use serde::Serialize;
use utoipa::ToSchema;

use crate::gas_curve::{Fineness, GasCurve, gas_curve};
use crate::gas_model::{GasModel, gas_model, gas_model_sampled, sample_seed};
use crate::gas_speeds::{GasProgress, Speeds, mean_torque, run};
use crate::summary::{figure, rounded};

/// Part of a primary's length that a pairing leaves to it; the rest is its secondary (common practice, no source).
const BEFORE_PAIR: f64 = 0.6;
/// Inside diameter of a secondary over that of two primaries: 1.25 (common practice, no source).
const SECONDARY: f64 = 1.25;
/// Pairs of four cylinders, as numbers in their order.
const PAIRS: [[[usize; 2]; 2]; 3] = [[[0, 3], [1, 2]], [[0, 1], [2, 3]], [[0, 2], [1, 3]]];

/// What unevenness costs.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Unevenness {
    /// Engine speeds, rpm.
    pub rpm: Vec<f64>,
    /// The cylinders.
    pub cylinders: Vec<CylinderShare>,
    /// Mean torque as routed, N m.
    pub routed_mean_torque_nm: f64,
    /// Mean torque with every primary at their mean length, N m.
    pub equal_mean_torque_nm: f64,
}

/// What one cylinder traps beside the others.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CylinderShare {
    /// The cylinder.
    pub cylinder: u32,
    /// Length of its primary from the port face, mm.
    pub length_mm: f64,
    /// That less the mean of all, mm.
    pub longer_mm: f64,
    /// Trapped mass above the mean of all cylinders by speed, as routed, %.
    pub routed_percent: Vec<f64>,
    /// The same with equal lengths: what is left comes from the order of firing and the bends.
    pub equal_percent: Vec<f64>,
}

/// The cylinders of a header as routed and with equal lengths.
///
/// # Errors
/// That it was stopped, or at which speed the gas came to impossible values.
pub fn unevenness(
    model: &GasModel,
    speeds: &Speeds,
    monitor: &mut Monitor<'_, GasProgress>,
) -> Result<Unevenness, Problems> {
    let rpm = speeds.list();
    let n = model.primaries.len();
    let mean = model.primaries.iter().sum::<f64>() / n as f64;
    let routed = run(model, &rpm, &Settings::default(), monitor)?;
    let equal = run(&model.with_primaries(&vec![mean; n]), &rpm, &Settings::default(), monitor)?;
    let share = |points: &[Point], c: usize| points.iter().map(|p| above_mean(p, c)).collect();
    let cylinders = (0..n).map(|c| CylinderShare {
        cylinder: model.cylinders[c],
        length_mm: rounded(model.primaries[c]),
        longer_mm: rounded(model.primaries[c] - mean),
        routed_percent: share(&routed, c),
        equal_percent: share(&equal, c),
    });
    Ok(Unevenness {
        cylinders: cylinders.collect(),
        routed_mean_torque_nm: rounded(mean_torque(&routed)),
        equal_mean_torque_nm: rounded(mean_torque(&equal)),
        rpm,
    })
}

fn above_mean(point: &Point, c: usize) -> f64 {
    let mean = point.cylinders.iter().map(|c| c.trapped).sum::<f64>() / point.cylinders.len() as f64;
    rounded(100.0 * (point.cylinders[c].trapped / mean - 1.0))
}

/// One of several headers.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Compared {
    /// What it is.
    pub name: String,
    /// Its curve.
    pub curve: GasCurve,
    /// In which share of samples of what is unknown it beats the first; null for the first and without samples.
    pub beats_first: Option<f64>,
}

/// The header as drawn beside its tubes in pairs: 4-into-1 against the three ways of 4-into-2-into-1. `None` where four
/// primaries do not lead into one collector.
///
/// # Errors
/// That it was stopped, or at which speed the gas came to impossible values.
pub fn compare_pairings(
    model: &GasModel,
    speeds: &Speeds,
    monitor: &mut Monitor<'_, GasProgress>,
) -> Result<Option<Vec<Compared>>, Problems> {
    let one = (0..model.primaries.len()).all(|k| model.engine.pipes[k].ends[1] == Link::Junction(0));
    if model.primaries.len() != 4 || !one {
        return Ok(None);
    }
    let mut all = vec![Compared {
        name: "4-into-1 as drawn".into(),
        curve: gas_curve(model, speeds, Fineness::Fine, monitor)?,
        beats_first: None,
    }];
    for pairs in PAIRS {
        let [[a, b], [c, d]] = pairs.map(|pair| pair.map(|i| model.cylinders[i]));
        let curve = gas_curve(&model.paired(pairs), speeds, Fineness::Fine, monitor)?;
        all.push(Compared {
            name: format!("4-into-2-into-1, {a} with {b} and {c} with {d}"),
            curve,
            beats_first: None,
        });
    }
    Ok(Some(all))
}

impl GasModel {
    /// The same with primaries in two pairs, each with a secondary to the collector; from valve to collector it is as long.
    fn paired(&self, pairs: [[usize; 2]; 2]) -> GasModel {
        let lengths: Vec<f64> = self.primaries.iter().map(|l| l * BEFORE_PAIR).collect();
        let mut model = self.with_primaries(&lengths);
        let junctions = model.collectors.len();
        let lean = model.engine.merging.first().map_or(0.0, |m| m.lean);
        for (p, pair) in pairs.iter().enumerate() {
            let junction = junctions + p;
            for c in pair {
                model.engine.pipes[*c].ends[1] = Link::Junction(junction);
            }
            let primary = &model.engine.pipes[pair[0]];
            let d = primary.profile.last().map_or(0.0, |p| p.1);
            let length = 1e-3 * (1.0 - BEFORE_PAIR) * pair.iter().map(|c| self.primaries[*c]).sum::<f64>() / 2.0;
            let inside = d * 2.0_f64.sqrt();
            let taper = (0.1_f64).min(0.5 * length);
            let secondary = Pipe {
                ends: [Link::Junction(junction), Link::Junction(0)],
                profile: vec![(0.0, inside), (taper, SECONDARY * d)],
                length,
                bends: Vec::new(),
                ..primary.clone()
            };
            model.engine.merging.push(Merging { junction, trunk: model.engine.pipes.len(), lean });
            model.engine.pipes.push(secondary);
        }
        model
    }
}

/// The routes of a job beside other routes of it, each with its name; with samples, how sure each comparison is.
///
/// # Errors
/// Routes that are not whole; that it was stopped.
pub fn compare_routes(
    job: &Job,
    all: &[(String, &Routes)],
    speeds: &Speeds,
    (samples, seed): (usize, u64),
    monitor: &mut Monitor<'_, GasProgress>,
) -> Result<Vec<Compared>, Problems> {
    let mut compared = Vec::new();
    for (name, routes) in all {
        let curve = gas_curve(&gas_model(job, routes)?, speeds, Fineness::Fine, monitor)?;
        compared.push(Compared { name: name.clone(), curve, beats_first: None });
    }
    if samples == 0 {
        return Ok(compared);
    }
    let mut wins = vec![0_usize; all.len()];
    for i in 0..samples {
        let mut first = 0.0;
        for (k, (_, routes)) in all.iter().enumerate() {
            let model = gas_model_sampled(job, routes, sample_seed(seed, i))?;
            let mean = gas_curve(&model, speeds, Fineness::Coarse, monitor)?.mean_torque_nm;
            if k == 0 {
                first = mean;
            }
            wins[k] += usize::from(mean > first);
        }
    }
    for (compared, wins) in compared.iter_mut().zip(wins).skip(1) {
        compared.beats_first = Some(figure(wins as f64 / samples as f64));
    }
    Ok(compared)
}
