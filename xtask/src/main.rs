//! The project's own chores, run as `cargo x CHORE`. They need nothing but cargo; what else a chore uses it fetches.

mod bench;
mod bless;
mod csv;
mod outside;
mod page;
mod picture;
mod program;
mod python;
mod run;
mod test;
mod tidy;

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use run::Tally;

const USAGE: &str = "cargo x CHORE, where CHORE is one of
  check    format, lints and tidiness: before every commit
  test     everything above, all tests, the manual and the outside checks; installs what they need
  bless    rewrite the kept files, to be looked at by eye
  bench    every bench of bench/, side by side with what it is measured against
  picture  redraw the pictures of docs/
  tidy     the rules on crates, files and names alone";

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let root = root();
    let tally = match words.first().map(String::as_str) {
        Some("check") => test::check(&root),
        Some("test") => test::test(&root),
        Some("bless") => bless::bless(&root),
        Some("bench") => bench::bench(&root, &words[1..]),
        Some("picture") => picture::picture(&root),
        Some("tidy") => {
            let mut tally = Tally::default();
            tidy::tidy(&root, &mut tally);
            tally
        }
        _ => {
            eprintln!("{USAGE}");
            return ExitCode::from(2);
        }
    };
    tally.close()
}

/// The folder of the workspace.
fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.parent().unwrap_or(here).to_path_buf()
}
