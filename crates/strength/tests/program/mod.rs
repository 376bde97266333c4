//! The example program `reference`, run as a user runs it.

use std::path::Path;
use std::process::Command;

use serde_json::Value;

/// What the program answers to a case.
pub fn answer(case: &Path) -> Value {
    // Examples lie beside the tests of their profile.
    let here = std::env::current_exe().expect("a test has a place");
    let program = here.parent().and_then(Path::parent).expect("it lies in deps").join("examples/reference");
    let output = Command::new(program).arg(case).output().expect("the example is built with the tests");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("the answer is JSON")
}

/// The numbers of a list.
pub fn numbers(value: &Value) -> Vec<f64> {
    let items = value.as_array().unwrap_or_else(|| panic!("{value} should be a list"));
    items.iter().map(|v| v.as_f64().unwrap_or_else(|| panic!("{v} should be a number"))).collect()
}

/// Length of the difference of two vectors, and of the second.
pub fn apart(found: &[f64], expected: &[f64]) -> [f64; 2] {
    assert_eq!(found.len(), expected.len());
    let length = |v: &[f64]| v.iter().map(|x| x * x).sum::<f64>().sqrt();
    let difference: Vec<f64> = found.iter().zip(expected).map(|(a, b)| a - b).collect();
    [length(&difference), length(expected)]
}
