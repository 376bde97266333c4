//! The two forms of reference cases, and what this crate computes for them in the keys of their `expected`.

mod case;
mod frame_case;
mod heat_case;

use case::Case;
use serde_json::Value;

/// Solves a case: a frame (with `tubes`) or heat along one tube. Lengths in the files are mm, temperatures degrees Celsius.
///
/// # Errors
/// What is wrong with the case, with its place.
pub fn compute(value: &Value) -> Result<Value, String> {
    let case = Case::new(value);
    if value.get("tubes").is_some() { frame_case::solve(&case) } else { heat_case::solve(&case) }
}
