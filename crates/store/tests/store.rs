//! The store's promises, held on SQLite and on PostgreSQL alike.

#![allow(clippy::unwrap_used)]

mod postgres;

use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};

use store::{Change, Commit, Place, Store, StoreError, backup, restore};

static NUMBER: AtomicUsize = AtomicUsize::new(0);

/// A folder of its own for each test, removed when the test is over.
struct Folder(PathBuf);

impl Folder {
    fn new() -> Folder {
        let number = NUMBER.fetch_add(1, Ordering::Relaxed);
        // Characters that mean something in an address must not in a name.
        let path = std::env::temp_dir().join(format!("tubewright store?{}#%41 {number}", std::process::id()));
        std::fs::create_dir_all(&path).unwrap();
        Folder(path)
    }

    fn file(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn run(test: impl Future<Output = ()>) {
    tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap().block_on(test);
}

macro_rules! on_both {
    ($($name:ident),* $(,)?) => {
        mod on_sqlite {
            $(#[test]
            fn $name() {
                let folder = super::Folder::new();
                super::run(super::$name(store::Place::File(folder.file("shop.sqlite"))));
            })*
        }
        mod on_postgres {
            $(#[test]
            fn $name() {
                super::run(super::$name(store::Place::Postgres(super::postgres::fresh_database())));
            })*
        }
    };
}

on_both!(
    a_job_is_kept_with_its_documents,
    of_two_writers_of_one_version_one_wins,
    many_writers_lose_nothing,
    undo_and_redo_go_back_and_forth,
    an_earlier_revision_comes_back_as_a_new_one,
    a_booking_takes_and_leaves_all_or_nothing,
    two_bookings_of_one_thing,
    texts_of_the_shop_are_locked_by_version,
    a_backup_is_the_same_shop,
    opening_again_changes_nothing,
);

fn put(name: &str, text: &str) -> Change {
    Change::Put(name.into(), text.as_bytes().to_vec())
}

async fn new_job(store: &Store, text: &str) -> store::Job {
    store.create("header", vec![("job.toml".into(), text.into())], "New job").await.unwrap()
}

async fn text(store: &Store, job: &store::Job, name: &str) -> Option<String> {
    let documents = store.documents(&job.head.id).await.unwrap();
    let hash = documents.get(name)?;
    Some(String::from_utf8(store.content(hash).await.unwrap()).unwrap())
}

async fn change(store: &Store, job: &store::Job, label: &str, changes: Vec<Change>) -> store::Job {
    store.commit(&job.id, Commit { version: job.version, label, changes }).await.unwrap()
}

async fn a_job_is_kept_with_its_documents(place: Place) {
    let store = Store::open(&place).await.unwrap();
    let bytes: Vec<u8> = (0..=255).collect();
    let documents = [("job.toml".to_string(), "format = 1".into()), ("scan.stl".to_string(), bytes.clone())];
    let job = store.create("Kopf \u{fc}ber \u{4e2d}", documents.to_vec(), "New job").await.unwrap();
    assert_eq!((job.version, job.archived, job.head.number), (1, false, 1));
    assert_eq!(store.job(&job.id).await.unwrap(), job);
    let kept = store.documents(&job.head.id).await.unwrap();
    assert_eq!(store.content(&kept["scan.stl"]).await.unwrap(), bytes);
    assert_eq!(kept["job.toml"], store::hash_of(b"format = 1"));
    let renamed = store.describe(&job.id, 1, Some("other"), None).await.unwrap();
    assert_eq!((renamed.name.as_str(), renamed.version), ("other", 2));
    store.describe(&job.id, 2, None, Some(true)).await.unwrap();
    assert!(store.jobs(false).await.unwrap().is_empty());
    assert_eq!(store.jobs(true).await.unwrap()[0].name, "other");
    assert!(matches!(store.job("none").await, Err(StoreError::Missing(_))));
    assert!(matches!(store.content("none").await, Err(StoreError::Missing(_))));
    assert_eq!(store.check().await.unwrap(), Vec::<String>::new());
}

async fn of_two_writers_of_one_version_one_wins(place: Place) {
    let store = Store::open(&place).await.unwrap();
    let job = new_job(&store, "0").await;
    let both = ["left", "right"].map(|who| {
        let (store, id) = (store.clone(), job.id.clone());
        tokio::spawn(async move {
            store.commit(&id, Commit { version: 1, label: who, changes: vec![put("job.toml", who)] }).await
        })
    });
    let mut won = Vec::new();
    let mut lost = Vec::new();
    for one in both {
        match one.await.unwrap() {
            Ok(job) => won.push(job),
            Err(StoreError::Conflict { version, last }) => lost.push((version, last)),
            Err(other) => panic!("{other}"),
        }
    }
    assert_eq!((won.len(), lost.len()), (1, 1));
    // The loser is told what the job is at: what the winner did.
    assert_eq!((lost[0].0, &lost[0].1.label), (2, &won[0].head.label));
    assert_eq!(text(&store, &won[0], "job.toml").await.unwrap(), won[0].head.label);
    assert_eq!(store.revisions(&job.id).await.unwrap().len(), 2);
}

async fn many_writers_lose_nothing(place: Place) {
    let store = Store::open(&place).await.unwrap();
    let job = new_job(&store, "").await;
    let writers: Vec<_> = (0..6)
        .map(|who| {
            let (store, id) = (store.clone(), job.id.clone());
            tokio::spawn(async move {
                for turn in 0..5 {
                    loop {
                        let now = store.job(&id).await.unwrap();
                        let so_far = text(&store, &now, "job.toml").await.unwrap();
                        let more = format!("{so_far}{who}.{turn} ");
                        let commit =
                            Commit { version: now.version, label: "add", changes: vec![put("job.toml", &more)] };
                        match store.commit(&id, commit).await {
                            Ok(_) => break,
                            Err(StoreError::Conflict { .. }) => {}
                            Err(other) => panic!("{other}"),
                        }
                    }
                }
            })
        })
        .collect();
    for writer in writers {
        writer.await.unwrap();
    }
    let job = store.job(&job.id).await.unwrap();
    let all = text(&store, &job, "job.toml").await.unwrap();
    let mut words: Vec<&str> = all.split_whitespace().collect();
    words.sort_unstable();
    words.dedup();
    assert_eq!((words.len(), job.version, job.head.number), (30, 31, 31));
}

async fn undo_and_redo_go_back_and_forth(place: Place) {
    let store = Store::open(&place).await.unwrap();
    let first = new_job(&store, "one").await;
    let second = change(&store, &first, "Two", vec![put("job.toml", "two"), put("routes.toml", "r")]).await;
    let third =
        change(&store, &second, "Three", vec![put("job.toml", "three"), Change::Drop("routes.toml".into())]).await;
    assert_eq!(text(&store, &third, "routes.toml").await, None);
    let back = store.undo(&third.id, third.version).await.unwrap();
    assert_eq!((back.version, back.redo_label.as_deref()), (4, Some("Three")));
    assert_eq!(text(&store, &back, "job.toml").await.as_deref(), Some("two"));
    assert_eq!(text(&store, &back, "routes.toml").await.as_deref(), Some("r"));
    let back = store.undo(&back.id, back.version).await.unwrap();
    assert_eq!(text(&store, &back, "job.toml").await.as_deref(), Some("one"));
    assert!(matches!(store.undo(&back.id, back.version).await, Err(StoreError::Refused(_))));
    assert!(matches!(store.undo(&back.id, 1).await, Err(StoreError::Conflict { version: 5, .. })));
    let forth = store.redo(&back.id, back.version).await.unwrap();
    let forth = store.redo(&forth.id, forth.version).await.unwrap();
    assert_eq!(text(&store, &forth, "job.toml").await.as_deref(), Some("three"));
    assert!(matches!(store.redo(&forth.id, forth.version).await, Err(StoreError::Refused(_))));
    // A change after an undo leaves the undone revision in the history, and nothing to redo.
    let back = store.undo(&forth.id, forth.version).await.unwrap();
    let other = change(&store, &back, "Other", vec![put("job.toml", "other")]).await;
    assert_eq!((other.redo_label.as_deref(), other.head.number), (None, 4));
    assert_eq!(store.revisions(&other.id).await.unwrap().len(), 4);
}

async fn an_earlier_revision_comes_back_as_a_new_one(place: Place) {
    let store = Store::open(&place).await.unwrap();
    let first = new_job(&store, "one").await;
    let second = change(&store, &first, "Two", vec![put("job.toml", "two")]).await;
    store.name_revision(&first.id, &first.head.id, "as measured").await.unwrap();
    let again = store.go_back(&first.id, second.version, &first.head.id).await.unwrap();
    assert_eq!(again.head.label, "Go back to as measured");
    assert_eq!(again.head.parent.as_deref(), Some(second.head.id.as_str()));
    assert_eq!(text(&store, &again, "job.toml").await.as_deref(), Some("one"));
    let undone = store.undo(&again.id, again.version).await.unwrap();
    assert_eq!(text(&store, &undone, "job.toml").await.as_deref(), Some("two"));
    // A revision of another job is none of this one's.
    let other = new_job(&store, "x").await;
    let wrong = store.go_back(&first.id, undone.version, &other.head.id).await;
    assert!(matches!(wrong, Err(StoreError::Missing(_))));
    assert!(matches!(store.name_revision(&first.id, &other.head.id, "y").await, Err(StoreError::Missing(_))));
}

async fn labels(store: &Store) -> Vec<String> {
    let mut labels: Vec<String> = store.shelf().await.unwrap().into_iter().map(|i| i.label).collect();
    labels.sort();
    labels
}

async fn a_booking_takes_and_leaves_all_or_nothing(place: Place) {
    let store = Store::open(&place).await.unwrap();
    let job = new_job(&store, "x").await;
    let a = store.put_on_shelf("a", "{}", 1).await.unwrap().remove(0);
    let b = store.put_on_shelf("b", "{}", 1).await.unwrap().remove(0);
    let leaves = [("c".to_string(), "{}".to_string())];
    let nothing = store.book(&job.id, "plan", &[a.id.clone(), "none".into()], &leaves).await;
    assert!(matches!(nothing, Err(StoreError::Refused(_))));
    assert_eq!(labels(&store).await, ["a", "b"]);
    let booking = store.book(&job.id, "plan", std::slice::from_ref(&a.id), &leaves).await.unwrap();
    assert_eq!(labels(&store).await, ["b", "c"]);
    assert_eq!(store.booking_of(&job.id, "plan").await.unwrap(), Some(booking.clone()));
    assert!(matches!(store.book(&job.id, "plan", &[], &[]).await, Err(StoreError::Refused(_))));
    // What it took can't be thrown away; what it left can be used by the next one, and then it can't be undone.
    assert!(matches!(store.throw_away(&a.id).await, Err(StoreError::Missing(_))));
    let c = store.shelf().await.unwrap().into_iter().find(|i| i.label == "c").unwrap();
    assert_eq!(c.from_booking.as_deref(), Some(booking.id.as_str()));
    let next = store.book(&job.id, "next", &[c.id, b.id], &[]).await.unwrap();
    assert!(matches!(store.unbook(&booking.id).await, Err(StoreError::Refused(why)) if why.contains('c')));
    assert_eq!(labels(&store).await, Vec::<String>::new());
    store.unbook(&next.id).await.unwrap();
    store.unbook(&booking.id).await.unwrap();
    assert_eq!(labels(&store).await, ["a", "b"]);
    assert!(store.bookings(&job.id).await.unwrap().is_empty());
    assert!(matches!(store.unbook(&booking.id).await, Err(StoreError::Missing(_))));
}

async fn two_bookings_of_one_thing(place: Place) {
    let store = Store::open(&place).await.unwrap();
    let job = new_job(&store, "x").await;
    for round in 0..10 {
        let thing = store.put_on_shelf("bend", "{}", 1).await.unwrap().remove(0);
        let both = ["left", "right"].map(|plan| {
            let (store, job, thing) = (store.clone(), job.id.clone(), thing.id.clone());
            tokio::spawn(async move { store.book(&job, &format!("{plan} {round}"), &[thing], &[]).await })
        });
        let mut won = 0;
        for one in both {
            won += usize::from(one.await.unwrap().is_ok());
        }
        assert_eq!(won, 1);
    }
    assert_eq!(store.bookings(&job.id).await.unwrap().len(), 10);
}

async fn texts_of_the_shop_are_locked_by_version(place: Place) {
    let store = Store::open(&place).await.unwrap();
    assert_eq!(store.kept("stock.toml").await.unwrap(), None);
    assert!(store.keep_at("stock.toml", 0, "one").await.unwrap());
    assert!(!store.keep_at("stock.toml", 0, "two").await.unwrap());
    assert!(store.keep_at("stock.toml", 1, "two").await.unwrap());
    assert!(!store.keep_at("stock.toml", 1, "three").await.unwrap());
    let kept = store.kept("stock.toml").await.unwrap().unwrap();
    assert_eq!((kept.text.as_str(), kept.version), ("two", 2));
    store.set_note("owner", "saw", "[1]").await.unwrap();
    store.set_note("owner", "saw", "[1,2]").await.unwrap();
    assert_eq!(store.note("owner", "saw").await.unwrap().as_deref(), Some("[1,2]"));
    assert_eq!(store.note("other", "saw").await.unwrap(), None);
}

async fn a_backup_is_the_same_shop(place: Place) {
    let folder = Folder::new();
    let store = Store::open(&place).await.unwrap();
    let first = new_job(&store, "one").await;
    let second = change(&store, &first, "Two", vec![put("job.toml", "two")]).await;
    let back = store.undo(&second.id, second.version).await.unwrap();
    let thing = store.put_on_shelf("a", "{}", 1).await.unwrap().remove(0);
    store.book(&back.id, "plan", &[thing.id], &[("b".into(), "{}".into())]).await.unwrap();
    store.keep(&[("stock.toml", "format = 1")]).await.unwrap();
    store.set_note(&back.head.id, "card", "{}").await.unwrap();
    let file = folder.file("copy.sqlite");
    backup(&place, &file).await.unwrap();
    assert!(matches!(backup(&place, &file).await, Err(StoreError::Refused(_))));
    // Back into a fresh store of either kind.
    for target in [Place::File(folder.file("new/shop.sqlite")), Place::Postgres(postgres::fresh_database())] {
        restore(&target, &file).await.unwrap();
        let again = Store::open(&target).await.unwrap();
        assert_eq!(again.job(&back.id).await.unwrap(), back);
        assert_eq!(again.revisions(&back.id).await.unwrap(), store.revisions(&back.id).await.unwrap());
        assert_eq!(labels(&again).await, ["b"]);
        let forth = again.redo(&back.id, back.version).await.unwrap();
        assert_eq!(text(&again, &forth, "job.toml").await.as_deref(), Some("two"));
        assert_eq!(again.kept("stock.toml").await.unwrap(), store.kept("stock.toml").await.unwrap());
        assert_eq!(again.note(&back.head.id, "card").await.unwrap().as_deref(), Some("{}"));
        assert_eq!(again.check().await.unwrap(), Vec::<String>::new());
        let booking = again.booking_of(&back.id, "plan").await.unwrap().unwrap();
        again.unbook(&booking.id).await.unwrap();
        assert_eq!(labels(&again).await, ["a"]);
        // A store that holds something is not written over.
        assert!(matches!(restore(&target, &file).await, Err(StoreError::Refused(_))));
    }
}

async fn opening_again_changes_nothing(place: Place) {
    let store = Store::open(&place).await.unwrap();
    let job = new_job(&store, "x").await;
    let others = [0, 1, 2].map(|_| {
        let place = place.clone();
        tokio::spawn(async move { Store::open(&place).await.map(drop) })
    });
    for other in others {
        other.await.unwrap().unwrap();
    }
    store.close().await;
    assert_eq!(Store::open(&place).await.unwrap().job(&job.id).await.unwrap(), job);
}

#[test]
fn a_damaged_copy_is_not_restored() {
    let folder = Folder::new();
    let (place, file) = (Place::File(folder.file("shop.sqlite")), folder.file("copy.sqlite"));
    run(async {
        let store = Store::open(&place).await.unwrap();
        new_job(&store, &"a line of text that is easy to find\n".repeat(200)).await;
        backup(&place, &file).await.unwrap();
        let mut bytes = std::fs::read(&file).unwrap();
        let at = bytes.windows(11).rposition(|w| w == b"easy to fin").unwrap();
        bytes[at] = b'E';
        std::fs::write(&file, &bytes).unwrap();
        let target = Place::File(folder.file("new.sqlite"));
        let refused = restore(&target, &file).await;
        assert!(
            matches!(&refused, Err(StoreError::Refused(why)) if why.contains("not what was written")),
            "{refused:?}"
        );
        std::fs::write(&file, b"no database at all").unwrap();
        assert!(restore(&target, &file).await.is_err());
    });
}

#[test]
fn a_store_of_a_newer_program_is_left_alone() {
    let folder = Folder::new();
    let place = Place::File(folder.file("shop.sqlite"));
    run(async {
        Store::open(&place).await.unwrap().close().await;
        let url = format!("sqlite://{}", folder.file("shop.sqlite").display()).replace('%', "%25");
        let url = url.replace('?', "%3F").replace('#', "%23").replace(' ', "%20");
        let pool = sqlx::AnyPool::connect(&url).await.unwrap();
        sqlx::query("INSERT INTO migrations (number) VALUES (99)").execute(&pool).await.unwrap();
        pool.close().await;
        let opened = Store::open(&place).await;
        assert!(matches!(opened, Err(StoreError::Refused(why)) if why.contains("newer program")));
    });
}
