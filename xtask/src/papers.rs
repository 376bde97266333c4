//! The papers, read back by programs that are not ours: checks/papers/check.py with pypdf and poppler.

use std::path::Path;

use crate::python::{debian, python};
use crate::run::{Tally, cargo, command, succeed};

/// Builds the program and has its papers read.
pub fn papers(root: &Path, tally: &mut Tally) {
    println!("== papers, read back");
    tally.count("checks/papers", read_back(root));
}

fn read_back(root: &Path) -> Result<(), String> {
    debian(root, "pdftoppm", "poppler-utils")?;
    let python = python(root)?;
    succeed(&mut cargo(root, &["build", "--release", "--quiet", "-p", "tubewright"]))?;
    let program = root.join("target/release").join(format!("tubewright{}", std::env::consts::EXE_SUFFIX));
    let [program, examples, work] =
        [program, root.join("examples"), root.join("target/checks/papers")].map(|p| p.display().to_string());
    succeed(&mut command(root, python, &["checks/papers/check.py", &program, &examples, &work]))
}
