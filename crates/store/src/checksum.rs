//! The sum of a closed SQLite file: a hash over all of it, by which a flipped bit shows wherever it is, unused room included.
//!
//! The last program to close the file writes the sum beside it; who opens the file to write takes the sum away first. So
//! there is none after a kill, and the seals of the rows and the hashes of contents have to do. A lock file says who has the
//! store open: shared while it is open, exclusive while the sum is taken.

use std::fs::{self, File};
use std::io::{self, Read as _, Write as _};
use std::path::Path;

use sha2::{Digest, Sha256};

use crate::location::{Location, with_ending};
use crate::private_files;

/// Largest file that is summed, bytes: it takes a second or two.
const LARGEST: u64 = 1 << 30;

/// Bytes read at a time.
const CHUNK: usize = 1 << 20;

/// A lock that says that the store is open.
#[derive(Debug)]
pub(crate) struct OpenLock {
    file: Option<File>,
    // Who only reads must not sum a file that was damaged before.
    sums: bool,
}

impl OpenLock {
    /// No lock: of a copy, or where files cannot be locked.
    pub(crate) fn none() -> OpenLock {
        OpenLock { file: None, sums: false }
    }

    /// Waits while another program takes the sum. Where files cannot be locked there is no sum; who `writes` takes it when
    /// the store is closed.
    pub(crate) fn take(location: &Location, writes: bool) -> OpenLock {
        let Location::File(file) = location else { return OpenLock::none() };
        let lock = private_files::open_file(&with_ending(file, ".lock")).ok();
        OpenLock { file: lock.filter(|lock| lock.lock_shared().is_ok()), sums: writes }
    }
}

impl OpenLock {
    /// Whether the file is summed when it is closed.
    pub(crate) fn sums(&self) -> bool {
        self.sums && self.file.is_some()
    }
}

/// Takes the sum away: the file is about to change.
pub(crate) fn forget(location: &Location) -> io::Result<()> {
    let Location::File(file) = location else { return Ok(()) };
    match fs::remove_file(with_ending(file, ".sum")) {
        Err(why) if why.kind() != io::ErrorKind::NotFound => Err(why),
        _ => Ok(()),
    }
}

/// Writes the sum of a file that has been closed, when no other program has it open.
pub(crate) fn write(location: &Location, lock: &OpenLock) {
    let (Location::File(file), Some(lock), true) = (location, &lock.file, lock.sums) else { return };
    let alone = lock.unlock().is_ok() && lock.try_lock().is_ok() && is_without_log(file);
    if alone && let Ok(Some(sum)) = sum_of(file) {
        // Without a sum the next check has less to go by; nothing is lost.
        let _ = put(file, &sum);
    }
    let _ = lock.unlock();
}

/// Whether nothing waits in a log to be brought into the file. A log that holds something belongs to a program that works
/// in the file.
fn is_without_log(file: &Path) -> bool {
    fs::metadata(with_ending(file, "-wal")).map_or(true, |log| log.len() == 0)
}

fn put(file: &Path, sum: &str) -> io::Result<()> {
    let draft = with_ending(file, ".sum.part");
    let mut written = private_files::open_file(&draft)?;
    written.set_len(0)?;
    written.write_all(sum.as_bytes())?;
    written.sync_all()?;
    fs::rename(draft, with_ending(file, ".sum"))
}

/// Whether a closed file is not what its sum says, in words; `None` when it is, and when there is no sum.
pub(crate) fn mismatch(location: &Location) -> Option<String> {
    let Location::File(file) = location else { return None };
    let written = fs::read_to_string(with_ending(file, ".sum")).ok()?;
    let found = sum_of(file).ok().flatten()?;
    (written != found).then(|| {
        format!(
            "{} is not what was there when it was last closed: damaged, or changed by another program",
            file.display()
        )
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
