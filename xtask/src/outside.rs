//! The checks from outside, made again: every checks/NAME/make.py is run in a copy of its folder and what it
//! writes is held against the kept expected.csv.

use std::fs;
use std::path::{Path, PathBuf};

use crate::csv;
use crate::python::python;
use crate::run::{Job, command, succeed};

/// All of them; `program` is what the tests have built.
///
/// # Errors
/// What they need and is missing.
pub fn jobs(root: &Path, program: &Result<PathBuf, String>) -> Result<Vec<Job<'static>>, String> {
    let folders = folders(root);
    if folders.is_empty() {
        return Err("none was found in checks/".into());
    }
    let needs = [python(root)?, program.clone()?];
    let job = |folder: PathBuf| -> Job {
        let name = folder.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let (root, needs) = (root.to_path_buf(), needs.clone());
        (format!("checks/{name}"), Box::new(move || made_again(&root, &needs, &folder, &name)))
    };
    Ok(folders.into_iter().map(job).collect())
}

fn folders(root: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(root.join("checks")).into_iter().flatten().flatten();
    let mut folders: Vec<PathBuf> = entries.map(|e| e.path()).filter(|p| p.join("make.py").is_file()).collect();
    folders.sort();
    folders
}

fn made_again(root: &Path, [python, program]: &[PathBuf; 2], folder: &Path, name: &str) -> Result<(), String> {
    let copy = root.join("target/checks").join(name);
    let _ = fs::remove_dir_all(&copy);
    copy_folder(folder, &copy).map_err(|e| format!("{}: {e}", copy.display()))?;
    let table = copy.join("expected.csv");
    let kept = fs::read_to_string(&table).map_err(|e| format!("{}: {e}", table.display()))?;
    fs::remove_file(&table).map_err(|e| format!("{}: {e}", table.display()))?;
    let mut make = command(&copy, python, &["make.py"]);
    succeed(make.env("TUBEWRIGHT_PROGRAM", program).stdout(std::process::Stdio::null()))?;
    let again = fs::read_to_string(&table).map_err(|e| format!("make.py wrote no expected.csv: {e}"))?;
    csv::same(&kept, &again)
}

/// Copies a folder with all in it.
pub fn copy_folder(from: &Path, to: &Path) -> std::io::Result<()> {
    fs::create_dir_all(to)?;
    for entry in fs::read_dir(from)? {
        let entry = entry?;
        let target = to.join(entry.file_name());
        if entry.file_type()?.is_dir() {
            copy_folder(&entry.path(), &target)?;
        } else {
            fs::copy(entry.path(), target)?;
        }
    }
    Ok(())
}
