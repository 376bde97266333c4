//! The tables, and their migration from older forms.
//!
//! A published step never changes; new ones are appended. All missing steps run in one transaction, together with the record
//! that they have run.

use std::time::Duration;

use sqlx::{AnyConnection, Row as _};

use crate::database::Store;
use crate::error::StoreError;
use crate::location::Dialect;
use crate::seals;

/// The steps. `BYTES` stands for the type of raw bytes, whose name depends on the database.
const STEPS: [&[&str]; 2] = [
    &[
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
    ],
    &[
        "ALTER TABLE jobs ADD COLUMN seal TEXT",
        "ALTER TABLE revisions ADD COLUMN seal TEXT",
        "ALTER TABLE notes ADD COLUMN seal TEXT",
        "ALTER TABLE kept ADD COLUMN seal TEXT",
        "ALTER TABLE bookings ADD COLUMN seal TEXT",
        "ALTER TABLE shelf ADD COLUMN seal TEXT",
        // What is found by these when a job's revisions are cleared, or content that nothing refers to.
        "CREATE INDEX documents_hash ON documents (hash)",
        "CREATE INDEX revisions_parent ON revisions (parent)",
        "CREATE TABLE probes (id BIGINT PRIMARY KEY, made BIGINT NOT NULL)",
    ],
];

/// The first form with seals.
pub(crate) const SEALED_SINCE: usize = 2;

/// The form that this program writes.
pub(crate) const FORM: usize = STEPS.len();

/// Key of the migration lock: any number that no other program is likely to use.
const LOCK: i64 = 7_414_270_001;

/// Time limit of a migration: it seals every row.
const LONGEST_MIGRATION: Duration = Duration::from_secs(3600);

/// The form of a store's tables; 0: no tables.
///
/// # Errors
/// [`StoreError::Refused`] for a form newer than this program.
pub(crate) async fn form(store: &Store) -> Result<usize, StoreError> {
    let there = match store.dialect {
        Dialect::Sqlite => "SELECT COUNT(*) FROM sqlite_master WHERE type = 'table' AND name = 'migrations'",
        Dialect::Postgres => "SELECT COUNT(to_regclass('migrations'))",
    };
    let there = store.row(sqlx::query(there)).await?.map_or(Ok(0), |row| row.try_get::<i64, _>(0))?;
    if there == 0 {
        return Ok(0);
    }
    let number = store.row(sqlx::query("SELECT COALESCE(MAX(number), 0) FROM migrations")).await?;
    known(number.map_or(Ok(0), |row| row.try_get(0))?)
}

fn known(number: i64) -> Result<usize, StoreError> {
    let form = usize::try_from(number).unwrap_or(0);
    if form > FORM {
        return Err(StoreError::Refused(format!(
            "this store was written by a newer program (form {form}, this program knows {FORM}); update the program"
        )));
    }
    Ok(form)
}

/// Runs the missing steps.
pub(crate) async fn migrate(store: &Store) -> Result<(), StoreError> {
    if form(store).await? == FORM {
        return Ok(());
    }
    let dialect = store.dialect;
    store.write_within(LONGEST_MIGRATION, move |tx| Box::pin(run_steps(tx, dialect))).await
}

async fn run_steps(tx: &mut AnyConnection, dialect: Dialect) -> Result<(), StoreError> {
    if dialect == Dialect::Postgres {
        // Two programs that start at once: one waits for the other.
        sqlx::query("SELECT CAST(pg_advisory_xact_lock($1) AS TEXT)").bind(LOCK).execute(&mut *tx).await?;
    }
    sqlx::query("CREATE TABLE IF NOT EXISTS migrations (number BIGINT PRIMARY KEY)").execute(&mut *tx).await?;
    let done = sqlx::query_scalar("SELECT COALESCE(MAX(number), 0) FROM migrations").fetch_one(&mut *tx).await?;
    let done = known(done)?;
    let bytes = if dialect == Dialect::Sqlite { "BLOB" } else { "BYTEA" };
    for (number, step) in STEPS.iter().enumerate().skip(done) {
        for statement in *step {
            sqlx::query(&statement.replace("BYTES", bytes)).execute(&mut *tx).await?;
        }
        sqlx::query("INSERT INTO migrations (number) VALUES ($1)").bind(number as i64 + 1).execute(&mut *tx).await?;
    }
    if (1..SEALED_SINCE).contains(&done) {
        seals::seal_all(tx).await?;
    }
    Ok(())
}
