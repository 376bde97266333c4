//! The files of a build, written as one set: papers, plan and exports of different routes must not lie side by side, for at
//! the saw they would be taken for one another's.
//!
//! All of them are first written and flushed into a hidden folder of the set's own, `.set.PID.new`, so that a full disk or a
//! kill there leaves the last build whole. Only then are they put in their places, each by one rename: the old
//! `summary.json` is taken away first and the new one comes last. A folder without a summary is therefore one in which a
//! build was stopped in the few milliseconds between; the hash on every paper says then which files go together, and the next
//! build completes it.
//!
//! The summary lists under `files` what was written beside it. What an earlier build listed and this one did not make again
//! is removed; nothing else ever is.

use std::fs::{self, File};
use std::io;
use std::path::{Component, Path, PathBuf};

use job::write::{flush_folder, is_stray, write_draft};
use serde_json::Value;

/// The file that says what the others are.
const SUMMARY: &str = "summary.json";

/// The old summary while a set is put in its place, within the set's hidden folder.
const BEFORE: &str = "before.json";

/// Held as long as the program writes.
const HELD: &str = "held";

/// Files to be written into one folder.
#[derive(Debug, Default)]
pub struct FileSet {
    files: Vec<(String, Vec<u8>)>,
}

impl FileSet {
    /// Adds a file by its name within the folder, with `/`.
    pub fn add(&mut self, name: impl Into<String>, bytes: impl Into<Vec<u8>>) {
        self.files.push((name.into(), bytes.into()));
    }

    /// The names of its files, in order.
    pub fn names(&self) -> Vec<&str> {
        self.files.iter().map(|(name, _)| name.as_str()).collect()
    }

    /// Writes the files and the summary, which lists those of them that a later build may remove.
    ///
    /// # Errors
    /// What the system says, with the file. Before the first file is in its place the folder is as it was.
    pub fn write(&self, out: &Path, summary: &Value) -> io::Result<()> {
        let mut before = listed(&out.join(SUMMARY));
        for stray in strays(out) {
            before.extend([BEFORE, SUMMARY].iter().flat_map(|name| listed(&stray.join(name))));
            // One that cannot be removed does no harm.
            let _ = fs::remove_dir_all(stray);
        }
        let drafts = out.join(format!(".set.{}.new", std::process::id()));
        let held = self.draft(&drafts, summary).and_then(|held| self.ready(out).map(|()| held));
        if held.is_err() {
            let _ = fs::remove_dir_all(&drafts);
        }
        let _held = held?;
        self.place(out, &drafts)?;
        let now = self.names();
        remove(out, before.iter().filter(|name| !now.contains(&name.as_str())))?;
        rename(&drafts.join(SUMMARY), &out.join(SUMMARY))?;
        flush_folder(out);
        // The set is in its place; what is left of the hidden folder goes with the next build.
        let _ = fs::remove_dir_all(&drafts);
        Ok(())
    }

    /// Writes everything into the hidden folder.
    fn draft(&self, drafts: &Path, summary: &Value) -> io::Result<File> {
        make_folder(drafts)?;
        let held = write_draft(&drafts.join(HELD), b"")?;
        let summary = serde_json::to_string_pretty(summary)?;
        let all = self.files.iter().map(|(name, bytes)| (name.as_str(), bytes.as_slice()));
        for (name, bytes) in all.chain([(SUMMARY, summary.as_bytes())]) {
            let file = drafts.join(name);
            make_folder(file.parent().unwrap_or(drafts))?;
            write_draft(&file, bytes).map_err(|e| with_path(&drafts.with_file_name(name), "cannot be written", &e))?;
        }
        Ok(held)
    }

    /// Makes the folders that the files will go to.
    fn ready(&self, out: &Path) -> io::Result<()> {
        for (name, _) in &self.files {
            let file = out.join(name);
            make_folder(file.parent().unwrap_or(out))?;
            if file.is_dir() {
                let taken = io::Error::new(io::ErrorKind::AlreadyExists, "a folder has its name");
                return Err(with_path(&file, "cannot be written", &taken));
            }
        }
        Ok(())
    }

    /// Renames the drafts into their places, the old summary being taken away first.
    fn place(&self, out: &Path, drafts: &Path) -> io::Result<()> {
        if out.join(SUMMARY).is_file() {
            rename(&out.join(SUMMARY), &drafts.join(BEFORE))?;
        }
        for (name, _) in &self.files {
            rename(&drafts.join(name), &out.join(name))?;
        }
        Ok(())
    }
}

fn with_path(file: &Path, what: &str, error: &io::Error) -> io::Error {
    io::Error::new(error.kind(), format!("{} {what}: {error}", file.display()))
}

fn make_folder(folder: &Path) -> io::Result<()> {
    fs::create_dir_all(folder).map_err(|e| with_path(folder, "cannot be made", &e))
}

