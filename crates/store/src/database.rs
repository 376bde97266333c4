//! The open store, and reading from it.

use std::sync::Arc;
use std::time::Duration;

use sqlx::any::{AnyArguments, AnyRow};
use sqlx::query::Query;
use sqlx::{Any, AnyConnection, AnyPool};
use tokio::time::timeout;

use crate::checksum::OpenLock;
use crate::connection;
use crate::error::{StoreError, no_answer};
use crate::location::{Dialect, Location};
use crate::writers::Writers;

/// Longest read. The longest content, a scan of 100 MB, takes a second or two from another machine.
const LONGEST_READ: Duration = Duration::from_secs(20);

/// A clock: milliseconds since 1970 (UTC).
pub type Clock = fn() -> i64;

/// The open store.
#[derive(Debug, Clone)]
pub struct Store {
    pub(crate) pool: AnyPool,
    pub(crate) dialect: Dialect,
    pub(crate) location: Arc<Location>,
    pub(crate) clock: Clock,
    pub(crate) writers: Arc<Writers>,
    pub(crate) lock: Arc<OpenLock>,
}

/// A statement with its values.
pub(crate) type Statement<'a> = Query<'a, Any, AnyArguments<'a>>;

impl Store {
    /// Description of the location without a password: the file, or host and database.
    pub fn location_name(&self) -> String {
        self.location.describe()
    }

    /// The time, milliseconds since 1970 (UTC).
    pub fn now(&self) -> i64 {
        (self.clock)()
    }

    /// The rows of a query.
    pub(crate) async fn rows(&self, query: Statement<'_>) -> Result<Vec<AnyRow>, StoreError> {
        match timeout(LONGEST_READ, query.fetch_all(&self.pool)).await {
            Ok(rows) => rows.map_err(|e| self.explain(e)),
            Err(_) => Err(no_answer(&self.location)),
        }
    }

    /// The row of a query that returns at most one.
    pub(crate) async fn row(&self, query: Statement<'_>) -> Result<Option<AnyRow>, StoreError> {
        match timeout(LONGEST_READ, query.fetch_optional(&self.pool)).await {
            Ok(row) => row.map_err(|e| self.explain(e)),
            Err(_) => Err(no_answer(&self.location)),
        }
    }

    /// Adds the failing part to an error.
    pub(crate) fn explain(&self, error: impl Into<StoreError>) -> StoreError {
        error.into().explained(&self.location)
    }

    /// A connection outside the pool, for long reads: dropping it ends whatever it does.
    pub(crate) async fn own_connection(&self) -> Result<AnyConnection, StoreError> {
        connection::connect(&self.location, &self.pool.connect_options()).await
    }
}

pub(crate) fn system_clock() -> i64 {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap_or_default();
    i64::try_from(since.as_millis()).unwrap_or(i64::MAX)
}
