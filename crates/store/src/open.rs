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
    /// Opens the store, creating it when it is missing, and brings its tables to the present form.
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

    /// Closes it: waits for the writes that were begun; what waits in SQLite's log is brought into its file, and the file is
    /// summed.
    pub async fn close(self) {
        self.writers.end().await;
        self.pool.close().await;
        if self.lock.sums() {
            self.empty_log().await;
        }
        // A sum that could not be taken is missing, and that is all.
        let _ = tokio::task::spawn_blocking(move || checksum::write(&self.location, &self.lock)).await;
    }
}

impl Store {
    /// Brings what waits in SQLite's log into its file. A connection is closed by a thread of its own, which may end after
    /// the pool: what it leaves to be brought in would change the file after it was summed.
    async fn empty_log(&self) {
        // Where it fails, the log stays and there is no sum.
        if let Ok(mut own) = self.own_connection().await {
            let _ = sqlx::query("PRAGMA wal_checkpoint(TRUNCATE)").fetch_all(&mut own).await;
            connection::close(own).await;
        }
    }
}

/// Connects without looking at the tables.
pub(crate) async fn connect(
    location: &Location,
    options: AnyConnectOptions,
    clock: Clock,
) -> Result<Store, StoreError> {
    let dialect = location.dialect();
    // The pool tries again and again and then only says that time ran out: the first connection says why.
    connection::close(connection::connect(location, &options).await?).await;
    let pool = AnyPoolOptions::new()
        .max_connections(CONNECTIONS)
        .acquire_timeout(LONGEST_CONNECT)
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
