//! `cargo x check` and `cargo x test`.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::python::debian;
use crate::run::{Tally, cargo, command, count_tests, step, two_at_a_time};
use crate::{outside, page, program, tidy};

/// Format, lints and tidiness.
pub fn check(root: &Path) -> Tally {
    let mut tally = Tally::default();
    lints(root, &mut tally);
    tidy::tidy(root, &mut tally);
    tally
}

/// Everything: lints, tests, the manual, the checks from outside.
pub fn test(root: &Path) -> Tally {
    let mut tally = Tally::default();
    // The page is built with the server, whose store is tested on PostgreSQL too.
    for (program, package) in [("npm", "npm"), ("psql", "postgresql")] {
        if let Err(why) = debian(root, program, package) {
            println!("{why}");
        }
    }
    // What later steps need is fetched while the compiler works; each asks for it again and says what is missing.
    let at = root.to_path_buf();
    let fetching = std::thread::spawn(move || {
        let _ = page::browser(&at);
        let _ = program::fetched(&at);
    });
    lints(root, &mut tally);
    // Laws are tried on the same numbers every time; `cargo test` alone takes new ones.
    let mut tests = cargo(root, &["test", "--workspace", "--no-fail-fast"]);
    tests.env("PROPTEST_RNG_SEED", std::env::var("PROPTEST_RNG_SEED").unwrap_or_else(|_| "1".into()));
    count_tests(&mut tally, "tests", &mut tests);
    // After the tests: the freshness of the schema is one of them and built by now.
    tidy::tidy(root, &mut tally);
    let mut doc = cargo(root, &["doc", "--workspace", "--no-deps", "--document-private-items", "--quiet"]);
    step(&mut tally, "documentation, warnings are errors", doc.env("RUSTDOCFLAGS", "-D warnings"));
    let built = program::built(root);
    let _ = fetching.join();
    checks(root, &mut tally, &built);
    page::page(root, &mut tally, &built);
    tally
}

/// All of checks/ in one queue: the longest of those made again, which comes first, has one core for itself.
fn checks(root: &Path, tally: &mut Tally, built: &Result<PathBuf, String>) {
    println!("== checks from outside, made again, and what the program writes, read by others");
    let mut jobs = Vec::new();
    for (what, more) in
        [("outside checks", outside::jobs(root, built)), ("checks of the program", program::jobs(root, tally, built))]
    {
        match more {
            Ok(more) => jobs.extend(more),
            Err(why) => tally.fail(what, &why),
        }
    }
    two_at_a_time(tally, &jobs);
}

fn lints(root: &Path, tally: &mut Tally) {
    component(root, "fmt", "rustfmt");
    component(root, "clippy", "clippy");
    step(tally, "format", &mut cargo(root, &["fmt", "--all", "--check"]));
    let mut clippy = cargo(root, &["clippy", "--workspace", "--all-targets", "--quiet", "--", "-D", "warnings"]);
    step(tally, "lints", &mut clippy);
}

/// Adds a part of the toolchain when it is missing; without rustup the step that needs it says so.
fn component(root: &Path, subcommand: &str, name: &str) {
    let quiet = |c: &mut Command| c.stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok_and(|s| s.success());
    if quiet(&mut cargo(root, &[subcommand, "--version"])) {
        return;
    }
    println!("installing {name}");
    if !quiet(&mut command(root, "rustup", &["component", "add", name])) {
        println!(
            "{name} is missing and rustup could not add it; install it with the toolchain (rustup component add {name})"
        );
    }
}
