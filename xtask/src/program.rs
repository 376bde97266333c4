//! What the program writes, read by programs that are not ours: every checks/NAME/check.py.
//!
//! A check is called as `check.py PROGRAM EXAMPLES FOLDER MODULES`: the program as the tests have built it, the examples, a
//! folder to work in, and one whose node_modules holds the validator of glTF.

use std::path::{Path, PathBuf};
use std::time::Instant;

use crate::python::{debian, python};
use crate::run::{Tally, cargo, command, succeed};

/// The Khronos validator of glTF, from the npm registry.
const VALIDATOR: &str = "gltf-validator@2.0.0-dev.3.10";

/// Runs all of them.
pub fn program(root: &Path, tally: &mut Tally, built: &Result<PathBuf, String>) {
    println!("== what the program writes, read by others");
    let checks = checks(root);
    if checks.is_empty() {
        return tally.fail("checks of the program", "none was found in checks/");
    }
    let ready = needs(root, built);
    for name in checks {
        let begun = Instant::now();
        let result = ready.clone().and_then(|[program, python, modules]| {
            let work = root.join("target/checks").join(&name);
            let mut check = command(root, python, &[&format!("checks/{name}/check.py")]);
            let check = check.args([program, root.join("examples"), work, modules]);
            succeed(check.env("PYTHONUTF8", "1"))
        });
        tally.count(&format!("checks/{name} ({:.0} s)", begun.elapsed().as_secs_f64()), result);
    }
}

fn checks(root: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(root.join("checks")).into_iter().flatten().flatten();
    let with_check = entries.filter(|e| e.path().join("check.py").is_file());
    let mut names: Vec<String> = with_check.map(|e| e.file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// The program, the Python and the node modules, made or installed where they are missing.
fn needs(root: &Path, built: &Result<PathBuf, String>) -> Result<[PathBuf; 3], String> {
    debian(root, "pdftoppm", "poppler-utils")?;
    let python = python(root)?;
    let modules = validator(root)?;
    Ok([built.clone()?, python, modules])
}

/// The program as the tests have built it: as optimised, with the same features.
pub fn built(root: &Path) -> Result<PathBuf, String> {
    succeed(&mut cargo(root, &["test", "--no-run", "--quiet", "--workspace"]))?;
    let program = root.join("target/debug").join(format!("tubewright{}", std::env::consts::EXE_SUFFIX));
    if program.is_file() { Ok(program) } else { Err(format!("{} was not built", program.display())) }
}

/// The folder that holds the validator, filled when it is not there yet.
fn validator(root: &Path) -> Result<PathBuf, String> {
    let modules = root.join("target/checks/node");
    if modules.join("node_modules/gltf-validator/package.json").is_file() {
        return Ok(modules);
    }
    std::fs::create_dir_all(&modules).map_err(|e| format!("{}: {e}", modules.display()))?;
    debian(root, "npm", "npm")?;
    println!("installing {VALIDATOR} into target/checks/node");
    let install = ["install", "--silent", "--no-audit", "--no-fund", "--prefix", ".", VALIDATOR];
    succeed(&mut command(&modules, "npm", &install))
        .map_err(|why| format!("{why}; the check of GLB files needs, the first time, a way to the npm registry"))?;
    Ok(modules)
}
