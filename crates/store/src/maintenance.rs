//! Checks for damage.

use std::time::Duration;

use sqlx::{AnyConnection, Executor as _, Row as _};
use tokio::time::timeout;

use crate::checksum;
use crate::connection::close;
use crate::database::Store;
use crate::error::{Failure, StoreError};
use crate::hash::hash_of;
use crate::location::{Dialect, Location};
use crate::schema::{self, SEALED_SINCE};
use crate::seals;

/// Time limit of the quick check; a file that takes longer is left to the full check.
const LONGEST_QUICK_CHECK: Duration = Duration::from_secs(5);

/// Most findings reported: a torn file has thousands.
const MOST_FINDINGS: usize = 100;

/// Damage to a SQLite file since it was closed, in words; `None` when it is unchanged, open or was not closed cleanly. Call it
/// before [`Store::open`], which changes the file.
pub async fn damage_while_closed(location: &Location) -> Option<String> {
    let location = location.clone();
    tokio::task::spawn_blocking(move || checksum::mismatch(&location)).await.ok().flatten()
}

impl Store {
    /// Damage to the structure of a SQLite file, in words; empty when none is found. Takes at most a few seconds; contents and
    /// values are left to [`Store::check`].
    ///
    /// # Errors
    /// [`StoreError`] when the store cannot be read at all.
    pub async fn quick_check(&self) -> Result<Vec<String>, StoreError> {
        if self.dialect == Dialect::Postgres {
            return Ok(Vec::new());
        }
        let mut connection = self.own_connection().await?;
        let checked = timeout(LONGEST_QUICK_CHECK, structure(&mut connection, "PRAGMA quick_check(5)")).await;
        close(connection).await;
        checked.map_or(Ok(Vec::new()), |found| found.map_err(|e| self.explain(e)))
    }

    /// All damage, in words; empty when there is none. Reads and hashes every row and content, in one snapshot while others
    /// keep working.
    ///
    /// # Errors
    /// [`StoreError`] when the store cannot be read at all.
    pub async fn check(&self) -> Result<Vec<String>, StoreError> {
        let form = schema::form(self).await?;
        let sum = damage_while_closed(&self.location).await;
        let mut connection = self.snapshot().await?;
        let found = self.check_snapshot(&mut connection, form, sum).await;
        close(connection).await;
        found
    }

    async fn check_snapshot(
        &self,
        connection: &mut AnyConnection,
        form: usize,
        sum: Option<String>,
    ) -> Result<Vec<String>, StoreError> {
        let mut found = Vec::new();
        if self.dialect == Dialect::Sqlite {
            found = self.findings(structure(connection, "PRAGMA integrity_check(20)").await)?;
            // With a torn structure further findings mean nothing.
            if !found.is_empty() {
                return Ok(found);
            }
            found.extend(sum);
            found.extend(self.findings(references(connection).await)?);
        }
        found.extend(self.findings(heads(connection).await)?);
        for table in if form < SEALED_SINCE { &[][..] } else { &seals::SEALED } {
            let broken = seals::broken(connection, table, MOST_FINDINGS).await;
            found.extend(self.findings(broken)?);
        }
        found.extend(self.findings(contents(connection).await)?);
        found.truncate(MOST_FINDINGS);
        Ok(found)
    }

    /// A connection with a snapshot of the store, whatever others write meanwhile.
    pub(crate) async fn snapshot(&self) -> Result<AnyConnection, StoreError> {
        let mut connection = self.own_connection().await?;
        let begin = match self.dialect {
            Dialect::Sqlite => "BEGIN",
            Dialect::Postgres => "BEGIN ISOLATION LEVEL REPEATABLE READ",
        };
        connection.execute(begin).await.map_err(|e| self.explain(e))?;
        Ok(connection)
    }

    /// The findings; an unreadable value is a finding, a database that does not respond is an error.
    fn findings(&self, found: Result<Vec<String>, sqlx::Error>) -> Result<Vec<String>, StoreError> {
        match found {
            Ok(found) => Ok(found),
            Err(why @ (sqlx::Error::Decode(_) | sqlx::Error::ColumnDecode { .. } | sqlx::Error::AnyDriverError(_))) => {
                Ok(vec![format!("a value cannot be read: {why}")])
            }
            Err(why) => match self.explain(why) {
                StoreError::Unavailable { failure: Failure::Damaged, message } => Ok(vec![message]),
                other => Err(other),
            },
        }
    }
}

async fn structure(connection: &mut AnyConnection, check: &'static str) -> Result<Vec<String>, sqlx::Error> {
    let said: Vec<String> = sqlx::query_scalar(check).fetch_all(connection).await?;
    Ok(said.into_iter().filter(|s| s != "ok").map(|s| format!("SQLite: {s}")).collect())
}

async fn references(connection: &mut AnyConnection) -> Result<Vec<String>, sqlx::Error> {
    let broken = sqlx::query("PRAGMA foreign_key_check").fetch_all(connection).await?;
    Ok(broken.iter().take(1).map(|_| "SQLite: a row refers to a missing one".to_string()).collect())
}

async fn heads(connection: &mut AnyConnection) -> Result<Vec<String>, sqlx::Error> {
    let loose = "SELECT j.name FROM jobs j LEFT JOIN revisions r ON r.id = j.head AND r.job = j.id WHERE r.id IS NULL";
    let loose: Vec<String> = sqlx::query_scalar(loose).fetch_all(&mut *connection).await?;
    let bare = "SELECT r.id FROM revisions r LEFT JOIN documents d ON d.revision = r.id AND d.name = 'job.toml' \
                WHERE d.name IS NULL";
    let bare: Vec<String> = sqlx::query_scalar(bare).fetch_all(connection).await?;
    let loose = loose.into_iter().map(|name| format!("job {name}: its head is not one of its revisions"));
    Ok(loose.chain(bare.into_iter().map(|id| format!("revision {id} has no job.toml"))).collect())
}

async fn contents(connection: &mut AnyConnection) -> Result<Vec<String>, sqlx::Error> {
    let mut found = Vec::new();
    let hashes: Vec<String> =
        sqlx::query_scalar("SELECT hash FROM contents ORDER BY hash").fetch_all(&mut *connection).await?;
    for hash in hashes {
        let row = sqlx::query("SELECT bytes FROM contents WHERE hash = $1").bind(&hash);
        let row = row.fetch_optional(&mut *connection).await?;
        let bytes = row.and_then(|row| row.try_get::<Vec<u8>, _>(0).ok());
        if bytes.is_none_or(|bytes| hash_of(&bytes) != hash) {
            found.push(format!("content {hash} is damaged"));
        }
    }
    Ok(found)
}
