//! What readings of a build are held against: each run as it is being built, and the places of the job that a record names.

use fit::{Freedom, Limits, Reading, Run, State};
use geom::Vec3;
use job::fit::{From, Measuring, Places};
use job::inlets::{entering_od, inlets};
use job::model::{Job, Units};
use job::problem::Problem;
use job::routes::Routes;
use job::show::exact_with_unit;
use job::source::Spot;
use job::suggest::nearest;
use route::jig::{Jig, jig, suited_setup};
use route::laid::frame_of;

/// A run as it is being built.
#[derive(Debug, Clone)]
pub struct RunBuild {
    /// The run.
    pub run: Run,
    /// The figures that it is to have: as drawn, or as accepted corrections say.
    pub planned: Vec<f64>,
    /// What each piece can still give.
    pub freedoms: Vec<Freedom>,
    /// What saw and stock allow of each piece.
    pub limits: Vec<Limits>,
    /// What was read.
    pub readings: Vec<Reading>,
    /// Where each reading stands in the file, and what it is called.
    pub read_at: Vec<(Spot, String)>,
}

impl RunBuild {
    /// How far each piece has come.
    pub fn states(&self) -> Vec<State> {
        self.freedoms.iter().map(|f| f.state).collect()
    }
}

/// Places of the job that a record names.
pub(crate) struct Bench {
    /// Name and place of ports and inlets.
    pub named: Vec<(String, Vec3)>,
    /// The header over its table.
    pub jig: Option<Jig>,
    /// Unit of the file's messages.
    pub units: Units,
    /// Spreads of the readings.
    pub measuring: Measuring,
}

impl Bench {
    /// The places of a job with its routes.
    pub fn new(job: &Job, routes: &Routes, measuring: Measuring) -> Bench {
        let mut named: Vec<(String, Vec3)> = job.ports.iter().map(|p| (format!("port {}", p.cylinder), p.at)).collect();
        for (index, collector) in job.collectors.iter().enumerate() {
            let standing = frame_of(job, routes, index);
            let all = inlets(collector, &standing, entering_od(job, collector));
            named.extend(all.iter().enumerate().map(|(i, n)| (format!("{} {}", collector.name, i + 1), n.at)));
        }
        Bench { named, jig: jig(job, routes, suited_setup(job)).ok(), units: job.units, measuring }
    }

    /// A length in words.
    pub fn long(&self, mm: f64) -> String {
        exact_with_unit(mm, self.units)
    }
}

/// An error at a place of fit.toml.
pub(crate) fn wrong(
    code: &'static str,
    at: &Spot,
    message: impl Into<String>,
    expected: impl Into<String>,
    hint: impl Into<String>,
) -> Problem {
    Problem::error(code, message).at(at.clone()).expected(expected).hint(hint)
}

/// What to write instead of a name that is not known.
pub(crate) fn unknown_hint<'a>(name: &str, known: impl IntoIterator<Item = &'a str>) -> String {
    nearest(name, known).map_or_else(|| "use the names on the sheets".into(), |near| format!("write \"{near}\""))
}

/// Notes a reading of a run, where it stands in the file and what it is called.
pub(crate) fn add(build: &mut RunBuild, reading: Reading, places: &Places, key: &str, what: &str) {
    build.readings.push(reading);
    build.read_at.push((places.of(key).clone(), what.to_string()));
}

/// Where a distance is taken from.
pub(crate) fn place_of(from: &From, bench: &Bench, at: &Spot, problems: &mut Vec<Problem>) -> Option<Vec3> {
    match from {
        From::Place(place) => Some(*place),
        From::Name(name) => {
            let found = bench.named.iter().find(|(n, _)| n == name).map(|(_, p)| *p);
            if found.is_none() {
                let hint = unknown_hint(name, bench.named.iter().map(|(n, _)| n.as_str()));
                let message = format!("the job has no `{name}` to measure from");
                problems.push(wrong(
                    "unknown-place",
                    at,
                    message,
                    "\"port 1\", \"merge 2\" or a place [x, y, z]",
                    hint,
                ));
            }
            found
        }
    }
}
