//! Errors of the store.

use std::path::Path;

use crate::location::Location;
use crate::revision::Revision;

/// An error of the store.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// Not found.
    #[error("there is no {0}")]
    Missing(&'static str),
    /// Someone else has changed the job in the meantime.
    #[error("the job has been changed: it is at version {version} ({})", .last.label)]
    Conflict {
        /// Present version of the job.
        version: i64,
        /// Present head of the job.
        last: Box<Revision>,
    },
    /// Not possible in the present state.
    #[error("{0}")]
    Refused(String),
    /// A text that the database cannot hold.
    #[error("{0}")]
    Invalid(String),
    /// Disk, database or another program fails: it may work again without a restart.
    #[error("{message}")]
    Unavailable {
        /// The failing part.
        failure: Failure,
        /// What is wrong, where, and how to fix it.
        message: String,
    },
    /// Any other error of the database.
    #[error("database: {0}")]
    Database(#[from] sqlx::Error),
}

/// The failing part of the store.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Failure {
    /// The disk is full.
    DiskFull,
    /// The disk cannot be read or written.
    Disk,
    /// File, folder or database may only be read.
    ReadOnly,
    /// The database does not answer.
    Unreachable,
    /// Overloaded, or another program holds the database.
    Busy,
    /// Stored data is damaged.
    Damaged,
}

impl StoreError {
    pub(crate) fn unavailable(failure: Failure, message: impl Into<String>) -> Self {
        StoreError::Unavailable { failure, message: message.into() }
    }

    /// Overloaded at the moment.
    pub(crate) fn busy(message: impl Into<String>) -> Self {
        Self::unavailable(Failure::Busy, message)
    }

    /// The operating system's error with a file or folder.
    pub(crate) fn of_io(what: &Path, error: &std::io::Error) -> Self {
        use std::io::ErrorKind::{PermissionDenied, QuotaExceeded, ReadOnlyFilesystem, StorageFull};
        let what = what.display();
        match error.kind() {
            StorageFull | QuotaExceeded => Self::unavailable(Failure::DiskFull, disk_full(&what.to_string())),
            PermissionDenied | ReadOnlyFilesystem => {
                Self::unavailable(Failure::ReadOnly, format!("{what} cannot be written ({error}); {MAKE_WRITABLE}"))
            }
            _ => Self::unavailable(Failure::Disk, format!("{what} cannot be used: {error}")),
        }
    }

    /// The same error, with the failing part when the database's error code names it.
    pub(crate) fn explained(self, location: &Location) -> Self {
        let StoreError::Database(error) = self else { return self };
        let explained = match &error {
            sqlx::Error::PoolTimedOut => Some(no_answer(location)),
            sqlx::Error::Io(why) if matches!(location, Location::Postgres(_)) => {
                Some(unreachable(location, &why.to_string()))
            }
            sqlx::Error::Tls(why) => Some(unreachable(location, &format!("TLS: {why}"))),
            sqlx::Error::Database(why) => {
                let code = why.code().unwrap_or_default();
                match location {
                    Location::File(file) => of_sqlite(file, location, &code, why.message()),
                    Location::Postgres(_) => of_postgres(location, &code, why.message()),
                }
            }
            _ => None,
        };
        explained.unwrap_or(StoreError::Database(error))
    }
}

const MAKE_WRITABLE: &str = "make it writable for this user, or choose another folder with --data";

fn disk_full(what: &str) -> String {
    format!("the disk is full: {what}; free some space and try again, a restart is not needed")
}

fn unreachable(location: &Location, why: &str) -> StoreError {
    StoreError::unavailable(Failure::Unreachable, format!("{} cannot be reached: {why}", location.describe()))
}

/// A timeout: a remote database is down, or a file is in use by others.
pub(crate) fn no_answer(location: &Location) -> StoreError {
    match location {
        Location::File(file) => StoreError::busy(format!("{} is busy; try again", file.display())),
        Location::Postgres(_) => unreachable(location, "no answer in time"),
    }
}

/// Codes of SQLite (<https://www.sqlite.org/rescode.html>): the low byte is the family.
fn of_sqlite(file: &Path, location: &Location, code: &str, said: &str) -> Option<StoreError> {
    let (folder, file) = (location.folder(), file.display());
    let code: u32 = code.parse().ok()?;
    Some(match code & 0xff {
        5 | 6 => StoreError::busy(format!("{file} is locked by another program; try again")),
        8 => StoreError::unavailable(Failure::ReadOnly, format!("{file} cannot be written ({said}); {MAKE_WRITABLE}")),
        // 4874: the index of the log could not grow.
        13 => StoreError::unavailable(Failure::DiskFull, disk_full(&folder)),
        _ if code == 4874 => StoreError::unavailable(Failure::DiskFull, disk_full(&folder)),
        10 => StoreError::unavailable(
            Failure::Disk,
            format!("the disk cannot be read or written: {folder} ({said}); it may be full, over its quota or failing"),
        ),
        11 | 26 => StoreError::unavailable(Failure::Damaged, format!("{file} is damaged ({said}); {RESTORE}")),
        14 => {
            StoreError::unavailable(Failure::Disk, format!("{file} cannot be opened ({said}); is {folder} writable?"))
        }
        _ => return None,
    })
}

pub(crate) const RESTORE: &str =
    "restore a backup into a new folder (tubewright serve --restore FILE --data NEW-FOLDER)";

/// Codes of PostgreSQL (its manual, appendix A).
fn of_postgres(location: &Location, code: &str, said: &str) -> Option<StoreError> {
    let what = location.describe();
    Some(match code {
        "22021" => StoreError::Invalid("a text contains a NUL character".into()),
        "25006" => StoreError::unavailable(Failure::ReadOnly, format!("{what} is read-only ({said})")),
        "53100" => StoreError::unavailable(Failure::DiskFull, disk_full(&format!("of {what}"))),
        "40001" | "40P01" | "55P03" | "57014" => StoreError::busy(format!("{what} is busy ({said}); try again")),
        "XX001" | "XX002" => {
            StoreError::unavailable(Failure::Damaged, format!("{what} is damaged ({said}); {RESTORE}"))
        }
        "57P01" | "57P02" | "57P03" | "3D000" => unreachable(location, said),
        _ if ["08", "28", "53", "58"].contains(&code.get(..2).unwrap_or_default()) => unreachable(location, said),
        _ => return None,
    })
}
