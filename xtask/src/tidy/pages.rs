//! Rules on the pages that go with the code.

use std::fs;
use std::path::{Path, PathBuf};

fn folders(of: &Path) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = fs::read_dir(of).into_iter().flatten().flatten().map(|e| e.path()).collect();
    found.retain(|p| p.is_dir());
    found.sort();
    found
}

fn name(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

/// Folders of checks/ whose source is not said.
pub fn checks_without_page(root: &Path) -> Vec<String> {
    let bare = |p: &&PathBuf| !p.join("README.md").is_file();
    folders(&root.join("checks")).iter().filter(bare).map(|p| format!("checks/{} has no README.md", name(p))).collect()
}

/// Crates that the map of the code leaves out.
pub fn crates_unnamed(root: &Path) -> Vec<String> {
    let map = fs::read_to_string(root.join("ARCHITECTURE.md")).unwrap_or_default();
    let crates = folders(&root.join("crates"));
    let left_out = |p: &&PathBuf| !map.contains(&format!("`crates/{}`", name(p)));
    crates.iter().filter(left_out).map(|p| format!("ARCHITECTURE.md does not name `crates/{}`", name(p))).collect()
}
