//! Rules on single source files.

use std::fs;
use std::path::{Path, PathBuf};

/// Lines of code, tests and comments apart, above which a file is two.
const MOST_LINES: usize = 600;

/// Names that say nothing: a thing without a home is not understood yet.
const BANNED: [&str; 8] = ["utils", "util", "helpers", "helper", "common", "misc", "manager", "stuff"];

/// Crates that are plain functions of their input.
const PURE: [&str; 9] = [
    "crates/geom/src/",
    "crates/gas/src/",
    "crates/survey/src/",
    "crates/strength/src/",
    "crates/route/src/",
    "crates/cutplan/src/",
    "crates/fit/src/",
    "crates/template/src/",
    "crates/export/src/",
];

/// What a pure crate does not write.
const IMPURE: [&str; 9] = [
    "std::fs",
    "std::env",
    "std::time",
    "std::net",
    "std::process",
    "println!",
    "print!(",
    "Instant::now",
    "SystemTime",
];

/// A source file.
pub struct Source {
    /// Its path from the root, with `/`.
    pub name: String,
    /// Text of the file.
    pub text: String,
}

impl Source {
    /// The lines before its tests.
    fn code(&self) -> impl Iterator<Item = (usize, &str)> {
        let lines = self.text.lines().enumerate().map(|(i, l)| (i + 1, l));
        lines.take_while(|(_, l)| !l.starts_with("#[cfg(test)]"))
    }

    fn in_crates(&self) -> bool {
        self.name.starts_with("crates/") && self.name.contains("/src/")
    }
}

/// Every Rust file of the project.
pub fn sources(root: &Path) -> Vec<Source> {
    let mut found = Vec::new();
    for folder in ["crates", "bench", "xtask"] {
        gather(root, &root.join(folder), &mut found);
    }
    found.sort_by(|a, b| a.name.cmp(&b.name));
    found
}

fn gather(root: &Path, folder: &Path, found: &mut Vec<Source>) {
    let paths: Vec<PathBuf> = fs::read_dir(folder).into_iter().flatten().flatten().map(|e| e.path()).collect();
    for path in paths {
        if path.is_dir() && path.file_name().is_none_or(|n| n != "target") {
            gather(root, &path, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            let name = path.strip_prefix(root).unwrap_or(&path).to_string_lossy().replace('\\', "/");
            found.push(Source { name, text: fs::read_to_string(&path).unwrap_or_default() });
        }
    }
}

/// Files that are too long.
pub fn too_long(files: &[Source]) -> Vec<String> {
    let code =
        |file: &Source| file.code().filter(|(_, l)| !l.trim().is_empty() && !l.trim_start().starts_with("//")).count();
    files
        .iter()
        .filter(|f| !f.name.contains("/tests"))
        .map(|f| (code(f), &f.name))
        .filter(|(lines, _)| *lines > MOST_LINES)
        .map(|(lines, name)| format!("{name} has {lines} lines of code; above {MOST_LINES} it is two"))
        .collect()
}

/// Modules of the crates that do not begin by saying what they are for.
pub fn headless(files: &[Source]) -> Vec<String> {
    let bare = |f: &&Source| f.in_crates() && !f.name.ends_with("/tests.rs") && !f.text.starts_with("//!");
    files.iter().filter(bare).map(|f| format!("{} does not begin with `//!`", f.name)).collect()
}

/// Files and folders with names that say nothing.
pub fn banned(files: &[Source]) -> Vec<String> {
    let says_nothing = |f: &&Source| f.name.trim_end_matches(".rs").split('/').any(|part| BANNED.contains(&part));
    files.iter().filter(says_nothing).map(|f| format!("{} says nothing by its name", f.name)).collect()
}

/// Places where a pure crate reaches outside.
pub fn impure(files: &[Source]) -> Vec<String> {
    let mut found = Vec::new();
    for file in files.iter().filter(|f| PURE.iter().any(|p| f.name.starts_with(p))) {
        if file.name.ends_with("/tests.rs") {
            continue;
        }
        for (number, line) in file.code().filter(|(_, l)| !l.trim_start().starts_with("//")) {
            if let Some(word) = IMPURE.iter().find(|w| line.contains(**w)) {
                found.push(format!("{}:{number} has {word}", file.name));
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(name: &str, text: &str) -> Vec<Source> {
        vec![Source { name: name.into(), text: text.into() }]
    }

    #[test]
    fn a_long_file_is_said_and_its_tests_are_not_counted() {
        let line = "let x = 1;\n";
        assert_eq!(too_long(&source("crates/geom/src/a.rs", &line.repeat(601))).len(), 1);
        let tested = format!("{}#[cfg(test)]\n{}", line.repeat(300), line.repeat(900));
        assert!(too_long(&source("crates/geom/src/a.rs", &tested)).is_empty());
    }

    #[test]
    fn a_clock_in_a_pure_crate_is_said_but_not_in_its_tests_or_comments() {
        let text = "//! Head.\n// std::time is not for us\nuse std::time::Instant;\n";
        assert_eq!(impure(&source("crates/route/src/a.rs", text)), ["crates/route/src/a.rs:3 has std::time"]);
        assert!(impure(&source("crates/app/src/a.rs", text)).is_empty());
        assert!(impure(&source("crates/route/src/a.rs", "#[cfg(test)]\nuse std::fs;")).is_empty());
    }

    #[test]
    fn heads_and_names_are_held() {
        assert_eq!(headless(&source("crates/geom/src/a.rs", "use x;")).len(), 1);
        assert_eq!(banned(&source("crates/geom/src/utils.rs", "//! x")).len(), 1);
        assert!(banned(&source("crates/geom/src/tube.rs", "//! x")).is_empty());
    }
}
