//! Writing: the only place where write transactions begin and end.
//!
//! A write runs in its own task, so it completes even when the caller stops waiting. Writes to SQLite that wait for one
//! another share a transaction (`group`). A connection returns to the pool only after its transaction has ended cleanly; any
//! other is closed, which rolls it back.

use std::time::Duration;

use sqlx::AnyConnection;
use tokio::time::timeout;

use crate::database::Store;
use crate::error::{StoreError, no_answer};
use crate::group::{Ending, Group, Steps, WriteFailure};
use crate::location::Dialect;

/// Time limit of a write, except restore and deletion. A scan of 100 MB takes a few seconds.
const LONGEST_WRITE: Duration = Duration::from_secs(60);

/// Time limit of a probe.
const LONGEST_PROBE: Duration = Duration::from_secs(2);

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
            let written = store.in_turn(longest, steps).await.map_err(|e| store.explain(e));
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

    /// Runs `steps` when its turn comes, and returns once they are committed.
    async fn in_turn<T, F>(&self, longest: Duration, steps: F) -> Result<T, StoreError>
    where
        F: for<'a> FnOnce(&'a mut AnyConnection) -> Steps<'a, T> + Send,
    {
        let turn = self.writers.turn().await?;
        let mut group = match self.writers.take_group() {
            Some(group) => group,
            None => self.within(longest, Group::begin(&self.pool, self.dialect)).await?,
        };
        let run = timeout(longest, group.run(&self.location, steps)).await;
        let value = match run.unwrap_or_else(|_| Err(WriteFailure::Lost(no_answer(&self.location)))) {
            Ok(value) => value,
            Err(WriteFailure::Undone(why)) => {
                if group.is_joined() {
                    self.writers.leave_group(group);
                } else {
                    group.close();
                }
                return Err(why);
            }
            Err(WriteFailure::Lost(why)) => {
                let why = self.explain(why);
                group.fail(&why);
                return Err(why);
            }
        };
        let mut ending = group.join();
        if self.dialect == Dialect::Postgres {
            self.end_group(group, longest).await;
        } else {
            self.writers.leave_group(group);
            drop(turn);
            tokio::select! {
                biased;
                ended = &mut ending => return of_ending(ended).map(|()| value),
                Ok(_turn) = self.writers.second_turn() => {
                    if let Some(group) = self.writers.take_group() {
                        self.end_group(group, longest).await;
                    }
                }
            }
        }
        of_ending(ending.await).map(|()| value)
    }

    /// Commits a group; every member learns how it ended.
    async fn end_group(&self, mut group: Group, longest: Duration) {
        match self.within(longest, group.commit()).await {
            Ok(()) => group.close(),
            Err(why) => group.fail(&self.explain(why)),
        }
    }

    async fn within<T>(
        &self,
        longest: Duration,
        work: impl Future<Output = Result<T, StoreError>>,
    ) -> Result<T, StoreError> {
        timeout(longest, work).await.unwrap_or_else(|_| Err(no_answer(&self.location)))
    }

    /// Waits for running writes, commits them, then lets no more start.
    pub(crate) async fn end_writes(&self) {
        let last = self.writers.end().await;
        if let Some(group) = last {
            self.end_group(group, LONGEST_PROBE).await;
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

/// What the ending of its group means for a write. A group that is dropped without one was aborted with its task.
fn of_ending(ended: Result<Ending, tokio::sync::oneshot::error::RecvError>) -> Result<(), StoreError> {
    match ended {
        Ok(Ok(())) => Ok(()),
        Ok(Err((failure, message))) => Err(StoreError::Unavailable { failure, message }),
        Err(_) => Err(StoreError::Refused("the write was aborted with another that shared its transaction".into())),
    }
}
