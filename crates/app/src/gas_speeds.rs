//! A model's engine at a list of speeds: the list, the runs, their progress and the mean torque.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use gas::cycle::{CycleError, Point, Settings, Sweep};
use job::model::Job;
use job::{Monitor, Problem, Problems};

use crate::gas_model::GasModel;

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

/// Mean torque, N m.
pub(crate) fn mean_torque(points: &[Point]) -> f64 {
    points.iter().map(|p| p.torque).sum::<f64>() / points.len().max(1) as f64
}

/// Greatest less least trapped mass over the mean, percent.
pub(crate) fn spread(p: &Point) -> f64 {
    let masses = p.cylinders.iter().map(|c| c.trapped);
    let (low, high) = masses.clone().fold((f64::INFINITY, 0.0_f64), |(l, h), m| (l.min(m), h.max(m)));
    100.0 * (high - low) / (masses.sum::<f64>() / p.cylinders.len() as f64)
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
