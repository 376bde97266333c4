//! Revisions: commit, undo, redo, name, restore.

use std::collections::BTreeMap;

use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row as _};

use crate::contents::{keep, new_id};
use crate::database::Store;
use crate::error::StoreError;
use crate::hash::Hash;
use crate::jobs::{JobRecord, job_in, lead_to, move_head};
use crate::location::Dialect;
use crate::revision::Revision;
use crate::seals::{REVISIONS, seal};

/// A change of one document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DocumentUpdate {
    /// Sets the content of a document, by name.
    Put(String, Vec<u8>),
    /// Removes a document, by name.
    Remove(String),
}

/// A change of a job.
#[derive(Debug, Clone)]
pub struct Commit<'a> {
    /// Version of the job that the writer has.
    pub version: i64,
    /// Short description of the change.
    pub label: &'a str,
    /// Changed documents.
    pub changes: Vec<DocumentUpdate>,
}

/// The documents of a revision, with some of their contents.
#[derive(Debug, Default)]
pub struct DocumentsWithTexts {
    /// Names and hashes.
    pub documents: BTreeMap<String, Hash>,
    /// Names and contents.
    pub texts: BTreeMap<String, Vec<u8>>,
}

fn found(row: Option<&AnyRow>) -> Result<Revision, StoreError> {
    Ok(Revision::of_row(row.ok_or(StoreError::Missing("such revision"))?, OWN_NAMES)?)
}

fn named_hashes(rows: &[AnyRow]) -> Result<BTreeMap<String, Hash>, StoreError> {
    rows.iter().map(|row| Ok((row.try_get("name")?, row.try_get("hash")?))).collect()
}

const DOCUMENTS: &str = "SELECT name, hash FROM documents WHERE revision = $1";

/// The columns of the id and the name, as the table has them.
const OWN_NAMES: [&str; 2] = ["id", "name"];

const ONE: &str = "SELECT * FROM revisions WHERE id = $1 AND job = $2";

/// A revision to add.
struct NewRevision {
    label: String,
    changes: Vec<DocumentUpdate>,
    now: i64,
}

/// Makes a revision from the documents of `like` with its changes, and moves the head to it.
async fn follow(tx: &mut AnyConnection, job: JobRecord, like: &str, new: NewRevision) -> Result<JobRecord, StoreError> {
    let rows = sqlx::query(DOCUMENTS).bind(like).fetch_all(&mut *tx).await?;
    let mut documents = named_hashes(&rows)?;
    for change in new.changes {
        match change {
            DocumentUpdate::Put(name, bytes) => {
                documents.insert(name, keep(tx, &bytes).await?);
            }
            DocumentUpdate::Remove(name) => {
                documents.remove(&name);
            }
        }
    }
    let number: i64 = sqlx::query_scalar("SELECT MAX(number) FROM revisions WHERE job = $1")
        .bind(&job.id)
        .fetch_one(&mut *tx)
        .await?;
    let revision = Revision {
        id: new_id(),
        parent: Some(job.head.id.clone()),
        number: number + 1,
        label: new.label,
        name: String::new(),
        made: new.now,
        redo: None,
    };
    revision.insert(tx, &job.id, &documents).await?;
    lead_to(tx, job, revision, new.now).await
}

/// The job, locked until the transaction ends and still at `version`.
async fn locked(tx: &mut AnyConnection, dialect: Dialect, id: &str, version: i64) -> Result<JobRecord, StoreError> {
    // SQLite has one writer, and this is it.
    if dialect == Dialect::Postgres {
        sqlx::query("SELECT id FROM jobs WHERE id = $1 FOR UPDATE").bind(id).fetch_optional(&mut *tx).await?;
    }
    let job = job_in(tx, id).await?;
    if job.version == version {
        return Ok(job);
    }
    Err(StoreError::Conflict { version: job.version, last: Box::new(job.head) })
}

impl Store {
    /// Adds a revision with changed documents and moves the job's head to it.
    ///
    /// # Errors
    /// [`StoreError::Conflict`] when the job has another version by now; nothing is written then.
    pub async fn commit(&self, id: &str, commit: Commit<'_>) -> Result<JobRecord, StoreError> {
        let Commit { version, label, changes } = commit;
        let new = NewRevision { label: label.to_string(), changes, now: (self.clock)() };
        let (id, dialect) = (id.to_string(), self.dialect);
        self.write(move |tx| {
            Box::pin(async move {
                let job = locked(tx, dialect, &id, version).await?;
                let head = job.head.id.clone();
                follow(tx, job, &head, new).await
            })
        })
        .await
    }

