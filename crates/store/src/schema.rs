//! The tables, and how those of an older program are brought to the present form.
//!
//! A step once published is never changed; another is added behind it. All steps that are missing run in one
//! transaction with the note that they have run.

use crate::database::{Kind, Store};
use crate::error::StoreError;

/// The steps. `BYTES` stands for the type of raw bytes, which each database calls by its own name.
const STEPS: [&[&str]; 1] = [&[
    "CREATE TABLE contents (hash TEXT PRIMARY KEY, bytes BYTES NOT NULL)",
    "CREATE TABLE jobs (
        id TEXT PRIMARY KEY, name TEXT NOT NULL, head TEXT NOT NULL, version BIGINT NOT NULL,
        archived BIGINT NOT NULL, updated BIGINT NOT NULL)",
    "CREATE TABLE revisions (
        id TEXT PRIMARY KEY, job TEXT NOT NULL REFERENCES jobs (id), parent TEXT REFERENCES revisions (id),
        number BIGINT NOT NULL, label TEXT NOT NULL, name TEXT NOT NULL, made BIGINT NOT NULL, redo TEXT,
        UNIQUE (job, number))",
    "CREATE TABLE documents (
        revision TEXT NOT NULL REFERENCES revisions (id), name TEXT NOT NULL,
        hash TEXT NOT NULL REFERENCES contents (hash), PRIMARY KEY (revision, name))",
    "CREATE TABLE notes (owner TEXT NOT NULL, name TEXT NOT NULL, text TEXT NOT NULL, PRIMARY KEY (owner, name))",
    "CREATE TABLE kept (name TEXT PRIMARY KEY, text TEXT NOT NULL, version BIGINT NOT NULL)",
    "CREATE TABLE bookings (
        id TEXT PRIMARY KEY, job TEXT NOT NULL REFERENCES jobs (id), plan TEXT NOT NULL, made BIGINT NOT NULL,
        UNIQUE (job, plan))",
    "CREATE TABLE shelf (
        id TEXT PRIMARY KEY, label TEXT NOT NULL, what TEXT NOT NULL, made BIGINT NOT NULL,
        from_booking TEXT REFERENCES bookings (id), taken_by TEXT REFERENCES bookings (id))",
]];

/// Any number that no other program is likely to lock by.
const LOCK: i64 = 7_414_270_001;

/// Runs the steps that are missing.
pub(crate) async fn migrate(store: &Store) -> Result<(), StoreError> {
    let mut tx = store.write().await?;
    if store.kind == Kind::Postgres {
        // Two seats that start at once: one waits for the other.
        sqlx::query("SELECT CAST(pg_advisory_xact_lock($1) AS TEXT)").bind(LOCK).execute(&mut *tx).await?;
    }
    sqlx::query("CREATE TABLE IF NOT EXISTS migrations (number BIGINT PRIMARY KEY)").execute(&mut *tx).await?;
    let done: i64 = sqlx::query_scalar("SELECT COALESCE(MAX(number), 0) FROM migrations").fetch_one(&mut *tx).await?;
    let done = usize::try_from(done).unwrap_or(0);
    if done > STEPS.len() {
        return Err(StoreError::Refused(format!(
            "this store was written by a newer program (form {done}, this program knows {}); update the program",
            STEPS.len()
        )));
    }
    let bytes = if store.kind == Kind::Sqlite { "BLOB" } else { "BYTEA" };
    for (number, step) in STEPS.iter().enumerate().skip(done) {
        for statement in *step {
            sqlx::query(&statement.replace("BYTES", bytes)).execute(&mut *tx).await?;
        }
        sqlx::query("INSERT INTO migrations (number) VALUES ($1)").bind(number as i64 + 1).execute(&mut *tx).await?;
    }
    tx.commit().await?;
    Ok(())
}
