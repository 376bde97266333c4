//! `gas` runs as a user runs it.

use std::path::PathBuf;

use crate::user::{STOCK, TUBE, err, example, folder, object, out, run};

/// The hill-climb example, routed, in a folder of its own.
fn routed(name: &str) -> PathBuf {
    let path = folder(name);
    for file in ["job.toml", "flange.toml", "templates.toml"] {
        std::fs::copy(example("hill-climb-four").join(file), path.join(file)).unwrap();
    }
    let done = run(&["route", path.to_str().unwrap(), "--effort", "0"]);
    assert!(path.join("routes.toml").exists(), "{}", err(&done));
    path
}

#[test]
fn torque_over_speed_comes_with_every_default_and_its_source() {
    let path = routed("gas-four");
    let file = path.join("gas.json");
    let args = ["gas", path.to_str().unwrap(), "--rpm", "4000:8000:2000", "--json", "-o", file.to_str().unwrap()];
    let answer = object(&run(&args));
    let points = answer["points"].as_array().unwrap();
    assert_eq!(points.len(), 3);
    for point in points {
        assert_eq!(point["settled"], true, "{point}");
        // Naturally aspirated: 8.5 to 10.5 bar of brake mean pressure at most (Heywood, from memory), 2.0 l.
        let torque = point["torque_nm"].as_f64().unwrap();
        assert!((100.0..250.0).contains(&torque), "{point}");
        assert!((0.6..1.3).contains(&point["volumetric_efficiency"].as_f64().unwrap()), "{point}");
        assert_eq!(point["cylinders"].as_array().unwrap().len(), 4);
        assert!(point["trapped_spread_percent"].as_f64().unwrap() < 10.0);
        let power = torque * point["rpm"].as_f64().unwrap() * std::f64::consts::PI / 30_000.0;
        assert!((power - point["power_kw"].as_f64().unwrap()).abs() < 0.1);
    }
    for default in answer["defaults"].as_array().unwrap() {
        let value = |key: &str| default[key].as_f64().unwrap();
        assert!(value("low") <= value("value") && value("value") <= value("high"), "{default}");
        assert!(!default["source"].as_str().unwrap().is_empty());
    }
    let kept: serde_json::Value = serde_json::from_str(&std::fs::read_to_string(&file).unwrap()).unwrap();
    assert_eq!(kept, answer);
    // The same answer again, whatever the threads did.
    assert_eq!(object(&run(&args)), answer);
    let text = out(&run(&["gas", path.to_str().unwrap(), "--rpm", "6000"]));
    assert!(text.contains("optimistic") && text.contains("Not given, and taken as"), "{text}");
}

#[test]
fn a_job_without_an_engine_is_told_the_six_numbers() {
    let path = folder("gas-bare");
    std::fs::write(path.join("job.toml"), format!("{TUBE}{STOCK}")).unwrap();
    let routes = "format = 1\n[[primary]]\ncylinder = 1\nsteps = [[60, 0, 90, 76.2], [80.0]]\n";
    std::fs::write(path.join("routes.toml"), routes).unwrap();
    let refused = run(&["gas", path.to_str().unwrap(), "--json"]);
    assert_eq!(refused.status.code(), Some(2));
    let text = object(&refused).to_string();
    let keys = [
        "bore",
        "stroke",
        "exhaust_cam.opens_bbdc_deg",
        "exhaust_cam.closes_atdc_deg",
        "intake_cam.opens_btdc_deg",
        "intake_cam.closes_abdc_deg",
    ];
    for key in keys {
        assert!(text.contains(&format!("engine.{key} is missing")), "{key}: {text}");
    }
}

#[test]
fn what_cannot_be_is_an_error_with_place_and_expectation() {
    let path = routed("gas-wrong");
    let job = std::fs::read_to_string(path.join("job.toml")).unwrap();
    let with = |from: &str, to: &str| {
        assert!(job.contains(from), "{from}");
        std::fs::write(path.join("job.toml"), job.replace(from, to)).unwrap();
        let refused = run(&["gas", path.to_str().unwrap(), "--rpm", "6000"]);
        assert_eq!(refused.status.code(), Some(2), "{to}: {}", err(&refused));
        err(&refused)
    };
    assert!(with("exhaust_diameter = 29.5", "exhaust_diameter = 90.0").contains("does not fit a bore"));
    assert!(with("intake_diameter = 35.0", "intake_diameter = 55.0").contains("of the bore's area"));
    assert!(with("closes_atdc_deg = 38.0", "closes_atdc_deg = 119.0").contains("open together"));
    assert!(with("stroke = 81.9", "stroke = 300.0").contains("rod"));
    assert!(with("lift = 11.2", "lift = 0.0").contains("lift"));
    std::fs::write(path.join("job.toml"), &job).unwrap();
    for speeds in ["100", "3000:30000:500", "6000:5000", "x"] {
        let refused = run(&["gas", path.to_str().unwrap(), "--rpm", speeds]);
        assert_eq!(refused.status.code(), Some(2));
        assert!(err(&refused).contains("rpm"), "{}", err(&refused));
    }
    std::fs::remove_file(path.join("routes.toml")).unwrap();
    assert!(err(&run(&["gas", path.to_str().unwrap()])).contains("route the job first"));
}
