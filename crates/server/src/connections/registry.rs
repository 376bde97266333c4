//! Which connections stay open: newcomers, and those that have made a signed-in request.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::atomic::{AtomicBool, AtomicU64, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use tokio::sync::Notify;

use crate::address::counted;

/// Most connections: a shop of twenty people with a few pages each takes a fifth of them.
const MOST: usize = 768;

/// Most newcomers among them: a third, so that two thirds are left for signed-in users.
const NEWCOMERS: usize = 256;

/// Most newcomers from one address other than this computer's. A browser opens six.
const SHARE: usize = 64;

/// Files that are not connections: the store, its journal, the log, timers.
const OTHER_FILES: u64 = 160;

/// Shortest time between two log lines about closed newcomers.
const SAY_AGAIN: Duration = Duration::from_secs(60);

/// Limits of the number of connections.
#[derive(Debug, Clone, Copy)]
pub struct ConnectionLimits {
    most: usize,
    newcomers: usize,
}

impl ConnectionLimits {
    /// The wanted number, or as many as the limit of open files allows.
    pub fn of_this_system() -> ConnectionLimits {
        let wanted = MOST as u64 + OTHER_FILES;
        // Where the limit cannot be read, the usual minimum of 1024 is assumed.
        let files = rlimit::increase_nofile_limit(wanted).unwrap_or(1024);
        let most = files.saturating_sub(OTHER_FILES).clamp(16, MOST as u64) as usize;
        ConnectionLimits { most, newcomers: NEWCOMERS.min(most / 3) }
    }
}

/// An open connection.
#[derive(Debug)]
pub struct Connection {
    number: u64,
    address: IpAddr,
    known: AtomicBool,
    /// Requests whose response has not ended.
    busy: AtomicUsize,
    /// When it was opened or the last response ended, ms since the server started.
    idle_since: AtomicU64,
    begun: Instant,
    closed: AtomicBool,
    close: Notify,
}

impl Connection {
    /// Notes the start of a request.
    pub fn begin_request(&self) {
        self.busy.fetch_add(1, Ordering::Relaxed);
    }

    /// Notes the end of a response, complete or not.
    pub fn end_request(&self) {
        self.idle_since.store(self.begun.elapsed().as_millis() as u64, Ordering::Relaxed);
        self.busy.fetch_sub(1, Ordering::Relaxed);
    }

    /// Whether a request is running.
    pub fn is_busy(&self) -> bool {
        self.busy.load(Ordering::Relaxed) > 0
    }

    /// Whether it is a newcomer that has sent no complete request for longer than that.
    pub fn is_stale(&self, longest: Duration) -> bool {
        let idle = self.begun.elapsed().saturating_sub(Duration::from_millis(self.idle_since.load(Ordering::Relaxed)));
        !self.known.load(Ordering::Relaxed) && !self.is_busy() && idle > longest
    }

    /// Waits until it must close to make room.
    pub async fn closed(&self) {
        let close = self.close.notified();
        if !self.closed.load(Ordering::Acquire) {
            close.await;
        }
    }

    fn close(&self) {
        self.closed.store(true, Ordering::Release);
        // Stored for the connection when it is not waiting at the moment.
        self.close.notify_one();
    }
}

/// All open connections.
#[derive(Debug)]
pub struct Registry {
    caps: ConnectionLimits,
    begun: Instant,
    open: Mutex<OpenConnections>,
}

#[derive(Debug, Default)]
struct OpenConnections {
    number: u64,
    /// The oldest first.
    newcomers: BTreeMap<u64, Arc<Connection>>,
    known: BTreeMap<u64, Arc<Connection>>,
    said: Option<Instant>,
}

impl Registry {
    /// A registry without connections.
    pub fn new(caps: ConnectionLimits) -> Registry {
        Registry { caps, begun: Instant::now(), open: Mutex::default() }
    }

    fn open(&self) -> MutexGuard<'_, OpenConnections> {
        self.open.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Registers a newcomer; closes the oldest newcomer when there are too many.
    pub fn take(registry: &Arc<Registry>, from: IpAddr) -> Registration {
        let mut open = registry.open();
        let address = counted(from);
        let own = || open.newcomers.values().filter(|s| s.address == address);
        let goes = if !from.is_loopback() && open.newcomers.len() >= SHARE && own().count() >= SHARE {
            own().next().map(|s| s.number)
        } else if open.newcomers.len() >= registry.caps.newcomers {
            open.newcomers.keys().next().copied()
        } else {
            None
        };
        if let Some(connection) = goes.and_then(|number| open.newcomers.remove(&number)) {
            connection.close();
            open.log_closing(registry.caps);
        }
        open.number += 1;
        let connection = Arc::new(Connection {
            number: open.number,
            address,
            known: AtomicBool::new(false),
            busy: AtomicUsize::new(0),
            idle_since: AtomicU64::new(registry.begun.elapsed().as_millis() as u64),
            begun: registry.begun,
            closed: AtomicBool::new(false),
            close: Notify::new(),
        });
        open.newcomers.insert(connection.number, connection.clone());
        Registration { connection, registry: registry.clone() }
    }

