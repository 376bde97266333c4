//! Seals: a hash over each row, with which a check finds changed values.
//!
//! Every write of a row seals it before the transaction ends. The seal of a revision covers the list of its documents; their
//! contents are stored under their own hash.

use std::fmt::Write as _;

use sha2::{Digest, Sha256};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row as _};
use tokio_stream::StreamExt as _;

/// A table and its columns.
#[derive(Debug)]
pub(crate) struct TableSpec {
    /// Name of the table.
    pub name: &'static str,
    /// Key columns, all text.
    pub key: &'static [&'static str],
    /// Every column but the seal.
    pub columns: &'static [&'static str],
}

pub(crate) const JOBS: TableSpec =
    TableSpec { name: "jobs", key: &["id"], columns: &["id", "name", "head", "version", "archived", "updated"] };
pub(crate) const REVISIONS: TableSpec = TableSpec {
    name: "revisions",
    key: &["id"],
    columns: &["id", "job", "parent", "number", "label", "name", "made", "redo"],
};
pub(crate) const NOTES: TableSpec =
    TableSpec { name: "notes", key: &["owner", "name"], columns: &["owner", "name", "text"] };
pub(crate) const KEPT: TableSpec = TableSpec { name: "kept", key: &["name"], columns: &["name", "text", "version"] };
pub(crate) const BOOKINGS: TableSpec =
    TableSpec { name: "bookings", key: &["id"], columns: &["id", "job", "plan", "made"] };
pub(crate) const SHELF: TableSpec =
    TableSpec { name: "shelf", key: &["id"], columns: &["id", "label", "what", "made", "from_booking", "taken_by"] };

/// Every table with seals.
pub(crate) const SEALED: [&TableSpec; 6] = [&JOBS, &REVISIONS, &NOTES, &KEPT, &BOOKINGS, &SHELF];

/// Rows read at a time by a check.
const PAGE: i64 = 500;

/// Columns that are numbers.
const NUMBERS: [&str; 5] = ["version", "archived", "updated", "number", "made"];

/// Whether a column is a number; all others but contents are texts.
pub(crate) fn is_number(column: &str) -> bool {
    NUMBERS.contains(&column)
}

impl TableSpec {
    fn matches_key(&self) -> String {
        let pairs: Vec<String> =
            self.key.iter().enumerate().map(|(k, column)| format!("{column} = ${}", k + 1)).collect();
        pairs.join(" AND ")
    }

    /// The key of a row.
    fn key_of(&self, row: &AnyRow) -> Vec<String> {
        self.key.iter().map(|column| row.try_get::<String, _>(*column).unwrap_or_default()).collect()
    }
}

/// Seals the row with this key, if any.
pub(crate) async fn seal(tx: &mut AnyConnection, table: &TableSpec, key: &[&str]) -> Result<(), sqlx::Error> {
    let select = format!("SELECT {} FROM {} WHERE {}", table.columns.join(", "), table.name, table.matches_key());
    let query = key.iter().fold(sqlx::query(&select), |query, value| query.bind(*value));
    let Some(row) = query.fetch_optional(&mut *tx).await? else { return Ok(()) };
    let documents = documents_of(tx, table, &row).await?;
    let seal = seal_of(table, &row, &documents)?;
    let update = format!("UPDATE {} SET seal = ${} WHERE {}", table.name, table.key.len() + 1, table.matches_key());
    let query = key.iter().fold(sqlx::query(&update), |query, value| query.bind(*value));
    query.bind(seal).execute(tx).await?;
    Ok(())
}

/// Seals every row: for stores written before there were seals.
pub(crate) async fn seal_all(tx: &mut AnyConnection) -> Result<(), sqlx::Error> {
    for table in SEALED {
        let keys = format!("SELECT {} FROM {}", table.key.join(", "), table.name);
        for row in sqlx::query(&keys).fetch_all(&mut *tx).await? {
            let key = table.key_of(&row);
            let key: Vec<&str> = key.iter().map(String::as_str).collect();
            seal(tx, table, &key).await?;
        }
    }
    Ok(())
}

