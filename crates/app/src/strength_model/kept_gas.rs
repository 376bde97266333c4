//! Gas of a kept `gas` answer: mass flow and temperature of every cylinder, and along every run where waves were asked for.

use job::model::Job;
use job::routes::{Routes, RunId};
use serde_json::Value;
use strength::table::Table;

use super::header::MM;
use crate::gas_model::gas_model;
use crate::strength_answer::GasRefusal;

/// How far the speed of a kept answer may be from that of peak power, as a share of it: the mean flow is nearly proportional.
const NEAR_PEAK: f64 = 0.1;

/// What a kept answer says.
#[derive(Debug, Clone, PartialEq)]
pub struct KeptGas {
    /// Engine speed, rpm.
    pub rpm: f64,
    cylinders: Vec<OfCylinder>,
    /// Runs by name with the gas along them, K over m from the port face or from where they leave a collector.
    runs: Vec<(String, Table)>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct OfCylinder {
    number: u32,
    mass: f64,
    leaves: f64,
}

impl KeptGas {
    /// Reads an answer of these very tubes and this engine, at its speed nearest to peak power.
    ///
    /// # Errors
    /// Why it cannot be used.
    pub fn read(text: &str, job: &Job, routes: &Routes) -> Result<KeptGas, GasRefusal> {
        let gas: Value = serde_json::from_str(text).map_err(|_| GasRefusal::Unreadable)?;
        let mark = gas["mark"].as_str().ok_or(GasRefusal::Unreadable)?;
        if gas_model(job, routes).map_or(true, |model| model.mark() != mark) {
            return Err(GasRefusal::Stale);
        }
        let peak = job.engine.as_ref().and_then(|e| e.peak_power_rpm).unwrap_or(0.0);
        let off = |of: &Value| of["rpm"].as_f64().map_or(f64::INFINITY, |rpm| (rpm / peak - 1.0).abs());
        let nearest = |list: &Value| {
            let all = list.as_array()?.iter().filter(|p| p["settled"] == true && off(p) <= NEAR_PEAK);
            all.min_by(|a, b| off(a).total_cmp(&off(b))).cloned()
        };
        let point = nearest(&gas["points"]).ok_or(GasRefusal::NoSpeed)?;
        let rpm = point["rpm"].as_f64().unwrap_or(peak);
        let cylinders: Option<Vec<OfCylinder>> =
            point["cylinders"].as_array().map_or(&[][..], Vec::as_slice).iter().map(|c| cylinder(c, rpm)).collect();
        let cylinders = cylinders.filter(|c| !c.is_empty()).ok_or(GasRefusal::Unreadable)?;
        let runs = nearest(&gas["waves"]).map_or_else(Vec::new, |waves| along(&waves["runs"], routes));
        Ok(KeptGas { rpm, cylinders, runs })
    }

    /// Whether it has the gas along the runs.
    pub fn is_along_runs(&self) -> bool {
        !self.runs.is_empty()
    }

    /// Mass flow, kg/s, and temperature, K, of the gas that leaves a cylinder.
    pub fn cylinder(&self, number: u32) -> Option<[f64; 2]> {
        self.cylinders.iter().find(|c| c.number == number).map(|c| [c.mass, c.leaves])
    }

    /// The gas along a run, K over m.
    pub fn along(&self, run: &RunId) -> Option<&Table> {
        let name = run.to_string();
        self.runs.iter().find(|(of, _)| *of == name).map(|(_, table)| table)
    }
}

/// What leaves is what was trapped less what stays of the burned gas.
fn cylinder(of: &Value, rpm: f64) -> Option<OfCylinder> {
    let figure = |key: &str| of[key].as_f64();
    let fresh = figure("trapped_mg")? * 1e-6 * (1.0 - figure("residual")?.clamp(0.0, 0.9));
    let number = u32::try_from(of["cylinder"].as_u64()?).ok()?;
    let of = OfCylinder { number, mass: fresh * rpm / 120.0, leaves: figure("exhaust_k")? };
    (of.mass > 0.0 && (300.0..2500.0).contains(&of.leaves)).then_some(of)
}

/// Pipes that are runs. That of a primary begins at its valves: what it is longer than the run lies in the head.
fn along(runs: &Value, routes: &Routes) -> Vec<(String, Table)> {
    let column =
        |of: &Value, key: &str| -> Option<Vec<f64>> { of[key].as_array()?.iter().map(Value::as_f64).collect() };
    let table = |of: &Value| {
        let name = of["name"].as_str()?;
        let route = routes.runs.iter().find(|r| r.run.to_string() == name)?;
        let (at, gas) = (column(of, "at_mm")?, column(of, "gas_k")?);
        let (first, last) = (at.first()?, at.last()?);
        let before = (first + last - route.centreline().ok()?.length()).max(0.0);
        let rows = at.iter().zip(gas).map(|(mm, k)| ((mm - before) * MM, k.clamp(250.0, 2500.0))).collect();
        Some((name.to_string(), Table::new(rows).ok()?))
    };
    runs.as_array().map_or(&[][..], Vec::as_slice).iter().filter_map(table).collect()
}
