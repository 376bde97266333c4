//! Revisions: made, undone, redone, named, gone back to.

use std::collections::BTreeMap;

use sqlx::any::AnyRow;
use sqlx::{Any, Executor, Row as _, Transaction};

use crate::contents::{Hash, new_id, now, put_document};
use crate::database::Store;
use crate::error::StoreError;
use crate::jobs::{Job, job_in, move_head};

/// A revision.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Revision {
    /// Its id.
    pub id: String,
    /// The one it was made from.
    pub parent: Option<String>,
    /// Counted from 1 within the job, in the order in which they were made.
    pub number: i64,
    /// What was done.
    pub label: String,
    /// The name that a person gave it; empty: none.
    pub name: String,
    /// When it was made.
    pub made: i64,
    /// The child that was last left by an undo.
    pub redo: Option<String>,
}

/// What becomes of one document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// It holds this from now on.
    Put(String, Vec<u8>),
    /// It is taken out.
    Drop(String),
}

/// A change of a job.
#[derive(Debug, Clone)]
pub struct Commit<'a> {
    /// The version that was seen.
    pub version: i64,
    /// What is done, in a few words.
    pub label: &'a str,
    /// The documents that change.
    pub changes: Vec<Change>,
}

fn revision(row: &AnyRow) -> Result<Revision, StoreError> {
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

async fn find_revision(from: impl Executor<'_, Database = Any>, job: &str, id: &str) -> Result<Revision, StoreError> {
    let row = sqlx::query("SELECT * FROM revisions WHERE id = $1 AND job = $2").bind(id).bind(job);
    let row = row.fetch_optional(from).await?;
    row.as_ref().map_or(Err(StoreError::Missing("such revision")), revision)
}

/// Makes a revision from the documents of `like` with `changes`, and moves the head to it.
async fn follow(
    tx: &mut Transaction<'static, Any>,
    job: &Job,
    like: &str,
    commit: &Commit<'_>,
) -> Result<Job, StoreError> {
    let id = new_id();
    let number: i64 = sqlx::query_scalar("SELECT MAX(number) FROM revisions WHERE job = $1")
        .bind(&job.id)
        .fetch_one(&mut **tx)
        .await?;
    sqlx::query(
        "INSERT INTO revisions (id, job, parent, number, label, name, made) VALUES ($1, $2, $3, $4, $5, '', $6)",
    )
    .bind(&id)
    .bind(&job.id)
    .bind(&job.head.id)
    .bind(number + 1)
    .bind(commit.label)
    .bind(now())
    .execute(&mut **tx)
    .await?;
    sqlx::query(
        "INSERT INTO documents (revision, name, hash) SELECT $1, name, hash FROM documents WHERE revision = $2",
    )
    .bind(&id)
    .bind(like)
    .execute(&mut **tx)
    .await?;
    for change in &commit.changes {
        let (Change::Put(name, _) | Change::Drop(name)) = change;
        sqlx::query("DELETE FROM documents WHERE revision = $1 AND name = $2")
            .bind(&id)
            .bind(name)
            .execute(&mut **tx)
            .await?;
        if let Change::Put(name, bytes) = change {
            put_document(tx, &id, name, bytes).await?;
        }
    }
    move_head(tx, &job.id, commit.version, &id).await
}

/// The job, locked until the transaction ends and still at `version`.
async fn locked(tx: &mut Transaction<'static, Any>, id: &str, version: i64) -> Result<Job, StoreError> {
    // An update that changes nothing takes the row's lock in both databases.
    sqlx::query("UPDATE jobs SET version = version WHERE id = $1").bind(id).execute(&mut **tx).await?;
    let job = job_in(tx, id).await?;
    if job.version == version {
        return Ok(job);
    }
    Err(StoreError::Conflict { version: job.version, last: Box::new(job.head) })
}

impl Store {
    /// Makes a revision with changed documents and moves the job's head to it.
    ///
    /// # Errors
    /// [`StoreError::Conflict`] when the job is no longer at that version: nothing is written then.
    pub async fn commit(&self, id: &str, commit: &Commit<'_>) -> Result<Job, StoreError> {
        let mut tx = self.write().await?;
        let job = locked(&mut tx, id, commit.version).await?;
        let head = job.head.id.clone();
        let job = follow(&mut tx, &job, &head, commit).await?;
        tx.commit().await?;
        Ok(job)
    }

    /// Moves the head to its parent.
    ///
    /// # Errors
    /// [`StoreError::Conflict`]; [`StoreError::Refused`] at the first revision.
    pub async fn undo(&self, id: &str, version: i64) -> Result<Job, StoreError> {
        let mut tx = self.write().await?;
        let job = locked(&mut tx, id, version).await?;
        let parent = job.head.parent.ok_or_else(|| StoreError::Refused("there is nothing to undo".into()))?;
        sqlx::query("UPDATE revisions SET redo = $1 WHERE id = $2")
            .bind(&job.head.id)
            .bind(&parent)
            .execute(&mut *tx)
            .await?;
        let job = move_head(&mut tx, id, version, &parent).await?;
        tx.commit().await?;
        Ok(job)
    }

    /// Moves the head to the child that was last undone.
    ///
    /// # Errors
    /// [`StoreError::Conflict`]; [`StoreError::Refused`] when nothing was undone.
    pub async fn redo(&self, id: &str, version: i64) -> Result<Job, StoreError> {
        let mut tx = self.write().await?;
        let job = locked(&mut tx, id, version).await?;
        let child = job.head.redo.ok_or_else(|| StoreError::Refused("there is nothing to redo".into()))?;
        let job = move_head(&mut tx, id, version, &child).await?;
        tx.commit().await?;
        Ok(job)
    }

    /// Makes a new revision that holds what an earlier one held.
    ///
    /// # Errors
    /// [`StoreError::Conflict`]; [`StoreError::Missing`] when the job has no such revision.
    pub async fn go_back(&self, id: &str, version: i64, to: &str) -> Result<Job, StoreError> {
        let mut tx = self.write().await?;
        let job = locked(&mut tx, id, version).await?;
        let old = find_revision(&mut *tx, id, to).await?;
        let called = if old.name.is_empty() { format!("revision {}", old.number) } else { old.name };
        let label = format!("Go back to {called}");
        let job = follow(&mut tx, &job, to, &Commit { version, label: &label, changes: Vec::new() }).await?;
        tx.commit().await?;
        Ok(job)
    }

    /// Every revision of a job, the newest first.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn revisions(&self, job: &str) -> Result<Vec<Revision>, StoreError> {
        let rows = sqlx::query("SELECT * FROM revisions WHERE job = $1 ORDER BY number DESC").bind(job);
        rows.fetch_all(&self.pool).await?.iter().map(revision).collect()
    }

    /// One revision of a job.
    ///
    /// # Errors
    /// [`StoreError::Missing`].
    pub async fn revision(&self, job: &str, id: &str) -> Result<Revision, StoreError> {
        find_revision(&self.pool, job, id).await
    }

    /// Names a revision, or takes its name when empty.
    ///
    /// # Errors
    /// [`StoreError::Missing`].
    pub async fn name_revision(&self, job: &str, id: &str, name: &str) -> Result<(), StoreError> {
        let named = sqlx::query("UPDATE revisions SET name = $1 WHERE id = $2 AND job = $3")
            .bind(name)
            .bind(id)
            .bind(job)
            .execute(&self.pool)
            .await?;
        if named.rows_affected() == 0 { Err(StoreError::Missing("such revision")) } else { Ok(()) }
    }

    /// The documents of a revision: name and hash.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn documents(&self, revision: &str) -> Result<BTreeMap<String, Hash>, StoreError> {
        let rows = sqlx::query("SELECT name, hash FROM documents WHERE revision = $1").bind(revision);
        let rows = rows.fetch_all(&self.pool).await?;
        rows.iter().map(|row| Ok((row.try_get("name")?, row.try_get("hash")?))).collect()
    }

    /// The documents of a revision with what they hold, but for those that `leave` names.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn texts(
        &self,
        revision: &str,
        leave: impl Fn(&str) -> bool,
    ) -> Result<BTreeMap<String, Vec<u8>>, StoreError> {
        let mut texts = BTreeMap::new();
        for (name, hash) in self.documents(revision).await? {
            if !leave(&name) {
                texts.insert(name, self.content(&hash).await?);
            }
        }
        Ok(texts)
    }
}
