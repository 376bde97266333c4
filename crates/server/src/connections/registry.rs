//! Who may hold a connection: newcomers and those who have made a signed-in request.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::atomic::{AtomicBool, AtomicU64, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use tokio::sync::Notify;

use crate::address::counted;

/// Most connections: a shop of twenty people with a few pages each takes a fifth of them.
const MOST: usize = 768;

/// Newcomers among them, at most: a third, so that two thirds are kept for those who have signed in.
const NEWCOMERS: usize = 256;

/// Newcomers of one address that is not this computer's, at most. A browser opens six.
const SHARE: usize = 64;

/// Files that are not connections: the store, its journal, the log, timers.
const OTHER_FILES: u64 = 160;

/// How often it is logged that newcomers are closed.
const SAY_AGAIN: Duration = Duration::from_secs(60);

/// How many connections there may be.
#[derive(Debug, Clone, Copy)]
pub struct ConnectionLimits {
    most: usize,
    newcomers: usize,
}

impl ConnectionLimits {
    /// As many as wanted, or as the limit of open files leaves room for.
    pub fn of_this_system() -> ConnectionLimits {
        let wanted = MOST as u64 + OTHER_FILES;
        // Where the limit can't be read it is taken as the usual least, 1024.
        let files = rlimit::increase_nofile_limit(wanted).unwrap_or(1024);
        let most = files.saturating_sub(OTHER_FILES).clamp(16, MOST as u64) as usize;
        ConnectionLimits { most, newcomers: NEWCOMERS.min(most / 3) }
    }
}

/// A connection.
#[derive(Debug)]
pub struct Connection {
    number: u64,
    address: IpAddr,
    known: AtomicBool,
    /// Requests whose answer has not ended.
    busy: AtomicUsize,
    /// When it was opened or the last answer ended, milliseconds since the server began.
    idle_since: AtomicU64,
    begun: Instant,
    closed: AtomicBool,
    close: Notify,
}

impl Connection {
    /// Counts a request.
    pub fn begin_request(&self) {
        self.busy.fetch_add(1, Ordering::Relaxed);
    }

    /// An answer has ended, or broke off.
    pub fn end_request(&self) {
        self.idle_since.store(self.begun.elapsed().as_millis() as u64, Ordering::Relaxed);
        self.busy.fetch_sub(1, Ordering::Relaxed);
    }

    /// Whether a request is on its way.
    pub fn is_busy(&self) -> bool {
        self.busy.load(Ordering::Relaxed) > 0
    }

    /// Whether it is a newcomer's who has sent no whole request for longer than that.
    pub fn is_stale(&self, longest: Duration) -> bool {
        let idle = self.begun.elapsed().saturating_sub(Duration::from_millis(self.idle_since.load(Ordering::Relaxed)));
        !self.known.load(Ordering::Relaxed) && !self.is_busy() && idle > longest
    }

    /// Waits until another needs the place.
    pub async fn closed(&self) {
        let close = self.close.notified();
        if !self.closed.load(Ordering::Acquire) {
            close.await;
        }
    }

    fn close(&self) {
        self.closed.store(true, Ordering::Release);
        // Kept for the connection when it does not wait just now.
        self.close.notify_one();
    }
}

/// All connections.
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
    /// No connections yet.
    pub fn new(caps: ConnectionLimits) -> Registry {
        Registry { caps, begun: Instant::now(), open: Mutex::default() }
    }

    fn open(&self) -> MutexGuard<'_, OpenConnections> {
        self.open.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Lets a newcomer in; the oldest newcomer goes when there are too many.
    pub fn take(seats: &Arc<Registry>, from: IpAddr) -> Registration {
        let mut open = seats.open();
        let address = counted(from);
        let own = || open.newcomers.values().filter(|s| s.address == address);
        let goes = if !from.is_loopback() && open.newcomers.len() >= SHARE && own().count() >= SHARE {
            own().next().map(|s| s.number)
        } else if open.newcomers.len() >= seats.caps.newcomers {
            open.newcomers.keys().next().copied()
        } else {
            None
        };
        if let Some(seat) = goes.and_then(|number| open.newcomers.remove(&number)) {
            seat.close();
            open.say(seats.caps);
        }
        open.number += 1;
        let seat = Arc::new(Connection {
            number: open.number,
            address,
            known: AtomicBool::new(false),
            busy: AtomicUsize::new(0),
            idle_since: AtomicU64::new(seats.begun.elapsed().as_millis() as u64),
            begun: seats.begun,
            closed: AtomicBool::new(false),
            close: Notify::new(),
        });
        open.newcomers.insert(seat.number, seat.clone());
        Registration { seat, seats: seats.clone() }
    }

    /// A newcomer has made a signed-in request. When there is no room left the one that is idle longest goes; when none is
    /// idle he stays a newcomer.
    fn promote(&self, seat: &Connection) {
        let mut open = self.open();
        if open.known.len() >= self.caps.most - self.caps.newcomers {
            let idle = open.known.values().filter(|s| !s.is_busy());
            let longest = idle.min_by_key(|s| s.idle_since.load(Ordering::Relaxed)).map(|s| s.number);
            let Some(goes) = longest.and_then(|number| open.known.remove(&number)) else { return };
            goes.close();
            open.say(self.caps);
        }
        if let Some(own) = open.newcomers.remove(&seat.number) {
            seat.known.store(true, Ordering::Relaxed);
            open.known.insert(seat.number, own);
        }
    }
}