fn rename(from: &Path, to: &Path) -> io::Result<()> {
    fs::rename(from, to).map_err(|e| with_path(to, "cannot be written", &e))
}

/// The hidden folders of sets whose program was killed.
fn strays(out: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(out).into_iter().flatten().flatten();
    let of_a_set = |name: &str| {
        let by = name.strip_prefix(".set.").and_then(|n| n.strip_suffix(".new"));
        by.is_some_and(|by| !by.is_empty() && by.bytes().all(|b| b.is_ascii_digit()))
    };
    let hidden = entries.filter(|e| of_a_set(&e.file_name().to_string_lossy())).map(|e| e.path());
    hidden.filter(|folder| !folder.join(HELD).exists() || is_stray(&folder.join(HELD))).collect()
}

/// The files that a summary lists; none when there is no summary.
fn listed(summary: &Path) -> Vec<String> {
    let Ok(text) = fs::read_to_string(summary) else { return Vec::new() };
    let Ok(summary) = serde_json::from_str::<Value>(&text) else { return Vec::new() };
    let names = summary["files"].as_array().into_iter().flatten().filter_map(Value::as_str);
    names.filter(|n| stays_within(n)).map(String::from).collect()
}

/// Removes files of earlier builds; one that is gone already is no fault.
fn remove<'a>(out: &Path, names: impl Iterator<Item = &'a String>) -> io::Result<()> {
    for name in names {
        let file = out.join(name);
        match fs::remove_file(&file) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => {
                return Err(with_path(&file, "is of an earlier build and cannot be removed", &error));
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
    use serde_json::json;

    /// An empty folder of its own for a test.
    fn folder(name: &str) -> PathBuf {
        let out = std::env::temp_dir().join(format!("tubewright-set-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&out);
        fs::create_dir_all(&out).unwrap();
        out
    }

    fn set(names: &[&str]) -> FileSet {
        let mut set = FileSet::default();
        names.iter().for_each(|n| set.add(*n, n.as_bytes()));
        set
    }

    #[test]
    fn names_that_lead_out_of_the_folder_are_not_followed() {
        assert!(stays_within("exports/dxf/flange.dxf"));
        for name in ["", "../job.toml", "exports/../../x", "/etc/passwd", "./x"] {
            assert!(!stays_within(name), "{name}");
        }
    }

    #[test]
    fn only_what_was_listed_and_not_made_again_is_removed() {
        let out = folder("leftovers");
        fs::write(out.join("own.txt"), "x").unwrap();
        let first = json!({"files": ["papers/papers.pdf", "cutplan.json", "gone.txt", "../own.txt"]});
        set(&["papers/papers.pdf", "cutplan.json"]).write(&out, &first).unwrap();
        set(&["cutplan.json"]).write(&out, &json!({"files": ["cutplan.json"]})).unwrap();
        assert!(!out.join("papers/papers.pdf").exists());
        assert!(out.join("cutplan.json").exists() && out.join("own.txt").exists());
        assert_eq!(fs::read_dir(&out).unwrap().count(), 4, "papers, cutplan.json, own.txt, summary.json");
        fs::remove_dir_all(&out).unwrap();
    }

    #[test]
    fn what_a_killed_build_left_is_cleared_away_by_the_next() {
        let out = folder("killed");
        set(&["old.txt"]).write(&out, &json!({"files": ["old.txt"]})).unwrap();
        // As a kill leaves it after the old summary was taken away and one of two files put in its place.
        let drafts = out.join(".set.4000001.new");
        fs::create_dir_all(&drafts).unwrap();
        fs::rename(out.join(SUMMARY), drafts.join(BEFORE)).unwrap();
        fs::write(out.join("half.txt"), "x").unwrap();
        fs::write(drafts.join("rest.txt"), "x").unwrap();
        fs::write(drafts.join(SUMMARY), json!({"files": ["half.txt", "rest.txt"]}).to_string()).unwrap();
        fs::write(drafts.join(HELD), "").unwrap();
        set(&["new.txt"]).write(&out, &json!({"files": ["new.txt"]})).unwrap();
        let mut names: Vec<String> =
            fs::read_dir(&out).unwrap().map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        assert_eq!(names, ["new.txt", SUMMARY]);
        fs::remove_dir_all(&out).unwrap();
    }

    #[test]
    fn a_set_that_cannot_be_written_leaves_the_last_one() {
        let out = folder("refused");
        set(&["a.txt"]).write(&out, &json!({"files": ["a.txt"]})).unwrap();
        let kept = fs::read(out.join(SUMMARY)).unwrap();
        fs::create_dir_all(out.join("b.txt")).unwrap();
        let refused = set(&["a.txt", "b.txt"]).write(&out, &json!({"files": []})).unwrap_err();
        assert!(refused.to_string().contains("b.txt"), "{refused}");
        assert_eq!(fs::read(out.join(SUMMARY)).unwrap(), kept);
        fs::remove_dir_all(&out).unwrap();
    }
}
