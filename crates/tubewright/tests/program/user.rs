//! What a user does and sees: runs the program in a folder and reads what it prints.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

/// The program.
pub const PROGRAM: &str = env!("CARGO_BIN_EXE_tubewright");

/// Head and tube of small jobs.
pub const TUBE: &str = "format = 1\nunits = \"mm\"\n[tube]\nod = 44.45\nwall = 1.65\nmaterial = \"304\"\n";

/// Stock, saw and costs of small jobs.
pub const STOCK: &str = "[[stock.bend]]\nclr = 76.2\nangle = 180\nlegs = [100, 100]\nprice = 24\n\
                         [[stock.straight]]\nlength = 1000\nprice = 18\n\
                         [saw]\nkerf = 1.6\nmin_straight = 12\nmin_arc = 5\n[cost]\njoint = 14\ncut = 2.5\n";

/// Runs it to its end.
pub fn run(args: &[&str]) -> Output {
    Command::new(PROGRAM).args(args).output().unwrap()
}

/// What it prints.
pub fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

/// What it complains of.
pub fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// What it prints and what it complains of.
pub fn all_output(output: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}

/// What it prints as exactly one JSON object.
pub fn object(output: &Output) -> Value {
    let value: Value = serde_json::from_slice(&output.stdout).unwrap_or_else(|e| panic!("{e}: {}", all_output(output)));
    assert!(value.is_object());
    value
}

/// An empty folder of its own for a test.
pub fn folder(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&path);
    std::fs::create_dir_all(&path).unwrap();
    path
}

/// A shipped example.
pub fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name)
}
