//! Protection against password guessing, counted by address.
//!
//! Wrong attempts from one address make that address wait, and no other. The owner at this computer is never locked out:
//! whoever can connect from here could also read the store, so a wrong attempt from here only gets a delayed response. A client
//! behind a proxy on this computer is counted by the address that the proxy reports.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use axum::http::HeaderMap;

use crate::address::counted;

/// Wrong attempts in a row before a wait.
const TRIES: u32 = 5;

/// Length of the wait.
const WAIT: Duration = Duration::from_secs(30);

/// Most addresses remembered, 100 bytes each. Beyond that the oldest attempt is forgotten.
const MOST: usize = 4096;

/// Where a sign-in attempt comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LoginSource {
    address: IpAddr,
    here: bool,
}

impl LoginSource {
    /// The other end of a connection, or the address that a proxy on this computer reports.
    pub fn new(from: IpAddr, headers: &HeaderMap) -> LoginSource {
        let from = counted(from);
        if !from.is_loopback() {
            return LoginSource { address: from, here: false };
        }
        // The last entry is written by the proxy itself; the earlier ones can be forged.
        let forwarded = headers.get_all("x-forwarded-for").iter().next_back().and_then(|v| v.to_str().ok());
        match forwarded.and_then(|list| list.rsplit(',').next()).map(|last| last.trim().parse::<IpAddr>()) {
            Some(Ok(address)) => LoginSource { address: counted(address), here: false },
            Some(Err(_)) => LoginSource { address: from, here: false },
            None => LoginSource { address: from, here: true },
        }
    }

    /// Whether it is this computer.
    pub fn is_here(self) -> bool {
        self.here
    }
}

/// Wrong attempts in a row, and when the last one was.
#[derive(Debug, Clone, Copy)]
struct Failed {
    tries: u32,
    last: Instant,
}

/// Wrong attempts by address.
#[derive(Debug, Default)]
pub struct Lockout {
    failed: Mutex<BTreeMap<(IpAddr, bool), Failed>>,
}

impl Lockout {
    fn failed(&self) -> MutexGuard<'_, BTreeMap<(IpAddr, bool), Failed>> {
        self.failed.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Seconds until the next attempt from there is checked; `None`: now.
    pub fn must_wait(&self, who: LoginSource) -> Option<u32> {
        let failed = *self.failed().get(&(who.address, who.here))?;
        let left = WAIT.checked_sub(failed.last.elapsed())?;
        (failed.tries >= TRIES).then_some(left.as_secs() as u32 + 1)
    }

    /// Records an attempt. It counts as wrong until [`Lockout::was_right`] is called, so that simultaneous attempts do not slip
    /// through.
    pub fn record_attempt(&self, who: LoginSource) {
        let mut failed = self.failed();
        let now = Instant::now();
        if failed.len() >= MOST {
            failed.retain(|_, f| now.duration_since(f.last) < WAIT);
        }
        if failed.len() >= MOST
            && let Some(oldest) = failed.iter().min_by_key(|(_, f)| f.last).map(|(key, _)| *key)
        {
            failed.remove(&oldest);
        }
        let one = failed.entry((who.address, who.here)).or_insert(Failed { tries: 0, last: now });
        let again = now.duration_since(one.last) < WAIT;
        *one = Failed { tries: if again { one.tries.saturating_add(1) } else { 1 }, last: now };
    }

    /// Notes that the last attempt was right.
    pub fn was_right(&self, who: LoginSource) {
        self.failed().remove(&(who.address, who.here));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn guesser(from: &str, forwarded: Option<&str>) -> LoginSource {
        let mut headers = HeaderMap::new();
        if let Some(by) = forwarded {
            headers.insert("x-forwarded-for", by.parse().unwrap());
        }
        LoginSource::new(from.parse().unwrap(), &headers)
    }

    #[test]
    fn one_address_waits_and_no_other() {
        let lockout = Lockout::default();
        let (one, other) = (guesser("192.0.2.7", None), guesser("192.0.2.8", None));
        for _ in 0..TRIES {
            assert_eq!(lockout.must_wait(one), None);
            lockout.record_attempt(one);
        }
        assert!(lockout.must_wait(one).is_some() && lockout.must_wait(other).is_none());
        assert!(lockout.must_wait(guesser("127.0.0.1", None)).is_none());
        lockout.was_right(one);
        assert_eq!(lockout.must_wait(one), None);
    }

    #[test]
    fn a_proxy_here_speaks_for_the_address_it_writes_last() {
        assert!(guesser("127.0.0.1", None).is_here() && guesser("::1", None).is_here());
        let by_proxy = guesser("127.0.0.1", Some("127.0.0.1, 192.0.2.7"));
        assert_eq!(by_proxy, guesser("192.0.2.7", Some("127.0.0.1")), "only a proxy here is believed");
        assert!(!guesser("127.0.0.1", Some("nonsense")).is_here());
        let network = guesser("2001:db8:1:2::1", None);
        assert_eq!(network, guesser("2001:db8:1:2:ffff::9", None));
    }

    #[test]
    fn the_table_has_an_end() {
        let lockout = Lockout::default();
        for i in 0..MOST as u32 + 50 {
            lockout.record_attempt(guesser(&format!("10.{}.{}.1", i / 256, i % 256), None));
        }
        assert_eq!(lockout.failed().len(), MOST);
    }
}
