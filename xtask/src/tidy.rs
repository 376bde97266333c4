//! `cargo x tidy`: rules of the project that no compiler holds.

mod arrows;
mod circles;
mod files;
mod pages;

use std::path::Path;

use crate::run::{Tally, cargo, succeed};

/// Holds every rule and counts each as one.
pub fn tidy(root: &Path, tally: &mut Tally) {
    println!("== tidiness");
    let files = files::sources(root);
    tally.count("source files are found", if files.len() > 20 { Ok(()) } else { Err("hardly any".into()) });
    tally.count("crates import only what they may", arrows::arrows(root));
    tally.count("no files import each other in a loop", list(circles::circles(&files)));
    tally.count("no file is too long", list(files::too_long(&files)));
    tally.count("every module has a head", list(files::headless(&files)));
    tally.count("every module has a name of its own", list(files::banned(&files)));
    tally.count("pure crates read no file, clock or environment and print nothing", list(files::impure(&files)));
    tally.count("every check has a page", list(pages::checks_without_page(root)));
    tally.count("ARCHITECTURE.md names every crate", list(pages::crates_unnamed(root)));
    let mut schema = cargo(root, &["test", "--quiet", "-p", "job", "--test", "schema", "the_kept_schema_is_fresh"]);
    tally.count("docs/job.schema.json is fresh", succeed(schema.stdout(std::process::Stdio::null())));
}

fn list(wrong: Vec<String>) -> Result<(), String> {
    if wrong.is_empty() { Ok(()) } else { Err(wrong.join("\n          ")) }
}
