//! The page in web/: its types, lints, unit tests, and a browser that drives the program.

use std::path::{Path, PathBuf};

use crate::python::debian;
use crate::run::{Tally, cargo, command, step, succeed};

/// Runs all of them.
pub fn page(root: &Path, tally: &mut Tally) {
    let web = root.join("web");
    for (what, arguments) in [
        ("packages of the page", &["ci", "--silent", "--no-audit", "--no-fund"][..]),
        ("types and lints of the page", &["run", "--silent", "check"]),
        ("unit tests of the page", &["run", "--silent", "test"]),
    ] {
        step(tally, what, &mut command(&web, "npm", arguments));
    }
    match browser(root) {
        Ok(program) => {
            let mut drive = command(&web, "npm", &["run", "--silent", "e2e"]);
            step(tally, "the page in a browser", drive.env("TUBEWRIGHT_PROGRAM", program));
        }
        Err(why) => tally.fail("the page in a browser", &why),
    }
}

/// The browser installed where it is missing, and the program as the tests build it.
fn browser(root: &Path) -> Result<PathBuf, String> {
    debian(root, "chromium", "chromium")?;
    succeed(&mut cargo(root, &["test", "--no-run", "--quiet", "-p", "tubewright"]))?;
    let program = root.join("target/debug").join(format!("tubewright{}", std::env::consts::EXE_SUFFIX));
    if program.is_file() { Ok(program) } else { Err(format!("{} was not built", program.display())) }
}
