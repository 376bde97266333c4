//! Jobs: create, list, rename, archive.

use std::collections::BTreeMap;

use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row as _};

use crate::contents::{keep, new_id};
use crate::database::Store;
use crate::error::StoreError;
use crate::revision::Revision;
use crate::seals::{Cell, JOBS, seal, seal_of_cells};

/// A job in its current state.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobRecord {
    /// Id of the job.
    pub id: String,
    /// Name of the job.
    pub name: String,
    /// Increases with every move of the head, and when the job is renamed or archived.
    pub version: i64,
    /// Whether it is archived.
    pub archived: bool,
    /// When it was last changed.
    pub updated: i64,
    /// The current revision.
    pub head: Revision,
    /// Label of the change that redo would restore.
    pub redo_label: Option<String>,
}

const COLUMNS: &str = "SELECT j.id, j.name, j.version, j.archived, j.updated, r.id AS rid, r.parent, r.number, r.label, \
     r.name AS rname, r.made, r.redo, n.label AS redo_label \
     FROM jobs j JOIN revisions r ON r.id = j.head LEFT JOIN revisions n ON n.id = r.redo";

fn job(row: &AnyRow) -> Result<JobRecord, StoreError> {
    Ok(JobRecord {
        id: row.try_get("id")?,
        name: row.try_get("name")?,
        version: row.try_get("version")?,
        archived: row.try_get::<i64, _>("archived")? != 0,
        updated: row.try_get("updated")?,
        head: Revision::of_row(row, ["rid", "rname"])?,
        redo_label: row.try_get("redo_label")?,
    })
}

/// The job as a transaction sees it.
pub(crate) async fn job_in(tx: &mut AnyConnection, id: &str) -> Result<JobRecord, StoreError> {
    let row = sqlx::query(&format!("{COLUMNS} WHERE j.id = $1")).bind(id).fetch_optional(&mut *tx).await?;
    row.as_ref().map_or(Err(StoreError::Missing("such job")), job)
}

/// Moves the head of a job that is still at `version`.
pub(crate) async fn move_head(
    tx: &mut AnyConnection,
    id: &str,
    version: i64,
    head: &str,
    now: i64,
) -> Result<JobRecord, StoreError> {
    let moved =
        sqlx::query("UPDATE jobs SET head = $1, version = version + 1, updated = $2 WHERE id = $3 AND version = $4")
            .bind(head)
            .bind(now)
            .bind(id)
            .bind(version)
            .execute(&mut *tx)
            .await?;
    still(tx, id, moved.rows_affected()).await
}

/// Moves the head of a job to a revision that has just been made from it. The job is as the transaction sees it, so that
/// nothing has to be read again.
pub(crate) async fn lead_to(
    tx: &mut AnyConnection,
    job: JobRecord,
    head: Revision,
    now: i64,
) -> Result<JobRecord, StoreError> {
    let moved = JobRecord { version: job.version + 1, updated: now, head, redo_label: None, ..job };
    let cells = [
        Cell::Text(&moved.id),
        Cell::Text(&moved.name),
        Cell::Text(&moved.head.id),
        Cell::Number(moved.version),
        Cell::Number(i64::from(moved.archived)),
        Cell::Number(moved.updated),
    ];
    let update = "UPDATE jobs SET head = $1, version = $2, updated = $3, seal = $4 WHERE id = $5 AND version = $6";
    let rows = sqlx::query(update)
        .bind(&moved.head.id)
        .bind(moved.version)
        .bind(now)
        .bind(seal_of_cells(&JOBS, &cells, std::iter::empty()))
        .bind(&moved.id)
        .bind(moved.version - 1)
        .execute(&mut *tx)
        .await?
        .rows_affected();
    if rows == 0 {
        let now = job_in(tx, &moved.id).await?;
        return Err(StoreError::Conflict { version: now.version, last: Box::new(now.head) });
    }
    Ok(moved)
}

/// The job after a write that changed `rows` rows: none means that another was first.
async fn still(tx: &mut AnyConnection, id: &str, rows: u64) -> Result<JobRecord, StoreError> {
    let job = job_in(tx, id).await?;
    if rows == 0 {
        return Err(StoreError::Conflict { version: job.version, last: Box::new(job.head) });
    }
    seal(tx, &JOBS, &[id]).await?;
    Ok(job)
}

impl Store {
    /// All jobs, the last changed first.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn jobs(&self, archived: bool) -> Result<Vec<JobRecord>, StoreError> {
        let select = format!("{COLUMNS} WHERE j.archived = $1 ORDER BY j.updated DESC, j.id");
        self.rows(sqlx::query(&select).bind(i64::from(archived))).await?.iter().map(job).collect()
    }

    /// One job.
    ///
    /// # Errors
    /// [`StoreError::Missing`].
    pub async fn job(&self, id: &str) -> Result<JobRecord, StoreError> {
        let row = self.row(sqlx::query(&format!("{COLUMNS} WHERE j.id = $1")).bind(id)).await?;
        row.as_ref().map_or(Err(StoreError::Missing("such job")), job)
    }

    /// Creates a job from its first documents.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn create(
        &self,
        name: &str,
        documents: Vec<(String, Vec<u8>)>,
        label: &str,
    ) -> Result<JobRecord, StoreError> {
        let (name, label, now) = (name.to_string(), label.to_string(), (self.clock)());
        self.write(move |tx| Box::pin(create(tx, name, documents, label, now))).await
    }

    /// Renames, archives or restores a job.
    ///
    /// # Errors
    /// [`StoreError::Conflict`], [`StoreError::Missing`].
    pub async fn describe(
        &self,
        id: &str,
        version: i64,
        name: Option<&str>,
        archived: Option<bool>,
    ) -> Result<JobRecord, StoreError> {
        let (id, name, now) = (id.to_string(), name.map(str::to_string), (self.clock)());
        self.write(move |tx| {
            Box::pin(async move {
                let changed = sqlx::query(
                    "UPDATE jobs SET name = COALESCE($1, name), archived = COALESCE($2, archived), \
                     version = version + 1, updated = $3 WHERE id = $4 AND version = $5",
                )
                .bind(name)
                .bind(archived.map(i64::from))
                .bind(now)
                .bind(&id)
                .bind(version)
                .execute(&mut *tx)
                .await?;
                still(tx, &id, changed.rows_affected()).await
            })
        })
        .await
    }
}

async fn create(
    tx: &mut AnyConnection,
    name: String,
    documents: Vec<(String, Vec<u8>)>,
    label: String,
    now: i64,
) -> Result<JobRecord, StoreError> {
    let (id, revision) = (new_id(), new_id());
    sqlx::query("INSERT INTO jobs (id, name, head, version, archived, updated) VALUES ($1, $2, $3, 1, 0, $4)")
        .bind(&id)
        .bind(name)
        .bind(&revision)
        .bind(now)
        .execute(&mut *tx)
        .await?;
    let first = Revision { id: revision, parent: None, number: 1, label, name: String::new(), made: now, redo: None };
    let mut kept = BTreeMap::new();
    for (name, bytes) in documents {
        kept.insert(name, keep(tx, &bytes).await?);
    }
    first.insert(tx, &id, &kept).await?;
    seal(tx, &JOBS, &[&id]).await?;
    job_in(tx, &id).await
}
