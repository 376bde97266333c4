//! What the program writes, read by programs that are not ours: every checks/NAME/check.py.
//!
//! A check is called as `check.py PROGRAM EXAMPLES FOLDER MODULES`: the program as the tests have built it, the examples, a
//! folder to work in, and one whose node_modules holds the validator of glTF. `TUBEWRIGHT_BUILT` is a folder with every
//! example as `build` leaves it.

use std::path::{Path, PathBuf};
use std::process::Stdio;

use crate::outside::copy_folder;
use crate::python::{debian, python};
use crate::run::{Job, Tally, cargo, command, succeed, two_at_a_time};

/// The Khronos validator of glTF, from the npm registry.
const VALIDATOR: &str = "gltf-validator@2.0.0-dev.3.10";

/// All of them, with every example built for them.
///
/// # Errors
/// What they need and is missing.
pub fn jobs(root: &Path, tally: &mut Tally, built: &Result<PathBuf, String>) -> Result<Vec<Job<'static>>, String> {
    let checks = checks(root);
    if checks.is_empty() {
        return Err("none was found in checks/".into());
    }
    let [program, python, modules] = needs(root, built)?;
    let examples = examples(root, &program, tally)?;
    let job = |name: String| -> Job {
        let check = format!("checks/{name}");
        let arguments =
            [program.clone(), root.join("examples"), root.join("target/checks").join(name), modules.clone()];
        let (root, python, examples) = (root.to_path_buf(), python.clone(), examples.clone());
        let run = {
            let check = check.clone();
            move || {
                let mut command = command(&root, &python, &[&format!("{check}/check.py")]);
                command.env("PYTHONUTF8", "1").env("TUBEWRIGHT_BUILT", &examples);
                succeed(command.args(&arguments))
            }
        };
        (check, Box::new(run))
    };
    Ok(checks.into_iter().map(job).collect())
}

/// Every example built once, quickly, for all checks that begin with routes and a cut plan.
fn examples(root: &Path, program: &Path, tally: &mut Tally) -> Result<PathBuf, String> {
    let at = root.join("target/checks/examples");
    let _ = std::fs::remove_dir_all(&at);
    let entries = std::fs::read_dir(root.join("examples")).map_err(|e| format!("examples: {e}"))?;
    let job = |example: PathBuf| -> Job<'_> {
        let name = example.file_name().unwrap_or_default().to_owned();
        let folder = at.join(&name);
        let build = move || {
            copy_folder(&example, &folder).map_err(|e| format!("{}: {e}", folder.display()))?;
            let mut build = command(root, program, &["build", "--effort", "0"]);
            succeed(build.arg(&folder).arg("-o").arg(&folder).stdout(Stdio::null()))
        };
        (format!("build of {}", name.to_string_lossy()), Box::new(build))
    };
    two_at_a_time(tally, &entries.flatten().map(|e| job(e.path())).collect::<Vec<_>>());
    Ok(at)
}

fn checks(root: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(root.join("checks")).into_iter().flatten().flatten();
    let with_check = entries.filter(|e| e.path().join("check.py").is_file());
    let mut names: Vec<String> = with_check.map(|e| e.file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// The program, the Python and the node modules.
fn needs(root: &Path, built: &Result<PathBuf, String>) -> Result<[PathBuf; 3], String> {
    let [python, modules] = fetched(root)?;
    Ok([built.clone()?, python, modules])
}

/// The Python and the node modules of the checks, installed where they are missing.
pub fn fetched(root: &Path) -> Result<[PathBuf; 2], String> {
    debian(root, "pdftoppm", "poppler-utils")?;
    // One attack on the server sets the clock back; it is skipped, and says so, without this.
    if let Err(why) = debian(root, "faketime", "faketime") {
        println!("{why}");
    }
    Ok([python(root)?, validator(root)?])
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
