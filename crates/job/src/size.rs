//! First sizes: diameters and lengths of primaries and collector from published rules, and what the
//! firing order says. Starting points to draw with; a simulation of the gas decides.
//!
//! Rules, each with its source in [`Rule::source`]:
//! - Bell (A. G. Bell, Performance Tuning in Theory and Practice: Four Strokes; from memory):
//!   P = 850 (180 + EVO) / N - 3, d = 2.1 sqrt(V / (25 (P + 3))), tail d = 2 sqrt(2 V / (25 (P + 3))), with
//!   P and d in inches, EVO in degrees before bottom dead centre, N in rpm, V in cm3 of one cylinder.
//!   P is counted from the port face; the 3 inches stand for the port in the head.
//! - Wave returns (elementary acoustics): the blow-down pulse comes back from the open end as an
//!   expansion after 2 L / a, and again after 6 L / a, having met the closed valve between: the
//!   quarter-wave law, period 4 L / a. The expansion is to arrive at top dead centre, 180 + EVO degrees
//!   after opening: L = a t / 2 and a t / 6 with t = (180 + EVO) / (6 N), from the valve.
//! - Gas speed (common practice, no source): the mean speed in the primary, bore area x mean piston
//!   speed / bore of the tube, is 75 to 100 m/s at peak power.
//! - Collector outlet (common practice, no source): 1.7 to 3.2 times the bore area of one primary for a
//!   4-into-1; in proportion to the inlets for other numbers, which is our extension of it.
//! - Merge (common practice, no source): half angle 7 to 10 degrees, length from the circle around the
//!   inlets to the outlet, (D - d) / (2 tan half).
//!
//! Weak: the first rule's constants are quoted from memory, and the speed of sound is that of an assumed
//! mean temperature.

mod firing;
mod tubes;

use std::f64::consts::PI;

pub use firing::{CollectorFiring, FiringReport, Gaps};
pub use tubes::{StockedTube, stocked};

use crate::model::{Groups, Job, Pattern};

/// Millimetres in an inch.
const INCH: f64 = 25.4;
/// Mean temperature of the gas in a primary, K: common practice, no source. Halving it takes 29 % off a
/// wave-return length.
const GAS_K: f64 = 800.0;
/// Ratio of specific heats and gas constant, J/(kg K), of burnt gas near that temperature: from memory.
const GAMMA: f64 = 1.35;
const GAS_CONSTANT: f64 = 287.0;

const BELL: &str = "A. G. Bell, Performance Tuning in Theory and Practice: Four Strokes (from memory)";
const BELL_RANGE: &str = "naturally aspirated four-strokes, tuned to the speed given";
const PRACTICE: &str = "common practice, no source";

/// What a rule sizes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sized {
    /// Length of a primary from the port face, mm.
    PrimaryLength,
    /// Inside diameter of a primary, mm.
    PrimaryId,
    /// Inside diameter of a collector's outlet, mm.
    OutletId,
    /// Length of a collector's merge, mm.
    MergeLength,
}

impl Sized {
    /// Its name in tables.
    pub fn name(self) -> &'static str {
        match self {
            Sized::PrimaryLength => "primary length",
            Sized::PrimaryId => "primary inside diameter",
            Sized::OutletId => "collector outlet inside diameter",
            Sized::MergeLength => "collector merge length",
        }
    }
}

/// One rule's answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// What it sizes.
    pub of: Sized,
    /// The collector, where it sizes one.
    pub collector: Option<String>,
    /// Name of the rule.
    pub rule: &'static str,
    /// Least and greatest value, mm; equal when the rule gives one.
    pub mm: [f64; 2],
    /// Where it is published.
    pub source: &'static str,
    /// Where it holds.
    pub range: &'static str,
    /// The stocked tube nearest to the middle, for diameters.
    pub nearest: Option<StockedTube>,
}

/// A key that is not given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing {
    /// The key of job.toml.
    pub key: &'static str,
    /// What cannot be said without it.
    pub needed_for: &'static str,
}

/// First sizes of a job.
#[derive(Debug, Clone, PartialEq)]
pub struct Sizing {
    /// Volume displaced by one cylinder, cm3.
    pub cylinder_cm3: Option<f64>,
    /// Mean piston speed at peak power, m/s.
    pub piston_m_s: Option<f64>,
    /// What the rules say.
    pub rules: Vec<Rule>,
    /// What the firing order says.
    pub firing: Option<FiringReport>,
    /// What is not given.
    pub missing: Vec<Missing>,
}

