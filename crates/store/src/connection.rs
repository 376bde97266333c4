//! One connection: what it is opened with, how it is set up, how it is closed.

use std::path::Path;
use std::time::Duration;

use sqlx::any::{AnyConnectOptions, install_default_drivers};
use sqlx::{AnyConnection, ConnectOptions as _, Connection as _, Executor as _};
use tokio::time::timeout;

use crate::error::{StoreError, no_answer};
use crate::location::{Dialect, Location, postgres_options, with_ending};
use crate::private_files;

/// Longest wait for a connection. A call that finds the database down is answered within 3 s.
pub(crate) const LONGEST_CONNECT: Duration = Duration::from_millis(2500);

/// Settings of each connection to SQLite: a commit is on the disk when it returns, and a lock held by another program is
/// waited for a few seconds. (That readers never wait for a writer is a setting of the file: `open`.)
const SQLITE_SETTINGS: &str = "PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON; PRAGMA busy_timeout = 5000";

/// The driver's options for a location. The file of a SQLite store is created when it is missing and `create`.
pub(crate) fn options(location: &Location, create: bool) -> Result<AnyConnectOptions, StoreError> {
    match location {
        Location::File(file) => {
            prepare_file(file, create)?;
            Ok(sqlite_url(file, "rw")?.parse()?)
        }
        Location::Postgres(url) => match postgres_options(url) {
            Ok((options, _)) => Ok(options),
            Err(why) => Err(StoreError::Refused(format!("the database URL cannot be used: {why}"))),
        },
    }
}

/// Checks that the file of a store exists, and makes it private to its owner.
fn prepare_file(file: &Path, create: bool) -> Result<(), StoreError> {
    let wrong = |what: &Path, e: &std::io::Error| StoreError::of_io(what, e);
    if !file.exists() {
        if !create {
            return Err(StoreError::Refused(format!("there is no store at {}", file.display())));
        }
        if let Some(folder) = file.parent().filter(|f| !f.as_os_str().is_empty()) {
            private_files::create_folder(folder).map_err(|e| wrong(folder, &e))?;
        }
    } else if !file.is_file() {
        return Err(StoreError::Refused(format!("{} is not a file", file.display())));
    }
    private_files::open_file(file).map_err(|e| wrong(file, &e))?;
    for beside in ["-wal", "-shm"].map(|ending| with_ending(file, ending)).iter().filter(|f| f.exists()) {
        private_files::open_file(beside).map_err(|e| wrong(beside, &e))?;
    }
    Ok(())
}

/// The file's URL for sqlx, with every other character escaped; `mode` is SQLite's: `rw`, `ro`.
pub(crate) fn sqlite_url(file: &Path, mode: &str) -> Result<String, StoreError> {
    let text = file.to_str().ok_or_else(|| StoreError::Refused(format!("{} is not UTF-8", file.display())))?;
    let mut url = String::from("sqlite://");
    for byte in text.bytes() {
        match byte {
            b'/' | b'-' | b'_' | b'.' | b'~' => url.push(char::from(byte)),
            b if b.is_ascii_alphanumeric() => url.push(char::from(b)),
            b => url.push_str(&format!("%{b:02X}")),
        }
    }
    url.push_str("?mode=");
    url.push_str(mode);
    Ok(url)
}

/// Opens a connection and sets it up.
pub(crate) async fn connect(location: &Location, options: &AnyConnectOptions) -> Result<AnyConnection, StoreError> {
    install_default_drivers();
    let connected = timeout(LONGEST_CONNECT, async {
        let mut connection = options.connect().await?;
        set_up(&mut connection, location.dialect()).await?;
        Ok(connection)
    });
    match connected.await {
        Ok(connection) => connection.map_err(|e: sqlx::Error| StoreError::from(e).explained(location)),
        Err(_) => Err(no_answer(location)),
    }
}

/// Closes a connection and waits for it, so that the last one leaves no log behind.
pub(crate) async fn close(connection: AnyConnection) {
    // A connection that cannot be closed is already gone.
    let _ = connection.close().await;
}

/// Settings that a connection needs before its first statement.
pub(crate) async fn set_up(connection: &mut AnyConnection, dialect: Dialect) -> Result<(), sqlx::Error> {
    if dialect == Dialect::Sqlite {
        connection.execute(SQLITE_SETTINGS).await?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use sqlx::sqlite::SqliteConnectOptions;

    use super::*;

    #[test]
    fn an_unknown_parameter_is_refused_and_its_value_not_shown() {
        let refused =
            options(&Location::Postgres("postgres://ann@db.lan/shop?pasword=secret".into()), false).unwrap_err();
        assert!(refused.to_string().contains("\"pasword\""), "{refused}");
        assert!(!refused.to_string().contains("secret"), "{refused}");
        for good in ["?sslmode=verify-full&sslrootcert=ca.pem", "?options[search_path]=shop", ""] {
            assert!(options(&Location::Postgres(format!("postgres://ann@db.lan/shop{good}")), false).is_ok(), "{good}");
        }
        for bad in ["mysql://x/y", "postgres://ann@db.lan:99999/shop", "postgres://ann@db.lan/shop?sslmode=maybe"] {
            assert!(options(&Location::Postgres(bad.into()), false).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_path_of_any_system_reaches_sqlite_unchanged() {
        for path in ["/srv/shop data/shöp?.sqlite", r"C:\Users\Ann Lee\shöp.sqlite", r"\\server\share\a#b%20.sqlite"]
        {
            let url = sqlite_url(Path::new(path), "rw").unwrap();
            let any: AnyConnectOptions = url.parse().unwrap();
            let sqlite: SqliteConnectOptions = any.database_url.as_str().parse().unwrap();
            assert_eq!(sqlite.get_filename(), Path::new(path), "{url}");
        }
    }
}
