//! Backup while others work, and restore into an empty store.

use std::path::Path;
use std::time::Duration;

use sqlx::{AnyConnection, Row as _};
use tokio_stream::StreamExt as _;

use crate::connection::{self, close, sqlite_url};
use crate::database::{Store, system_clock};
use crate::error::StoreError;
use crate::location::{Location, with_ending};
use crate::open::connect;
use crate::private_files;
use crate::schema::{self, SEALED_SINCE};
use crate::seals::{BOOKINGS, JOBS, KEPT, NOTES, REVISIONS, SHELF, TableSpec, is_number, seal_all};

/// Name of the password among the shop's texts: the only text that an empty store may have.
const PASSWORD: &str = "password";

/// Longest copy.
const LONGEST_COPY: Duration = Duration::from_secs(24 * 3600);

const CONTENTS: TableSpec = TableSpec { name: "contents", key: &["hash"], columns: &["hash", "bytes"] };
const DOCUMENTS: TableSpec =
    TableSpec { name: "documents", key: &["revision", "name"], columns: &["revision", "name", "hash"] };

/// The tables in the order in which to fill them, each with the order of its rows. A revision comes after its parent, which
/// has a smaller number; times are no guide, since a clock may step back.
const ORDER: [(&TableSpec, &str); 8] = [
    (&CONTENTS, "hash"),
    (&JOBS, "id"),
    (&REVISIONS, "job, number"),
    (&DOCUMENTS, "revision, name"),
    (&NOTES, "owner, name"),
    (&KEPT, "name"),
    (&BOOKINGS, "id"),
    (&SHELF, "id"),
];

/// Writes a complete copy of the store into a new SQLite file that only its owner may read, while others keep working; then
/// checks the copy.
///
/// # Errors
/// [`StoreError`]; an existing file is left unchanged.
pub async fn backup(location: &Location, file: &Path) -> Result<(), StoreError> {
    if file.exists() {
        return Err(StoreError::Refused(format!("{} already exists: name a new file", file.display())));
    }
    let store = Store::open_existing(location).await?;
    let draft = with_ending(file, ".part");
    let made = match fill(&store, &draft).await {
        Ok(()) => settle(&draft, file),
        Err(why) => Err(why),
    };
    store.close().await;
    if made.is_err() {
        remove(&draft);
    }
    made
}

async fn fill(from: &Store, file: &Path) -> Result<(), StoreError> {
    remove(file);
    let location = Location::File(file.to_path_buf());
    // Without the log of a store in use: one file, nothing beside it.
    let copy = connect(&location, connection::options(&location, true)?, from.clock).await?;
    let checked = copied(from, &copy).await;
    copy.close().await;
    match checked?.first() {
        Some(wrong) => Err(StoreError::Refused(format!("the copy is damaged: {wrong}"))),
        None => Ok(()),
    }
}

async fn copied(from: &Store, copy: &Store) -> Result<Vec<String>, StoreError> {
    schema::migrate(copy).await?;
    copy_into(from, copy, false).await?;
    copy.check().await
}

/// Renames a finished draft, so that it survives a power cut.
fn settle(draft: &Path, file: &Path) -> Result<(), StoreError> {
    let wrong = |e: std::io::Error| StoreError::of_io(file, &e);
    private_files::open_file(draft).and_then(|f| f.sync_all()).map_err(wrong)?;
    private_files::replace(draft, file).map_err(wrong)?;
    let folder = file.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."));
    private_files::flush_folder(folder).map_err(wrong)
}

/// Removes a SQLite file and the files beside it.
fn remove(file: &Path) {
    for ending in ["", "-wal", "-shm", "-journal", ".lock", ".sum"] {
        // A missing file needs no removal; one that cannot be removed is reported by the next write.
        let _ = std::fs::remove_file(with_ending(file, ending));
    }
}

/// Fills the store at `location` from a copy that [`backup`] wrote, all or nothing. The store must be empty but for a
/// password, which stays.
///
/// # Errors
/// [`StoreError`]; the copy is left unchanged.
pub async fn restore(location: &Location, file: &Path) -> Result<(), StoreError> {
    if !file.is_file() {
        return Err(StoreError::Refused(format!("{} not found", file.display())));
    }
    let copy = connect(&Location::File(file.to_path_buf()), sqlite_url(file, "ro")?.parse()?, system_clock).await?;
    let new = matches!(location, Location::File(target) if !target.exists());
    let filled = from_copy(&copy, location, file).await;
    copy.close().await;
    if let (true, Err(_), Location::File(target)) = (new, &filled, location) {
        remove(target);
    }
    filled
}

