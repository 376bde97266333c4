//! Contents of documents, each stored once under its SHA-256.

use sqlx::{AnyConnection, Row as _};

use crate::database::Store;
use crate::error::{Failure, RESTORE, StoreError};
use crate::hash::{Hash, hash_of};

/// A new id that nobody can guess and that fits in a URL: 16 characters of a 32-character alphabet, 80 bits.
pub(crate) fn new_id() -> String {
    let mut bytes = [0_u8; 16];
    getrandom::fill(&mut bytes).expect("the system provides random numbers");
    bytes.iter().map(|b| char::from(b"0123456789abcdefghjkmnpqrstvwxyz"[usize::from(b & 31)])).collect()
}

/// Keeps a document's text, once for all documents that hold it.
pub(crate) async fn keep(tx: &mut AnyConnection, bytes: &[u8]) -> Result<Hash, StoreError> {
    let hash = hash_of(bytes);
    sqlx::query("INSERT INTO contents (hash, bytes) VALUES ($1, $2) ON CONFLICT DO NOTHING")
        .bind(&hash)
        .bind(bytes)
        .execute(&mut *tx)
        .await?;
    Ok(hash)
}

impl Store {
    /// The content with this hash, verified.
    ///
    /// # Errors
    /// [`StoreError::Missing`]; [`StoreError::Unavailable`] when it is damaged.
    pub async fn content(&self, hash: &str) -> Result<Vec<u8>, StoreError> {
        let found = self.row(sqlx::query("SELECT bytes FROM contents WHERE hash = $1").bind(hash)).await?;
        self.verified(hash, found.ok_or(StoreError::Missing("such content"))?.try_get(0)?)
    }

    /// The bytes of a content, when they still have its hash.
    pub(crate) fn verified(&self, hash: &str, bytes: Vec<u8>) -> Result<Vec<u8>, StoreError> {
        if hash_of(&bytes) == hash {
            return Ok(bytes);
        }
        let message = format!("{} is damaged: content {hash} has changed; {RESTORE}", self.location_name());
        Err(StoreError::unavailable(Failure::Damaged, message))
    }
}
