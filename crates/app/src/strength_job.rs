//! Growth, stress and vibration of a job's header, as text and as JSON.

use job::Problems;
use job::model::Job;
use job::routes::{Routes, RunId};
use job::{Problem, model::Units};
use serde_json::{Value, json};
use strength::frame::{Frame, FrameError, Six, Standing};
use strength::modes::{Mode, modes};
use strength::stress::{allowable, cycles};
use strength::table::Table;

use crate::report::{heads, row, table};
use crate::strength_model::{Assumed, MM, StrengthModel, ZERO_C, allowable_of, strength_model};
use crate::summary::rounded;

/// Modes that are reported.
const MODES: usize = 8;

/// Stress factor of the weld at both ends of a run, flange and collector: a fillet, 1.3 to 2.1 (from memory).
const END_WELD: f64 = 1.3;

/// One run.
#[derive(Debug, Clone)]
pub struct RunStrength {
    /// The run.
    pub run: RunId,
    /// Hottest metal by the least, the middle and the greatest heat transfer, degrees Celsius.
    pub metal_c: [f64; 3],
    /// Greatest stress range, MPa, and where, mm from the start.
    pub range_mpa: f64,
    /// Where, mm from the start.
    pub at_mm: f64,
    /// Share of the allowable range; `None` where the material has no known allowable.
    pub share: Option<f64>,
    /// Cycles by the lower and the mean fatigue line; `None` above the temperature at which the metal creeps.
    pub cycles: Option<[f64; 2]>,
    /// Force and moment on the start, N and Nm, hot.
    pub start: [f64; 2],
}

/// What a header does when it gets hot and is shaken.
pub struct StrengthReport<'a> {
    job: &'a Job,
    model: StrengthModel,
    /// One for each run.
    pub runs: Vec<RunStrength>,
    /// Names of collectors and how far each moves, mm.
    pub collectors: Vec<(String, [f64; 3])>,
    /// Modes, hot.
    pub modes: Vec<Mode>,
}

/// Solves the header of a job.
///
/// # Errors
/// Problems of the job ([`strength_model`]); what nothing holds.
pub fn strength_job<'a>(job: &'a Job, routes: &Routes) -> Result<StrengthReport<'a>, Problems> {
    let model = strength_model(job, routes)?;
    let wrong = |e: FrameError| loose(&model, e);
    let hot = model.frame.stand().map_err(wrong)?;
    let cold = cold_metal(&model.frame).stand().map_err(wrong)?;
    let modes = modes(&model.frame.system().map_err(wrong)?, MODES).map_err(wrong)?;
    let runs = (0..model.runs.len()).map(|k| run_strength(&model, k, &hot, &cold)).collect();
    let moved = |m: &Six| [0, 1, 2].map(|i| m[i] / MM);
    let collectors = model.collectors.iter().cloned().zip(hot.bodies.iter().map(moved)).collect();
    Ok(StrengthReport { job, model, runs, collectors, modes })
}

/// The same frame with its cold stiffness, as the allowable range is defined.
fn cold_metal(frame: &Frame) -> Frame {
    let mut frame = frame.clone();
    for tube in &mut frame.tubes {
        tube.material.young = Table::constant(tube.material.young.at(tube.material.reference));
    }
    frame
}

fn run_strength(model: &StrengthModel, k: usize, hot: &Standing, cold: &Standing) -> RunStrength {
    let (run, tube) = (&model.runs[k], &model.frame.tubes[k]);
    let length = tube.line.length() * MM;
    let steps = (length / 0.005).ceil().max(1.0) as usize;
    let hottest = |case: usize| {
        let along = (0..=steps).map(|i| run.temperatures[case].wall(length * i as f64 / steps as f64));
        along.fold(f64::MIN, f64::max) - ZERO_C
    };
    let metal_c = [0, 1, 2].map(hottest);
    let count = cold.stretches[k].len();
    let mut worst = (0.0, 0.0);
    for (i, stretch) in cold.stretches[k].iter().enumerate() {
        let welds = [if i == 0 { END_WELD } else { 1.0 }, if i + 1 == count { END_WELD } else { 1.0 }];
        let [near, far] = stretch.ranges(&tube.section, welds);
        let end = stretch.from / MM + stretch.shape.length();
        for (range, at) in [(near, stretch.from / MM), (far, end)] {
            if range > worst.0 {
                worst = (range, at);
            }
        }
    }
    let limits = allowable_of(&run.material);
    let here = run.temperatures[1].wall(worst.1 * MM) - ZERO_C;
    let share = limits.map(|a| worst.0 / allowable(a.cold * 1e6, a.at(here) * 1e6, crate::strength_model::CYCLES));
    let creeps = limits.is_none_or(|a| metal_c[1] > a.creeps_from);
    let size = |six: &Six, first: usize| six[first..first + 3].iter().map(|v| v * v).sum::<f64>().sqrt();
    let start = hot.ends[k][0];
    RunStrength {
        run: run.run.clone(),
        metal_c,
        range_mpa: worst.0 / 1e6,
        at_mm: worst.1,
        share,
        cycles: (!creeps).then(|| cycles(worst.0)),
        start: [size(&start, 0), size(&start, 3)],
    }
}

