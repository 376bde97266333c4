//! A revision as it is stored.

use sqlx::Row as _;
use sqlx::any::AnyRow;

/// A revision.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Revision {
    /// Id of the revision.
    pub id: String,
    /// The revision it was made from.
    pub parent: Option<String>,
    /// Counted from 1 within the job, in the order in which they were made.
    pub number: i64,
    /// Label of the change.
    pub label: String,
    /// Name given by a user; may be empty.
    pub name: String,
    /// When it was made.
    pub made: i64,
    /// The child that redo returns to.
    pub redo: Option<String>,
}

impl Revision {
    /// Reads a row of the table `revisions`.
    pub(crate) fn of_row(row: &AnyRow) -> Result<Revision, sqlx::Error> {
        Ok(Revision {
            id: row.try_get("id")?,
            parent: row.try_get("parent")?,
            number: row.try_get("number")?,
            label: row.try_get("label")?,
            name: row.try_get("name")?,
            made: row.try_get("made")?,
            redo: row.try_get("redo")?,
        })
    }
}
