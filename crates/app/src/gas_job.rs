//! Torque and breathing of a job's engine over its speed, as text and as JSON; and what the strength of a header takes of it.

use gas::cycle::{Point, Settings};
use job::model::Job;
use job::routes::Routes;
use job::{Monitor, Problems};
use serde_json::{Value, json};

use crate::gas_model::{GasModel, gas_model};
use crate::gas_more::More;
use crate::gas_speeds::{GasProgress, Speeds, run, spread};
use crate::gas_waves::gas_waves;
use crate::gas_worth::Worth;
use crate::report_table::{heads, row, table};
use crate::summary::{figure, rounded};

/// Torque and breathing over engine speed.
pub struct GasReport<'a> {
    /// The job.
    pub job: &'a Job,
    /// What was computed.
    pub model: GasModel,
    /// One for each speed.
    pub points: Vec<Point>,
    /// What the length of the primaries is worth, when asked for.
    pub worth: Option<Worth>,
    /// What else was asked.
    pub more: More,
}

/// Runs the engine of a job with the exhaust of its routes.
///
/// # Errors
/// Problems of the job ([`gas_model`]), that it was stopped, or at which speed the gas came to impossible values.
pub fn gas_job<'a>(
    job: &'a Job,
    routes: &Routes,
    speeds: &Speeds,
    monitor: &mut Monitor<'_, GasProgress>,
) -> Result<GasReport<'a>, Problems> {
    let model = gas_model(job, routes)?;
    let points = run(&model, &speeds.list(), &Settings::default(), monitor)?;
    Ok(GasReport { job, model, points, worth: None, more: More::default() })
}

/// What the strength of a header takes its heat from: the gas at peak power and along the runs, in the form of a kept answer
/// without all else. `None` when the job does not say enough of its engine, or the gas does not settle.
pub fn gas_at_peak(job: &Job, routes: &Routes) -> Option<String> {
    let rpm = job.engine.as_ref()?.peak_power_rpm?;
    let mut monitor = Monitor::silent();
    let mut report = gas_job(job, routes, &Speeds { from: rpm, to: rpm, step: 1.0 }, &mut monitor).ok()?;
    report.more.waves.push(gas_waves(&report.model, rpm, &mut monitor).ok()?);
    let all = report.to_json();
    let waves = &all["waves"][0];
    let along = |run: &Value| json!({"name": run["name"], "at_mm": run["at_mm"], "gas_k": run["gas_k"]});
    let runs: Vec<Value> = waves["runs"].as_array()?.iter().map(along).collect();
    let waves = json!([{"rpm": waves["rpm"], "settled": waves["settled"], "runs": runs}]);
    Some(json!({"mark": all["mark"], "points": all["points"], "waves": waves}).to_string())
}

impl GasReport<'_> {
    /// As one JSON object.
    pub fn to_json(&self) -> Value {
        let points: Vec<Value> = self.points.iter().map(|p| self.point_json(p)).collect();
        let best = |pick: fn(&Point) -> f64| {
            let best = self.points.iter().max_by(|a, b| pick(a).total_cmp(&pick(b)));
            best.map(|p| json!({"rpm": rounded(p.rpm), "value": rounded(pick(p))}))
        };
        let mut answer = json!({
            "format": 1,
            "job": self.job.name,
            "mark": self.model.mark(),
            "absolute_values_are_optimistic": true,
            "cylinders": self.model.cylinders,
            "primaries_mm": self.model.primaries.iter().map(|l| rounded(*l)).collect::<Vec<f64>>(),
            "points": points,
            "peak_torque_nm": best(|p| p.torque),
            "peak_power_kw": best(|p| p.power * 1e-3),
            "defaults": self.model.assumed,
            "notes": self.model.notes,
            "worth": self.worth.as_ref().map(Worth::to_json),
        });
        if let (Value::Object(all), Ok(Value::Object(more))) = (&mut answer, serde_json::to_value(&self.more)) {
            all.extend(more);
        }
        answer
    }

    fn point_json(&self, p: &Point) -> Value {
        let cylinders = p.cylinders.iter().zip(&self.model.cylinders);
        let cylinders = cylinders.map(|(c, number)| {
            json!({
                "cylinder": number,
                "trapped_mg": figure(c.trapped * 1e6),
                "residual": figure(c.residual),
                "exhaust_k": rounded(c.exhaust_k),
                "peak_kpa": rounded(c.peak * 1e-3),
            })
        });
        json!({
            "rpm": rounded(p.rpm),
            "torque_nm": rounded(p.torque),
            "power_kw": rounded(p.power * 1e-3),
            "volumetric_efficiency": figure(p.volumetric_efficiency),
            "indicated_kpa": rounded(p.indicated * 1e-3),
            "pumping_kpa": rounded(p.pumping * 1e-3),
            "friction_kpa": rounded(p.friction * 1e-3),
            "trapped_spread_percent": figure(spread(p)),
            "cylinders": cylinders.collect::<Vec<Value>>(),
            "cycles": p.cycles,
            "settled": p.settled,
            "residual": figure(p.residual),
        })
    }

    /// As text.
    pub fn text(&self) -> String {
        let mut out = format!(
            "Gas in the routed tubes of {}. Absolute torque is optimistic; compare headers by it, do not promise it.\n\n",
            self.job.name
        );
        let head = ["rpm", "Nm", "kW", "vol. eff.", "pumping kPa", "trapped mg", "spread %", "cycles"];
        let mut rows = vec![heads(head)];
        for p in &self.points {
            let mean = p.cylinders.iter().map(|c| c.trapped).sum::<f64>() / p.cylinders.len() as f64;
            rows.push(row([
                format!("{:.0}", p.rpm),
                format!("{:.1}", p.torque),
                format!("{:.1}", p.power * 1e-3),
                format!("{:.3}", p.volumetric_efficiency),
                format!("{:.1}", p.pumping * 1e-3),
                format!("{:.1}", mean * 1e6),
                format!("{:.2}", spread(p)),
                if p.settled { p.cycles.to_string() } else { format!("{} not settled", p.cycles) },
            ]));
        }
        out.push_str(&table(&rows));
        for p in self.points.iter().filter(|p| !p.settled) {
            out.push_str(&format!(
                "  {:.0} rpm did not settle: the last cycle still changed by {:.2} %\n",
                p.rpm,
                100.0 * p.residual
            ));
        }
        for note in &self.model.notes {
            out.push_str(&format!("  {note}\n"));
        }
        if let Some(worth) = &self.worth {
            out.push_str(&worth.text(self.job.units));
        }
        out.push_str(&self.more.text(self.job.units));
        if !self.model.assumed.is_empty() {
            out.push_str("\nNot given, and taken as:\n\n");
            let mut rows = vec![heads(["what", "value", "range", "source"])];
            for a in &self.model.assumed {
                let unit = if a.unit.is_empty() { String::new() } else { format!(" {}", a.unit) };
                let value = format!("{}{unit}", figure(a.value));
                let range = format!("{} to {}", figure(a.low), figure(a.high));
                rows.push(row([a.what.into(), value, range, a.source.into()]));
            }
            out.push_str(&table(&rows));
        }
        out
    }
}
