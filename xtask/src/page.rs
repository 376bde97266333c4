//! The page in web/: its types, lints, unit tests, and a browser that drives the program.

use std::path::{Path, PathBuf};

use crate::python::debian;
use crate::run::{Tally, command, step};

/// Where Debian puts the browser; the variable `CHROMIUM` names another one.
const CHROMIUM: &str = "/usr/bin/chromium";

/// Runs all of them.
pub fn page(root: &Path, tally: &mut Tally, built: &Result<PathBuf, String>) {
    let web = root.join("web");
    if let Err(why) = debian(root, "npm", "npm") {
        return tally.fail("the page", &why);
    }
    let run = |words: &[&str]| command(&web, "npm", words);
    if !installed(&web) {
        step(tally, "packages of the page", &mut run(&["ci", "--silent", "--no-audit", "--no-fund"]));
    }
    step(tally, "types and lints of the page", &mut run(&["run", "--silent", "check"]));
    step(tally, "unit tests of the page", &mut run(&["run", "--silent", "test"]));
    match browser(root).and(built.clone()) {
        Ok(program) => {
            let mut drive = run(&["run", "--silent", "e2e"]);
            step(tally, "the page in a browser", drive.env("TUBEWRIGHT_PROGRAM", program));
        }
        Err(why) => tally.fail("the page in a browser", &why),
    }
}

/// Whether npm has installed what the lock file asks for: it keeps its own copy beside the packages.
fn installed(web: &Path) -> bool {
    let made = |file: &str| std::fs::metadata(web.join(file)).and_then(|m| m.modified()).ok();
    let (packages, lock) = (made("node_modules/.package-lock.json"), made("package-lock.json"));
    packages.is_some() && packages >= lock
}

/// The browser, installed where it is missing.
pub fn browser(root: &Path) -> Result<(), String> {
    // Looked for, not started: it would open a window.
    if std::env::var_os("CHROMIUM").is_none() && !Path::new(CHROMIUM).is_file() {
        debian(root, "chromium", "chromium")?;
    }
    Ok(())
}
