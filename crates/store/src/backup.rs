//! A second copy of everything: written while others work, and put back into an empty store.

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

/// Name of the owner's password among the shop's texts: the one text that does not make a store a used one.
const PASSWORD: &str = "password";

/// Longest copy.
const LONGEST_COPY: Duration = Duration::from_secs(24 * 3600);

const CONTENTS: TableSpec = TableSpec { name: "contents", key: &["hash"], columns: &["hash", "bytes"] };
const DOCUMENTS: TableSpec =
    TableSpec { name: "documents", key: &["revision", "name"], columns: &["revision", "name", "hash"] };

/// The tables in an order in which they may be filled, each with the order of its rows. A revision comes after its
/// parent, which has a smaller number; times say nothing, for a clock may step back.
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

/// Writes a whole copy of the store into a new file of SQLite that only its owner may read, while others may go on
/// working; the copy is checked.
///
/// # Errors
/// [`StoreError`]; an existing file is not touched.
pub async fn backup(location: &Location, file: &Path) -> Result<(), StoreError> {
    if file.exists() {
        return Err(StoreError::Refused(format!("{} is already there: name a new file", file.display())));
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
    // Without the log of a store that is worked in: one file, nothing beside it.
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

/// Gives a finished draft its name, so that it survives a power cut.
fn settle(draft: &Path, file: &Path) -> Result<(), StoreError> {
    let wrong = |e: std::io::Error| StoreError::of_io(file, &e);
    private_files::open_file(draft).and_then(|f| f.sync_all()).map_err(wrong)?;
    std::fs::rename(draft, file).map_err(wrong)?;
    let folder = file.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."));
    private_files::flush_folder(folder).map_err(wrong)
}

/// Removes a file of SQLite and what lies beside it.
fn remove(file: &Path) {
    for ending in ["", "-wal", "-shm", "-journal", ".lock", ".sum"] {
        // What is missing need not be removed; what can't be is reported by the next to write it.
        let _ = std::fs::remove_file(with_ending(file, ending));
    }
}

/// Fills the store at `location` from a copy that [`backup`] wrote, all or nothing. The store must hold nothing but a
/// password, which stays.
///
/// # Errors
/// [`StoreError`]; the copy is only read.
pub async fn restore(location: &Location, file: &Path) -> Result<(), StoreError> {
    if !file.is_file() {
        return Err(StoreError::Refused(format!("there is no {}", file.display())));
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

/// Copies every row of one moment into `to`, in one transaction. With `empty`, `to` must hold nothing but a password.
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

/// Whether a password is there to be kept.
///
/// # Errors
/// [`StoreError::Refused`] when anything else is there.
async fn is_empty(tx: &mut AnyConnection) -> Result<bool, StoreError> {
    for (what, count) in [
        ("jobs", "SELECT COUNT(*) FROM jobs"),
        ("things on the shelf", "SELECT COUNT(*) FROM shelf"),
        ("texts of the shop's", "SELECT COUNT(*) FROM kept WHERE name <> 'password'"),
    ] {
        let count: i64 = sqlx::query_scalar(count).fetch_one(&mut *tx).await?;
        if count > 0 {
            let why = format!("the store holds {what} already ({count}): restore into an empty one");
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

/// Content by content: a scan may have 100 MB.
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
