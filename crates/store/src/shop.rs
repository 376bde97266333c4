//! Texts of the shop, and notes that belong to a revision or plan without being part of it.

use std::collections::BTreeMap;

use sqlx::Row as _;

use crate::database::Store;
use crate::error::StoreError;
use crate::seals::{KEPT, NOTES, seal};

/// A text of the shop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShopText {
    /// The text.
    pub text: String,
    /// Increases with every change, from 1.
    pub version: i64,
}

impl Store {
    /// A text of the shop; `None`: never written.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn shop_text(&self, name: &str) -> Result<Option<ShopText>, StoreError> {
        let row = self.row(sqlx::query("SELECT text, version FROM kept WHERE name = $1").bind(name)).await?;
        row.map(|row| Ok(ShopText { text: row.try_get("text")?, version: row.try_get("version")? })).transpose()
    }

    /// Those of the texts of the shop that were ever written, by name.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn shop_texts(&self, names: [&str; 2]) -> Result<BTreeMap<String, String>, StoreError> {
        let select = sqlx::query("SELECT name, text FROM kept WHERE name IN ($1, $2)").bind(names[0]).bind(names[1]);
        self.rows(select).await?.iter().map(|row| Ok((row.try_get("name")?, row.try_get("text")?))).collect()
    }

    /// Writes a text of the shop that is still at `version` (0: never written); `false` when it is not.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn update_shop_text(&self, name: &str, version: i64, text: &str) -> Result<bool, StoreError> {
        let (name, text) = (name.to_string(), text.to_string());
        let change = if version == 0 {
            "INSERT INTO kept (name, text, version) VALUES ($1, $2, $3 + 1) ON CONFLICT DO NOTHING"
        } else {
            "UPDATE kept SET text = $2, version = version + 1 WHERE name = $1 AND version = $3"
        };
        self.write(move |tx| {
            Box::pin(async move {
                let done = sqlx::query(change).bind(&name).bind(text).bind(version).execute(&mut *tx).await?;
                seal(tx, &KEPT, &[&name]).await?;
                Ok(done.rows_affected() == 1)
            })
        })
        .await
    }

    /// Writes texts of the shop (name and text), whatever their version, all or none.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn put_shop_texts(&self, texts: &[(&str, &str)]) -> Result<(), StoreError> {
        let texts: Vec<(String, String)> = texts.iter().map(|(n, t)| ((*n).to_string(), (*t).to_string())).collect();
        self.write(move |tx| {
            Box::pin(async move {
                for (name, text) in texts {
                    sqlx::query(
                        "INSERT INTO kept (name, text, version) VALUES ($1, $2, 1) \
                         ON CONFLICT (name) DO UPDATE SET text = excluded.text, version = kept.version + 1",
                    )
                    .bind(&name)
                    .bind(text)
                    .execute(&mut *tx)
                    .await?;
                    seal(tx, &KEPT, &[&name]).await?;
                }
                Ok(())
            })
        })
        .await
    }

    /// A note of `owner`, such as a revision or a job and a plan.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn note(&self, owner: &str, name: &str) -> Result<Option<String>, StoreError> {
        let select = sqlx::query("SELECT text FROM notes WHERE owner = $1 AND name = $2").bind(owner).bind(name);
        Ok(self.row(select).await?.map(|row| row.try_get(0)).transpose()?)
    }

    /// Writes a note of `owner`.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn set_note(&self, owner: &str, name: &str, text: &str) -> Result<(), StoreError> {
        let [owner, name, text] = [owner, name, text].map(str::to_string);
        self.write(move |tx| {
            Box::pin(async move {
                sqlx::query(
                    "INSERT INTO notes (owner, name, text) VALUES ($1, $2, $3) \
                     ON CONFLICT (owner, name) DO UPDATE SET text = excluded.text",
                )
                .bind(&owner)
                .bind(&name)
                .bind(text)
                .execute(&mut *tx)
                .await?;
                Ok(seal(tx, &NOTES, &[&owner, &name]).await?)
            })
        })
        .await
    }
}
