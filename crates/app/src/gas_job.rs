//! Torque and breathing of a job's engine over its speed, as text and as JSON.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use gas::cycle::{CycleError, Point, Settings, Sweep};
use job::model::Job;
use job::routes::Routes;
use job::{Monitor, Problem, Problems};
use serde_json::{Value, json};

use crate::gas_model::{GasModel, gas_model};
use crate::gas_more::More;
use crate::gas_worth::Worth;
use crate::report_table::{heads, row, table};
use crate::summary::rounded;

/// Least and greatest engine speed, rpm.
pub const SPEEDS: [f64; 2] = [500.0, 20_000.0];
/// Most speeds of one run.
pub const MOST_SPEEDS: usize = 200;
/// Speeds that are run one after another, each beginning with the gas of the one before. Fixed, so that the answer does
/// not depend on the number of threads.
const CHUNK: usize = 5;

/// Engine speeds: from, to and step, rpm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Speeds {
    /// First.
    pub from: f64,
    /// Last.
    pub to: f64,
    /// Between two.
    pub step: f64,
}

impl Speeds {
    /// Speeds around the engine's peak power, or a usual range.
    pub fn usual(job: &Job) -> Speeds {
        let step = 250.0;
        let round = |v: f64| (v / step).round() * step;
        let peak = job.engine.as_ref().and_then(|e| e.peak_power_rpm).unwrap_or(6500.0);
        let clamp = |v: f64| round(v).clamp(SPEEDS[0], SPEEDS[1]);
        Speeds { from: clamp(0.4 * peak), to: clamp(1.1 * peak), step: if peak > 12_000.0 { 500.0 } else { step } }
    }

    /// Reads `2500:8000:250`, `2500:8000` or `6000`.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn read(text: &str) -> Result<Speeds, String> {
        let parts: Result<Vec<f64>, _> = text.split(':').map(|p| p.trim().parse::<f64>()).collect();
        let speeds = match parts.as_deref() {
            Ok([one]) => Speeds { from: *one, to: *one, step: 250.0 },
            Ok([from, to]) => Speeds { from: *from, to: *to, step: 250.0 },
            Ok([from, to, step]) => Speeds { from: *from, to: *to, step: *step },
            _ => return Err(format!("`{text}` is no range of engine speeds")),
        };
        let inside = |v: f64| (SPEEDS[0]..=SPEEDS[1]).contains(&v);
        if !inside(speeds.from) || !inside(speeds.to) {
            return Err(format!("{text}: engine speeds are from {} to {} rpm", SPEEDS[0], SPEEDS[1]));
        }
        if speeds.to < speeds.from || !(speeds.step >= 1.0 && speeds.step.is_finite()) {
            return Err(format!("{text}: it must rise, by steps of at least 1 rpm"));
        }
        if (speeds.to - speeds.from) / speeds.step >= MOST_SPEEDS as f64 {
            return Err(format!("{text}: that is more than {MOST_SPEEDS} speeds"));
        }
        Ok(speeds)
    }

    /// The speeds in order.
    pub fn list(&self) -> Vec<f64> {
        let count = ((self.to - self.from) / self.step + 1e-9).floor() as usize + 1;
        (0..count).map(|i| self.from + i as f64 * self.step).collect()
    }
}

/// How far a run is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GasProgress {
    /// Speeds done.
    pub done: usize,
    /// Speeds asked for.
    pub total: usize,
}

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

/// What a chunk of speeds comes to.
type ChunkAnswer = Result<Vec<Point>, CycleError>;

/// Runs a model at some speeds; chunks of them in parallel.
pub(crate) fn run(
    model: &GasModel,
    speeds: &[f64],
    settings: &Settings,
    monitor: &mut Monitor<'_, GasProgress>,
) -> Result<Vec<Point>, Problems> {
    let chunks: Vec<&[f64]> = speeds.chunks(CHUNK).collect();
    let answers: Vec<Mutex<Option<ChunkAnswer>>> = chunks.iter().map(|_| Mutex::new(None)).collect();
    let next = AtomicUsize::new(0);
    let done = AtomicUsize::new(0);
    let stop = monitor.stop_flag();
    let threads = std::thread::available_parallelism().map_or(1, usize::from).min(chunks.len());
    let monitor = Mutex::new(monitor);
    let work = || {
        loop {
            let i = next.fetch_add(1, Ordering::Relaxed);
            let Some(chunk) = chunks.get(i) else { break };
            let finished = || {
                let done = done.fetch_add(1, Ordering::Relaxed) + 1;
                if let Ok(mut monitor) = monitor.lock() {
                    monitor.report(&GasProgress { done, total: speeds.len() });
                }
            };
            let answer = chunk_of(model, chunk, settings, &|| !stop.load(Ordering::Relaxed), &finished);
            if let Ok(mut place) = answers[i].lock() {
                *place = Some(answer);
            }
        }
    };
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(work);
        }
    });
    let mut points = Vec::new();
    for answer in answers {
        let answer = answer.into_inner().ok().flatten().unwrap_or(Err(CycleError::Stopped));
        points.extend(answer.map_err(|why| Problems::one(failed(&why)))?);
    }
    Ok(points)
}

fn chunk_of(
    model: &GasModel,
    speeds: &[f64],
    settings: &Settings,
    go_on: &dyn Fn() -> bool,
    finished: &dyn Fn(),
) -> Result<Vec<Point>, CycleError> {
    let mut sweep = Sweep::new(&model.engine, *settings)?;
    let mut points = Vec::new();
    for rpm in speeds {
        points.push(sweep.run(*rpm, |_, _| go_on())?);
        finished();
    }
    Ok(points)
}

fn failed(why: &CycleError) -> Problem {
    let problem = Problem::error("gas", why.to_string()).in_file("job.toml").about("engine");
    match why {
        CycleError::Stopped => problem.expected("time to finish").hint("ask for fewer speeds with --rpm"),
        _ => problem.expected("sizes that an engine can have").hint("check cams, valves and tube sizes"),
    }
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

/// Greatest less least trapped mass over the mean, percent.
pub(crate) fn spread(p: &Point) -> f64 {
    let masses = p.cylinders.iter().map(|c| c.trapped);
    let (low, high) = masses.clone().fold((f64::INFINITY, 0.0_f64), |(l, h), m| (l.min(m), h.max(m)));
    100.0 * (high - low) / (masses.sum::<f64>() / p.cylinders.len() as f64)
}

/// Four figures.
pub(crate) fn figure(v: f64) -> f64 {
    if v == 0.0 || !v.is_finite() {
        return v;
    }
    let scale = 10_f64.powi(3 - v.abs().log10().floor() as i32);
    (v * scale).round() / scale
}

#[cfg(test)]
mod tests {
    use super::Speeds;

    #[test]
    fn ranges_are_read_and_bounded() {
        assert_eq!(Speeds::read("2500:8000:250").unwrap().list().len(), 23);
        assert_eq!(Speeds::read("6000").unwrap().list(), [6000.0]);
        for wrong in ["", "a", "400", "3000:2000", "3000:4000:0", "1000:20000:1", "1:2:3:4", "3000:nan", "500:30000"] {
            assert!(Speeds::read(wrong).is_err(), "{wrong}");
        }
    }
}
