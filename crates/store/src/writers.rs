//! Turns at writing: how many write at a time, how many may wait, and when a write last succeeded.

use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use tokio::sync::{AcquireError, Semaphore, SemaphorePermit};
use tokio::time::timeout;

use crate::error::StoreError;
use crate::group::Group;
use crate::location::Dialect;

/// Writers at a time on PostgreSQL; the other connections are left to readers.
const POSTGRES_WRITERS: usize = 4;

/// Writes that may wait for their turn; more are refused at once.
const MOST_WAITING: usize = 1000;

/// Longest wait for a turn.
const LONGEST_WAIT: Duration = Duration::from_secs(10);

/// How long a closing store waits for running writes.
const LONGEST_END: Duration = Duration::from_secs(8);

/// A write this recent makes a probe unnecessary.
const FRESH: Duration = Duration::from_secs(1);

/// Turns at writing, and the last success.
#[derive(Debug)]
pub(crate) struct Writers {
    dialect: Dialect,
    line: Semaphore,
    turns: Semaphore,
    /// The open transaction of a SQLite store. Only who has the turn takes it or leaves it.
    group: Mutex<Option<Group>>,
    last_good: Mutex<Option<Instant>>,
    pub(crate) probing: tokio::sync::Mutex<()>,
}

impl Writers {
    pub(crate) fn new(dialect: Dialect) -> Self {
        Writers {
            dialect,
            line: Semaphore::new(MOST_WAITING),
            turns: Semaphore::new(turns(dialect)),
            group: Mutex::default(),
            last_good: Mutex::default(),
            probing: tokio::sync::Mutex::default(),
        }
    }

    /// Waits for a turn to write.
    pub(crate) async fn turn(&self) -> Result<SemaphorePermit<'_>, StoreError> {
        let too_many = || StoreError::busy("too many changes are waiting to be saved; try again");
        let _place = self.line.try_acquire().map_err(|_| too_many())?;
        match timeout(LONGEST_WAIT, self.turns.acquire()).await {
            Ok(Ok(turn)) => Ok(turn),
            Ok(Err(_)) => Err(StoreError::busy("the store is being closed")),
            Err(_) => Err(too_many()),
        }
    }

    /// Waits for the turn to commit, behind those that are already waiting to write.
    pub(crate) async fn second_turn(&self) -> Result<SemaphorePermit<'_>, AcquireError> {
        self.turns.acquire().await
    }

    /// The open transaction, for the one who has the turn.
    pub(crate) fn take_group(&self) -> Option<Group> {
        self.group.lock().unwrap_or_else(PoisonError::into_inner).take()
    }

    /// Leaves the transaction open for the next.
    pub(crate) fn leave_group(&self, group: Group) {
        *self.group.lock().unwrap_or_else(PoisonError::into_inner) = Some(group);
    }

    /// Notes how a write ended.
    pub(crate) fn note(&self, good: bool) {
        *self.last_good.lock().unwrap_or_else(PoisonError::into_inner) = good.then(Instant::now);
    }

    /// Whether a write succeeded within the last second.
    pub(crate) fn is_fresh(&self) -> bool {
        let last = *self.last_good.lock().unwrap_or_else(PoisonError::into_inner);
        last.is_some_and(|at| at.elapsed() < FRESH)
    }

    /// Waits for running writes, then lets no more start. Returns the transaction that is still open.
    pub(crate) async fn end(&self) -> Option<Group> {
        // Writes that do not end in time are rolled back by closing their connection.
        let all = u32::try_from(turns(self.dialect)).unwrap_or(1);
        let turns = timeout(LONGEST_END, self.turns.acquire_many(all)).await;
        self.turns.close();
        turns.is_ok().then(|| self.take_group()).flatten()
    }
}

fn turns(dialect: Dialect) -> usize {
    if dialect == Dialect::Sqlite { 1 } else { POSTGRES_WRITERS }
}
