//! What can go wrong with the store.

use std::path::Path;

use crate::place::Place;
use crate::revision::Revision;

/// Why the store did not do it.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// There is none.
    #[error("there is no {0}")]
    Missing(&'static str),
    /// Another has changed the job in the meantime.
    #[error("the job has been changed: it is at version {version} ({})", .last.label)]
    Conflict {
        /// Its version now.
        version: i64,
        /// Its head now: what was done, and when.
        last: Box<Revision>,
    },
    /// It can't be done as things are.
    #[error("{0}")]
    Refused(String),
    /// A text that the database cannot hold.
    #[error("{0}")]
    Invalid(String),
    /// Disk, database or another program: it may work again without a restart.
    #[error("{message}")]
    Unwell {
        /// What is unwell.
        trouble: Trouble,
        /// What is wrong, where, and how to fix it.
        message: String,
    },
    /// Anything else that the database reports.
    #[error("database: {0}")]
    Database(#[from] sqlx::Error),
}

/// Which part of the store is unwell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trouble {
    /// The disk is full.
    DiskFull,
    /// The disk cannot be read or written.
    Disk,
    /// File, folder or database may only be read.
    ReadOnly,
    /// The database does not answer.
    Unreachable,
    /// Too much to do, or another program holds the database.
    Busy,
    /// What is stored is not what was written.
    Damaged,
}

impl StoreError {
    pub(crate) fn unwell(trouble: Trouble, message: impl Into<String>) -> Self {
        StoreError::Unwell { trouble, message: message.into() }
    }

    /// Too much to do at the moment.
    pub(crate) fn busy(message: impl Into<String>) -> Self {
        Self::unwell(Trouble::Busy, message)
    }

    /// The operating system's error with a file or folder.
    pub(crate) fn of_io(what: &Path, error: &std::io::Error) -> Self {
        use std::io::ErrorKind::{PermissionDenied, QuotaExceeded, ReadOnlyFilesystem, StorageFull};
        let what = what.display();
        match error.kind() {
            StorageFull | QuotaExceeded => Self::unwell(Trouble::DiskFull, disk_full(&what.to_string())),
            PermissionDenied | ReadOnlyFilesystem => {
                Self::unwell(Trouble::ReadOnly, format!("{what} cannot be written ({error}); {MAKE_WRITABLE}"))
            }
            _ => Self::unwell(Trouble::Disk, format!("{what} cannot be used: {error}")),
        }
    }

    /// The same error, with the part that is unwell named when the database's code says which.
    pub(crate) fn explained(self, place: &Place) -> Self {
        let StoreError::Database(error) = self else { return self };
        let explained = match &error {
            sqlx::Error::PoolTimedOut => Some(no_answer(place)),
            sqlx::Error::Io(why) if matches!(place, Place::Postgres(_)) => Some(unreachable(place, &why.to_string())),
            sqlx::Error::Tls(why) => Some(unreachable(place, &format!("TLS: {why}"))),
            sqlx::Error::Database(why) => {
                let code = why.code().unwrap_or_default();
                match place {
                    Place::File(file) => of_sqlite(file, place, &code, why.message()),
                    Place::Postgres(_) => of_postgres(place, &code, why.message()),
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

fn unreachable(place: &Place, why: &str) -> StoreError {
    StoreError::unwell(Trouble::Unreachable, format!("{} cannot be reached: {why}", place.describe()))
}

/// Nothing came back in time: a database elsewhere is down, a file is in use by others.
pub(crate) fn no_answer(place: &Place) -> StoreError {
    match place {
        Place::File(file) => StoreError::busy(format!("{} is busy; try again", file.display())),
        Place::Postgres(_) => unreachable(place, "no answer in time"),
    }
}

/// Codes of SQLite (<https://www.sqlite.org/rescode.html>): the low byte is the family.
fn of_sqlite(file: &Path, place: &Place, code: &str, said: &str) -> Option<StoreError> {
    let (folder, file) = (place.folder(), file.display());
    let code: u32 = code.parse().ok()?;
    Some(match code & 0xff {
        5 | 6 => StoreError::busy(format!("{file} is locked by another program; try again")),
        8 => StoreError::unwell(Trouble::ReadOnly, format!("{file} cannot be written ({said}); {MAKE_WRITABLE}")),
        // 4874: the index of the log could not grow.
        13 => StoreError::unwell(Trouble::DiskFull, disk_full(&folder)),
        _ if code == 4874 => StoreError::unwell(Trouble::DiskFull, disk_full(&folder)),
        10 => StoreError::unwell(
            Trouble::Disk,
            format!("the disk cannot be read or written: {folder} ({said}); it may be full, over its quota or failing"),
        ),
        11 | 26 => StoreError::unwell(Trouble::Damaged, format!("{file} is damaged ({said}); {RESTORE}")),
        14 => StoreError::unwell(Trouble::Disk, format!("{file} cannot be opened ({said}); is {folder} writable?")),
        _ => return None,
    })
}

pub(crate) const RESTORE: &str =
    "restore a backup into a new folder (tubewright serve --restore FILE --data NEW-FOLDER)";

/// Codes of PostgreSQL (its manual, appendix A).
fn of_postgres(place: &Place, code: &str, said: &str) -> Option<StoreError> {
    let what = place.describe();
    Some(match code {
        "22021" => StoreError::Invalid("a text holds a character that cannot be stored (NUL)".into()),
        "25006" => StoreError::unwell(Trouble::ReadOnly, format!("{what} may only be read ({said})")),
        "53100" => StoreError::unwell(Trouble::DiskFull, disk_full(&format!("the one of {what}"))),
        "40001" | "40P01" | "55P03" | "57014" => StoreError::busy(format!("{what} is busy ({said}); try again")),
        "XX001" | "XX002" => StoreError::unwell(Trouble::Damaged, format!("{what} is damaged ({said}); {RESTORE}")),
        "57P01" | "57P02" | "57P03" | "3D000" => unreachable(place, said),
        _ if ["08", "28", "53", "58"].contains(&code.get(..2).unwrap_or_default()) => unreachable(place, said),
        _ => return None,
    })
}
