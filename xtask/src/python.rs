//! The Python of the outside checks: a folder of its own (.venv) with the versions of checks/requirements.txt.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::run::{command, output, succeed};

const WHAT_TO_INSTALL: &str = "the outside checks need Python 3.10 or newer with venv and pip \
    (Debian: apt-get install python3 python3-venv) and, the first time, a way to the Python package index";

/// The interpreter of .venv, made and filled when it is not there or its list has changed.
pub fn python(root: &Path) -> Result<PathBuf, String> {
    let list = root.join("checks/requirements.txt");
    let wanted = fs::read_to_string(&list).map_err(|e| format!("{}: {e}", list.display()))?;
    let venv = root.join(".venv");
    let python = venv.join(if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" });
    let stamp = venv.join("installed.txt");
    if runs(&python) && fs::read_to_string(&stamp).is_ok_and(|s| s == wanted) {
        return Ok(python);
    }
    if !runs(&python) {
        make(root).map_err(|why| format!("{why}; {WHAT_TO_INSTALL}"))?;
    }
    println!("installing the Python packages of checks/requirements.txt into .venv");
    let pip = ["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "-r", "checks/requirements.txt"];
    succeed(&mut command(root, &python, &pip)).map_err(|why| format!("{why}; {WHAT_TO_INSTALL}"))?;
    fs::write(&stamp, wanted).map_err(|e| format!("{}: {e}", stamp.display()))?;
    Ok(python)
}

fn make(root: &Path) -> Result<(), String> {
    let venv = || succeed(&mut command(root, "python3", &["-m", "venv", "--clear", ".venv"]));
    let Err(why) = venv() else { return Ok(()) };
    if !is_root() || !runs("apt-get") {
        return Err(why);
    }
    println!("installing python3 and python3-venv");
    let _ = succeed(&mut command(root, "apt-get", &["update", "-qq"]));
    succeed(&mut command(root, "apt-get", &["install", "-y", "-qq", "python3", "python3-venv"]))?;
    venv()
}

/// Sees to a program that a check needs: as root on Debian its package is installed when it is missing.
///
/// # Errors
/// What to install.
pub fn debian(root: &Path, program: &str, package: &str) -> Result<(), String> {
    let there = || Command::new(program).arg("-v").stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok();
    if there() {
        return Ok(());
    }
    if is_root() && runs("apt-get") {
        println!("installing {package}");
        let _ = succeed(&mut command(root, "apt-get", &["update", "-qq"]));
        succeed(&mut command(root, "apt-get", &["install", "-y", "-qq", package]))?;
    }
    if there() { Ok(()) } else { Err(format!("{program} is missing (Debian: apt-get install {package})")) }
}

fn runs(program: impl AsRef<std::ffi::OsStr>) -> bool {
    Command::new(program)
        .arg("--version")
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|s| s.success())
}

/// Whether packages of the system may be installed.
fn is_root() -> bool {
    output(Command::new("id").arg("-u").env("LC_ALL", "C")).is_ok_and(|id| id.trim() == "0")
}
