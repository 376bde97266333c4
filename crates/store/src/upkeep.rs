//! Upkeep: is everything whole, and a second copy of it.

use std::path::Path;

use sqlx::Row as _;

use crate::contents::hash_of;
use crate::database::{Kind, Place, Store, connect, sqlite_url};
use crate::error::StoreError;
use crate::schema;

/// Tables in the order in which they may be filled, with their columns.
const TABLES: [(&str, &[&str]); 8] = [
    ("contents", &["hash", "bytes"]),
    ("jobs", &["id", "name", "head", "version", "archived", "updated"]),
    ("revisions", &["id", "job", "parent", "number", "label", "name", "made", "redo"]),
    ("documents", &["revision", "name", "hash"]),
    ("notes", &["owner", "name", "text"]),
    ("kept", &["name", "text", "version"]),
    ("bookings", &["id", "job", "plan", "made"]),
    ("shelf", &["id", "label", "what", "made", "from_booking", "taken_by"]),
];

/// Columns that are numbers.
const NUMBERS: [&str; 5] = ["version", "archived", "updated", "number", "made"];

impl Store {
    /// Everything that is not whole, in words; empty when all is well. Every content is read and hashed again.
    ///
    /// # Errors
    /// [`StoreError`] when it can't be looked at.
    pub async fn check(&self) -> Result<Vec<String>, StoreError> {
        let mut wrong = Vec::new();
        if self.kind == Kind::Sqlite {
            let said: Vec<String> = sqlx::query_scalar("PRAGMA integrity_check").fetch_all(&self.pool).await?;
            wrong.extend(said.into_iter().filter(|s| s != "ok").map(|s| format!("SQLite: {s}")));
            let broken = sqlx::query("PRAGMA foreign_key_check").fetch_all(&self.pool).await?;
            wrong.extend(broken.iter().map(|_| "SQLite: a row refers to one that is not there".to_string()));
        }
        let loose =
            "SELECT j.name FROM jobs j LEFT JOIN revisions r ON r.id = j.head AND r.job = j.id WHERE r.id IS NULL";
        let loose: Vec<String> = sqlx::query_scalar(loose).fetch_all(&self.pool).await?;
        wrong.extend(loose.into_iter().map(|name| format!("job {name}: its head is no revision of it")));
        let bare = "SELECT r.id FROM revisions r LEFT JOIN documents d ON d.revision = r.id AND d.name = 'job.toml' \
                    WHERE d.name IS NULL";
        let bare: Vec<String> = sqlx::query_scalar(bare).fetch_all(&self.pool).await?;
        wrong.extend(bare.into_iter().map(|id| format!("revision {id} has no job.toml")));
        let hashes: Vec<String> =
            sqlx::query_scalar("SELECT hash FROM contents ORDER BY hash").fetch_all(&self.pool).await?;
        for hash in hashes {
            if hash_of(&self.content(&hash).await?) != hash {
                wrong.push(format!("content {hash} is not what was written"));
            }
        }
        Ok(wrong)
    }

    /// Copies every row into `to`, a store without any.
    async fn copy_into(&self, to: &Store) -> Result<(), StoreError> {
        let mut from = self.pool.begin().await?;
        if self.kind == Kind::Postgres {
            // One moment of the database, whatever others write meanwhile.
            sqlx::query("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ").execute(&mut *from).await?;
        }
        let mut into = to.write().await?;
        for (table, columns) in TABLES {
            // Content by content: a scan may have 100 MB.
            let key = columns[0];
            let order = if table == "revisions" { "made, number" } else { "1" };
            let rows = if table == "contents" {
                format!("SELECT {key} FROM contents")
            } else {
                format!("SELECT {} FROM {table} ORDER BY {order}", columns.join(", "))
            };
            let marks: Vec<String> = (1..=columns.len()).map(|i| format!("${i}")).collect();
            let insert = format!("INSERT INTO {table} ({}) VALUES ({})", columns.join(", "), marks.join(", "));
            for row in sqlx::query(&rows).fetch_all(&mut *from).await? {
                let mut query = sqlx::query(&insert);
                for column in columns {
                    query = match *column {
                        "bytes" => {
                            let hash: String = row.try_get("hash")?;
                            let bytes: Vec<u8> = sqlx::query_scalar("SELECT bytes FROM contents WHERE hash = $1")
                                .bind(hash)
                                .fetch_one(&mut *from)
                                .await?;
                            query.bind(bytes)
                        }
                        c if NUMBERS.contains(&c) => query.bind(row.try_get::<i64, _>(c)?),
                        c => query.bind(row.try_get::<Option<String>, _>(c)?),
                    };
                }
                query.execute(&mut *into).await?;
            }
        }
        into.commit().await?;
        Ok(())
    }
}

