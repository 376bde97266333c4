//! The bad jobs of `cases/bad-jobs`: one sound job, and a patch for each fault.
//!
//! A patch begins with a comment that becomes the job's first line. Each hunk begins with `@ N`, a line of the sound job
//! counted from 1; `-` lines are there and are taken out, `+` lines take their place.

use std::path::PathBuf;

use crate::{files_below, from_root};

/// A job with one fault.
#[derive(Debug, Clone)]
pub struct BadJob {
    /// Name of the bad job.
    pub name: String,
    /// Its job.toml.
    pub text: String,
    /// The file of what is said about it.
    pub expected: PathBuf,
}

/// The sound job that the others are made from.
pub fn base() -> String {
    let file = from_root("cases/bad-jobs/base.toml");
    std::fs::read_to_string(&file).unwrap_or_else(|e| panic!("{}: {e}", file.display()))
}

/// Every bad job, by name.
pub fn bad_jobs() -> Vec<BadJob> {
    let base = base();
    let patches = files_below("cases/bad-jobs", &["patch"]).unwrap_or_else(|e| panic!("cases/bad-jobs: {e}"));
    let mut jobs: Vec<BadJob> = patches
        .into_iter()
        .map(|file| {
            let patch = std::fs::read_to_string(&file).unwrap_or_else(|e| panic!("{}: {e}", file.display()));
            let text = patched(&base, &patch).unwrap_or_else(|why| panic!("{}: {why}", file.display()));
            let name = file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
            BadJob { name, text, expected: file.with_extension("txt") }
        })
        .collect();
    jobs.sort_by(|a, b| a.name.cmp(&b.name));
    jobs
}

/// The text of `base` with `patch` applied.
///
/// # Errors
/// The first line of the patch that does not fit.
pub fn patched(base: &str, patch: &str) -> Result<String, String> {
    let base: Vec<&str> = base.split('\n').collect();
    let mut lines = patch.strip_suffix('\n').unwrap_or(patch).split('\n');
    let mut out: Vec<&str> = vec![lines.next().unwrap_or_default()];
    let mut at = 0;
    for line in lines {
        if let Some(number) = line.strip_prefix("@ ") {
            let start: usize = number.parse().map_err(|_| format!("`{line}` is not a line number"))?;
            let kept = base.get(at..start.saturating_sub(1)).ok_or(format!("`{line}` is not after the hunk before"))?;
            out.extend(kept);
            at += kept.len();
        } else if let Some(gone) = line.strip_prefix('-') {
            if base.get(at) != Some(&gone) {
                return Err(format!("line {} of the sound job is not `{gone}`", at + 1));
            }
            at += 1;
        } else if let Some(new) = line.strip_prefix('+') {
            out.push(new);
        } else {
            return Err(format!("`{line}` begins with none of @, - and +"));
        }
    }
    out.extend(&base[at..]);
    Ok(out.join("\n"))
}

#[cfg(test)]
mod tests {
    use super::patched;

    #[test]
    fn hunks_replace_insert_and_remove_lines() {
        let text = patched("a\nb\nc\nd\n", "# head\n@ 2\n-b\n+B\n@ 4\n+x\n").unwrap();
        assert_eq!(text, "# head\na\nB\nc\nx\nd\n");
        assert_eq!(patched("a\nb\n", "# head\n@ 1\n-a\n").unwrap(), "# head\nb\n");
    }

    #[test]
    fn a_patch_that_does_not_fit_is_refused() {
        assert!(patched("a\nb\n", "#\n@ 2\n-a\n").unwrap_err().contains("line 2"));
        assert!(patched("a\nb\n", "#\n@ 9\n+a\n").is_err());
        assert!(patched("a\nb\n", "#\nx\n").is_err());
    }
}
