//! A highest share of the allowable stress range as a requirement of a job: kept to, or named when no route keeps to it.
#![allow(clippy::unwrap_used)]

use std::path::{Path, PathBuf};

use app::route_job::route_job;
use app::strength_share::{highest_share, share_missed};
use app::view::finding::RequirementCode;
use job::Monitor;
use job::model::Job;
use job::routes::Routes;
use route::RouteSettings;

const EXAMPLE: &str = "hill-climb-four";

/// Most answers that are computed: of one search and of a second one when the first has none that is flexible enough.
const MOST: u64 = 48;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn job(highest_share: Option<f64>) -> Job {
    let job = job::open(&job::Folder::of(&root().join("examples").join(EXAMPLE))).unwrap().job;
    Job { highest_share, ..job }
}

fn kept_routes(job: &Job) -> Routes {
    let bytes = std::fs::read(root().join("cases/fit").join(EXAMPLE).join("routes.toml")).unwrap();
    job::file::routes_file::read("routes.toml", &bytes, job).unwrap().0
}

#[test]
fn given_routes_miss_a_share_below_theirs_and_keep_to_one_above() {
    let free = job(None);
    let routes = kept_routes(&free);
    let reached = highest_share(&free, &routes).unwrap();
    assert!(reached.share > 0.0 && share_missed(&free, &routes, free.units).is_none());
    let allowing = job(Some(1.01 * reached.share));
    assert!(share_missed(&allowing, &routes, allowing.units).is_none());
    let stiff = job(Some(0.5 * reached.share));
    let missed = share_missed(&stiff, &routes, stiff.units).unwrap();
    assert_eq!(missed.requirement, RequirementCode::Strength);
    assert_eq!(missed.run, Some(reached.run.to_string()));
    assert!((missed.by - 0.5 * reached.share).abs() < 1e-3, "{missed:?}");
}

#[test]
fn the_router_keeps_to_a_share_and_says_when_no_route_does() {
    let settings = RouteSettings { effort: 2, ..RouteSettings::default() };
    let routed = |share: f64| {
        let job = job(Some(share));
        route_job(&job, None, settings, job.units, &mut Monitor::silent())
    };
    let free = job(None);
    let any = routed(1e6);
    assert!(any.routed.met && any.unmet.is_empty(), "{:?}", any.unmet);
    // A share that some of these answers reach: exactly those are left.
    let shares: Vec<f64> = any.routed.answers.iter().map(|a| highest_share(&free, &a.routes).unwrap().share).collect();
    let lowest = shares.iter().copied().fold(f64::INFINITY, f64::min);
    let some = routed(lowest);
    assert!(some.routed.met && some.routed.answers.len() <= any.routed.answers.len());
    assert!(some.routed.answers.iter().all(|a| highest_share(&free, &a.routes).unwrap().share <= lowest));
    // One that none can reach: the nearest is drawn, and what it misses is said with how many were tried.
    let none = routed(1e-6);
    assert!(!none.routed.met && none.routed.answers.len() == 1 && none.routes().is_some());
    let [missed] = &none.unmet[..] else { panic!("{:?}", none.unmet) };
    assert_eq!(missed.requirement, RequirementCode::Strength);
    let tried = missed.measures["tried"].as_u64().unwrap();
    assert!((1..=MOST).contains(&tried), "{tried}");
    let drawn = highest_share(&free, none.routes().unwrap()).unwrap().share;
    assert!(drawn <= lowest && (missed.by - drawn).abs() < 1e-3, "{drawn} {lowest}");
}
