//! Files written so that a kill or a full disk leaves either the old one or the new one.
//!
//! The bytes go into a draft beside the file, `.NAME.PID.new`, which is flushed to the disk and then renamed. Its writer holds
//! a lock on it, which the system takes away when the writer dies: a draft without one was left by a program that was killed,
//! and the next writer of the same file removes it.

use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::Path;

/// Writes a file so that it holds either all of the old or all of the new bytes.
///
/// # Errors
/// What the system says; the old file is then as it was.
pub fn write_atomic(file: &Path, bytes: &[u8]) -> io::Result<()> {
    let name = file.file_name().ok_or_else(|| io::Error::new(io::ErrorKind::InvalidInput, "no file name"))?;
    let name = name.to_string_lossy();
    let folder = file.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    remove_strays(folder, &name);
    let draft = folder.join(format!(".{name}.{}.new", std::process::id()));
    let renamed = write_draft(&draft, bytes).and_then(|_held| fs::rename(&draft, file));
    if renamed.is_err() {
        // The first error is the one to tell; a draft that cannot be removed does no harm.
        let _ = fs::remove_file(&draft);
        return renamed;
    }
    flush_folder(folder);
    Ok(())
}

/// Writes and flushes a file that is locked as long as the returned handle lives.
///
/// # Errors
/// What the system says.
pub fn write_draft(draft: &Path, bytes: &[u8]) -> io::Result<File> {
    let mut file = File::create(draft)?;
    // Some file systems know no locks; the draft is as good without one.
    let _ = file.try_lock();
    file.write_all(bytes)?;
    file.sync_all()?;
    Ok(file)
}

/// Whether a file was left by a program that is no more: nobody holds its lock.
pub fn is_stray(draft: &Path) -> bool {
    File::open(draft).is_ok_and(|f| f.try_lock().is_ok())
}

/// What was renamed within a folder reaches the disk with the folder; not every system can flush one.
pub fn flush_folder(folder: &Path) {
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
}

/// Removes the drafts of the file `name` that programs left which were killed.
fn remove_strays(folder: &Path, name: &str) {
    let own = std::process::id().to_string();
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let draft = entry.file_name();
        let draft = draft.to_string_lossy();
        let by = draft.strip_prefix('.').and_then(|d| d.strip_prefix(name)).and_then(|d| d.strip_prefix('.'));
        let Some(by) = by.and_then(|d| d.strip_suffix(".new")) else { continue };
        let is_draft = !by.is_empty() && by.bytes().all(|b| b.is_ascii_digit()) && by != own;
        if is_draft && is_stray(&entry.path()) {
            // One that cannot be removed does no harm.
            let _ = fs::remove_file(entry.path());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drafts_of_the_dead_are_removed_and_those_of_the_living_are_not() {
        let folder = std::env::temp_dir().join(format!("tubewright-write-{}", std::process::id()));
        fs::create_dir_all(&folder).unwrap();
        for name in [".plan.json.4000001.new", ".plan.json.new", ".other.json.4000001.new", ".plan.json.x.new"] {
            fs::write(folder.join(name), "x").unwrap();
        }
        let held = write_draft(&folder.join(".plan.json.4000002.new"), b"y").unwrap();
        write_atomic(&folder.join("plan.json"), b"whole").unwrap();
        let mut names: Vec<String> =
            fs::read_dir(&folder).unwrap().map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        let kept =
            [".other.json.4000001.new", ".plan.json.4000002.new", ".plan.json.new", ".plan.json.x.new", "plan.json"];
        assert_eq!(names, kept);
        drop(held);
        write_atomic(&folder.join("plan.json"), b"again").unwrap();
        assert!(!folder.join(".plan.json.4000002.new").exists());
        assert_eq!(fs::read(folder.join("plan.json")).unwrap(), b"again");
        fs::remove_dir_all(&folder).unwrap();
    }
}
