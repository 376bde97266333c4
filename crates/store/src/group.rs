//! Group commit: writes that wait for one another share a transaction, so that one wait for the disk serves them all.
//!
//! A write that joins others runs inside a savepoint of its own: when it fails, it undoes only itself. After its statements
//! it queues again, behind those that were already waiting, and the first whose second turn comes commits for all. None is
//! acknowledged before that. A write that nobody waits behind commits at once.

use std::pin::Pin;

use sqlx::pool::PoolConnection;
use sqlx::{Any, AnyConnection, AnyPool, Executor as _};
use tokio::sync::oneshot;

use crate::error::{Failure, StoreError, no_answer};
use crate::location::{Dialect, Location};

/// The statements of a write, as they run.
pub(crate) type Steps<'a, T> = Pin<Box<dyn Future<Output = Result<T, StoreError>> + Send + 'a>>;

/// A connection that is closed, which rolls its transaction back, unless it is returned to the pool.
#[derive(Debug)]
struct BorrowedConnection(Option<PoolConnection<Any>>);

impl Drop for BorrowedConnection {
    fn drop(&mut self) {
        if let Some(connection) = self.0.take() {
            drop(connection.detach());
        }
    }
}

/// How the transaction of a group ended, for a member of it: why it failed.
pub(crate) type Ending = Result<(), (Failure, String)>;

/// An open transaction with the writes it holds.
#[derive(Debug)]
pub(crate) struct Group {
    connection: BorrowedConnection,
    members: Vec<oneshot::Sender<Ending>>,
}

/// Why a write of a group failed, and whether the transaction still stands.
pub(crate) enum WriteFailure {
    /// The write was undone; the rest of the group stands.
    Undone(StoreError),
    /// The transaction is lost.
    Lost(StoreError),
}

impl Group {
    /// Begins a transaction. SQLite takes its only lock here, so that no writer fails half-way.
    pub(crate) async fn begin(pool: &AnyPool, dialect: Dialect) -> Result<Group, StoreError> {
        let mut connection = BorrowedConnection(Some(pool.acquire().await?));
        let begin = if dialect == Dialect::Sqlite { "BEGIN IMMEDIATE" } else { "BEGIN" };
        if let Some(connection) = connection.0.as_deref_mut() {
            connection.execute(begin).await?;
        }
        Ok(Group { connection, members: Vec::new() })
    }

    /// Runs the statements of one write.
    pub(crate) async fn run<T, F>(&mut self, location: &Location, steps: F) -> Result<T, WriteFailure>
    where
        F: for<'a> FnOnce(&'a mut AnyConnection) -> Steps<'a, T> + Send,
    {
        let lost = |e: sqlx::Error| WriteFailure::Lost(e.into());
        let Some(connection) = self.connection.0.as_deref_mut() else {
            return Err(WriteFailure::Lost(no_answer(location)));
        };
        let joins = !self.members.is_empty();
        if joins {
            connection.execute("SAVEPOINT joined").await.map_err(lost)?;
        }
        let done = steps(&mut *connection).await;
        let end: &[&str] = match (&done, joins) {
            (Ok(_), false) => &[],
            (Ok(_), true) => &["RELEASE joined"],
            (Err(_), false) => &["ROLLBACK"],
            (Err(_), true) => &["ROLLBACK TO joined", "RELEASE joined"],
        };
        for statement in end {
            // A full disk may have ended the transaction already: then the write's own error says more.
            match (connection.execute(*statement).await, &done) {
                (Ok(_), _) => {}
                (Err(e), Ok(_)) => return Err(lost(e)),
                (Err(_), Err(_)) => return done.map_err(WriteFailure::Lost),
            }
        }
        done.map_err(WriteFailure::Undone)
    }

    /// Adds the write that has just run; its ending arrives here.
    pub(crate) fn join(&mut self) -> oneshot::Receiver<Ending> {
        let (member, ending) = oneshot::channel();
        self.members.push(member);
        ending
    }

    /// Whether any write waits for the commit.
    pub(crate) fn is_joined(&self) -> bool {
        !self.members.is_empty()
    }

    /// Commits.
    pub(crate) async fn commit(&mut self) -> Result<(), StoreError> {
        if let Some(connection) = self.connection.0.as_deref_mut() {
            connection.execute("COMMIT").await?;
        }
        Ok(())
    }

    /// Returns the connection, whose transaction has ended cleanly, and acknowledges every member.
    pub(crate) fn close(mut self) {
        drop(self.connection.0.take());
        self.tell(&Ok(()));
    }

    /// Closes the connection, which rolls the transaction back, and gives every member the reason.
    pub(crate) fn fail(mut self, why: &StoreError) {
        let failure = match why {
            StoreError::Unavailable { failure, .. } => *failure,
            _ => Failure::Disk,
        };
        self.tell(&Err((failure, why.to_string())));
    }

    fn tell(&mut self, ending: &Ending) {
        for member in self.members.drain(..) {
            // A member that is gone was aborted with the program.
            let _ = member.send(ending.clone());
        }
    }
}
