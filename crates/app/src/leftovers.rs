//! Files of an earlier build that a later one did not make again: they belong to other routes, and at the saw they would be
//! taken for good.
//!
//! A build lists what it wrote in `summary.json` under `files`. Only what stands in that list is ever removed.

use std::fs;
use std::io;
use std::path::{Component, Path};

use serde_json::Value;

/// What the last build in `out` says that it wrote, beside its summary; nothing when there was none.
pub fn listed(out: &Path) -> Vec<String> {
    let Ok(text) = fs::read_to_string(out.join("summary.json")) else { return Vec::new() };
    let Ok(summary) = serde_json::from_str::<Value>(&text) else { return Vec::new() };
    let names = summary["files"].as_array().into_iter().flatten().filter_map(Value::as_str);
    names.filter(|n| stays_within(n)).map(String::from).collect()
}

/// Removes the files of `before` that are not among `now`.
///
/// # Errors
/// What the system says, with the file; one that is gone already is no fault.
pub fn remove(out: &Path, before: &[String], now: &[String]) -> io::Result<()> {
    for name in before.iter().filter(|n| !now.contains(n)) {
        let file = out.join(name);
        match fs::remove_file(&file) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => {
                let what = format!("{} is of an earlier build and cannot be removed: {error}", file.display());
                return Err(io::Error::new(error.kind(), what));
            }
            _ => {}
        }
    }
    Ok(())
}

/// Whether a name leads to a file below its folder, whoever wrote it there.
fn stays_within(name: &str) -> bool {
    !name.is_empty() && Path::new(name).components().all(|c| matches!(c, Component::Normal(_)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_lead_out_of_the_folder_are_not_followed() {
        assert!(stays_within("exports/dxf/flange.dxf"));
        for name in ["", "../job.toml", "exports/../../x", "/etc/passwd", "./x"] {
            assert!(!stays_within(name), "{name}");
        }
    }

    #[test]
    fn only_what_was_listed_and_not_made_again_is_removed() {
        let out = std::env::temp_dir().join(format!("tubewright-leftovers-{}", std::process::id()));
        fs::create_dir_all(out.join("papers")).unwrap();
        for name in ["papers/papers.pdf", "cutplan.json", "own.txt"] {
            fs::write(out.join(name), "x").unwrap();
        }
        let summary = r#"{"files": ["papers/papers.pdf", "cutplan.json", "gone.txt", "../own.txt"]}"#;
        fs::write(out.join("summary.json"), summary).unwrap();
        remove(&out, &listed(&out), &["cutplan.json".into()]).unwrap();
        assert!(!out.join("papers/papers.pdf").exists());
        assert!(out.join("cutplan.json").exists() && out.join("own.txt").exists());
        fs::remove_dir_all(&out).unwrap();
    }
}
