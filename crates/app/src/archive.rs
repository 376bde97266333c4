//! A job as one file: a ZIP of its documents, as they would lie in its folder.

mod directory;

use std::io::{Cursor, Write as _};

use job::mesh_file::ENDINGS;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

use crate::open_job::TEXTS;
use crate::survey_job::photo_files::ENDINGS as PHOTO_ENDINGS;

pub use directory::Directory;

/// Most files in an archive: the texts, a few scans and the photos of a survey, with room for what other programs add.
const MOST: usize = 96;

/// Longest of all documents of an archive together, bytes: two scans of a million triangles.
pub const LONGEST: usize = 100 << 20;

/// How many times its packed size an archive may have unpacked, beyond a first megabyte. Scans and texts pack to a
/// third, a text of one line over and over to a hundredth.
const RATIO: usize = 100;

/// Longest text document, bytes.
pub const LONGEST_TEXT: usize = 4 << 20;

/// Why an archive can't be read.
#[derive(Debug, thiserror::Error)]
pub enum ArchiveError {
    /// It is no ZIP.
    #[error("this is no archive of a job: {0}")]
    NoZip(String),
    /// It holds no job.toml.
    #[error("the archive holds no job.toml")]
    NoJob,
    /// It holds more files than a job has.
    #[error("the archive holds {0} files; a job has at most {MOST}: leave out what is not of the job")]
    TooManyFiles(usize),
    /// Its files are larger than those of a job.
    #[error("the archive unpacks to {} MB; at most {} MB are read: thin out the scans", .0.div_ceil(1 << 20), LONGEST >> 20)]
    TooLarge(usize),
    /// It unpacks to far more than it is long.
    #[error("the archive unpacks to more than {RATIO} times its size, which no job does: pack the job's folder again")]
    TooDense,
}

/// Whether a file is a photo, by its name.
pub fn is_photo(name: &str) -> bool {
    name.rsplit_once('.').is_some_and(|(_, e)| PHOTO_ENDINGS.contains(&e.to_ascii_lowercase().as_str()))
}

/// Whether a job may have a document of that name: one of its texts, a mesh file, or a photo.
///
/// # Errors
/// What names are allowed.
pub fn document_name(name: &str) -> Result<(), String> {
    let plain = |c: char| c.is_ascii_alphanumeric() || "-_. ".contains(c);
    let ending = name.rsplit_once('.').filter(|(stem, _)| !stem.is_empty()).map(|(_, e)| e.to_ascii_lowercase());
    let file = ending.is_some_and(|e| ENDINGS.contains(&e.as_str()) || PHOTO_ENDINGS.contains(&e.as_str()));
    let tidy = name.len() <= 80 && name.chars().all(plain) && !name.starts_with(['.', ' ']) && !name.contains("..");
    if TEXTS.iter().any(|(text, _)| *text == name) || (file && tidy) {
        return Ok(());
    }
    let texts: Vec<&str> = TEXTS.iter().map(|t| t.0).collect();
    Err(format!(
        "a document is one of {}, or a mesh file or photo: letters, digits, - and _, ending in .stl, .obj, .ply, .glb, .jpg or .png",
        texts.join(", ")
    ))
}

/// The archive of `documents`.
///
/// # Errors
/// What the ZIP writer says; in memory it has no reason to.
pub fn pack<'a>(documents: impl IntoIterator<Item = (&'a str, &'a [u8])>) -> Result<Vec<u8>, ArchiveError> {
    let wrong = |e: zip::result::ZipError| ArchiveError::NoZip(e.to_string());
    let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in documents {
        zip.start_file(name, options).map_err(wrong)?;
        zip.write_all(bytes).map_err(|e| ArchiveError::NoZip(e.to_string()))?;
    }
    Ok(zip.finish().map_err(wrong)?.into_inner())
}

/// The documents of an archive; what a job does not have is left out. A folder around all of them is taken off.
///
/// # Errors
/// [`ArchiveError`].
pub fn unpack(bytes: &[u8]) -> Result<Vec<(String, Vec<u8>)>, ArchiveError> {
    let directory = Directory::read(bytes)?;
    let mut documents: Vec<(String, Vec<u8>)> = Vec::new();
    for entry in directory.documents() {
        documents.push((entry.name.clone(), entry.content(bytes)?));
    }
    if documents.iter().any(|d| d.0 == "job.toml") { Ok(documents) } else { Err(ArchiveError::NoJob) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_lead_elsewhere_are_refused() {
        for good in ["job.toml", "terms.txt", "scan of head-2.STL", "a.glb"] {
            assert!(document_name(good).is_ok(), "{good}");
        }
        for bad in ["../job.toml", "a/b.stl", "..\\x.stl", ".stl", "x.exe", "", "a..stl.", "\u{0}.stl", "summary.json"]
        {
            assert!(document_name(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn what_is_packed_is_unpacked() {
        let documents = [("job.toml", &b"format = 1"[..]), ("scan.stl", &b"solid x"[..])];
        let back = unpack(&pack(documents).unwrap()).unwrap();
        assert_eq!(back.len(), 2);
        assert_eq!(back[1], ("scan.stl".to_string(), b"solid x".to_vec()));
        assert!(matches!(unpack(b"no zip"), Err(ArchiveError::NoZip(_))));
        assert!(matches!(unpack(&pack([("a.stl", &b"x"[..])]).unwrap()), Err(ArchiveError::NoJob)));
    }
}
