//! What belongs to the shop and not to a job, and notes beside a revision that are no part of it.

use sqlx::Row as _;

use crate::database::Store;
use crate::error::StoreError;

/// A text of the shop's.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    /// What it says.
    pub text: String,
    /// Rises with every change, from 1.
    pub version: i64,
}

impl Store {
    /// A text of the shop's; `None`: never written.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn kept(&self, name: &str) -> Result<Option<Kept>, StoreError> {
        let row = sqlx::query("SELECT text, version FROM kept WHERE name = $1").bind(name);
        let row = row.fetch_optional(&self.pool).await?;
        row.map(|row| Ok(Kept { text: row.try_get("text")?, version: row.try_get("version")? })).transpose()
    }

    /// Writes a text of the shop's that is still at `version` (0: never written); `false` when it is not.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn keep_at(&self, name: &str, version: i64, text: &str) -> Result<bool, StoreError> {
        let done = if version == 0 {
            sqlx::query("INSERT INTO kept (name, text, version) VALUES ($1, $2, $3 + 1) ON CONFLICT DO NOTHING")
        } else {
            sqlx::query("UPDATE kept SET text = $2, version = version + 1 WHERE name = $1 AND version = $3")
        };
        let done = done.bind(name).bind(text).bind(version).execute(&self.pool).await?;
        Ok(done.rows_affected() == 1)
    }

    /// Writes a text of the shop's, whatever it was.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn keep(&self, name: &str, text: &str) -> Result<(), StoreError> {
        sqlx::query(
            "INSERT INTO kept (name, text, version) VALUES ($1, $2, 1) \
             ON CONFLICT (name) DO UPDATE SET text = excluded.text, version = kept.version + 1",
        )
        .bind(name)
        .bind(text)
        .execute(&self.pool)
        .await?;
        Ok(())
    }

    /// A note of `owner`, such as a revision or a job and a plan.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn note(&self, owner: &str, name: &str) -> Result<Option<String>, StoreError> {
        let text = sqlx::query_scalar("SELECT text FROM notes WHERE owner = $1 AND name = $2").bind(owner).bind(name);
        Ok(text.fetch_optional(&self.pool).await?)
    }

    /// Writes a note of `owner`.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn set_note(&self, owner: &str, name: &str, text: &str) -> Result<(), StoreError> {
        sqlx::query(
            "INSERT INTO notes (owner, name, text) VALUES ($1, $2, $3) \
             ON CONFLICT (owner, name) DO UPDATE SET text = excluded.text",
        )
        .bind(owner)
        .bind(name)
        .bind(text)
        .execute(&self.pool)
        .await?;
        Ok(())
    }
}
