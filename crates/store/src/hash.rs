//! The hash that a document's content is stored under.

use sha2::{Digest, Sha256};

/// SHA-256 in hexadecimal digits.
pub type Hash = String;

/// The hash of some bytes.
pub fn hash_of(bytes: &[u8]) -> Hash {
    Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect()
}
