//! Whole jobs: every example built from its folder with a fixed seed and little effort.
//!
//! What was written is read back, and routes and cut plan are counted again the slow way. The kept
//! `cases/NAME/summary.txt` holds what any machine must find, whatever the last digit of a sine there;
//! `cargo x bless` rewrites it, to be looked at by eye.
#![allow(clippy::unwrap_used)]

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use app::build::{BuildSettings, Built, build};
use cutplan::file::PlanFile;
use cutplan::{CutJob, CutSettings};
use job::{Folder, Opened};
use route::RouteSettings;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Builds an example into a folder of its own.
fn built(name: &str, threads: usize) -> (Opened, Built, PathBuf) {
    let opened = job::open(&Folder::of(&root().join("examples").join(name))).unwrap_or_else(|p| panic!("{name}: {p}"));
    let out = std::env::temp_dir().join(format!("tubewright-{name}-{threads}-{}", std::process::id()));
    let settings = BuildSettings {
        route: RouteSettings { seed: 1, effort: 0, threads, varied: false },
        cut: CutSettings { steps: 200_000, ..CutSettings::default() },
        ..BuildSettings::default()
    };
    let built = build(&opened, None, &out, &settings, &|_| ()).unwrap();
    (opened, built, out)
}

fn holds(name: &str) {
    let (opened, built, out) = built(name, 0);
    assert!(built.met, "{name}: {}", built.text);
    let job = &opened.job;

    let (routes, warnings) =
        job::open_routes(&Folder::of(&out), job).unwrap_or_else(|p| panic!("{name}: {p}")).unwrap();
    assert!(warnings.0.is_empty(), "{name}: {warnings}");
    let misses = route::recount::recount(job, &routes);
    assert!(misses.is_empty(), "{name}: {:?}", misses[0]);

    let cut = CutJob::of(job);
    let file = PlanFile::from_json(&fs::read_to_string(out.join("cutplan.json")).unwrap()).unwrap();
    let plan = file.to_plan().unwrap_or_else(|e| panic!("{name}: {e}"));
    let runs = cutplan::centrelines(&routes).unwrap();
    let recounted = cutplan::recount(&plan, &runs, &cut).unwrap_or_else(|f| panic!("{name}: {f:?}"));
    assert_eq!(recounted.cost, plan.cost.0, "{name}");
    assert!(plan.lower_bound <= plan.cost, "{name}: the bound is above the cost");

    kept(name, &summary(job, &built, &routes));
    fs::remove_dir_all(&out).unwrap();
}

/// What every machine must find: the runs, where each goes, and that their lengths hold.
fn summary(job: &job::model::Job, built: &Built, routes: &job::routes::Routes) -> String {
    let mut text = format!("{}\nevery requirement holds: {}\n", job.name, built.met);
    for (run, line) in routes.runs.iter().zip(built.summary["runs"].as_array().unwrap()) {
        let into = if run.collector.is_empty() { "out".to_string() } else { format!("into {}", run.collector) };
        let length = line["length_mm"].as_f64().unwrap();
        let wanted = &job.primary.length;
        let held = wanted.target.filter(|_| line["kind"] == "primary").map_or(String::new(), |target| {
            assert!((length - target).abs() <= wanted.tolerance + 0.01, "{} is {length} mm long", run.run);
            format!(", {target:.1} mm within {:.1}", wanted.tolerance)
        });
        _ = writeln!(text, "{} {into}{held}", run.run);
    }
    _ = writeln!(text, "cut plan counted again, quote in {}", built.summary["quote"]["currency"].as_str().unwrap());
    text
}

fn kept(name: &str, text: &str) {
    let file = root().join("cases").join(name).join("summary.txt");
    if std::env::var_os("BLESS").is_some() {
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        fs::write(&file, text).unwrap();
    }
    let kept = fs::read_to_string(&file).unwrap_or_default();
    assert!(kept == text, "{} is stale (`cargo x bless` writes it); now it is\n{text}", file.display());
}

#[test]
fn hill_climb_four() {
    holds("hill-climb-four");
}

#[test]
fn jet_boat_bank() {
    holds("jet-boat-bank");
}

#[test]
fn straight_six() {
    holds("straight-six");
}

#[test]
fn twin_entry_turbo() {
    holds("twin-entry-turbo");
}

#[test]
fn every_example_is_a_case() {
    if std::env::var_os("BLESS").is_some() {
        return; // The other tests are just writing them.
    }
    for entry in fs::read_dir(root().join("examples")).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        assert!(root().join("cases").join(&name).join("summary.txt").is_file(), "no case holds the example {name}");
    }
}

#[test]
fn the_answer_does_not_depend_on_the_number_of_threads() {
    let (_, _, one) = built("twin-entry-turbo", 1);
    let (_, _, three) = built("twin-entry-turbo", 3);
    for file in ["routes.toml", "cutplan.json", "quote.json"] {
        assert_eq!(fs::read(one.join(file)).unwrap(), fs::read(three.join(file)).unwrap(), "{file}");
    }
    fs::remove_dir_all(one).unwrap();
    fs::remove_dir_all(three).unwrap();
}
