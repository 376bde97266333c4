//! `cargo x bench [WORD]`: every bench of bench/, or those with WORD in their name, one after the other.

use std::fs;
use std::path::{Path, PathBuf};

use crate::python::python;
use crate::run::{Tally, cargo, command, step};

/// Runs them: a program in a folder by cargo, a Python file by the Python of the outside checks.
pub fn bench(root: &Path, words: &[String]) -> Tally {
    let mut tally = Tally::default();
    for path in benches(root) {
        let name = path.strip_prefix(root).unwrap_or(&path).display().to_string();
        if !words.is_empty() && !words.iter().any(|w| name.contains(w.as_str())) {
            continue;
        }
        if path.is_dir() {
            let manifest = path.join("Cargo.toml").display().to_string();
            step(&mut tally, &name, &mut cargo(root, &["run", "--release", "--quiet", "--manifest-path", &manifest]));
        } else {
            match python(root) {
                Ok(python) => step(&mut tally, &name, &mut command(root, python, &[&path.display().to_string()])),
                Err(why) => tally.fail(&name, &why),
            }
        }
    }
    tally
}

fn benches(root: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(root.join("bench")).into_iter().flatten().flatten();
    let mut found: Vec<PathBuf> = entries
        .map(|e| e.path())
        .filter(|p| p.join("src/main.rs").is_file() || p.extension().is_some_and(|e| e == "py"))
        .collect();
    found.sort();
    found
}
