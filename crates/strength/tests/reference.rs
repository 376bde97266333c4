//! The kept reference cases, through the same code as the example `reference`.

mod solved;

use std::path::Path;

use serde_json::Value;
use solved::{answer, apart, numbers};

/// The case, and what the program says of it.
fn solved(name: &str) -> (Value, Value) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference").join(name);
    let case = std::fs::read_to_string(&path).expect("the case is kept");
    (serde_json::from_str(&case).expect("the case is JSON"), answer(&path))
}

/// A vector holds when the difference is small against the expected vector.
fn assert_vector(found: &Value, expected: &Value, share: f64, what: &str) {
    let [difference, length] = apart(&numbers(found), &numbers(expected));
    assert!(difference <= share * length, "{what}: {found} for {expected}");
}

#[test]
fn a_bent_cantilever_moves_reacts_and_shakes_as_in_another_solver() {
    let (case, found) = solved("1-bent-cantilever.json");
    let expected = &case["expected"];
    for (a, b) in numbers(&found["frequencies_Hz"]).iter().zip(numbers(&expected["frequencies_Hz"])) {
        assert!((a / b - 1.0).abs() < 0.01, "{a} Hz for {b}");
    }
    assert_eq!(numbers(&found["frequencies_Hz"]).len(), 5);
    for key in ["displacement_mm", "rotation_mrad"] {
        assert_vector(&found["bodies"]["tip"][key], &expected["bodies"]["tip"][key], 0.001, key);
    }
    for key in ["force_N", "moment_Nm"] {
        assert_vector(&found["reactions"]["run"][key], &expected["reactions"]["run"][key], 1e-4, key);
    }
}

#[test]
fn a_bare_tube_is_as_hot_as_another_solver_says() {
    let (case, found) = solved("h1-bare-tube.json");
    for key in ["gas_C", "wall_C", "skin_C"] {
        for (a, b) in numbers(&found[key]).iter().zip(numbers(&case["expected"][key])) {
            assert!((a - b).abs() < 0.05, "{key}: {a} for {b}");
        }
    }
    let flow = found["heat_into_flange_W"].as_f64().expect("a sound case");
    assert!((flow / 207.794 - 1.0).abs() < 0.002, "{flow} W");
}
