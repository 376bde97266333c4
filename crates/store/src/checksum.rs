//! Checksum of a closed SQLite file: a hash over all of it, which reveals a flipped bit anywhere, even in unused space.
//!
//! The last program to close the file writes the checksum beside it; opening the file for writing removes it first. So there
//! is none after a kill, and the seals of the rows and the hashes of contents must suffice. A lock file marks the store as
//! open: the lock is shared while the store is open, exclusive while the checksum is computed.

use std::fs::{self, File};
use std::io::{self, Read as _, Write as _};
use std::path::Path;

use sha2::{Digest, Sha256};

use crate::location::{Location, with_ending};
use crate::private_files;

/// Largest file with a checksum, bytes: it takes a second or two.
const LARGEST: u64 = 1 << 30;

/// Bytes read at a time.
const CHUNK: usize = 1 << 20;

/// A lock that marks the store as open.
#[derive(Debug)]
pub(crate) struct OpenLock {
    file: Option<File>,
    // A reader must not write a checksum of a file that was damaged before.
    writes: bool,
}

impl OpenLock {
    /// No lock: for a copy, or where files cannot be locked.
    pub(crate) fn none() -> OpenLock {
        OpenLock { file: None, writes: false }
    }

    /// Waits while another program computes the checksum. Where files cannot be locked there is no checksum; a store opened
    /// to write (`writes`) computes it when it is closed.
    pub(crate) fn take(location: &Location, writes: bool) -> OpenLock {
        let Location::File(file) = location else { return OpenLock::none() };
        let lock = private_files::open_file(&with_ending(file, ".lock")).ok();
        OpenLock { file: lock.filter(|lock| lock.lock_shared().is_ok()), writes }
    }
}

impl OpenLock {
    /// Whether the checksum is written on closing.
    pub(crate) fn writes_checksum(&self) -> bool {
        self.writes && self.file.is_some()
    }
}

/// Removes the checksum: the file is about to change.
pub(crate) fn forget(location: &Location) -> io::Result<()> {
    let Location::File(file) = location else { return Ok(()) };
    match fs::remove_file(with_ending(file, ".sum")) {
        Err(why) if why.kind() != io::ErrorKind::NotFound => Err(why),
        _ => Ok(()),
    }
}

/// Writes the checksum of a closed file, when no other program has it open.
pub(crate) fn write(location: &Location, lock: &OpenLock) {
    let (Location::File(file), Some(lock), true) = (location, &lock.file, lock.writes) else { return };
    let alone = lock.unlock().is_ok() && lock.try_lock().is_ok() && is_without_log(file);
    if alone && let Ok(Some(sum)) = sum_of(file) {
        // Without a checksum the next check finds less; nothing is lost.
        let _ = put(file, &sum);
    }
    let _ = lock.unlock();
}

/// Whether the log is empty. A log with contents belongs to a program that has the file open.
fn is_without_log(file: &Path) -> bool {
    fs::metadata(with_ending(file, "-wal")).map_or(true, |log| log.len() == 0)
}

fn put(file: &Path, sum: &str) -> io::Result<()> {
    let draft = with_ending(file, ".sum.part");
    let mut written = private_files::open_file(&draft)?;
    written.set_len(0)?;
    written.write_all(sum.as_bytes())?;
    written.sync_all()?;
    drop(written);
    private_files::replace(&draft, &with_ending(file, ".sum"))
}

/// How a closed file differs from its checksum, in words; `None` when it does not, or when there is no checksum.
pub(crate) fn mismatch(location: &Location) -> Option<String> {
    let Location::File(file) = location else { return None };
    let written = fs::read_to_string(with_ending(file, ".sum")).ok()?;
    let found = sum_of(file).ok().flatten()?;
    (written != found).then(|| {
        format!("{} has changed since it was last closed: damaged, or changed by another program", file.display())
    })
}

/// SHA-256 of a file, in hexadecimal digits; `None` for one that is too large.
fn sum_of(file: &Path) -> io::Result<Option<String>> {
    let mut opened = File::open(file)?;
    if opened.metadata()?.len() > LARGEST {
        return Ok(None);
    }
    let (mut hash, mut chunk) = (Sha256::new(), vec![0; CHUNK]);
    loop {
        match opened.read(&mut chunk)? {
            0 => break,
            n => hash.update(chunk.get(..n).unwrap_or_default()),
        }
    }
    Ok(Some(hash.finalize().iter().map(|b| format!("{b:02x}")).collect()))
}
