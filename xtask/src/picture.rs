//! `cargo x picture`: the drawings of docs/ redrawn from the examples.

use std::path::Path;

use crate::run::{Tally, cargo, step};

/// Draws them.
pub fn picture(root: &Path) -> Tally {
    let mut tally = Tally::default();
    let draw = ["run", "--release", "--quiet", "-p", "app", "--example", "picture", "--"];
    let files = ["examples/hill-climb-four", "docs/hill-climb-four.svg"];
    step(&mut tally, files[1], &mut cargo(root, &[&draw[..], &files[..]].concat()));
    tally
}
