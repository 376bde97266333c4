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
    let modes: Vec<f64> =
        found["modes"].as_array().unwrap().iter().map(|m| m["frequency_hz"].as_f64().unwrap()).collect();
    assert!(modes.len() == 8 && modes.windows(2).all(|w| w[0] <= w[1]) && modes[0] > 10.0, "{modes:?}");
    let text = out(&run(&["strength", path.to_str().unwrap()]));
    assert!(text.contains("not a life") && text.contains("flange welds"), "{text}");
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
