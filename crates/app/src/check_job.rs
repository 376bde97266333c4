//! Checks a job: everything that is wrong with its files, and whether the next steps have what they need.

use std::path::Path;

use job::model::Remnant;
use job::{Documents, Opened, Problems};
use serde_json::{Value, json};

use crate::open_job::open;

/// What a check found.
#[derive(Debug, Clone)]
pub struct CheckReport {
    /// The job's name; the path when the job could not be read.
    pub job: String,
    /// One line on what the job holds; empty when it could not be read.
    pub holds: String,
    /// Everything that is wrong, errors and warnings.
    pub problems: Problems,
}

impl CheckReport {
    /// True when there is no error.
    pub fn good(&self) -> bool {
        !self.problems.has_errors()
    }

    /// As one JSON object.
    pub fn to_json(&self) -> Value {
        json!({
            "format": 1,
            "job": self.job,
            "good": self.good(),
            "errors": self.problems.errors(),
            "warnings": self.problems.warnings(),
            "problems": self.problems.to_json(),
        })
    }
}

/// Checks a job whose documents these are; `path` is what it is called when it cannot be read.
pub fn check_job(documents: &dyn Documents, path: &Path) -> CheckReport {
    let open = open(documents);
    let mut problems = open.problems();
    let Some(opened) = &open.opened else {
        return CheckReport { job: path.display().to_string(), holds: String::new(), problems };
    };
    needs(opened, &open.offered(), &mut problems);
    problems.sort();
    CheckReport { job: opened.job.name.clone(), holds: holds(opened), problems }
}

/// A job with a port or collector is to be routed, and should be cut and priced; a job with stock alone is
/// to be cut.
fn needs(opened: &Opened, shelf: &[Remnant], problems: &mut Problems) {
    let job = &opened.job;
    let routed = !job.ports.is_empty() || !job.collectors.is_empty();
    let cut = opened.given.stock || opened.given.saw || opened.given.cost;
    if routed && let Err(missing) = opened.require_routing() {
        problems.0.extend(missing.0);
    }
    if let Err(missing) = opened.require_cutting(shelf) {
        let must = cut && !routed;
        problems.0.extend(missing.0.into_iter().map(|p| if must { p } else { p.as_warning() }));
    }
}

fn holds(opened: &Opened) -> String {
    let job = &opened.job;
    let count = |n: usize, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
    [
        count(job.ports.len(), "port"),
        count(job.collectors.len(), "collector"),
        count(job.keepouts.len(), "keep-out"),
        count(job.stock.bends.len(), "bend") + " in stock",
    ]
    .join(", ")
}