    /// Moves the head to its parent.
    ///
    /// # Errors
    /// [`StoreError::Conflict`]; [`StoreError::Refused`] at the first revision.
    pub async fn undo(&self, id: &str, version: i64) -> Result<JobRecord, StoreError> {
        let (id, now) = (id.to_string(), (self.clock)());
        let dialect = self.dialect;
        self.write(move |tx| {
            Box::pin(async move {
                let job = locked(tx, dialect, &id, version).await?;
                let parent = job.head.parent.ok_or_else(|| StoreError::Refused("there is nothing to undo".into()))?;
                sqlx::query("UPDATE revisions SET redo = $1 WHERE id = $2")
                    .bind(&job.head.id)
                    .bind(&parent)
                    .execute(&mut *tx)
                    .await?;
                seal(tx, &REVISIONS, &[&parent]).await?;
                move_head(tx, &id, version, &parent, now).await
            })
        })
        .await
    }

    /// Moves the head to the child that was last undone.
    ///
    /// # Errors
    /// [`StoreError::Conflict`]; [`StoreError::Refused`] when nothing was undone.
    pub async fn redo(&self, id: &str, version: i64) -> Result<JobRecord, StoreError> {
        let (id, now) = (id.to_string(), (self.clock)());
        let dialect = self.dialect;
        self.write(move |tx| {
            Box::pin(async move {
                let job = locked(tx, dialect, &id, version).await?;
                let child = job.head.redo.ok_or_else(|| StoreError::Refused("there is nothing to redo".into()))?;
                move_head(tx, &id, version, &child, now).await
            })
        })
        .await
    }

    /// Adds a new revision with the documents of an earlier one.
    ///
    /// # Errors
    /// [`StoreError::Conflict`]; [`StoreError::Missing`] when the job has no such revision.
    pub async fn restore_revision(&self, id: &str, version: i64, to: &str) -> Result<JobRecord, StoreError> {
        let (id, to, now) = (id.to_string(), to.to_string(), (self.clock)());
        let dialect = self.dialect;
        self.write(move |tx| {
            Box::pin(async move {
                let job = locked(tx, dialect, &id, version).await?;
                let old = found(sqlx::query(ONE).bind(&to).bind(&id).fetch_optional(&mut *tx).await?.as_ref())?;
                let called = if old.name.is_empty() { format!("revision {}", old.number) } else { old.name };
                let label = format!("Restore {called}");
                follow(tx, job, &to, NewRevision { label, changes: Vec::new(), now }).await
            })
        })
        .await
    }

    /// All revisions of a job, newest first.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn revisions(&self, job: &str) -> Result<Vec<Revision>, StoreError> {
        let select = sqlx::query("SELECT * FROM revisions WHERE job = $1 ORDER BY number DESC").bind(job);
        self.rows(select).await?.iter().map(|row| Ok(Revision::of_row(row, OWN_NAMES)?)).collect()
    }

    /// One revision of a job.
    ///
    /// # Errors
    /// [`StoreError::Missing`].
    pub async fn revision(&self, job: &str, id: &str) -> Result<Revision, StoreError> {
        found(self.row(sqlx::query(ONE).bind(id).bind(job)).await?.as_ref())
    }

    /// Names a revision; an empty name removes it.
    ///
    /// # Errors
    /// [`StoreError::Missing`].
    pub async fn name_revision(&self, job: &str, id: &str, name: &str) -> Result<(), StoreError> {
        let (job, id, name) = (job.to_string(), id.to_string(), name.to_string());
        self.write(move |tx| {
            Box::pin(async move {
                let named = sqlx::query("UPDATE revisions SET name = $1 WHERE id = $2 AND job = $3")
                    .bind(name)
                    .bind(&id)
                    .bind(job)
                    .execute(&mut *tx)
                    .await?;
                if named.rows_affected() == 0 {
                    return Err(StoreError::Missing("such revision"));
                }
                Ok(seal(tx, &REVISIONS, &[&id]).await?)
            })
        })
        .await
    }

    /// The documents of a revision: name and hash.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn documents(&self, revision: &str) -> Result<BTreeMap<String, Hash>, StoreError> {
        named_hashes(&self.rows(sqlx::query(DOCUMENTS).bind(revision)).await?)
    }

    /// The documents of a revision, with the contents of those named in `texts`. A content that the store has lost is left
    /// out.
    ///
    /// # Errors
    /// [`StoreError::Unavailable`] when a content is damaged.
    pub async fn documents_with(&self, revision: &str, texts: &[&str]) -> Result<DocumentsWithTexts, StoreError> {
        let names: Vec<String> = (0..texts.len()).map(|k| format!("${}", k + 2)).collect();
        let select = format!(
            "SELECT d.name, d.hash, c.bytes FROM documents d \
             LEFT JOIN contents c ON c.hash = d.hash AND d.name IN ({}) WHERE d.revision = $1",
            names.join(", ")
        );
        let query = texts.iter().fold(sqlx::query(&select).bind(revision), |query, name| query.bind(*name));
        let mut found = DocumentsWithTexts::default();
        for row in self.rows(query).await? {
            let (name, hash): (String, Hash) = (row.try_get("name")?, row.try_get("hash")?);
            if let Some(bytes) = row.try_get::<Option<Vec<u8>>, _>("bytes")? {
                found.texts.insert(name.clone(), self.verified(&hash, bytes)?);
            }
            found.documents.insert(name, hash);
        }
        Ok(found)
    }
}
