//! The hot header itself: its frame with the temperatures of its runs, what was assumed, and in words what is wrong with it.

use job::routes::RunId;
use job::{Problem, Problems};
use strength::frame::{Frame, FrameError};
use strength::heat::Temperatures;

use crate::strength_answer::GasSource;

/// Millimetres to metres.
pub const MM: f64 = 1e-3;

/// 0 degrees Celsius, K.
pub const ZERO_C: f64 = 273.15;

/// A run with its temperatures.
pub struct HotRun {
    /// The run.
    pub run: RunId,
    /// Name of its material.
    pub material: String,
    /// Temperatures by the least, the middle and the greatest heat transfer inside.
    pub temperatures: [Temperatures; 3],
}

/// A job's header, ready to be solved.
pub struct StrengthModel {
    /// The frame, hot; tubes in the order of `runs`, bodies in that of `collectors`.
    pub frame: Frame,
    /// The runs.
    pub runs: Vec<HotRun>,
    /// Names of the collectors that are entered.
    pub collectors: Vec<String>,
    /// What the job does not give.
    pub assumed: Vec<Assumed>,
    /// Where the gas comes from.
    pub gas: GasSource,
    /// What was simplified.
    pub notes: Vec<String>,
    /// What the slip joints of the job do.
    pub slips: Vec<SlipAnswer>,
    /// Air around the tubes, K.
    pub air: f64,
    /// Heat cycles that the allowable stress is given for.
    pub cycles: f64,
}

/// A default.
#[derive(Debug, Clone, PartialEq)]
pub struct Assumed {
    /// What it is.
    pub what: &'static str,
    /// Value, and the range it usually lies in.
    pub value: [f64; 3],
    /// Its unit.
    pub unit: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}

/// A slip joint that has been solved.
#[derive(Debug, Clone, PartialEq)]
pub struct SlipAnswer {
    /// Index of its run.
    pub run: usize,
    /// Where it is, mm.
    pub at: f64,
    /// How far it slides when hot, mm: negative: together. 0 where it sticks.
    pub slides: f64,
    /// Axial force that it would carry if it stuck, N: positive: pressed together.
    pub locked: f64,
    /// Axial force below which it does not slide, N.
    pub friction: f64,
}

impl SlipAnswer {
    /// Whether it stays where it is.
    pub fn sticks(&self) -> bool {
        self.locked.abs() <= self.friction
    }
}

/// What nothing holds, in words.
pub fn loose(model: &StrengthModel, error: FrameError) -> String {
    match error {
        FrameError::LooseTube { tube, at } => {
            format!("nothing holds {} {:.0} mm from its start", model.runs[tube].run, at / MM)
        }
        FrameError::LooseBody(body) => format!("nothing holds collector {}", model.collectors[body]),
        other => other.to_string(),
    }
}

/// The same as a problem.
pub fn not_held(model: &StrengthModel, error: FrameError) -> Problems {
    let problem = Problem::error("loose", loose(model, error));
    let problem = problem.expected("every part welded to something that is held");
    Problems::one(problem.hint(
        "where every tube slides into its collector or has a slip joint, what lies beyond needs a bracket or springs: add \
         [[bracket]], or springs = true in [[slip]]",
    ))
}

/// What is wrong with a run.
pub fn trouble(run: &RunId, why: &str) -> Problems {
    let problem = Problem::error("strength", format!("{run}: {why}")).expected("routes as `route` writes them");
    Problems::one(problem.hint("route the job again, or name a material of the catalogue"))
}
