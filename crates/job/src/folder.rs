//! Where the files of a job lie: in its folder, and what a shop has in common in the folder above.

use std::fs;
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};

/// The folder above a job's, also when the job is opened as `.`.
fn above(folder: &Path) -> Option<PathBuf> {
    folder.canonicalize().ok().and_then(|f| f.parent().map(Path::to_path_buf))
}

/// A file that a job may have of its own and a shop for all its jobs: in the job's folder, else in the one above.
pub fn own_or_shops(folder: &Path, name: &str) -> Option<PathBuf> {
    let places = std::iter::once(folder.to_path_buf()).chain(above(folder));
    places.map(|place| place.join(name)).find(|file| file.is_file())
}

/// The first `longest` bytes of a file; the reader of a text that is longer says so.
///
/// # Errors
/// What the system says; a folder is not a file.
pub(crate) fn read_bytes(path: &Path, longest: u64) -> io::Result<Vec<u8>> {
    if fs::metadata(path)?.is_dir() {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "it is a folder"));
    }
    let mut bytes = Vec::new();
    fs::File::open(path)?.take(longest).read_to_end(&mut bytes)?;
    Ok(bytes)
}
