//! A job as one file: a ZIP of its documents, as they would lie in its folder.

use std::io::{Cursor, Read as _, Write as _};

use job::mesh_file::ENDINGS;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use crate::job_texts::TEXTS;

/// Most documents of an archive.
const MOST: usize = 64;

/// Longest of all documents of an archive together, bytes.
const LONGEST: u64 = 256 << 20;

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
    /// It holds more than a job does.
    #[error("the archive holds more than {MOST} files, or more than {} MB", LONGEST >> 20)]
    TooLarge,
}

/// Whether a job may have a document of that name: one of its texts, or a mesh file.
///
/// # Errors
/// What names are allowed.
pub fn document_name(name: &str) -> Result<(), String> {
    let plain = |c: char| c.is_ascii_alphanumeric() || "-_. ".contains(c);
    let ending = name.rsplit_once('.').filter(|(stem, _)| !stem.is_empty()).map(|(_, e)| e.to_ascii_lowercase());
    let mesh = ending.is_some_and(|e| ENDINGS.contains(&e.as_str()));
    let tidy = name.len() <= 80 && name.chars().all(plain) && !name.starts_with(['.', ' ']) && !name.contains("..");
    if TEXTS.iter().any(|(text, _)| *text == name) || (mesh && tidy) {
        return Ok(());
    }
    let texts: Vec<&str> = TEXTS.iter().map(|t| t.0).collect();
    Err(format!(
        "a document is one of {}, or a mesh file: letters, digits, - and _, ending in .stl, .obj, .ply or .glb",
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
    let wrong = |e: zip::result::ZipError| ArchiveError::NoZip(e.to_string());
    let mut zip = ZipArchive::new(Cursor::new(bytes)).map_err(wrong)?;
    if zip.len() > MOST {
        return Err(ArchiveError::TooLarge);
    }
    let mut left = LONGEST;
    let mut documents: Vec<(String, Vec<u8>)> = Vec::new();
    for i in 0..zip.len() {
        let mut file = zip.by_index(i).map_err(wrong)?;
        let name = file.name().rsplit(['/', '\\']).next().unwrap_or_default().to_string();
        if document_name(&name).is_err() || documents.iter().any(|d| d.0 == name) {
            continue;
        }
        let mut content = Vec::new();
        let read = file.by_ref().take(left + 1).read_to_end(&mut content);
        read.map_err(|e| ArchiveError::NoZip(e.to_string()))?;
        left = left.checked_sub(content.len() as u64).ok_or(ArchiveError::TooLarge)?;
        documents.push((name, content));
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