async fn from_copy(copy: &Store, location: &Location, file: &Path) -> Result<(), StoreError> {
    let name = file.display();
    let form = match schema::form(copy).await {
        Err(StoreError::Refused(why)) => return Err(StoreError::Refused(format!("{name}: {why}"))),
        form => form?,
    };
    if form == 0 {
        return Err(StoreError::Refused(format!("{name} is not a backup of a store")));
    }
    if let Some(wrong) = copy.check().await?.first() {
        return Err(StoreError::Refused(format!("the copy {name} is damaged: {wrong}")));
    }
    let store = Store::open(location).await?;
    let filled = copy_into(copy, &store, true).await;
    store.close().await;
    filled
}

/// Copies every row of one moment into `to`, in one transaction. With `empty`, `to` must be empty but for a password.
async fn copy_into(from: &Store, to: &Store, empty: bool) -> Result<(), StoreError> {
    let form = schema::form(from).await?;
    let mut reader = from.snapshot().await?;
    let source = from.location.clone();
    to.write_within(LONGEST_COPY, move |tx| {
        Box::pin(async move {
            let keep = if empty { is_empty(tx).await? } else { false };
            for (table, order) in ORDER {
                let columns = columns_of(table, form);
                if table.name == CONTENTS.name {
                    copy_contents(&mut reader, tx).await
                } else {
                    copy_rows(&mut reader, tx, table, &columns, order, keep).await
                }
                .map_err(|why| why.explained(&source))?;
            }
            close(reader).await;
            if form < SEALED_SINCE {
                seal_all(tx).await?;
            }
            Ok(())
        })
    })
    .await
}

fn columns_of(table: &TableSpec, form: usize) -> Vec<&'static str> {
    let mut columns = table.columns.to_vec();
    if form >= SEALED_SINCE && ![CONTENTS.name, DOCUMENTS.name].contains(&table.name) {
        columns.push("seal");
    }
    columns
}

/// Whether there is a password to keep.
///
/// # Errors
/// [`StoreError::Refused`] when there is anything else.
async fn is_empty(tx: &mut AnyConnection) -> Result<bool, StoreError> {
    for (what, count) in [
        ("jobs", "SELECT COUNT(*) FROM jobs"),
        ("items on the shelf", "SELECT COUNT(*) FROM shelf"),
        ("texts of the shop", "SELECT COUNT(*) FROM kept WHERE name <> 'password'"),
    ] {
        let count: i64 = sqlx::query_scalar(count).fetch_one(&mut *tx).await?;
        if count > 0 {
            let why = format!("the store already has {what} ({count}): restore into an empty one");
            return Err(StoreError::Refused(why));
        }
    }
    let passwords: i64 =
        sqlx::query_scalar("SELECT COUNT(*) FROM kept WHERE name = $1").bind(PASSWORD).fetch_one(tx).await?;
    Ok(passwords > 0)
}

fn insert_into(table: &str, columns: &[&str]) -> String {
    let marks: Vec<String> = (1..=columns.len()).map(|i| format!("${i}")).collect();
    format!("INSERT INTO {table} ({}) VALUES ({})", columns.join(", "), marks.join(", "))
}

/// Copies one content at a time: a scan may have 100 MB.
async fn copy_contents(from: &mut AnyConnection, tx: &mut AnyConnection) -> Result<(), StoreError> {
    let insert = insert_into(CONTENTS.name, CONTENTS.columns);
    let hashes: Vec<String> =
        sqlx::query_scalar("SELECT hash FROM contents ORDER BY hash").fetch_all(&mut *from).await?;
    for hash in hashes {
        let bytes: Vec<u8> =
            sqlx::query_scalar("SELECT bytes FROM contents WHERE hash = $1").bind(&hash).fetch_one(&mut *from).await?;
        sqlx::query(&insert).bind(hash).bind(bytes).execute(&mut *tx).await?;
    }
    Ok(())
}

async fn copy_rows(
    from: &mut AnyConnection,
    tx: &mut AnyConnection,
    table: &TableSpec,
    columns: &[&'static str],
    order: &str,
    keep_password: bool,
) -> Result<(), StoreError> {
    let insert = insert_into(table.name, columns);
    let select = format!("SELECT {} FROM {} ORDER BY {order}", columns.join(", "), table.name);
    let mut rows = sqlx::query(&select).fetch(from);
    while let Some(row) = rows.next().await {
        let row = row?;
        if keep_password && table.name == KEPT.name && row.try_get::<String, _>("name")? == PASSWORD {
            continue;
        }
        let mut query = sqlx::query(&insert);
        for column in columns {
            query = if is_number(column) {
                query.bind(row.try_get::<i64, _>(*column)?)
            } else {
                query.bind(row.try_get::<Option<String>, _>(*column)?)
            };
        }
        query.execute(&mut *tx).await?;
    }
    Ok(())
}
