//! A private PostgreSQL for the tests of one process: made in a folder of its own, gone when the process ends.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::LazyLock;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Folders that Debian keeps the programs in.
const DEBIAN: &str = "/usr/lib/postgresql";

static SERVER: LazyLock<Server> = LazyLock::new(Server::start);

struct Server {
    socket: PathBuf,
    databases: AtomicUsize,
    // Its standard input is a pipe that closes with this process, however it ends: the server is stopped then.
    _watch: std::process::Child,
}

/// Connection string of a database that no other test uses.
pub fn fresh_database() -> String {
    let name = format!("test{}", SERVER.databases.fetch_add(1, Ordering::Relaxed));
    let socket = SERVER.socket.display().to_string();
    let made = Command::new(program("createdb")).args(["-h", &socket, "-U", "tester", &name]).status();
    assert!(made.is_ok_and(|s| s.success()), "the database {name} was not made");
    format!("postgres://tester@localhost/{name}?host={}", socket.replace('/', "%2F"))
}

/// A program of PostgreSQL.
fn program(name: &str) -> PathBuf {
    let mut versions: Vec<PathBuf> =
        std::fs::read_dir(DEBIAN).into_iter().flatten().flatten().map(|e| e.path().join("bin").join(name)).collect();
    versions.retain(|p| p.is_file());
    versions.sort();
    versions.pop().unwrap_or_else(|| name.into())
}

impl Server {
    #[expect(clippy::zombie_processes, reason = "it is to outlive everything but this process")]
    fn start() -> Server {
        let folder = std::env::temp_dir().join(format!("tubewright-postgres-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(&folder).unwrap();
        // PostgreSQL refuses to run as root.
        let root = Command::new("id").arg("-u").output().is_ok_and(|o| o.stdout == b"0\n");
        if root {
            assert!(Command::new("chown").arg("postgres").arg(&folder).status().is_ok_and(|s| s.success()));
        }
        let run_as = if root { "setpriv --reuid postgres --regid postgres --clear-groups --" } else { "exec" };
        let data = folder.join("data");
        let made = shell(
            &format!("{run_as} \"$1\" --pgdata \"$2\" --username tester --auth trust --no-sync >/dev/null"),
            &[&program("initdb"), &data],
        )
        .status();
        assert!(
            made.is_ok_and(|s| s.success()),
            "PostgreSQL is needed for these tests (Debian: apt-get install postgresql; `cargo x test` does it as root)"
        );
        let watch = shell(
            &format!(
                "{run_as} \"$1\" -D \"$2\" -k \"$3\" -c listen_addresses= >\"$3\"/log 2>&1 & server=$!; \
                 cat >/dev/null; kill -INT $server; wait $server; rm -rf \"$3\""
            ),
            &[&program("postgres"), &data, &folder],
        )
        .stdin(Stdio::piped())
        // It outlives the tests by a moment: whoever reads what they print must not wait for it.
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
        let ready = program("pg_isready");
        let is_ready = || Command::new(&ready).arg("-q").arg("-h").arg(&folder).status().is_ok_and(|s| s.success());
        for _ in 0..200 {
            if is_ready() {
                return Server { socket: folder, databases: AtomicUsize::new(0), _watch: watch };
            }
            std::thread::sleep(std::time::Duration::from_millis(100));
        }
        panic!("PostgreSQL did not start: {}", std::fs::read_to_string(folder.join("log")).unwrap_or_default());
    }
}

fn shell(script: &str, arguments: &[&Path]) -> Command {
    let mut command = Command::new("sh");
    command.arg("-c").arg(script).arg("sh").args(arguments);
    command
}