fn loose(model: &StrengthModel, error: FrameError) -> Problems {
    let what = match error {
        FrameError::LooseTube { tube, at } => {
            format!("nothing holds {} {:.0} mm from its start", model.runs[tube].run, at / MM)
        }
        FrameError::LooseBody(body) => format!("nothing holds collector {}", model.collectors[body]),
        other => other.to_string(),
    };
    let problem = Problem::error("loose", what).expected("every part welded to something that is held");
    Problems::one(problem.hint("when every tube slides into its collector, the collector needs a bracket or springs"))
}

impl StrengthReport<'_> {
    /// The engine orders that matter: the first, and that of the firing.
    fn orders(&self) -> [f64; 2] {
        [1.0, 0.5 * self.job.engine.as_ref().map_or(4.0, |e| f64::from(e.cylinders))]
    }

    /// As one JSON object; docs/strength.md says what each key is.
    pub fn to_json(&self) -> Value {
        let runs: Vec<Value> = self.runs.iter().map(run_json).collect();
        let collectors: Vec<Value> =
            self.collectors.iter().map(|(name, by)| json!({"collector": name, "moves_mm": by.map(rounded)})).collect();
        let orders = self.orders();
        let modes: Vec<Value> = self
            .modes
            .iter()
            .map(|m| {
                let meets: Vec<Value> =
                    orders.iter().map(|o| json!({"order": o, "rpm": rounded(60.0 * m.frequency / o)})).collect();
                json!({"frequency_hz": rounded(m.frequency), "meets": meets})
            })
            .collect();
        let assumed: Vec<Value> = self.model.assumed.iter().map(assumed_json).collect();
        json!({"format": 1, "runs": runs, "collectors": collectors, "modes": modes, "assumed": assumed, "notes": self.model.notes})
    }

    /// For people.
    pub fn text(&self) -> String {
        let mut out = String::from("When hot, from cold and free\n");
        let mut rows = vec![heads([
            "run",
            "metal C, about",
            "range MPa",
            "of allowable",
            "where",
            "cycles, about",
            "flange N / Nm",
        ])];
        rows.extend(self.runs.iter().map(|r| self.run_row(r)));
        out += &table(&rows);
        for (name, by) in &self.collectors {
            let far = by.iter().map(|v| v * v).sum::<f64>().sqrt();
            out += &format!("\ncollector {name} moves {}", self.length(far));
        }
        out += "\n\nShakes at, about\n";
        let [first, firing] = self.orders();
        let mut rows = vec![heads(["mode", "Hz", "engine speed of order 1", &format!("of order {firing}")])];
        for (k, mode) in self.modes.iter().enumerate() {
            let rpm = |order: f64| format!("{:.0}", 60.0 * mode.frequency / order);
            rows.push(row([(k + 1).to_string(), format!("{:.0}", mode.frequency), rpm(first), rpm(firing)]));
        }
        out += &table(&rows);
        out += "\nThis ranks designs; it is not a life. Assumed, as the job does not say:\n";
        for a in &self.model.assumed {
            out += &format!(
                "  {}: {}{}{} (usually {} to {}; {})\n",
                a.what,
                rounded(a.value[0]),
                if a.unit.is_empty() { "" } else { " " },
                a.unit,
                a.value[1],
                a.value[2],
                a.source
            );
        }
        for note in &self.model.notes {
            out += &format!("  {note}\n");
        }
        out += CAUTION;
        out
    }

    fn length(&self, mm: f64) -> String {
        match self.job.units {
            Units::Mm => format!("{mm:.1} mm"),
            Units::Inch => format!("{:.2} in", mm / 25.4),
        }
    }

    fn run_row(&self, r: &RunStrength) -> Vec<String> {
        let share = r.share.map_or("not known".into(), |s| format!("{:.0} %", 100.0 * s));
        let cycles = r.cycles.map_or("creeps: a ranking only".into(), |[low, high]| format!("{low:.0e} to {high:.0e}"));
        row([
            r.run.to_string(),
            format!("{:.0} to {:.0}", r.metal_c[0], r.metal_c[2]),
            format!("{:.0}", r.range_mpa),
            share,
            format!("{} from the start", self.length(r.at_mm)),
            cycles,
            format!("{:.0} / {:.0}", r.start[0], r.start[1]),
        ])
    }
}

/// What a person must know of it.
const CAUTION: &str = "  Not an approval of pressure piping, aircraft or marine parts. Turbo supports, fuel and brake lines near heat, noise and\n  \
     emission law: have it checked where the law asks a licensed person. After the first heat cycle look for cracks at the\n  \
     flange welds and tighten the nuts again as the gasket's maker says.\n";

fn run_json(r: &RunStrength) -> Value {
    json!({
        "run": r.run.to_string(), "metal_c": r.metal_c.map(rounded), "range_mpa": rounded(r.range_mpa),
        "share_of_allowable": r.share.map(rounded), "at_mm": rounded(r.at_mm), "cycles": r.cycles,
        "flange_force_n": rounded(r.start[0]), "flange_moment_nm": rounded(r.start[1]),
    })
}

fn assumed_json(a: &Assumed) -> Value {
    json!({"what": a.what, "value": rounded(a.value[0]), "range": [a.value[1], a.value[2]], "unit": a.unit, "source": a.source})
}
