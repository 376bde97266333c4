//! The runs of the examples with their kept routes and cut plans (`cases/fit`).
#![allow(dead_code, clippy::unwrap_used)]

use std::path::{Path, PathBuf};

use cutplan::CutJob;
use cutplan::assembly::assembly;
use cutplan::file::PlanFile;
use fit::{Limits, Run};
use job::model::Job;

pub const EXAMPLES: [&str; 4] = ["hill-climb-four", "jet-boat-bank", "straight-six", "twin-entry-turbo"];

pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// The job of an example and its runs.
pub fn runs(name: &str) -> (Job, Vec<Run>) {
    let opened = job::open(&job::Folder::of(&root().join("examples").join(name))).unwrap();
    let kept = root().join("cases/fit").join(name);
    let routes = std::fs::read(kept.join("routes.toml")).unwrap();
    let routes = job::file::routes_file::read("routes.toml", &routes, &opened.job).unwrap().0;
    let plan = std::fs::read_to_string(kept.join("cutplan.json")).unwrap();
    let plan = PlanFile::from_json(&plan).unwrap().to_plan().unwrap();
    let assembled = assembly(&opened.job, &routes, &plan).unwrap();
    let cut = CutJob::of(&opened.job);
    let made = routes.runs.iter().zip(&assembled);
    let runs = made.map(|(route, a)| Run::of(route, a, &plan, cut.start_of(&route.run)).unwrap()).collect();
    (opened.job, runs)
}

/// What saw and stock allow of each piece.
pub fn limits(job: &Job, run: &Run) -> Vec<Limits> {
    let leg = |clr: f64| {
        let of_clr = job.stock.bends.iter().filter(|b| (b.clr - clr).abs() < 0.1);
        of_clr.flat_map(|b| b.legs).fold(0.0, f64::max)
    };
    run.parts
        .iter()
        .map(|p| Limits {
            min_straight: job.saw.min_straight,
            min_arc: job.saw.min_arc,
            leg: leg(p.clr),
            beside: [0.0; 2],
        })
        .collect()
}
