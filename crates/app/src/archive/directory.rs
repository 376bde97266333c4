//! The directory of a ZIP file, checked before anything is unpacked.
//!
//! By PKWARE's APPNOTE.TXT 6.3.10, sections 4.3.7 (local header), 4.3.12 (central header), 4.3.16 (end of the central
//! directory) and 4.4. Read here and not by a library, because a library trusts the directory: it makes room for as many
//! entries as a file claims, and goes on to an earlier directory where the last one is damaged. No part of a job needs
//! encryption, several disks or sizes above 4 GB (ZIP64), so those are refused.

use std::io::Read as _;

use super::{ArchiveError, LONGEST, MOST, RATIO, document_name};

/// Length of the end of the directory without its comment, and its signature.
const END: usize = 22;
const END_SIGNATURE: &[u8; 4] = b"PK\x05\x06";
/// Longest comment behind it.
const LONGEST_COMMENT: usize = u16::MAX as usize;
/// Length of a central header without name, extra field and comment, and its signature.
const CENTRAL: usize = 46;
const CENTRAL_SIGNATURE: &[u8; 4] = b"PK\x01\x02";
/// Length of a local header without name and extra field, and its signature.
const LOCAL: usize = 30;
const LOCAL_SIGNATURE: &[u8; 4] = b"PK\x03\x04";
/// The methods that are read.
const STORED: usize = 0;
const DEFLATED: usize = 8;
/// Bits of the flags that say a file is encrypted, in either way.
const ENCRYPTED: usize = 1 | 1 << 6;

/// A file in an archive.
#[derive(Debug)]
pub struct Entry {
    /// Its name without folders.
    pub name: String,
    method: usize,
    crc: u32,
    packed: usize,
    unpacked: usize,
    at: usize,
}

/// The files of an archive.
#[derive(Debug)]
pub struct Directory {
    entries: Vec<Entry>,
}

fn damaged(what: &str) -> ArchiveError {
    ArchiveError::NoZip(what.into())
}

/// A number of two or four bytes, the least first; `None` beyond the end.
fn number<const N: usize>(bytes: &[u8], at: usize) -> Option<usize> {
    let part = bytes.get(at..at.checked_add(N)?)?;
    Some(part.iter().rev().fold(0, |n, b| n << 8 | usize::from(*b)))
}

impl Directory {
    /// Reads and checks the directory. Takes time in proportion to the directory, not to what it claims.
    ///
    /// # Errors
    /// [`ArchiveError`] for what is no ZIP, and for one that holds more than a job may.
    pub fn read(bytes: &[u8]) -> Result<Directory, ArchiveError> {
        let end = end(bytes).ok_or_else(|| damaged("it has no directory at its end"))?;
        let field = |at: usize| number::<2>(bytes, end + at).unwrap_or_default();
        let (disk, count) = (field(4) + field(6), field(10));
        if disk != 0 || field(8) != count {
            return Err(damaged("it is one of several parts"));
        }
        if count > MOST {
            return Err(ArchiveError::TooManyFiles(count));
        }
        let mut at = number::<4>(bytes, end + 16).unwrap_or_default();
        let mut entries = Vec::new();
        for _ in 0..count {
            let (entry, next) = entry(&bytes[..end], at)?;
            entries.push(entry);
            at = next;
        }
        let directory = Directory { entries };
        let size = directory.unpacked_size();
        if size > LONGEST {
            return Err(ArchiveError::TooLarge(size));
        }
        if size > (1 << 20) + RATIO * bytes.len() {
            return Err(ArchiveError::TooDense);
        }
        Ok(directory)
    }

    /// The files that a job has; of two with one name the first.
    pub fn documents(&self) -> impl Iterator<Item = &Entry> {
        let first = |i: usize, name: &str| !self.entries[..i].iter().any(|e| e.name == name);
        let all = self.entries.iter().enumerate();
        all.filter(move |(i, e)| document_name(&e.name).is_ok() && first(*i, &e.name)).map(|(_, e)| e)
    }

    /// Size of the job's files unpacked, bytes.
    pub fn unpacked_size(&self) -> usize {
        self.documents().map(|e| e.unpacked).sum()
    }
}

/// Where the end of the directory begins: the last place whose comment reaches the end of the file.
fn end(bytes: &[u8]) -> Option<usize> {
    let last = bytes.len().checked_sub(END)?;
    let first = last.saturating_sub(LONGEST_COMMENT);
    let fits = |at: &usize| {
        bytes[*at..].starts_with(END_SIGNATURE) && number::<2>(bytes, at + 20) == Some(bytes.len() - at - END)
    };
    (first..=last).rev().find(fits)
}

