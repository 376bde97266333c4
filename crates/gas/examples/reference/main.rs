//! Computes what a file of reference solutions asks for, with the solver, and prints it as JSON.
//!
//! `cargo run --release -p gas --example reference -- FILE`
//!
//! The seven forms are those of `crates/gas/tests/reference`; a form is recognised by its keys. Every item of the file
//! comes back with the same keys and the solver's own values, arrays on the grid of the file.

mod forms;

use std::process::ExitCode;

fn main() -> ExitCode {
    let Some(path) = std::env::args().nth(1) else {
        eprintln!("usage: reference FILE");
        return ExitCode::from(2);
    };
    let computed = std::fs::read_to_string(&path)
        .map_err(|e| e.to_string())
        .and_then(|text| serde_json::from_str(&text).map_err(|e| e.to_string()))
        .and_then(|file| forms::compute(&file));
    match computed {
        Ok(answer) => {
            println!("{answer}");
            ExitCode::SUCCESS
        }
        Err(why) => {
            eprintln!("{path}: {why}");
            ExitCode::from(2)
        }
    }
}
