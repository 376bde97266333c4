//! Opening the store and closing it.

use std::path::Path;
use std::sync::Arc;

use sqlx::any::{AnyConnectOptions, AnyPoolOptions};

use crate::checksum::{self, OpenLock};
use crate::connection::{self, LONGEST_CONNECT};
use crate::database::{Clock, Store, system_clock};
use crate::error::StoreError;
use crate::location::{Dialect, Location};
use crate::schema;
use crate::writers::Writers;

/// Connections kept open. A shop has a handful of seats, and SQLite writes one at a time.
const CONNECTIONS: u32 = 8;

impl Store {
    /// Opens the store, creates it when it is missing, and migrates its tables to the current form.
    ///
    /// # Errors
    /// [`StoreError`] when it cannot be reached, is damaged, or was written by a newer program.
    pub async fn open(location: &Location) -> Result<Store, StoreError> {
        Store::open_with_clock(location, system_clock).await
    }

    /// [`Store::open`] with a clock other than the system's.
    ///
    /// # Errors
    /// As [`Store::open`].
    pub async fn open_with_clock(location: &Location, clock: Clock) -> Result<Store, StoreError> {
        let options = connection::options(location, true)?;
        let lock = take_lock(location, true).await;
        checksum::forget(location).map_err(|e| StoreError::of_io(Path::new(&location.folder()), &e))?;
        let mut store = connect(location, options, clock).await?;
        store.lock = Arc::new(lock);
        if store.dialect == Dialect::Sqlite {
            // Fails on a read-only file; the next write reports that with a better message.
            store.rows(sqlx::query("PRAGMA journal_mode = WAL")).await?;
        }
        schema::migrate(&store).await?;
        Ok(store)
    }

    /// Opens an existing store as it is: creates nothing and changes no table.
    ///
    /// # Errors
    /// [`StoreError::Refused`] when there is none or it was written by a newer program; as [`Store::open`].
    pub async fn open_existing(location: &Location) -> Result<Store, StoreError> {
        let options = connection::options(location, false)?;
        let lock = take_lock(location, false).await;
        let mut store = connect(location, options, system_clock).await?;
        store.lock = Arc::new(lock);
        match schema::form(&store).await? {
            0 => Err(StoreError::Refused(format!("there is no store in {}", location.describe()))),
            _ => Ok(store),
        }
    }

    /// Closes the store: waits for running writes, merges SQLite's log into its file and writes the file's checksum.
    pub async fn close(self) {
        self.end_writes().await;
        self.pool.close().await;
        if self.lock.writes_checksum() {
            self.empty_log().await;
        }
        // A failure here only leaves the checksum out.
        let _ = tokio::task::spawn_blocking(move || checksum::write(&self.location, &self.lock)).await;
    }
}

impl Store {
    /// Merges SQLite's log into its file. A connection is closed by its own thread, which may end after the pool: what it
    /// leaves in the log would change the file after its checksum was computed.
    async fn empty_log(&self) {
        // On failure the log stays and there is no checksum.
        if let Ok(mut own) = self.own_connection().await {
            let _ = sqlx::query("PRAGMA wal_checkpoint(TRUNCATE)").fetch_all(&mut own).await;
            connection::close(own).await;
        }
    }
}

/// Connects without reading the tables.
pub(crate) async fn connect(
    location: &Location,
    options: AnyConnectOptions,
    clock: Clock,
) -> Result<Store, StoreError> {
    let dialect = location.dialect();
    // The pool retries and then only reports a timeout: a first connection reports the reason.
    connection::close(connection::connect(location, &options).await?).await;
    let pool = AnyPoolOptions::new()
        .max_connections(CONNECTIONS)
        .acquire_timeout(LONGEST_CONNECT)
        // A server may have gone since the last call; a file is asked nothing before the statement itself.
        .test_before_acquire(dialect == Dialect::Postgres)
        .after_connect(move |connection, _| Box::pin(connection::set_up(connection, dialect)))
        .connect_lazy_with(options);
    let (location, writers, lock) =
        (Arc::new(location.clone()), Arc::new(Writers::new(dialect)), Arc::new(OpenLock::none()));
    Ok(Store { pool, dialect, location, clock, writers, lock })
}

async fn take_lock(location: &Location, writes: bool) -> OpenLock {
    let location = location.clone();
    tokio::task::spawn_blocking(move || OpenLock::take(&location, writes)).await.unwrap_or_else(|_| OpenLock::none())
}
