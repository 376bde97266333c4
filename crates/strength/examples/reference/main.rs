//! Reads a reference case and prints what this crate computes, in the keys of the case's `expected`:
//! `cargo run --release -p strength --example reference -- FILE`.
//!
//! Two forms: a frame (with `tubes`) and heat along one tube. Lengths in the files are mm, temperatures degrees Celsius.

mod case;
mod frame_case;
mod heat_case;

use std::process::ExitCode;

use case::Case;

fn main() -> ExitCode {
    let Some(path) = std::env::args().nth(1) else {
        eprintln!("usage: reference FILE");
        return ExitCode::from(2);
    };
    match answer(&path) {
        Ok(answer) => {
            println!("{answer:#}");
            ExitCode::SUCCESS
        }
        Err(why) => {
            eprintln!("{path}: {why}");
            ExitCode::from(2)
        }
    }
}

fn answer(path: &str) -> Result<serde_json::Value, String> {
    let text = std::fs::read_to_string(path).map_err(|e| e.to_string())?;
    let value: serde_json::Value = serde_json::from_str(&text).map_err(|e| e.to_string())?;
    let case = Case::new(&value);
    if value.get("tubes").is_some() { frame_case::solve(&case) } else { heat_case::solve(&case) }
}
