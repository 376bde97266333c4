//! Sign-in: one password, and sessions in memory.

use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use argon2::Argon2;
use argon2::password_hash::{PasswordHash, PasswordHasher as _, PasswordVerifier as _, SaltString};
use sha2::{Digest, Sha256};

use crate::plain_text::is_visible;

/// Lifetime of an idle session.
const LASTS: Duration = Duration::from_secs(12 * 3600);

/// Most sessions at a time; the oldest is dropped first.
const MOST: usize = 200;

/// Shortest password.
pub const SHORTEST: usize = 8;

/// Name of the cookie.
pub const COOKIE: &str = "tubewright_session";

/// Open sessions.
#[derive(Debug, Default)]
pub struct Sessions {
    open: Mutex<BTreeMap<[u8; 32], Instant>>,
}

fn lock<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Sessions {
    /// Starts a session and returns its secret token.
    pub fn begin(&self) -> String {
        let mut bytes = [0_u8; 32];
        getrandom::fill(&mut bytes).expect("the system gives random numbers");
        let token: String = bytes.iter().map(|b| format!("{b:02x}")).collect();
        let mut open = lock(&self.open);
        let now = Instant::now();
        open.retain(|_, seen| now.duration_since(*seen) < LASTS);
        if open.len() >= MOST
            && let Some(oldest) = open.iter().min_by_key(|(_, seen)| **seen).map(|(key, _)| *key)
        {
            open.remove(&oldest);
        }
        open.insert(key(&token), now);
        token
    }

    /// Whether a session is open; extends it.
    pub fn holds(&self, token: &str) -> bool {
        let mut open = lock(&self.open);
        match open.get_mut(&key(token)) {
            Some(seen) if seen.elapsed() < LASTS => {
                *seen = Instant::now();
                true
            }
            _ => false,
        }
    }

    /// Ends a session.
    pub fn end(&self, token: &str) {
        lock(&self.open).remove(&key(token));
    }
}

/// Tokens are stored as hashes: reading this map is not enough to sign in.
fn key(token: &str) -> [u8; 32] {
    Sha256::digest(token).into()
}

/// The hash of a password, to store.
///
/// # Errors
/// When it is too short; blanks and invisible characters do not count.
pub fn hash_password(password: &str) -> Result<String, String> {
    if password.chars().filter(|c| is_visible(*c)).count() < SHORTEST {
        return Err(format!("a password has at least {SHORTEST} characters, not counting blanks"));
    }
    let mut bytes = [0_u8; 16];
    getrandom::fill(&mut bytes).map_err(|e| e.to_string())?;
    let salt = SaltString::encode_b64(&bytes).map_err(|e| e.to_string())?;
    Argon2::default().hash_password(password.as_bytes(), &salt).map(|h| h.to_string()).map_err(|e| e.to_string())
}

/// Whether a password matches a hash.
pub fn is_password(password: &str, hash: &str) -> bool {
    PasswordHash::new(hash).is_ok_and(|h| Argon2::default().verify_password(password.as_bytes(), &h).is_ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_password_is_known_again_and_no_other_is() {
        let hash = hash_password("quiet harbour 7").unwrap();
        assert!(hash.starts_with("$argon2id$"));
        assert!(is_password("quiet harbour 7", &hash));
        assert!(!is_password("quiet harbour 8", &hash) && !is_password("", &hash));
        for weak in ["short", "        ", "a b c d e f g", "\u{200b}\u{200b}\u{200b}\u{200b}\u{200b}\u{200b}\u{200b}1"]
        {
            assert!(hash_password(weak).is_err(), "{weak:?}");
        }
    }

    #[test]
    fn sessions_begin_and_end() {
        let sessions = Sessions::default();
        let token = sessions.begin();
        assert!(sessions.holds(&token) && !sessions.holds("x"));
        sessions.end(&token);
        assert!(!sessions.holds(&token));
    }
}
