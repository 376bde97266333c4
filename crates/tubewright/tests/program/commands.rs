//! `new`, `check`, `route`, `cut`, `schema`: what they write and what they say.

use crate::user::{err, folder, out, run};

#[test]
fn a_new_job_of_every_kind_passes_the_check_without_a_warning() {
    let here = folder("new");
    let kinds = [
        ("single", "1"),
        ("inline", "2"),
        ("inline", "3"),
        ("inline", "4"),
        ("inline", "5"),
        ("inline", "6"),
        ("inline", "8"),
    ];
    let banks = [
        ("vee", "2"),
        ("vee", "6"),
        ("vee", "8"),
        ("vee", "10"),
        ("vee", "12"),
        ("vee", "16"),
        ("flat", "4"),
        ("flat", "6"),
    ];
    for (layout, cylinders) in kinds.into_iter().chain(banks) {
        for units in ["mm", "in"] {
            for turbo in [false, true] {
                let job = here.join(format!("{layout}-{cylinders}-{units}-{turbo}"));
                let path = job.to_str().unwrap();
                let mut args = vec!["new", path, "--layout", layout, "--cylinders", cylinders, "--units", units];
                args.extend(turbo.then_some("--turbo"));
                let made = run(&args);
                assert!(made.status.success(), "{args:?}: {}", err(&made));
                let checked = run(&["check", path]);
                assert!(checked.status.success() && out(&checked).contains(": OK ("), "{args:?}: {}", out(&checked));
            }
        }
    }
}

#[test]
fn new_writes_over_nothing_and_refuses_what_is_no_engine() {
    let here = folder("over");
    let path = here.to_str().unwrap();
    assert!(run(&["new", path]).status.success());
    let before = std::fs::read(here.join("job.toml")).unwrap();
    let again = run(&["new", path, "--cylinders", "6"]);
    assert_eq!(again.status.code(), Some(2));
    assert!(err(&again).contains("already there"), "{}", err(&again));
    assert_eq!(std::fs::read(here.join("job.toml")).unwrap(), before);
    let odd = run(&["new", here.join("odd").to_str().unwrap(), "--layout", "vee", "--cylinders", "7"]);
    assert_eq!(odd.status.code(), Some(2));
    assert!(!here.join("odd").exists());
}

#[test]
fn a_bad_job_ends_with_code_2_and_one_json_object() {
    let here = folder("bad-job");
    let bad = here.join("many-at-once.toml");
    let job = fuzz::bad_jobs::bad_jobs().into_iter().find(|j| j.name == "many-at-once").unwrap();
    std::fs::write(&bad, job.text).unwrap();
    let text = run(&["check", bad.to_str().unwrap()]);
    assert_eq!(text.status.code(), Some(2));
    assert!(out(&text).contains("many-at-once.toml:17:6: error"), "{}", out(&text));
    let json = run(&["check", bad.to_str().unwrap(), "--json"]);
    assert_eq!(json.status.code(), Some(2));
    let report: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    assert_eq!(report["good"], false);
    assert_eq!(report["errors"], 3);
    assert_eq!(report["problems"][0]["line"], 17);
    assert_eq!(report["problems"][0]["column"], 6);
    assert_eq!(report["problems"][1]["code"], "unknown-key");
}

#[test]
fn what_is_not_there_is_said() {
    let here = folder("nothing");
    let missing = run(&["check", here.join("nowhere").to_str().unwrap()]);
    assert_eq!(missing.status.code(), Some(2));
    assert!(out(&missing).contains("there is no"), "{}", out(&missing));
    let empty = run(&["check", here.to_str().unwrap()]);
    assert_eq!(empty.status.code(), Some(2));
    assert!(out(&empty).contains("there is no job.toml in"), "{}", out(&empty));
    assert_eq!(run(&["chekc"]).status.code(), Some(2));
}

#[test]
fn a_shops_file_beside_or_above_the_job_gives_stock_saw_and_cost() {
    let here = folder("shop");
    let job = here.join("job");
    std::fs::create_dir_all(&job).unwrap();
    std::fs::write(
        job.join("job.toml"),
        "format = 1\nunits = \"mm\"\n[tube]\nsize = \"1 3/4 in x 16 ga\"\nmaterial = \"304\"\n",
    )
    .unwrap();
    let without = run(&["check", job.to_str().unwrap(), "--json"]);
    let report: serde_json::Value = serde_json::from_slice(&without.stdout).unwrap();
    assert_eq!(report["warnings"], 3, "{report}");
    let stock = "format = 1\nunits = \"in\"\n[[stock.bend]]\nclr = 3.0\nangle = 180\nlegs = [4, 4]\nprice = 24.0\n\
                 [saw]\nkerf = \"1.6 mm\"\nmin_straight = 0.5\nmin_arc = 5\n[cost]\njoint = 14.0\ncut = 2.5\n";
    std::fs::write(here.join("stock.toml"), stock).unwrap();
    let with = run(&["check", job.to_str().unwrap()]);
    assert!(out(&with).contains(": OK (") && out(&with).contains("1 bend in stock"), "{}", out(&with));
    std::fs::write(here.join("stock.toml"), stock.replace("kerf", "kref")).unwrap();
    let wrong = run(&["check", job.to_str().unwrap()]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(out(&wrong).contains("stock.toml:9:1: error"), "{}", out(&wrong));
}

#[test]
fn routes_beside_the_job_are_checked_with_it() {
    let here = folder("routes");
    assert!(run(&["new", here.to_str().unwrap()]).status.success());
    let routes = "[[primary]]\ncylinder = 1\ncollector = \"mian\"\npoints = [[0, 0, 0], [0, 100, 0]]\n";
    std::fs::write(here.join("routes.toml"), routes).unwrap();
    let wrong = run(&["check", here.to_str().unwrap()]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(out(&wrong).contains("routes.toml:3:13") && out(&wrong).contains("write \"main\""), "{}", out(&wrong));
}

#[test]
fn the_schema_is_one_json_object() {
    let schema = run(&["schema"]);
    assert!(schema.status.success());
    let schema: serde_json::Value = serde_json::from_slice(&schema.stdout).unwrap();
    assert_eq!(schema["properties"]["tube"]["additionalProperties"], false);
}
