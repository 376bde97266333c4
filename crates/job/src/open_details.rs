//! Opens the small files beside a job that only drawings and bending tables need.

use std::path::Path;

use crate::bender::Bender;
use crate::details::Details;
use crate::file::{bender_file, details_file, syntax};
use crate::folder::{own_or_shops, read_bytes};
use crate::problem::{Problem, Problems};

/// What was read of the files beside a job.
#[derive(Debug, Clone, Default)]
pub struct JobExtras {
    /// Flanges, collectors, copes and mitred bends.
    pub details: Details,
    /// The bending machine, when there is a `bender.toml`.
    pub bender: Option<Bender>,
    /// What looks wrong.
    pub warnings: Problems,
}

/// Reads `flange.toml`, `templates.toml` and `bender.toml` in the job's folder, the last also in the one above; each may
/// be missing.
///
/// # Errors
/// All problems of the files, when there is an error among them.
pub fn open_extras(folder: &Path) -> Result<JobExtras, Problems> {
    let mut beside = JobExtras::default();
    let mut problems = Vec::new();
    if let Some((name, bytes)) = found(folder, "templates.toml", false)? {
        let (details, said) = details_file::read_templates(&name, &bytes);
        beside.details = details.unwrap_or_default();
        problems.extend(said);
    }
    if let Some((name, bytes)) = found(folder, "flange.toml", false)? {
        let (flanges, said) = details_file::read_flanges(&name, &bytes);
        beside.details.flanges = flanges.unwrap_or_default();
        problems.extend(said);
    }
    if let Some((name, bytes)) = found(folder, "bender.toml", true)? {
        let (bender, said) = bender_file::read(&name, &bytes);
        beside.bender = bender;
        problems.extend(said);
    }
    let problems = Problems(problems);
    if problems.has_errors() {
        return Err(problems);
    }
    beside.warnings = problems;
    Ok(beside)
}

/// Name and bytes of a file in the folder, or in the one above when `above`.
fn found(folder: &Path, name: &str, above: bool) -> Result<Option<(String, Vec<u8>)>, Problems> {
    let own = || Some(folder.join(name)).filter(|file| file.is_file());
    let Some(path) = (if above { own_or_shops(folder, name) } else { own() }) else { return Ok(None) };
    let shown = path.display().to_string();
    // What is longer than any such file is cut off: the reader says so.
    let bytes = read_bytes(&path, syntax::LONGEST as u64 + 1).map_err(|e| {
        let problem = Problem::error("no-file", format!("{shown} cannot be read: {e}")).in_file(&shown);
        Problems::one(problem.expected("a file that can be read").hint("check its permissions, or move it away"))
    })?;
    Ok(Some((shown, bytes)))
}
