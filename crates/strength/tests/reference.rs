//! The kept reference cases, through the same code as the example `reference`.

#[path = "../examples/reference/forms/mod.rs"]
mod forms;

use serde_json::Value;

/// The case, and what this crate computes for it.
fn solved(name: &str) -> (Value, Value) {
    let path = format!("{}/tests/reference/{name}", env!("CARGO_MANIFEST_DIR"));
    let case = serde_json::from_str(&std::fs::read_to_string(path).expect("a kept case")).expect("JSON");
    let found = forms::compute(&case).expect("a sound case");
    (case, found)
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().expect("a sound case").iter().map(|v| v.as_f64().expect("a sound case")).collect()
}

/// A vector holds when the difference is small against the expected vector.
fn assert_vector(found: &Value, expected: &Value, share: f64, what: &str) {
    let (found, expected) = (numbers(found), numbers(expected));
    let length = |v: &[f64]| v.iter().map(|x| x * x).sum::<f64>().sqrt();
    let apart: Vec<f64> = found.iter().zip(&expected).map(|(a, b)| a - b).collect();
    assert!(length(&apart) <= share * length(&expected), "{what}: {found:?} for {expected:?}");
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
