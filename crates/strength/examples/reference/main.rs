//! Reads a reference case and prints what this crate computes, in the keys of the case's `expected`:
//! `cargo run --release -p strength --example reference -- FILE`.

mod forms;

use std::process::ExitCode;

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
    forms::compute(&serde_json::from_str(&text).map_err(|e| e.to_string())?)
}
