//! Cases in the reference forms, solved by the code of the example `reference`.

#[path = "../../examples/reference/forms/mod.rs"]
mod forms;

use std::path::Path;

use serde_json::Value;

/// What this crate computes for a case.
pub fn answer(case: &Path) -> Value {
    let text = std::fs::read_to_string(case).expect("a kept case");
    forms::compute(&serde_json::from_str(&text).expect("the case is JSON")).expect("the case can be solved")
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