/// Writes a whole copy of the store into a new file of SQLite, while others may go on working; the copy is checked.
///
/// # Errors
/// [`StoreError`]; an existing file is not touched.
pub async fn backup(place: &Place, file: &Path) -> Result<(), StoreError> {
    if file.exists() {
        return Err(StoreError::Refused(format!("{} is already there: name a new file", file.display())));
    }
    if let Place::File(from) = place
        && !from.is_file()
    {
        return Err(StoreError::Refused(format!("there is no store at {}", from.display())));
    }
    let mut draft = file.as_os_str().to_owned();
    draft.push(".part");
    let draft = std::path::PathBuf::from(draft);
    let store = Store::open(place).await?;
    let made = fill(&store, &draft).await;
    store.close().await;
    if made.is_err() {
        remove(&draft);
        return made;
    }
    std::fs::rename(&draft, file).map_err(|e| StoreError::File(format!("{} cannot be written: {e}", file.display())))
}

async fn fill(from: &Store, file: &Path) -> Result<(), StoreError> {
    remove(file);
    // Without the settings of a store that is worked in: one file, no log beside it.
    let copy = connect(Kind::Sqlite, &sqlite_url(file)?, &[]).await?;
    schema::migrate(&copy).await?;
    let copied = match from.copy_into(&copy).await {
        Ok(()) => copy.check().await,
        Err(error) => Err(error),
    };
    copy.close().await;
    if let Some(wrong) = copied?.first() {
        return Err(StoreError::Refused(format!("the copy is not whole: {wrong}")));
    }
    Ok(())
}

/// Removes a file of SQLite and what lies beside it.
fn remove(file: &Path) {
    for ending in ["", "-wal", "-shm", "-journal"] {
        let mut name = file.as_os_str().to_owned();
        name.push(ending);
        // What is not there need not be removed; what can't be will be told by the next to write it.
        let _ = std::fs::remove_file(name);
    }
}

/// Fills the store at `place`, which must hold nothing, from a copy that [`backup`] wrote.
///
/// # Errors
/// [`StoreError`]; the copy is only read.
pub async fn restore(place: &Place, file: &Path) -> Result<(), StoreError> {
    if !file.is_file() {
        return Err(StoreError::Refused(format!("there is no {}", file.display())));
    }
    let url = sqlite_url(file)?.replace("mode=rwc", "mode=ro");
    let copy = connect(Kind::Sqlite, &url, &[]).await?;
    let filled = from_copy(&copy, place).await;
    copy.close().await;
    filled
}

async fn from_copy(copy: &Store, place: &Place) -> Result<(), StoreError> {
    if let Some(wrong) = copy.check().await?.first() {
        return Err(StoreError::Refused(format!("the copy is not whole: {wrong}")));
    }
    let store = Store::open(place).await?;
    let jobs: i64 = sqlx::query_scalar("SELECT COUNT(*) FROM jobs").fetch_one(&store.pool).await?;
    if jobs > 0 {
        let jobs = format!("the store holds {jobs} jobs already: restore into an empty one");
        return Err(StoreError::Refused(jobs));
    }
    let filled = copy.copy_into(&store).await;
    store.close().await;
    filled
}