/// The damaged rows of a table, in words; every seal is recomputed.
pub(crate) async fn broken(
    connection: &mut AnyConnection,
    table: &TableSpec,
    most: usize,
) -> Result<Vec<String>, sqlx::Error> {
    let mut broken = Vec::new();
    // Page by page: an old shop has many rows, and a revision's documents are read between them.
    let key = table.key.join(", ");
    let mut after: Option<Vec<String>> = None;
    // A damaged index may loop.
    let count: i64 =
        sqlx::query_scalar(&format!("SELECT COUNT(*) FROM {}", table.name)).fetch_one(&mut *connection).await?;
    for _ in 0..=count / PAGE {
        let marks: Vec<String> = (1..=table.key.len()).map(|k| format!("${k}")).collect();
        let from = if after.is_some() { format!("WHERE ({key}) > ({})", marks.join(", ")) } else { String::new() };
        let select =
            format!("SELECT {}, seal FROM {} {from} ORDER BY {key} LIMIT {PAGE}", table.columns.join(", "), table.name);
        let mut query = sqlx::query(&select);
        for value in after.iter().flatten() {
            query = query.bind(value);
        }
        let rows = query.fetch_all(&mut *connection).await?;
        let Some(last) = rows.last() else { break };
        after = Some(table.key_of(last));
        for row in &rows {
            let documents = documents_of(connection, table, row).await?;
            let written: Option<String> = row.try_get("seal").ok().flatten();
            // A value of the wrong type is damage too.
            if seal_of(table, row, &documents).ok() != written {
                broken.push(format!("{} {}: damaged", table.name, table.key_of(row).join(" ")));
            }
            if broken.len() >= most {
                return Ok(broken);
            }
        }
    }
    Ok(broken)
}

async fn documents_of(
    connection: &mut AnyConnection,
    table: &TableSpec,
    row: &AnyRow,
) -> Result<Vec<(String, String)>, sqlx::Error> {
    let mut documents = Vec::new();
    if table.name == REVISIONS.name {
        let id: String = row.try_get("id").unwrap_or_default();
        let mut rows = sqlx::query("SELECT name, hash FROM documents WHERE revision = $1").bind(id).fetch(connection);
        while let Some(row) = rows.next().await {
            let row = row?;
            documents.push((row.try_get("name")?, row.try_get("hash")?));
        }
        // Sorted here: the two databases order texts differently.
        documents.sort();
    }
    Ok(documents)
}

/// One value of a row.
pub(crate) enum Cell<'a> {
    Text(&'a str),
    Number(i64),
    Nothing,
}

impl<'a> From<Option<&'a str>> for Cell<'a> {
    fn from(text: Option<&'a str>) -> Self {
        text.map_or(Cell::Nothing, Cell::Text)
    }
}

fn seal_of(table: &TableSpec, row: &AnyRow, documents: &[(String, String)]) -> Result<String, sqlx::Error> {
    let mut cells = Vec::with_capacity(table.columns.len());
    for column in table.columns {
        cells.push(if is_number(column) {
            Cell::Number(row.try_get(*column)?)
        } else {
            Cell::from(row.try_get::<Option<&str>, _>(*column)?)
        });
    }
    Ok(seal_of_cells(table, &cells, documents.iter().map(|(name, hash)| (name.as_str(), hash.as_str()))))
}

/// The seal of a row with these values in the order of the table's columns: 128 bits of a SHA-256 over the table, each
/// value with its length, and the documents in the order of their names.
pub(crate) fn seal_of_cells<'a>(
    table: &TableSpec,
    cells: &[Cell<'_>],
    documents: impl Iterator<Item = (&'a str, &'a str)>,
) -> String {
    let mut hash = Sha256::new();
    let mut add = |value: Option<&str>| {
        let length = value.map_or(u64::MAX, |v| v.len() as u64);
        hash.update(length.to_le_bytes());
        hash.update(value.unwrap_or_default());
    };
    add(Some(table.name));
    for cell in cells {
        match cell {
            Cell::Text(text) => add(Some(text)),
            Cell::Number(number) => add(Some(&number.to_string())),
            Cell::Nothing => add(None),
        }
    }
    for (name, content) in documents {
        add(Some(name));
        add(Some(content));
    }
    let mut seal = String::with_capacity(32);
    for byte in hash.finalize().iter().take(16) {
        let _ = write!(seal, "{byte:02x}");
    }
    seal
}
