//! Figures from outside: `checks/strength`. Its frames are solved there as short straight beams, its heat by another method.

mod solved;

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use serde_json::Value;
use solved::{answer, apart, numbers};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../checks/strength")
}

/// A row of expected.csv: what, whose, figures.
type Row = (String, String, Vec<f64>);

/// The rows of each case; every case that is kept must have some.
fn expected() -> BTreeMap<String, Vec<Row>> {
    let text = std::fs::read_to_string(folder().join("expected.csv")).expect("the check holds its figures");
    let mut cases: BTreeMap<String, Vec<Row>> = BTreeMap::new();
    for line in text.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let [case, what, name, figures @ ..] = cells.as_slice() else { panic!("{line}: expected four cells or more") };
        let figures: Vec<f64> =
            figures.iter().filter(|f| !f.is_empty()).map(|f| f.parse().expect("a number")).collect();
        assert!(!figures.is_empty(), "{line}");
        cases.entry(case.to_string()).or_default().push((what.to_string(), name.to_string(), figures));
    }
    let files = std::fs::read_dir(folder().join("cases")).expect("the check holds its cases");
    let stem = |file: std::fs::DirEntry| file.path().file_stem().map(|s| s.to_string_lossy().into_owned());
    let kept: BTreeSet<String> = files.flatten().filter_map(stem).collect();
    assert_eq!(kept, cases.keys().cloned().collect::<BTreeSet<_>>());
    cases
}

/// The figures of a row in the program's answer.
fn found(answer: &Value, what: &str, name: &str) -> Vec<f64> {
    match what {
        "displacement_mm" | "rotation_mrad" => numbers(&answer["bodies"][name][what]),
        "force_N" | "moment_Nm" => numbers(&answer["reactions"][name][what]),
        "heat_into_flange_W" => vec![answer[what].as_f64().expect("a number")],
        _ => vec![numbers(&answer[what])[name.parse::<usize>().expect("a place in the list")]],
    }
}

/// Share of the expected vector, and the difference below which it does not matter.
fn tolerance(what: &str) -> (f64, f64) {
    match what {
        "displacement_mm" | "rotation_mrad" => (5e-4, 1e-4),
        "force_N" => (1e-3, 0.05),
        "moment_Nm" => (1e-3, 0.005),
        "frequencies_Hz" => (2e-3, 0.0),
        "gas_C" | "wall_C" | "skin_C" => (0.0, 0.05),
        "heat_into_flange_W" => (2e-4, 0.0),
        _ => panic!("no tolerance for {what}"),
    }
}

fn assert_cases(heat: bool) {
    let mut held = 0;
    for (case, rows) in expected().into_iter().filter(|(case, _)| case.starts_with("heat-") == heat) {
        let answer = answer(&folder().join("cases").join(format!("{case}.json")));
        for (what, name, figures) in rows {
            let (share, floor) = tolerance(&what);
            let found = found(&answer, &what, &name);
            let [difference, length] = apart(&found, &figures);
            assert!(difference <= floor.max(share * length), "{case}, {what} {name}: {found:?} for {figures:?}");
            held += 1;
        }
    }
    assert!(held >= 40, "only {held} figures were there to hold");
}

#[test]
fn frames_move_react_and_shake_as_chains_of_short_beams() {
    assert_cases(false);
}

#[test]
fn gas_and_metal_are_as_hot_as_another_method_says() {
    assert_cases(true);
}