/// Bell's length of a primary from the port face, mm.
///
/// # Units
/// `opens_deg` degrees of crank before bottom dead centre, `rpm` the speed it is tuned to.
///
/// # Example
/// 80 degrees and 6800 rpm: 850 x 260 / 6800 - 3 = 29.5 in.
/// ```
/// assert!((job::size::bell_length(80.0, 6800.0) - 29.5 * 25.4).abs() < 1e-9);
/// ```
pub fn bell_length(opens_deg: f64, rpm: f64) -> f64 {
    (850.0 * (180.0 + opens_deg) / rpm - 3.0) * INCH
}

/// Bell's inside diameter of a primary, mm.
///
/// # Units
/// `cm3` the volume of one cylinder, `length` of the primary from the port face in mm.
///
/// # Example
/// 400 cm3 and 29 in: 2.1 x sqrt(400 / 800) = 1.4849 in.
/// ```
/// assert!((job::size::bell_diameter(400.0, 29.0 * 25.4) - 1.484_924 * 25.4).abs() < 1e-4);
/// ```
pub fn bell_diameter(cm3: f64, length: f64) -> f64 {
    2.1 * (cm3 / (25.0 * (length / INCH + 3.0))).sqrt() * INCH
}

/// Bell's inside diameter of the tail behind a 4-into-1, mm; units as [`bell_diameter`].
///
/// # Example
/// 400 cm3 and 29 in: 2 x sqrt(2 x 400 / 800) = 2 in.
/// ```
/// assert!((job::size::bell_tail(400.0, 29.0 * 25.4) - 50.8).abs() < 1e-9);
/// ```
pub fn bell_tail(cm3: f64, length: f64) -> f64 {
    2.0 * (2.0 * cm3 / (25.0 * (length / INCH + 3.0))).sqrt() * INCH
}

/// Length from the valve for which a wave that has run it `trips` times comes back at top dead centre, mm.
///
/// # Units
/// `sound` the speed of sound, m/s; the others as [`bell_length`].
///
/// # Example
/// 90 degrees and 6000 rpm: 7.5 ms; at 600 m/s 4.5 m, there and back 2250 mm.
/// ```
/// assert!((job::size::wave_length(90.0, 6000.0, 600.0, 2.0) - 2250.0).abs() < 1e-9);
/// ```
pub fn wave_length(opens_deg: f64, rpm: f64, sound: f64, trips: f64) -> f64 {
    let seconds = (180.0 + opens_deg) / (6.0 * rpm);
    sound * seconds / trips * 1000.0
}

/// Inside diameter of a primary for a mean gas speed, mm.
///
/// # Units
/// `bore` mm, `piston` the mean piston speed and `speed` the gas's, m/s.
///
/// # Example
/// A quarter of the bore's area makes the gas four times as fast as the piston.
/// ```
/// assert!((job::size::speed_diameter(80.0, 20.0, 80.0) - 40.0).abs() < 1e-9);
/// ```
pub fn speed_diameter(bore: f64, piston: f64, speed: f64) -> f64 {
    bore * (piston / speed).sqrt()
}

/// First sizes of a job, as far as what it gives allows.
pub fn size(job: &Job) -> Sizing {
    let engine = job.engine.as_ref();
    let bore = engine.and_then(|e| e.bore);
    let stroke = engine.and_then(|e| e.stroke);
    let rpm = engine.and_then(|e| e.peak_power_rpm);
    let opens = engine.and_then(|e| e.exhaust_opens).map(f64::to_degrees);
    // A thousand cubic millimetres in a cm3; two strokes a turn, 60 seconds a minute.
    let cylinder_cm3 = bore.zip(stroke).map(|(b, s)| PI / 4.0 * b * b * s / 1000.0);
    let piston_m_s = stroke.zip(rpm).map(|(s, n)| 2.0 * s / 1000.0 * n / 60.0);
    let mut rules = Vec::new();
    if let Some((opens, rpm)) = opens.zip(rpm) {
        lengths(job, opens, rpm, &mut rules);
        let length = bell_length(opens, rpm);
        if let Some(cm3) = cylinder_cm3.filter(|_| length > 0.0) {
            let d = bell_diameter(cm3, length);
            rules.push(diameter(job, Sized::PrimaryId, "from volume and length", [d, d], BELL, BELL_RANGE));
            let d = bell_tail(cm3, length);
            let range = "behind a 4-into-1; naturally aspirated four-strokes";
            rules.push(diameter(job, Sized::OutletId, "tail from volume and length", [d, d], BELL, range));
        }
    }
    if let Some((bore, piston)) = bore.zip(piston_m_s) {
        let mm = [100.0, 75.0].map(|speed| speed_diameter(bore, piston, speed));
        let range = "road and race engines at peak power";
        rules.push(diameter(job, Sized::PrimaryId, "mean gas speed of 100 to 75 m/s", mm, PRACTICE, range));
    }
    collectors(job, &mut rules);
    let order = engine.and_then(|e| e.firing_order.as_deref());
    let firing = order.map(|order| firing::report(job, order));
    Sizing { cylinder_cm3, piston_m_s, rules, firing, missing: missing(job) }
}