impl OpenConnections {
    /// One line in the log for a flood, not one for each connection.
    fn say(&mut self, caps: ConnectionLimits) {
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

/// A seat that is given back when it is dropped.
pub struct Registration {
    /// The seat.
    pub seat: Arc<Connection>,
    seats: Arc<Registry>,
}

impl Drop for Registration {
    fn drop(&mut self) {
        let mut open = self.seats.open();
        if open.newcomers.remove(&self.seat.number).is_none() {
            open.known.remove(&self.seat.number);
        }
    }
}

/// Who makes a request: where from, and on which connection.
#[derive(Debug, Clone)]
pub struct Caller {
    /// Address of the other end.
    pub address: IpAddr,
    seat: Arc<Connection>,
    seats: Arc<Registry>,
}

impl Caller {
    /// The caller on a connection.
    pub fn new(address: IpAddr, seat: Arc<Connection>, seats: Arc<Registry>) -> Caller {
        Caller { address, seat, seats }
    }

    /// Notes that a request of this caller was signed in.
    pub fn signed_in(&self) {
        if !self.seat.known.load(Ordering::Relaxed) {
            self.seats.promote(&self.seat);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HERE: &str = "127.0.0.1";

    fn seats(most: usize, newcomers: usize) -> Arc<Registry> {
        Arc::new(Registry::new(ConnectionLimits { most, newcomers }))
    }

    fn take(seats: &Arc<Registry>, from: &str) -> Registration {
        Registry::take(seats, from.parse().unwrap())
    }

    fn is_closed(taken: &Registration) -> bool {
        taken.seat.closed.load(Ordering::Relaxed)
    }

    #[test]
    fn the_oldest_newcomer_goes_and_those_signed_in_stay() {
        let seats = seats(6, 3);
        let person = take(&seats, HERE);
        Caller::new(person.seat.address, person.seat.clone(), seats.clone()).signed_in();
        let idle: Vec<Registration> = (0..10).map(|_| take(&seats, HERE)).collect();
        assert!(!is_closed(&person));
        assert_eq!(idle.iter().map(is_closed).collect::<Vec<_>>(), [[true; 7].as_slice(), &[false; 3]].concat());
        drop(idle);
        assert_eq!(seats.open().newcomers.len(), 0);
    }

    #[test]
    fn signed_in_connections_end_with_the_one_that_is_idle_longest() {
        let seats = seats(4, 2);
        let sign_in =
            |taken: &Registration| Caller::new(taken.seat.address, taken.seat.clone(), seats.clone()).signed_in();
        let first = take(&seats, HERE);
        sign_in(&first);
        first.seat.begin_request();
        let second = take(&seats, HERE);
        sign_in(&second);
        let third = take(&seats, HERE);
        sign_in(&third);
        assert!(!is_closed(&first) && is_closed(&second) && !is_closed(&third));
        third.seat.begin_request();
        let fourth = take(&seats, HERE);
        sign_in(&fourth);
        assert!(!fourth.seat.known.load(Ordering::Relaxed), "no room while all are busy");
    }

    #[test]
    fn a_newcomer_who_says_nothing_gets_stale_and_no_other() {
        let seats = seats(6, 3);
        let (silent, person) = (take(&seats, HERE), take(&seats, HERE));
        Caller::new(person.seat.address, person.seat.clone(), seats.clone()).signed_in();
        std::thread::sleep(Duration::from_millis(5));
        assert!(silent.seat.is_stale(Duration::from_millis(1)) && !silent.seat.is_stale(Duration::from_secs(60)));
        assert!(!person.seat.is_stale(Duration::from_millis(1)));
        silent.seat.begin_request();
        assert!(!silent.seat.is_stale(Duration::from_millis(1)));
    }

    #[test]
    fn another_computer_has_a_share_of_the_newcomers() {
        let seats = seats(600, 200);
        let one: Vec<Registration> = (0..SHARE + 1).map(|_| take(&seats, "192.0.2.7")).collect();
        let other = take(&seats, "192.0.2.8");
        assert!(is_closed(&one[0]) && !is_closed(&one[1]) && !is_closed(&other));
    }
}
