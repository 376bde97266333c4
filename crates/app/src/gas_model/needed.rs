//! The numbers that no default can stand for, and whether what is given can be.

use job::firing;
use job::model::{Cam, Engine, Job};
use job::{Problem, Problems};

use super::defaults::Gear;

/// A number that the simulation cannot do without.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Needed {
    /// Key of job.toml.
    pub key: &'static str,
    /// What it is and how it is measured.
    pub what: &'static str,
}

/// The six numbers.
pub const NEEDED: [Needed; 6] = [
    Needed { key: "engine.bore", what: "bore: diameter of a cylinder" },
    Needed { key: "engine.stroke", what: "stroke: way of the piston, twice the throw of the crank" },
    Needed {
        key: "engine.exhaust_cam.opens_bbdc_deg",
        what: "when the exhaust valve opens, degrees of crank before bottom dead centre",
    },
    Needed {
        key: "engine.exhaust_cam.closes_atdc_deg",
        what: "when the exhaust valve closes, degrees of crank after top dead centre",
    },
    Needed {
        key: "engine.intake_cam.opens_btdc_deg",
        what: "when the intake valve opens, degrees of crank before top dead centre",
    },
    Needed {
        key: "engine.intake_cam.closes_abdc_deg",
        what: "when the intake valve closes, degrees of crank after bottom dead centre",
    },
];

/// What the job gives of them.
pub struct Given<'a> {
    /// The engine.
    pub engine: &'a Engine,
    /// Bore, mm.
    pub bore: f64,
    /// Stroke, mm.
    pub stroke: f64,
    /// Exhaust cam.
    pub exhaust_cam: Cam,
    /// Intake cam.
    pub intake_cam: Cam,
    /// Cylinders with a port, ascending in the order of the ports.
    pub cylinders: Vec<u32>,
    order: Vec<u32>,
}

impl Given<'_> {
    /// Crank angle at which a cylinder fires, rad.
    pub fn firing(&self, cylinder: u32) -> f64 {
        firing::angle_deg(&self.order, cylinder).unwrap_or(0.0).to_radians()
    }

    /// The place of a cylinder among those that are computed.
    pub fn number(&self, cylinder: u32) -> Option<usize> {
        self.cylinders.iter().position(|c| *c == cylinder)
    }
}

fn problem(code: &'static str, about: &str, message: String, expected: &str, hint: &str) -> Problem {
    let problem = Problem::error(code, message).in_file("job.toml").about(about);
    problem.expected(expected).hint(hint)
}

/// The six numbers and the firing order.
///
/// # Errors
/// One problem for each that is missing.
pub fn needed(job: &Job) -> Result<Given<'_>, Problems> {
    let engine = job.engine.as_ref();
    let cams = engine.map(|e| (e.breathing.exhaust_cam, e.breathing.intake_cam));
    let (exhaust, intake) = cams.unwrap_or_default();
    let has = [
        engine.is_some_and(|e| e.bore.is_some()),
        engine.is_some_and(|e| e.stroke.is_some()),
        exhaust.is_some(),
        exhaust.is_some(),
        intake.is_some(),
        intake.is_some(),
    ];
    let absent = NEEDED.iter().zip(has).filter(|(_, has)| !has);
    let mut missing: Vec<Problem> = absent
        .map(|(n, _)| problem("engine-data", n.key, format!("{} is missing", n.key), n.what, "add it to [engine]"))
        .collect();
    let order = engine.and_then(|e| match (&e.firing_order, e.cylinders) {
        (Some(order), _) => Some(order.clone()),
        (None, 1) => Some(vec![1]),
        _ => None,
    });
    if order.is_none() {
        let expected = "the cylinders in the order in which they fire, e.g. [1, 3, 4, 2]";
        let key = "engine.firing_order";
        missing.push(problem("engine-data", key, format!("{key} is missing"), expected, "add it to [engine]"));
    }
    match (engine, exhaust, intake, order) {
        (Some(engine), Some(exhaust_cam), Some(intake_cam), Some(order)) if missing.is_empty() => Ok(Given {
            bore: engine.bore.unwrap_or_default(),
            stroke: engine.stroke.unwrap_or_default(),
            engine,
            exhaust_cam,
            intake_cam,
            cylinders: job.ports.iter().map(|p| p.cylinder).collect(),
            order,
        }),
        _ => Err(Problems(missing)),
    }
}