    /// Moves a newcomer to the signed-in connections. When those are full, the one idle longest is closed; when none is idle,
    /// it stays a newcomer.
    fn promote(&self, connection: &Connection) {
        let mut open = self.open();
        if open.known.len() >= self.caps.most - self.caps.newcomers {
            let idle = open.known.values().filter(|s| !s.is_busy());
            let longest = idle.min_by_key(|s| s.idle_since.load(Ordering::Relaxed)).map(|s| s.number);
            let Some(goes) = longest.and_then(|number| open.known.remove(&number)) else { return };
            goes.close();
            open.log_closing(self.caps);
        }
        if let Some(own) = open.newcomers.remove(&connection.number) {
            connection.known.store(true, Ordering::Relaxed);
            open.known.insert(connection.number, own);
        }
    }
}

impl OpenConnections {
    /// Logs one line for a flood, not one for each connection.
    fn log_closing(&mut self, caps: ConnectionLimits) {
        if self.said.is_none_or(|at| at.elapsed() >= SAY_AGAIN) {
            self.said = Some(Instant::now());
            tracing::warn!(
                signed_in = self.known.len(),
                not_signed_in = self.newcomers.len(),
                most = caps.most,
                "too many connections are open: the oldest idle ones are closed to make room"
            );
        }
    }
}

/// A place in the registry, released when dropped.
pub struct Registration {
    /// The connection.
    pub connection: Arc<Connection>,
    registry: Arc<Registry>,
}

impl Drop for Registration {
    fn drop(&mut self) {
        let mut open = self.registry.open();
        if open.newcomers.remove(&self.connection.number).is_none() {
            open.known.remove(&self.connection.number);
        }
    }
}

/// Origin of a request: address and connection.
#[derive(Debug, Clone)]
pub struct Caller {
    /// Address of the other end.
    pub address: IpAddr,
    connection: Arc<Connection>,
    registry: Arc<Registry>,
}

impl Caller {
    /// The client on a connection.
    pub fn new(address: IpAddr, connection: Arc<Connection>, registry: Arc<Registry>) -> Caller {
        Caller { address, connection, registry }
    }

    /// Notes that a request of this client was signed in.
    pub fn signed_in(&self) {
        if !self.connection.known.load(Ordering::Relaxed) {
            self.registry.promote(&self.connection);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HERE: &str = "127.0.0.1";

    fn registry(most: usize, newcomers: usize) -> Arc<Registry> {
        Arc::new(Registry::new(ConnectionLimits { most, newcomers }))
    }

    fn take(registry: &Arc<Registry>, from: &str) -> Registration {
        Registry::take(registry, from.parse().unwrap())
    }

    fn is_closed(registration: &Registration) -> bool {
        registration.connection.closed.load(Ordering::Relaxed)
    }

    #[test]
    fn the_oldest_newcomer_goes_and_those_signed_in_stay() {
        let registry = registry(6, 3);
        let person = take(&registry, HERE);
        Caller::new(person.connection.address, person.connection.clone(), registry.clone()).signed_in();
        let idle: Vec<Registration> = (0..10).map(|_| take(&registry, HERE)).collect();
        assert!(!is_closed(&person));
        assert_eq!(idle.iter().map(is_closed).collect::<Vec<_>>(), [[true; 7].as_slice(), &[false; 3]].concat());
        drop(idle);
        assert_eq!(registry.open().newcomers.len(), 0);
    }

    #[test]
    fn signed_in_connections_end_with_the_one_that_is_idle_longest() {
        let registry = registry(4, 2);
        let sign_in = |registration: &Registration| {
            Caller::new(registration.connection.address, registration.connection.clone(), registry.clone()).signed_in()
        };
        let first = take(&registry, HERE);
        sign_in(&first);
        first.connection.begin_request();
        let second = take(&registry, HERE);
        sign_in(&second);
        let third = take(&registry, HERE);
        sign_in(&third);
        assert!(!is_closed(&first) && is_closed(&second) && !is_closed(&third));
        third.connection.begin_request();
        let fourth = take(&registry, HERE);
        sign_in(&fourth);
        assert!(!fourth.connection.known.load(Ordering::Relaxed), "no room while all are busy");
    }

    #[test]
    fn a_newcomer_who_says_nothing_gets_stale_and_no_other() {
        let registry = registry(6, 3);
        let (silent, person) = (take(&registry, HERE), take(&registry, HERE));
        Caller::new(person.connection.address, person.connection.clone(), registry.clone()).signed_in();
        std::thread::sleep(Duration::from_millis(5));
        assert!(
            silent.connection.is_stale(Duration::from_millis(1))
                && !silent.connection.is_stale(Duration::from_secs(60))
        );
        assert!(!person.connection.is_stale(Duration::from_millis(1)));
        silent.connection.begin_request();
        assert!(!silent.connection.is_stale(Duration::from_millis(1)));
    }

    #[test]
    fn another_computer_has_a_share_of_the_newcomers() {
        let registry = registry(600, 200);
        let one: Vec<Registration> = (0..SHARE + 1).map(|_| take(&registry, "192.0.2.7")).collect();
        let other = take(&registry, "192.0.2.8");
        assert!(is_closed(&one[0]) && !is_closed(&one[1]) && !is_closed(&other));
    }
}