fn lengths(job: &Job, opens: f64, rpm: f64, rules: &mut Vec<Rule>) {
    let mut push = |rule, mm: [f64; 2], source, range| {
        if mm[0] > 0.0 {
            rules.push(Rule { of: Sized::PrimaryLength, collector: None, rule, mm, source, range, nearest: None });
        }
    };
    let length = bell_length(opens, rpm);
    push("from exhaust opening and speed", [length; 2], BELL, BELL_RANGE);
    let heads = job.ports.iter().map(|p| p.length_in_head);
    let in_head = if job.ports.is_empty() { 0.0 } else { heads.sum::<f64>() / job.ports.len() as f64 };
    let sound = (GAMMA * GAS_CONSTANT * GAS_K).sqrt();
    let source = "elementary acoustics; speed of sound at an assumed 800 K (common practice, no source)";
    let range = "one pipe open at its end; a collector reflects less and earlier";
    let at = |trips| wave_length(opens, rpm, sound, trips) - in_head;
    push("first wave return at top dead centre", [at(2.0); 2], source, range);
    push("second wave return (quarter wave)", [at(6.0); 2], source, range);
}

fn diameter(job: &Job, of: Sized, rule: &'static str, mm: [f64; 2], source: &'static str, range: &'static str) -> Rule {
    let nearest = stocked(&job.primary.tube, 0.5 * (mm[0] + mm[1]));
    Rule { of, collector: None, rule, mm, source, range, nearest }
}

/// Outlet and merge of each collector with two or more inlets, from the job's own tube. A twin entry is a
/// turbo's own flange: there is nothing to size.
fn collectors(job: &Job, rules: &mut Vec<Rule>) {
    for c in job.collectors.iter().filter(|c| c.inlets >= 2 && c.groups == Groups::None) {
        let inlets = c.inlets as f64;
        let tube = &job.primary.tube;
        let mm = [1.7, 3.2].map(|ratio| tube.id() * (ratio * inlets / 4.0).sqrt());
        let range =
            if c.inlets == 4 { "4-into-1" } else { "in proportion to the inlets: our extension of a rule for four" };
        let mut rule =
            diameter(job, Sized::OutletId, "area 1.7 to 3.2 times one primary of a four", mm, PRACTICE, range);
        rule.collector = Some(c.name.clone());
        let outlet = rule.nearest.as_ref().map(|t| t.od);
        rules.push(rule);
        let pitch = tube.od + c.gap;
        let around = match c.pattern {
            Pattern::Line => continue,
            Pattern::Triangle | Pattern::Square | Pattern::Ring => pitch / (PI / inlets).sin() + tube.od,
        };
        let Some(outlet) = outlet.filter(|od| *od < around) else { continue };
        let mm = [10.0_f64, 7.0].map(|half| (around - outlet) / (2.0 * half.to_radians().tan()));
        rules.push(Rule {
            of: Sized::MergeLength,
            collector: Some(c.name.clone()),
            rule: "half angle of 10 to 7 degrees to the nearest outlet",
            mm,
            source: PRACTICE,
            range: "formed or pie-cut merges; packaging often asks for more angle",
            nearest: None,
        });
    }
}

fn missing(job: &Job) -> Vec<Missing> {
    let Some(engine) = &job.engine else {
        return vec![Missing { key: "[engine]", needed_for: "lengths and diameters of primaries, firing order" }];
    };
    let mut missing = Vec::new();
    let mut need = |given: bool, key, needed_for| {
        if !given {
            missing.push(Missing { key, needed_for });
        }
    };
    need(engine.bore.is_some(), "engine.bore", "diameters of primaries");
    need(engine.stroke.is_some(), "engine.stroke", "diameters of primaries");
    need(engine.peak_power_rpm.is_some(), "engine.peak_power_rpm", "lengths and diameters of primaries");
    need(
        engine.exhaust_opens.is_some(),
        "engine.exhaust_cam.opens_bbdc_deg",
        "lengths of primaries, diameters by volume and length",
    );
    need(engine.firing_order.is_some(), "engine.firing_order", "pairs, groups and the order around collectors");
    missing
}
