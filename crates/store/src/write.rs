//! Writing: the only place where write transactions begin and end.
//!
//! A write runs in its own task, so it completes even when the caller stops waiting. SQLite takes its only lock when the
//! transaction begins, so that two writers wait for one another and neither fails half-way. A connection returns to the pool
//! only after its transaction has ended cleanly; any other is closed, which rolls it back.

use std::pin::Pin;
use std::time::Duration;

use sqlx::pool::PoolConnection;
use sqlx::{Any, AnyConnection, Executor as _};
use tokio::time::timeout;

use crate::database::Store;
use crate::error::{StoreError, no_answer};
use crate::location::Dialect;

/// Time limit of a write, except restore and deletion. A scan of 100 MB takes a few seconds.
const LONGEST_WRITE: Duration = Duration::from_secs(60);

/// Time limit of a probe.
const LONGEST_PROBE: Duration = Duration::from_secs(2);

/// The statements of a write, as they run.
pub(crate) type Steps<'a, T> = Pin<Box<dyn Future<Output = Result<T, StoreError>> + Send + 'a>>;

/// A connection that is closed unless it is returned.
struct BorrowedConnection(Option<PoolConnection<Any>>);

impl BorrowedConnection {
    fn give_back(mut self) {
        drop(self.0.take());
    }
}

impl Drop for BorrowedConnection {
    fn drop(&mut self) {
        if let Some(connection) = self.0.take() {
            drop(connection.detach());
        }
    }
}

impl Store {
    /// Runs `steps` in one transaction, all or nothing and to its end, even when the caller stops waiting.
    pub(crate) async fn write<T, F>(&self, steps: F) -> Result<T, StoreError>
    where
        T: Send + 'static,
        F: for<'a> FnOnce(&'a mut AnyConnection) -> Steps<'a, T> + Send + 'static,
    {
        self.write_within(LONGEST_WRITE, steps).await
    }

    /// [`Store::write`] with its own time limit.
    pub(crate) async fn write_within<T, F>(&self, longest: Duration, steps: F) -> Result<T, StoreError>
    where
        T: Send + 'static,
        F: for<'a> FnOnce(&'a mut AnyConnection) -> Steps<'a, T> + Send + 'static,
    {
        let store = self.clone();
        let task = tokio::spawn(async move {
            let turn = store.writers.turn().await?;
            let written = store.transaction(longest, steps).await;
            drop(turn);
            let written = written.map_err(|e| store.explain(e));
            // A refusal says nothing about the health of the store.
            match &written {
                Ok(_) => store.writers.note(true),
                Err(StoreError::Unavailable { .. } | StoreError::Database(_)) => store.writers.note(false),
                Err(_) => {}
            }
            written
        });
        task.await.unwrap_or_else(|why| Err(StoreError::Refused(format!("the write was aborted: {why}"))))
    }

    async fn transaction<T, F>(&self, longest: Duration, steps: F) -> Result<T, StoreError>
    where
        F: for<'a> FnOnce(&'a mut AnyConnection) -> Steps<'a, T> + Send,
    {
        let mut lent = BorrowedConnection(Some(self.pool.acquire().await?));
        let Some(connection) = lent.0.as_deref_mut() else { return Err(no_answer(&self.location)) };
        let begin = if self.dialect == Dialect::Sqlite { "BEGIN IMMEDIATE" } else { "BEGIN" };
        let done = timeout(longest, async {
            connection.execute(begin).await?;
            match steps(connection).await {
                Ok(value) => {
                    connection.execute("COMMIT").await?;
                    Ok((true, Ok(value)))
                }
                Err(why) => Ok((connection.execute("ROLLBACK").await.is_ok(), Err(why))),
            }
        });
        match done.await {
            Ok(Ok((clean, result))) => {
                if clean {
                    lent.give_back();
                }
                result
            }
            Ok(Err(why)) => Err(StoreError::Database(why)),
            Err(_) => Err(no_answer(&self.location)),
        }
    }

    /// Checks within about 2 s whether a write is possible: by a test write, unless one has just succeeded.
    ///
    /// # Errors
    /// [`StoreError::Unavailable`] names the failing part.
    pub async fn probe(&self) -> Result<(), StoreError> {
        let probed = timeout(LONGEST_PROBE, async {
            let _one = self.writers.probing.lock().await;
            if self.writers.is_fresh() {
                return Ok(());
            }
            let now = (self.clock)();
            self.write(move |tx| {
                Box::pin(async move {
                    let set = "INSERT INTO probes (id, made) VALUES (1, $1) \
                               ON CONFLICT (id) DO UPDATE SET made = excluded.made";
                    sqlx::query(set).bind(now).execute(tx).await?;
                    Ok(())
                })
            })
            .await
        });
        match probed.await {
            Ok(done) => done,
            Err(_) => Err(match self.dialect {
                Dialect::Sqlite => StoreError::busy(format!("writes to {} time out", self.location_name())),
                Dialect::Postgres => no_answer(&self.location),
            }),
        }
    }
}
