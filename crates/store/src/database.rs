//! The connection to the database, and reading from it.
//!
//! Both databases get the same statements. What differs: how a writing transaction begins (`write`), and a few words of
//! the schema.

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use sqlx::any::{AnyArguments, AnyConnectOptions, AnyPoolOptions, AnyRow, install_default_drivers};
use sqlx::query::Query;
use sqlx::{Any, AnyConnection, AnyPool, ConnectOptions as _, Connection as _, Executor as _};
use tokio::time::timeout;

use crate::error::{StoreError, no_answer};
use crate::file_sum::{self, OpenLock};
use crate::place::Place;
use crate::schema;
use crate::write::Writers;

/// Connections kept open. A shop has a handful of seats, and SQLite writes one at a time.
const CONNECTIONS: u32 = 8;

/// Longest wait for a connection. A call that finds the database down is answered within 3 s.
const LONGEST_CONNECT: Duration = Duration::from_millis(2500);

/// Longest read. The longest content, a scan of 100 MB, takes a second or two from another machine.
const LONGEST_READ: Duration = Duration::from_secs(20);

/// Tells the time: milliseconds since 1970 (UTC).
pub type Clock = fn() -> i64;

/// The kind of a database.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    Sqlite,
    Postgres,
}

/// The open store.
#[derive(Debug, Clone)]
pub struct Store {
    pub(crate) pool: AnyPool,
    pub(crate) kind: Kind,
    pub(crate) place: Arc<Place>,
    pub(crate) clock: Clock,
    pub(crate) writers: Arc<Writers>,
    lock: Arc<OpenLock>,
}

/// A statement with its values.
pub(crate) type Statement<'a> = Query<'a, Any, AnyArguments<'a>>;

/// Settings of each connection to SQLite: a commit is on the disk when it returns, and who has to wait for another
/// program does so for a few seconds. (That readers never wait for a writer is a setting of the file: `open`.)
const SQLITE_SETTINGS: &str = "PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON; PRAGMA busy_timeout = 5000";

impl Store {
    /// Opens the store, creating it when it is missing, and brings its tables to the present form.
    ///
    /// # Errors
    /// [`StoreError`] when it cannot be reached, is damaged, or was written by a newer program.
    pub async fn open(place: &Place) -> Result<Store, StoreError> {
        Store::open_with_clock(place, system_clock).await
    }

    /// [`Store::open`] with a clock other than the system's.
    ///
    /// # Errors
    /// As [`Store::open`].
    pub async fn open_with_clock(place: &Place, clock: Clock) -> Result<Store, StoreError> {
        let options = place.options(true)?;
        let lock = take_lock(place, true).await;
        file_sum::forget(place).map_err(|e| StoreError::of_io(Path::new(&place.folder()), &e))?;
        let mut store = connect(place, options, clock).await?;
        store.lock = Arc::new(lock);
        if store.kind == Kind::Sqlite {
            // Refused on a read-only file; what is written next says so in better words.
            store.rows(sqlx::query("PRAGMA journal_mode = WAL")).await?;
        }
        schema::migrate(&store).await?;
        Ok(store)
    }

    /// Opens a store that is there already, as it is: creates nothing and changes no table.
    ///
    /// # Errors
    /// [`StoreError::Refused`] when there is none or it was written by a newer program; as [`Store::open`].
    pub async fn open_existing(place: &Place) -> Result<Store, StoreError> {
        let options = place.options(false)?;
        let lock = take_lock(place, false).await;
        let mut store = connect(place, options, system_clock).await?;
        store.lock = Arc::new(lock);
        match schema::form(&store).await? {
            0 => Err(StoreError::Refused(format!("there is no store in {}", place.describe()))),
            _ => Ok(store),
        }
    }

    /// Names the store without a password: its file, or host and database.
    pub fn place_name(&self) -> String {
        self.place.describe()
    }

    /// The rows of a query.
    pub(crate) async fn rows(&self, query: Statement<'_>) -> Result<Vec<AnyRow>, StoreError> {
        match timeout(LONGEST_READ, query.fetch_all(&self.pool)).await {
            Ok(rows) => rows.map_err(|e| self.explain(e)),
            Err(_) => Err(no_answer(&self.place)),
        }
    }