/// Longest and shortest opening of a valve, degrees of crank.
const OPEN: [f64; 2] = [150.0, 400.0];
/// Range of the overlap of both valves, degrees of crank.
const OVERLAP: [f64; 2] = [-60.0, 150.0];

/// Whether cams, stroke and ports can be.
///
/// # Errors
/// Everything that cannot.
pub fn check(job: &Job, given: &Given<'_>) -> Result<(), Problems> {
    let mut wrong = Vec::new();
    let expected = format!("{} to {} degrees from opening to closing", OPEN[0], OPEN[1]);
    for (cam, key) in [(&given.exhaust_cam, "engine.exhaust_cam"), (&given.intake_cam, "engine.intake_cam")] {
        let open = 180.0 + (cam.opens + cam.closes).to_degrees();
        if !(OPEN[0]..=OPEN[1]).contains(&open) {
            let message = format!("the valve is open for {open:.0} degrees of crank");
            wrong.push(problem("cam", key, message, &expected, "correct opening or closing"));
        }
        if cam.lift.is_some_and(|lift| cam.timed_at_lift >= 0.9 * lift) {
            let message = format!("the timing is counted at a lift of {:.2} mm, close to the whole", cam.timed_at_lift);
            wrong.push(problem("cam", key, message, "a small part of the lift", "correct timed_at_lift or lift"));
        }
    }
    let overlap = (given.exhaust_cam.closes + given.intake_cam.opens).to_degrees();
    if !(OVERLAP[0]..=OVERLAP[1]).contains(&overlap) {
        let expected = format!("{} to {} degrees between intake opening and exhaust closing", OVERLAP[0], OVERLAP[1]);
        let message = format!("both valves are open together for {overlap:.0} degrees of crank");
        wrong.push(problem("cam", "engine.intake_cam", message, &expected, "correct the cams"));
    }
    if let Some(rod) = given.engine.rod_length.filter(|rod| *rod < 0.9 * given.stroke) {
        let message = format!("a rod of {rod:.1} mm is too short for a stroke of {:.1} mm", given.stroke);
        wrong.push(problem(
            "engine",
            "engine.rod_length",
            message,
            "at least 0.9 of the stroke",
            "correct one of them",
        ));
    }
    let ratio = given.stroke / given.bore;
    if !(0.4..=2.5).contains(&ratio) {
        let message = format!("a stroke of {:.1} mm does not go with a bore of {:.1} mm", given.stroke, given.bore);
        wrong.push(problem("engine", "engine.stroke", message, "0.4 to 2.5 bores", "correct one of them"));
    }
    if job.ports.is_empty() {
        wrong.push(problem("engine", "port", "the job has no port".into(), "a port for each cylinder", "add [[port]]"));
    }
    if wrong.is_empty() { Ok(()) } else { Err(Problems(wrong)) }
}

/// Whether the valves fit above the bore.
///
/// # Errors
/// Those that do not.
pub fn check_valves(given: &Given<'_>, gears: &[Gear; 2]) -> Result<(), Problems> {
    let mut wrong = Vec::new();
    for (gear, key) in gears.iter().zip(["engine.valves.exhaust_diameter", "engine.valves.intake_diameter"]) {
        if gear.diameter >= 0.75 * given.bore {
            let message = format!("a valve of {:.1} mm does not fit a bore of {:.1} mm", gear.diameter, given.bore);
            wrong.push(problem("valves", key, message, "less than 0.75 of the bore", "correct the valve or the bore"));
        }
        if gear.lift > 0.6 * gear.diameter {
            let key = key.replace("valves.", "").replace("_diameter", "_cam.lift");
            let message = format!("a lift of {:.1} mm is too much for a valve of {:.1} mm", gear.lift, gear.diameter);
            wrong.push(problem("valves", &key, message, "at most 0.6 of the valve's diameter", "correct one of them"));
        }
    }
    let area: f64 = gears.iter().map(|g| f64::from(g.count) * g.diameter * g.diameter).sum();
    if wrong.is_empty() && area > 0.9 * given.bore * given.bore {
        let part = 100.0 * area / (given.bore * given.bore);
        let message = format!("all valves together have {part:.0} % of the bore's area");
        wrong.push(problem("valves", "engine.valves", message, "at most 90 %", "correct count, diameter or bore"));
    }
    if wrong.is_empty() { Ok(()) } else { Err(Problems(wrong)) }
}
