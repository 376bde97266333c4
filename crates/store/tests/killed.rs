//! A writer that is killed in the middle, again and again: what it was told is kept is kept, whole.

#![allow(clippy::unwrap_used)]

mod postgres;

use std::io::{BufRead as _, BufReader};
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::Duration;

use store::{Commit, DocumentUpdate, Location, Store};

/// Names the place to the writer.
const PLACE: &str = "TUBEWRIGHT_TEST_WRITER";

fn run<T>(test: impl Future<Output = T>) -> T {
    tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap().block_on(test)
}

fn place_of(text: &str) -> Location {
    if text.starts_with("postgres") { Location::Postgres(text.into()) } else { Location::File(PathBuf::from(text)) }
}

/// Not a test by itself: the process that is killed. It says what has been kept.
#[test]
fn writer() {
    let Ok(place) = std::env::var(PLACE) else { return };
    run(async {
        let store = Store::open(&place_of(&place)).await.unwrap();
        let mut job = match store.jobs(false).await.unwrap().pop() {
            Some(job) => job,
            None => store.create("killed", vec![("job.toml".into(), b"0".to_vec())], "New").await.unwrap(),
        };
        loop {
            let number = job.version;
            // Two documents of one change, one of them long.
            let long = format!("{number}\n").repeat(20_000).into_bytes();
            let changes = vec![
                DocumentUpdate::Put("job.toml".into(), number.to_string().into()),
                DocumentUpdate::Put("routes.toml".into(), long),
            ];
            job = store.commit(&job.id, Commit { version: number, label: &number.to_string(), changes }).await.unwrap();
            println!("kept {number}");
            // Every third change is undone and done again: these are moves of the head too.
            if number % 3 == 0 {
                job = store.undo(&job.id, job.version).await.unwrap();
                job = store.redo(&job.id, job.version).await.unwrap();
            }
        }
    });
}

fn kill_again_and_again(place: &str, times: u64) {
    run(async { Store::open(&place_of(place)).await.unwrap().close().await });
    let mut kept = 0_i64;
    for round in 0..times {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "writer", "--nocapture", "--test-threads", "1"])
            .env(PLACE, place)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let out = BufReader::new(child.stdout.take().unwrap());
        let mut lines = out.lines();
        // From the first thing that is kept on, so that each life brings the job on; then a while that is never the same.
        let first = lines.find_map(|l| l.ok()?.split("kept ").nth(1)?.trim().parse::<i64>().ok());
        std::thread::sleep(Duration::from_micros(round * 7919 % 40_000));
        child.kill().unwrap();
        child.wait().unwrap();
        let said = lines.map_while(Result::ok).filter_map(|l| l.split("kept ").nth(1)?.trim().parse::<i64>().ok());
        kept = kept.max(first.unwrap()).max(said.last().unwrap_or(0));
        run(look(place, kept));
    }
}

/// The store is whole and has what was said to be kept.
async fn look(place: &str, kept: i64) {
    let store = Store::open(&place_of(place)).await.unwrap();
    let job = store.jobs(false).await.unwrap().pop().expect("the job is not lost");
    let documents = store.documents(&job.head.id).await.unwrap();
    let short = String::from_utf8(store.content(&documents["job.toml"]).await.unwrap()).unwrap();
    let number: i64 = short.parse().unwrap();
    if let Some(hash) = documents.get("routes.toml") {
        let long = store.content(hash).await.unwrap();
        assert_eq!(long, format!("{number}\n").repeat(20_000).as_bytes(), "both documents are of one change");
    }
    // The head may stand one back, between an undo and its redo: then the change waits to be done again.
    let undone = job.redo_label.as_deref().and_then(|l| l.parse::<i64>().ok());
    assert!(number.max(undone.unwrap_or(0)) >= kept, "{kept} was kept, the job is at {number}");
    let numbers: Vec<i64> = store.revisions(&job.id).await.unwrap().iter().map(|r| r.number).collect();
    let count = numbers.len() as i64;
    assert_eq!(numbers, (1..=count).rev().collect::<Vec<_>>(), "no revision is missing");
    store.close().await;
}

#[test]
fn a_hundred_kills_of_a_writer_to_sqlite() {
    let folder = std::env::temp_dir().join(format!("tubewright-killed-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let file = folder.join("shop.sqlite");
    kill_again_and_again(file.to_str().unwrap(), 100);
    let whole = run(async { Store::open(&Location::File(file)).await.unwrap().check().await.unwrap() });
    assert_eq!(whole, Vec::<String>::new());
    std::fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn kills_of_a_writer_to_postgres() {
    let place = postgres::fresh_database();
    kill_again_and_again(&place, 25);
    let whole = run(async { Store::open(&place_of(&place)).await.unwrap().check().await.unwrap() });
    assert_eq!(whole, Vec::<String>::new());
}
