//! A revision as it is stored.

use std::collections::BTreeMap;

use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row as _};

use crate::hash::Hash;
use crate::seals::{Cell, REVISIONS, seal_of_cells};

/// Documents written by one statement; SQLite takes no more than 32 766 values.
const DOCUMENTS: usize = 1000;

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
    /// Reads a row with the columns of the table `revisions`, where its id and its name have the names `id` and `name`.
    pub(crate) fn of_row(row: &AnyRow, [id, name]: [&str; 2]) -> Result<Revision, sqlx::Error> {
        Ok(Revision {
            id: row.try_get(id)?,
            parent: row.try_get("parent")?,
            number: row.try_get("number")?,
            label: row.try_get("label")?,
            name: row.try_get(name)?,
            made: row.try_get("made")?,
            redo: row.try_get("redo")?,
        })
    }

    /// Writes a new revision of a job with its documents and its seal. Their contents are kept already.
    pub(crate) async fn insert(
        &self,
        tx: &mut AnyConnection,
        job: &str,
        documents: &BTreeMap<String, Hash>,
    ) -> Result<(), sqlx::Error> {
        let cells = [
            Cell::Text(&self.id),
            Cell::Text(job),
            self.parent.as_deref().into(),
            Cell::Number(self.number),
            Cell::Text(&self.label),
            Cell::Text(&self.name),
            Cell::Number(self.made),
            self.redo.as_deref().into(),
        ];
        let seal = seal_of_cells(&REVISIONS, &cells, documents.iter().map(|(n, h)| (n.as_str(), h.as_str())));
        sqlx::query(
            "INSERT INTO revisions (id, job, parent, number, label, name, made, redo, seal) \
             VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
        )
        .bind(&self.id)
        .bind(job)
        .bind(&self.parent)
        .bind(self.number)
        .bind(&self.label)
        .bind(&self.name)
        .bind(self.made)
        .bind(&self.redo)
        .bind(seal)
        .execute(&mut *tx)
        .await?;
        let documents: Vec<(&String, &Hash)> = documents.iter().collect();
        for some in documents.chunks(DOCUMENTS) {
            let rows: Vec<String> = (0..some.len()).map(|k| format!("($1, ${}, ${})", 2 * k + 2, 2 * k + 3)).collect();
            let insert = format!("INSERT INTO documents (revision, name, hash) VALUES {}", rows.join(", "));
            let query = sqlx::query(&insert).bind(&self.id);
            let query = some.iter().fold(query, |query, (name, hash)| query.bind(*name).bind(*hash));
            query.execute(&mut *tx).await?;
        }
        Ok(())
    }
}
