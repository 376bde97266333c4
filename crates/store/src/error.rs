//! What can go wrong with the store.

use crate::history::Revision;

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
    /// The file or folder of the store.
    #[error("{0}")]
    File(String),
    /// The database.
    #[error("the database says: {0}")]
    Database(#[from] sqlx::Error),
}
