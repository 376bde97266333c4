//! The exports, opened by programs that are not ours: checks/exports/check.py.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Instant;

use crate::python::{is_root, python};
use crate::run::{Tally, cargo, command, succeed};

/// The Khronos validator of glTF, from the npm registry.
const VALIDATOR: &str = "gltf-validator@2.0.0-dev.3.10";

const WHAT_TO_INSTALL: &str = "the check of GLB files needs Node.js with npm (Debian: apt-get install nodejs npm) and, the first \
    time, a way to the npm registry";

/// Exports the examples and some nasty jobs and has what is written opened.
pub fn exports(root: &Path, tally: &mut Tally) {
    println!("== exports opened by other programs");
    let begun = Instant::now();
    let result = opened(root);
    tally.count(&format!("checks/exports ({:.0} s)", begun.elapsed().as_secs_f64()), result);
}

fn opened(root: &Path) -> Result<(), String> {
    let python = python(root)?;
    let modules = validator(root)?;
    succeed(&mut cargo(root, &["build", "--release", "--quiet", "-p", "tubewright"]))?;
    let program = root.join("target/release").join(format!("tubewright{}", std::env::consts::EXE_SUFFIX));
    let work = root.join("target/checks/exports");
    let mut check = command(root, python, &["checks/exports/check.py"]);
    succeed(check.arg(program).arg(root.join("examples")).arg(work).arg(modules).env("PYTHONUTF8", "1"))
}

/// The folder that holds the validator, filled when it is not there yet.
fn validator(root: &Path) -> Result<PathBuf, String> {
    let modules = root.join("target/checks/node");
    if modules.join("node_modules/gltf-validator/package.json").is_file() {
        return Ok(modules);
    }
    std::fs::create_dir_all(&modules).map_err(|e| format!("{}: {e}", modules.display()))?;
    if !runs("npm") && is_root() && runs("apt-get") {
        println!("installing nodejs and npm");
        let _ = succeed(&mut command(root, "apt-get", &["update", "-qq"]));
        let _ = succeed(&mut command(root, "apt-get", &["install", "-y", "-qq", "nodejs", "npm"]));
    }
    println!("installing {VALIDATOR} into target/checks/node");
    let install = ["install", "--silent", "--no-audit", "--no-fund", "--prefix", ".", VALIDATOR];
    succeed(&mut command(&modules, "npm", &install)).map_err(|why| format!("{why}; {WHAT_TO_INSTALL}"))?;
    Ok(modules)
}

fn runs(program: &str) -> bool {
    let quiet = Command::new(program).arg("--version").stdout(Stdio::null()).stderr(Stdio::null()).status();
    quiet.is_ok_and(|s| s.success())
}
