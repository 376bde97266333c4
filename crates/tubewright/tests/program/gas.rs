//! `gas` runs as a user runs it.

use std::path::PathBuf;

use crate::user::{STOCK, TUBE, err, example, folder, object, out, run};

/// The hill-climb example, routed, in a folder of its own.
fn routed(name: &str) -> PathBuf {
    routed_of("hill-climb-four", &["job.toml", "flange.toml", "templates.toml"], name)
}

fn routed_of(job: &str, files: &[&str], name: &str) -> PathBuf {
    let path = folder(name);
    for file in files {
        std::fs::copy(example(job).join(file), path.join(file)).unwrap();
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

#[test]
fn waves_maps_pairings_and_sound_come_when_they_are_asked_for() {
    let path = routed("gas-more");
    let job = path.to_str().unwrap();
    let routes = path.join("routes.toml");
    let sound = path.join("sound.wav");
    let asked = ["--waves", "5500", "--uneven", "--pairings", "--map", "diameter", "--samples", "2"];
    let mut args = vec!["gas", job, "--json", "--rpm", "5000:6000:1000", "--against", routes.to_str().unwrap()];
    args.extend(asked);
    args.extend(["--sound", sound.to_str().unwrap()]);
    let answer = object(&run(&args));

    let waves = &answer["waves"][0];
    for cylinder in waves["cylinders"].as_array().unwrap() {
        let angles: Vec<f64> = cylinder["angle_deg"].as_array().unwrap().iter().map(|a| a.as_f64().unwrap()).collect();
        assert!(angles.len() > 300 && angles.windows(2).all(|w| w[0] < w[1]), "{angles:?}");
        assert_eq!(cylinder["exhaust_kpa"].as_array().unwrap().len(), angles.len());
        let arrivals = cylinder["arrivals"].as_array().unwrap();
        let count = |from: &str| arrivals.iter().filter(|a| a["from"] == from).count();
        assert_eq!([count("own_collector"), count("open_end"), count("other_cylinder")], [1, 1, 3]);
        let way = |from: &str| arrivals.iter().find(|a| a["from"] == from).unwrap()["on_the_way_ms"].as_f64().unwrap();
        // A metre and a half at 500 to 700 m/s, both ways.
        assert!((2.0..8.0).contains(&way("own_collector")) && way("open_end") > way("own_collector"));
    }
    let picture = &waves["pictures"][0];
    assert_eq!(picture["kpa"].as_array().unwrap().len(), picture["angle_deg"].as_array().unwrap().len());
    assert_eq!(picture["kpa"][0].as_array().unwrap().len(), picture["at_mm"].as_array().unwrap().len());
    assert!(waves["runs"][0]["gas_k"][0].as_f64().unwrap() > 500.0);

    let map = &answer["maps"][0];
    let values = map["values_mm"].as_array().unwrap().len();
    assert!(values >= 3 && map["torque_nm"].as_array().unwrap().len() == values, "{map}");
    assert_eq!(answer["unevenness"]["cylinders"].as_array().unwrap().len(), 4);
    assert_eq!(answer["pairings"].as_array().unwrap().len(), 4);
    // The same routes are as good as themselves.
    let routes = answer["alternatives"].as_array().unwrap();
    assert_eq!(routes[0]["curve"], routes[1]["curve"]);
    assert_eq!(routes[1]["beats_first"], 0.0);
    let band = &answer["band"];
    assert!(band["low_nm"][0].as_f64().unwrap() <= band["high_nm"][0].as_f64().unwrap());

    let file = std::fs::read(sound).unwrap();
    assert_eq!((&file[..4], file.len()), (&b"RIFF"[..], 44 + 2 * 6 * 44_100));
    assert!(answer["sound"]["pressure_at_1_m_pa"].as_f64().unwrap() > 1.0);
    let kept: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string(path.join("gas.json")).unwrap()).unwrap();
    assert_eq!(kept, answer);
    let refused = run(&["gas", job, "--waves", "50"]);
    assert!(err(&refused).contains("500 to 20000"), "{}", err(&refused));
}

#[test]
fn the_sheet_has_torque_waves_and_what_was_assumed() {
    let path = routed("gas-sheet");
    let file = path.join("gas.pdf");
    let args = ["gas", path.to_str().unwrap(), "--rpm", "5000:6000:1000", "--sheet", file.to_str().unwrap()];
    let done = run(&args);
    assert!(err(&done).contains("2 pages written to"), "{}", err(&done));
    assert_eq!(&std::fs::read(&file).unwrap()[..5], b"%PDF-");
    // Poppler, where it is, reads it.
    if let Ok(read) = std::process::Command::new("pdftotext").args([file.to_str().unwrap(), "-"]).output() {
        let text = String::from_utf8_lossy(&read.stdout).into_owned();
        for said in ["What the length of the primaries is worth", "Waves", "own pulse from the open end", "Not given"] {
            assert!(text.contains(said), "{said}: {text}");
        }
    }
}

#[test]
fn a_divided_flange_says_what_one_group_hears_of_the_other() {
    let path = routed_of("twin-entry-turbo", &["job.toml"], "gas-twin");
    let job = path.to_str().unwrap();
    let answer = object(&run(&["gas", job, "--json", "--rpm", "5000", "--waves", "5000"]));
    let entries = answer["waves"][0]["entries"].as_array().unwrap();
    let mut cylinders = Vec::new();
    for entry in entries {
        let figure = |key: &str| entry[key].as_f64().unwrap();
        let share = figure("other_kpa") / figure("own_kpa");
        // A wall between them lets something through, and takes something off.
        assert!((0.02..0.9).contains(&share), "{entry}");
        assert!((figure("share_percent") - 100.0 * share).abs() < 0.5, "{entry}");
        assert!((figure("share_db") - 20.0 * share.log10()).abs() < 0.1, "{entry}");
        cylinders.push(entry["cylinders"].as_array().unwrap().iter().map(|c| c.as_u64().unwrap()).collect::<Vec<_>>());
    }
    // Cylinders that fire one after another never share an entry.
    cylinders.sort();
    assert_eq!(cylinders, [vec![1, 4], vec![2, 3]]);
}