    /// The row of a query that gives one at most.
    pub(crate) async fn row(&self, query: Statement<'_>) -> Result<Option<AnyRow>, StoreError> {
        match timeout(LONGEST_READ, query.fetch_optional(&self.pool)).await {
            Ok(row) => row.map_err(|e| self.explain(e)),
            Err(_) => Err(no_answer(&self.place)),
        }
    }

    /// Names the part that is unwell.
    pub(crate) fn explain(&self, error: impl Into<StoreError>) -> StoreError {
        error.into().explained(&self.place)
    }

    /// A connection beside the pool, for long reads: dropping it ends whatever it does.
    pub(crate) async fn connection_of_its_own(&self) -> Result<AnyConnection, StoreError> {
        connect_once(&self.place, self.kind, &self.pool.connect_options()).await
    }

    /// Closes it: waits for the writes that were begun; what waits in SQLite's log is brought into its file, and the file is
    /// summed.
    pub async fn close(self) {
        self.writers.end().await;
        self.pool.close().await;
        if self.lock.sums() {
            self.empty_log().await;
        }
        // A sum that could not be taken is missing, and that is all.
        let _ = tokio::task::spawn_blocking(move || file_sum::write(&self.place, &self.lock)).await;
    }
}

impl Store {
    /// Brings what waits in SQLite's log into its file. A connection is closed by a thread of its own, which may end after
    /// the pool: what it leaves to be brought in would change the file after it was summed.
    async fn empty_log(&self) {
        // Where it fails, the log stays and there is no sum.
        if let Ok(mut connection) = self.connection_of_its_own().await {
            let _ = sqlx::query("PRAGMA wal_checkpoint(TRUNCATE)").fetch_all(&mut connection).await;
            end(connection).await;
        }
    }
}

/// Connects without looking at the tables.
pub(crate) async fn connect(place: &Place, options: AnyConnectOptions, clock: Clock) -> Result<Store, StoreError> {
    install_default_drivers();
    let kind = if matches!(place, Place::File(_)) { Kind::Sqlite } else { Kind::Postgres };
    // The pool tries again and again and then only says that time ran out: the first connection says why.
    end(connect_once(place, kind, &options).await?).await;
    let pool = AnyPoolOptions::new()
        .max_connections(CONNECTIONS)
        .acquire_timeout(LONGEST_CONNECT)
        .after_connect(move |connection, _| Box::pin(prepare(connection, kind)))
        .connect_lazy_with(options);
    let (place, writers, lock) = (Arc::new(place.clone()), Arc::new(Writers::new(kind)), Arc::new(OpenLock::none()));
    Ok(Store { pool, kind, place, clock, writers, lock })
}

async fn take_lock(place: &Place, writes: bool) -> OpenLock {
    let place = place.clone();
    tokio::task::spawn_blocking(move || OpenLock::take(&place, writes)).await.unwrap_or_else(|_| OpenLock::none())
}

async fn connect_once(place: &Place, kind: Kind, options: &AnyConnectOptions) -> Result<AnyConnection, StoreError> {
    let connected = timeout(LONGEST_CONNECT, async {
        let mut connection = options.connect().await?;
        prepare(&mut connection, kind).await?;
        Ok(connection)
    });
    match connected.await {
        Ok(connection) => connection.map_err(|e: sqlx::Error| StoreError::from(e).explained(place)),
        Err(_) => Err(no_answer(place)),
    }
}

/// Closes a connection and waits for it, so that the last one leaves no log behind.
pub(crate) async fn end(connection: AnyConnection) {
    // One that cannot be closed is gone already.
    let _ = connection.close().await;
}

async fn prepare(connection: &mut AnyConnection, kind: Kind) -> Result<(), sqlx::Error> {
    if kind == Kind::Sqlite {
        connection.execute(SQLITE_SETTINGS).await?;
    }
    Ok(())
}

pub(crate) fn system_clock() -> i64 {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap_or_default();
    i64::try_from(since.as_millis()).unwrap_or(i64::MAX)
}
