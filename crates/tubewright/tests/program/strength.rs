//! `tubewright strength`.

use std::path::Path;

use crate::user::{err, example, folder, object, out, run};

/// The first example with its kept routes.
fn routed(name: &str) -> std::path::PathBuf {
    let path = folder(name);
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../cases/fit/hill-climb-four/routes.toml");
    std::fs::copy(kept, path.join("routes.toml")).unwrap();
    std::fs::copy(example("hill-climb-four").join("job.toml"), path.join("job.toml")).unwrap();
    path
}

#[test]
fn a_hot_header_moves_is_strained_and_shakes() {
    let path = routed("strength-four");
    let found = object(&run(&["strength", path.to_str().unwrap(), "--json"]));
    let runs = found["runs"].as_array().unwrap();
    assert_eq!(runs.len(), 4);
    for run in runs {
        let metal: Vec<f64> = run["metal_c"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
        assert!(metal[0] < metal[1] && metal[1] < metal[2] && (400.0..850.0).contains(&metal[1]), "{metal:?}");
        assert!(run["share_of_allowable"].as_f64().unwrap() > 0.0);
    }
    let moved: Vec<f64> =
        found["collectors"][0]["moves_mm"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
    let far = moved.iter().map(|v| v * v).sum::<f64>().sqrt();
    assert!((3.0..12.0).contains(&far), "half a metre of tube at 600 degrees grows by some 5 to 7 mm: {far}");
    let free = &found["must_move"][0];
    assert_eq!((&free["part"], &free["why"]), (&"merge".into(), &"collector".into()));
    assert!((free["by_mm"].as_f64().unwrap() - far).abs() < 0.01, "{free}");
    let modes: Vec<f64> =
        found["modes"].as_array().unwrap().iter().map(|m| m["frequency_hz"].as_f64().unwrap()).collect();
    assert!(modes.len() == 8 && modes.windows(2).all(|w| w[0] <= w[1]) && modes[0] > 10.0, "{modes:?}");
    let text = out(&run(&["strength", path.to_str().unwrap()]));
    assert!(text.contains("not a life") && text.contains("flange welds"), "{text}");
}

#[test]
fn parts_on_tubes_count_and_suggested_changes_do_what_they_promise() {
    let path = routed("strength-parts");
    let job = std::fs::read_to_string(path.join("job.toml")).unwrap();
    let free = object(&run(&["strength", path.to_str().unwrap(), "--json"]));
    let helps = &free["helps"];
    let best = helps["best"].as_array().unwrap();
    assert!(helps["tried"].as_f64().unwrap() > 30.0 && !best.is_empty(), "{helps}");
    for help in best {
        let [before, after] = [&helps["before"], &help["after"]];
        let less = |key: &str| after[key].as_f64().unwrap() < 0.95 * before[key].as_f64().unwrap();
        assert!(less("share_of_allowable") || less("mpa_per_g"), "{help}");
        // The table can be added to the job, and the figures are then those that were promised.
        let changed = format!("{job}\n{}", help["table"].as_str().unwrap());
        std::fs::write(path.join("job.toml"), changed).unwrap();
        let with = object(&run(&["strength", path.to_str().unwrap(), "--json"]));
        let [promised, found] = [after, &with["helps"]["before"]].map(|f| f["range_mpa"].as_f64().unwrap());
        assert!((found / promised - 1.0).abs() < 0.02, "{promised} {found}: {help}");
    }
    let parts = "[[bracket]]\ncollector = \"merge\"\nkind = \"slotted\"\n[[bung]]\nrun = \"primary 1\"\nat = 150\nlength = 60\n";
    std::fs::write(path.join("job.toml"), format!("{job}\n{parts}")).unwrap();
    let held = object(&run(&["strength", path.to_str().unwrap(), "--json"]));
    let first = |o: &serde_json::Value| o["modes"][0]["frequency_hz"].as_f64().unwrap();
    assert!(first(&held) > 1.3 * first(&free), "{} {}", first(&held), first(&free));
    assert_eq!(held["brackets"][0]["kind"], "slotted");
    let beyond = format!("{job}\n[[slip]]\nrun = \"primary 1\"\nat = 9000\noverlap = 40\n");
    std::fs::write(path.join("job.toml"), beyond).unwrap();
    let refused = run(&["strength", path.to_str().unwrap()]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(err(&refused).contains("part-beyond-run") && err(&refused).contains("[[slip]] 1"), "{}", err(&refused));
}

#[test]
fn a_kept_gas_answer_gives_the_heat_and_one_of_another_engine_is_refused() {
    let path = routed("strength-gas");
    let folder = path.to_str().unwrap();
    let job = std::fs::read_to_string(path.join("job.toml")).unwrap();
    let strength = || object(&run(&["strength", folder, "--json"]));
    let without = strength();
    assert!(without["gas"]["rpm"].is_null() && without["gas"]["refused"].is_null());
    object(&run(&["gas", folder, "--rpm", "8000", "--waves", "8000", "--json"]));
    let with = strength();
    assert_eq!((&with["gas"]["rpm"], &with["gas"]["along_runs"]), (&8000.0.into(), &true.into()));
    let metal = |of: &serde_json::Value| of["runs"][0]["metal_c"][1].as_f64().unwrap();
    let apart = metal(&with) - metal(&without);
    assert!(apart.abs() > 1.0 && apart.abs() < 250.0, "{apart}");
    assert!(!with["assumed"].to_string().contains("gas at the port"));
    std::fs::write(path.join("job.toml"), job.replace("bore = 85.7", "bore = 84.0")).unwrap();
    let stale = strength();
    assert_eq!((&stale["gas"]["refused"], stale["gas"]["rpm"].is_null()), (&"stale".into(), true));
    assert!(out(&run(&["strength", folder])).contains("gas.json is of another engine"));
    std::fs::write(path.join("gas.json"), "[]").unwrap();
    assert_eq!(strength()["gas"]["refused"], "unreadable");
}

#[test]
fn an_engine_without_figures_says_which_are_missing() {
    let path = routed("strength-bare");
    let job = std::fs::read_to_string(path.join("job.toml")).unwrap();
    std::fs::write(path.join("job.toml"), job.replace("bore = 85.7\n", "").replace("peak_power_rpm = 8200\n", ""))
        .unwrap();
    let refused = run(&["strength", path.to_str().unwrap()]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(
        err(&refused).contains("engine.bore") && err(&refused).contains("engine.peak_power_rpm"),
        "{}",
        err(&refused)
    );
}
