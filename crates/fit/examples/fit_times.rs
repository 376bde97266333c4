//! Times forecast, exact builds, estimate, correction and remedies of the examples' runs:
//! `cargo run --release -p fit --example fit_times [FOLDER]`. Processor time, each the mean of as many runs as take 50 ms.
//!
//! In FOLDER the cases are left with our answers (fit.json), for `bench/fit.py`.
#![allow(clippy::unwrap_used)]

#[path = "../tests/jobs/mod.rs"]
mod jobs;

use std::path::Path;
use std::time::Instant;

use fit::sources::{built_terms, terms, with_errors};
use fit::{
    At, Builds, Correction, Estimate, Forecast, Freedom, Limit, Limits, Reading, ReadingKind, Run, Shop, State, Term,
    correct, estimate, forecast, remedies,
};
use geom::rotate_about;
use job::fit::Quality;
use oorandom::Rand64;
use serde_json::{Value, json};

/// Standard deviations of a place, mm, and of a direction, rad, that is read.
const READ: [f64; 2] = [0.5, 0.005];

/// Seconds of processor time of this thread (Linux), else none.
fn processor() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    Some(text.split_whitespace().next()?.parse::<f64>().ok()? * 1e-9)
}

/// Milliseconds that one run of it takes.
fn timed<T>(mut work: impl FnMut() -> T) -> f64 {
    let (began, before, mut count) = (Instant::now(), processor(), 0);
    while began.elapsed().as_secs_f64() < 0.05 {
        std::hint::black_box(work());
        count += 1;
    }
    let seconds = before.zip(processor()).map_or(began.elapsed().as_secs_f64(), |(a, b)| b - a);
    1000.0 * seconds / f64::from(count)
}

/// A run with the last two bends yet to be made, readings of what is built, and its inlet found elsewhere.
struct Build {
    run: Run,
    limits: Vec<Limits>,
    shop: Shop,
    welded: usize,
    terms: Vec<Term>,
    readings: Vec<Reading>,
    /// The run with the inlet where it was found.
    moved: Run,
}

impl Build {
    fn of(run: Run, limits: Vec<Limits>) -> Build {
        let shop = Shop::usual(Quality::Usual, run.wall);
        let bends: Vec<usize> = (0..run.parts.len()).filter(|&k| run.parts[k].is_bend()).collect();
        let welded = bends.iter().rev().nth(1).copied().unwrap_or(0);
        let states: Vec<State> =
            (0..run.parts.len()).map(|k| if k < welded { State::Welded } else { State::Uncut }).collect();
        let terms = built_terms(&run, &shop, &states);
        let mut random = Rand64::new(4);
        let mut even = |sd: f64| sd * 3f64.sqrt() * (2.0 * random.rand_float() - 1.0);
        let errors: Vec<f64> = terms.iter().map(|t| even(0.5 * t.sd)).collect();
        let laid = run.chain.lay(&with_errors(&run.drawn, &terms, &errors));
        let mut readings = Vec::new();
        for k in 0..welded {
            let (f, at) = (laid.exit[k], At::After(k));
            readings.push(Reading { kind: ReadingKind::Place(at, f.origin), sd: READ[0] });
            readings.push(Reading { kind: ReadingKind::Direction(at, f.forward), sd: READ[1] });
        }
        let mut moved = run.clone();
        let inlet = &mut moved.chain.inlet;
        inlet.origin += geom::Vec3::new(3.0, -2.0, 2.5);
        inlet.forward = rotate_about(inlet.forward, inlet.up, 0.5f64.to_radians());
        Build { run, limits, shop, welded, terms, readings, moved }
    }

    fn estimated(&self) -> Estimate {
        estimate(&self.run, &self.run.drawn, &self.terms, self.welded, &self.readings)
    }

    fn corrected(&self) -> Correction {
        let state = |k| if k < self.welded { State::Welded } else { State::Uncut };
        let freedoms: Vec<Freedom> = (0..self.run.parts.len()).map(|k| Freedom::of(state(k))).collect();
        correct(&self.moved, &self.run.drawn, &self.run.drawn, &freedoms, &self.limits)
    }

    /// The case and our answers.
    fn case(&self, job: &str, forecast: &Forecast) -> Value {
        let of = |terms: &[Term]| {
            let row = |t: &Term| json!({"mean": t.mean, "sd": t.sd, "effects": t.effects});
            terms.iter().map(row).collect::<Vec<_>>()
        };
        let reading = |r: &Reading| match r.kind {
            ReadingKind::Place(At::After(k), at) => json!({"piece": k, "place": at.to_array(), "sd": r.sd}),
            ReadingKind::Direction(At::After(k), axis) => json!({"piece": k, "axis": axis.to_array(), "sd": r.sd}),
            _ => Value::Null,
        };
        let (estimated, corrected, inlet) = (self.estimated(), self.corrected(), self.moved.chain.inlet);
        json!({
            "job": job, "run": self.run.id.to_string(), "welded": self.welded,
            "terms": of(&terms(&self.run, &self.shop)), "built_terms": of(&self.terms),
            "readings": self.readings.iter().map(reading).collect::<Vec<_>>(),
            "named": estimated.suspects.len() + estimated.contradicting.len(),
            "estimated": estimated.figures, "target": inlet.origin.to_array(), "axis": inlet.forward.to_array(),
            "met": corrected.met, "objective": corrected.objective,
            "sd_place_mm": forecast.sd_place(), "sd_direction": forecast.sd_direction,
        })
    }
}

fn main() {
    let folder = std::env::args().nth(1);
    let limit = Limit { within: 1.0, angle: 1f64.to_radians(), slip: 0.0 };
    println!("run                        forecast  500 builds  estimate  correction  remedies, ms");
    let mut cases = Vec::new();
    for name in jobs::EXAMPLES {
        let (job, runs) = jobs::runs(name);
        for run in runs {
            let limits = jobs::limits(&job, &run);
            let build = Build::of(run, limits);
            let (run, shop) = (&build.run, &build.shop);
            let all = terms(run, shop);
            let ms = [
                timed(|| forecast(run, shop, limit)),
                timed(|| Builds::of(run, &run.drawn, &all, 500, 1)),
                timed(|| build.estimated()),
                timed(|| build.corrected()),
                timed(|| remedies(run, shop, limit, &build.limits)),
            ];
            let label = format!("{name} {}", run.id);
            let [a, b, c, d, e] = ms;
            println!("{label:26} {a:8.2}  {b:10.2}  {c:8.2}  {d:10.3}  {e:8.0}");
            let mut case = build.case(name, &forecast(run, shop, limit));
            case["ms"] = json!(ms);
            cases.push(case);
        }
    }
    if let Some(folder) = folder {
        std::fs::write(Path::new(&folder).join("fit.json"), Value::from(cases).to_string()).unwrap();
    }
}
