//! `cargo x bless`: the kept files rewritten by the tests that hold them.

use std::path::Path;

use crate::run::{Tally, cargo, step};

/// The tests that write kept files: package and name.
const BLESSED: [(&str, &str); 5] =
    [("job", "bad_jobs"), ("job", "schema"), ("geom", "meshes"), ("app", "cases"), ("server", "calls")];

/// Writes them; `git diff` then shows what changed.
pub fn bless(root: &Path) -> Tally {
    let mut tally = Tally::default();
    for (package, test) in BLESSED {
        // Of the whole workspace: built alone a package gets other features, and everything is compiled again.
        let mut command = cargo(root, &["test", "--quiet", "--workspace", "--test", test]);
        step(&mut tally, &format!("{package}: {test}"), command.env("BLESS", "1"));
    }
    println!("look at `git diff` before it is committed");
    tally
}