/// The entry whose central header begins at `at`, and where the next one begins.
fn entry(bytes: &[u8], at: usize) -> Result<(Entry, usize), ArchiveError> {
    let head = bytes.get(at..).filter(|b| b.starts_with(CENTRAL_SIGNATURE) && b.len() >= CENTRAL);
    let head = head.ok_or_else(|| damaged("its directory is damaged"))?;
    let (two, four) = (|at| number::<2>(head, at).unwrap_or_default(), |at| number::<4>(head, at).unwrap_or_default());
    let (packed, unpacked, at_local) = (four(20), four(24), four(42));
    if two(8) & ENCRYPTED != 0 {
        return Err(damaged("it is encrypted"));
    }
    if [packed, unpacked, at_local].contains(&(u32::MAX as usize)) {
        return Err(ArchiveError::TooLarge(u32::MAX as usize));
    }
    let name = head.get(CENTRAL..CENTRAL + two(28)).ok_or_else(|| damaged("its directory is damaged"))?;
    let name = String::from_utf8_lossy(name);
    let entry = Entry {
        name: name.rsplit(['/', '\\']).next().unwrap_or_default().to_string(),
        method: two(10),
        crc: four(16) as u32,
        packed,
        unpacked,
        at: at_local,
    };
    Ok((entry, at + CENTRAL + two(28) + two(30) + two(32)))
}

impl Entry {
    /// What the file holds; never more than the directory says.
    ///
    /// # Errors
    /// [`ArchiveError::NoZip`] when it is damaged or packed in another way than ZIP files usually are.
    pub fn content(&self, bytes: &[u8]) -> Result<Vec<u8>, ArchiveError> {
        let wrong = |what: &str| damaged(&format!("{} {what}", self.name));
        let head = bytes.get(self.at..).filter(|b| b.starts_with(LOCAL_SIGNATURE) && b.len() >= LOCAL);
        let head = head.ok_or_else(|| wrong("is not where the directory says"))?;
        let from = LOCAL + number::<2>(head, 26).unwrap_or_default() + number::<2>(head, 28).unwrap_or_default();
        let packed = head.get(from..).and_then(|b| b.get(..self.packed)).ok_or_else(|| wrong("is cut short"))?;
        let content = match self.method {
            STORED => packed.to_vec(),
            DEFLATED => {
                let mut content = Vec::with_capacity(self.unpacked);
                let read = flate2::read::DeflateDecoder::new(packed).take(self.unpacked as u64 + 1);
                { read }.read_to_end(&mut content).map_err(|_| wrong("is damaged"))?;
                content
            }
            _ => return Err(wrong("is packed in a way that is not read; use the usual one, deflate")),
        };
        let mut crc = flate2::Crc::new();
        crc.update(&content);
        if content.len() != self.unpacked || crc.sum() != self.crc {
            return Err(wrong("is damaged"));
        }
        Ok(content)
    }
}

#[cfg(test)]
mod tests {
    use super::super::{pack, unpack};
    use super::*;

    fn number_at(zip: &mut [u8], at: usize, n: u32) {
        zip[at..at + 4].copy_from_slice(&n.to_le_bytes());
    }

    #[test]
    fn what_unpacks_to_far_more_than_its_size_is_refused() {
        let blank = vec![b' '; 4 << 20];
        let zip = pack([("job.toml", &blank[..])]).unwrap();
        assert!(zip.len() < 10_000 && matches!(unpack(&zip), Err(ArchiveError::TooDense)));
        let large = vec![b' '; LONGEST + 1];
        let zip = pack([("job.toml", &b"format = 1"[..]), ("scan.stl", &large[..])]).unwrap();
        assert!(matches!(unpack(&zip), Err(ArchiveError::TooLarge(_))));
    }

    #[test]
    fn a_file_that_is_longer_than_the_directory_says_is_damaged() {
        let text = "x".repeat(2000);
        let mut zip = pack([("job.toml", text.as_bytes())]).unwrap();
        let central = zip.windows(4).position(|w| w == CENTRAL_SIGNATURE).unwrap();
        number_at(&mut zip, central + 24, 10);
        assert!(matches!(unpack(&zip), Err(ArchiveError::NoZip(why)) if why.contains("job.toml is damaged")));
    }

    #[test]
    fn a_directory_of_many_entries_is_refused_by_its_count() {
        let names: Vec<String> = (0..MOST + 1).map(|i| format!("{i}.stl")).collect();
        let zip = pack(names.iter().map(|n| (n.as_str(), &b"x"[..]))).unwrap();
        assert!(matches!(unpack(&zip), Err(ArchiveError::TooManyFiles(n)) if n == MOST + 1));
        // A count that is not true, and a directory that is not there.
        let mut zip = pack([("job.toml", &b"format = 1"[..])]).unwrap();
        let end = zip.len() - END;
        zip[end + 8..end + 12].copy_from_slice(&[2, 0, 2, 0]);
        assert!(matches!(unpack(&zip), Err(ArchiveError::NoZip(_))));
        number_at(&mut zip, end + 16, u32::MAX);
        assert!(matches!(unpack(&zip), Err(ArchiveError::NoZip(_))));
    }

    #[test]
    fn an_archive_with_a_comment_and_folders_is_read() {
        let mut zip = pack([("bay/job.toml", &b"format = 1"[..]), ("bay/notes.doc", &b"x"[..])]).unwrap();
        let end = zip.len() - END;
        zip[end + 20] = 5;
        zip.extend(b"hello");
        assert_eq!(unpack(&zip).unwrap(), [("job.toml".to_string(), b"format = 1".to_vec())]);
    }
}
