//! Fonts of the system, looked at only when a name has a character that the built-in fonts lack.

use std::fs;
use std::path::{Path, PathBuf};

use papers::sheet::Sheet;
use papers::{Fonts, missing_characters};

/// Deepest folder that is looked into, and most bytes that are read.
const DEEPEST: usize = 5;
const MOST_BYTES: u64 = 400_000_000;

/// The fonts that these sheets of a job need.
pub(crate) fn fonts_of(sheets: &[Sheet], job: &str) -> Fonts {
    fonts_for(&missing_characters(sheets, job, &Fonts::default()))
}

/// The built-in fonts, and for characters that they lack those fonts of the system that have one of them.
fn fonts_for(missing: &[char]) -> Fonts {
    if missing.is_empty() {
        return Fonts::default();
    }
    let mut files = Vec::new();
    for folder in folders() {
        gather(&folder, DEEPEST, &mut files);
    }
    // In the order of their names, so that the same machine sets the same page.
    files.sort();
    let mut left = MOST_BYTES;
    let mut found = Vec::new();
    for file in files {
        let size = fs::metadata(&file).map_or(u64::MAX, |m| m.len());
        if size > left {
            continue;
        }
        let Ok(bytes) = fs::read(&file) else { continue };
        left -= size;
        if Fonts::file_has(&bytes, missing) {
            found.push(bytes);
        }
    }
    Fonts::with_files(found)
}

fn folders() -> Vec<PathBuf> {
    let mut out: Vec<PathBuf> =
        ["/usr/share/fonts", "/usr/local/share/fonts", "/System/Library/Fonts", "/Library/Fonts"]
            .map(PathBuf::from)
            .to_vec();
    // Windows: the system's fonts, and those that a user installed without administrator rights.
    if let Some(windows) = std::env::var_os("WINDIR") {
        out.push(Path::new(&windows).join("Fonts"));
    }
    if let Some(data) = std::env::var_os("LOCALAPPDATA") {
        out.push(Path::new(&data).join("Microsoft").join("Windows").join("Fonts"));
    }
    if let Some(home) = std::env::var_os("HOME") {
        out.push(Path::new(&home).join(".fonts"));
        out.push(Path::new(&home).join(".local/share/fonts"));
        out.push(Path::new(&home).join("Library/Fonts"));
    }
    out
}

fn gather(folder: &Path, deep: usize, files: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase());
        if path.is_dir() && deep > 0 {
            gather(&path, deep - 1, files);
        } else if ending.is_some_and(|e| matches!(e.as_str(), "ttf" | "otf" | "ttc" | "otc")) {
            files.push(path);
        }
    }
}
