//! Callers who hold connections, stall, or leave; and the end of the server under each.

use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use serde_json::json;
use server::{ServerSettings, hash_password};

use crate::client::{Heard, Shop, path, wait};

/// Longest that a test waits for the server's end, and for a caller to be let in. Far above what either takes.
const LONG: Duration = Duration::from_secs(10);

fn connect(shop: &Shop, says: &[u8]) -> TcpStream {
    let mut stream = TcpStream::connect(shop.address).unwrap();
    stream.write_all(says).unwrap();
    stream.set_read_timeout(Some(LONG)).unwrap();
    stream
}

#[test]
fn idle_connections_keep_nobody_out() {
    let password = Some(hash_password("quiet harbour 7").unwrap());
    let shop = Shop::open_with(ServerSettings {
        address: "127.0.0.1:0".parse().unwrap(),
        password,
        ..ServerSettings::default()
    });
    let answer = shop.call("POST", "/api/session", &json!({"password": "quiet harbour 7"}));
    let session = answer.header("set-cookie").unwrap().split(';').next().unwrap().to_string();
    let request = format!("GET /api/jobs HTTP/1.1\r\nHost: {}\r\nCookie: {session}\r\n\r\n", shop.address);
    let mut person = connect(&shop, request.as_bytes());
    let mut answer = [0; 12];
    person.read_exact(&mut answer).unwrap();
    let idle: Vec<TcpStream> = (0..700).map(|i| connect(&shop, if i % 2 == 0 { b"" } else { b"GET / HT" })).collect();
    // A newcomer is let in, and the person's own connection is still there.
    assert_eq!(shop.get("/api/shop").status, 200);
    let mut rest = vec![0; 4096];
    let _ = person.read(&mut rest).unwrap();
    person.write_all(request.as_bytes()).unwrap();
    person.read_exact(&mut answer).unwrap();
    assert!(answer.starts_with(b"HTTP/1.1 200"));
    // The oldest of the idle ones were closed to make room.
    let closed = |mut stream: &TcpStream| matches!(stream.read(&mut [0; 1]), Ok(0) | Err(_));
    assert!(closed(&idle[0]) && closed(&idle[1]));
}

#[test]
fn the_server_ends_under_callers_who_stall() {
    let shop = Shop::open();
    let job = shop.done("POST", "/api/jobs", &json!({"example": "hill-climb-four"}), 201);
    let half_head = connect(&shop, b"GET /api/jobs HTTP/1.1\r\nHost: 127");
    let upload = format!(
        "POST /api/jobs/import HTTP/1.1\r\nHost: {}\r\nContent-Type: application/zip\r\nContent-Length: 100000\r\n\r\nPK",
        shop.address
    );
    let stalled = connect(&shop, upload.as_bytes());
    let mut heard = Heard::begin(&shop, &format!("{}/searches", path(&job)), &json!({"version": 1, "effort": 200}));
    heard.next("begun");
    let begun = Instant::now();
    let folder = shop.end();
    assert!(begun.elapsed() < LONG, "{:?}", begun.elapsed());
    drop((half_head, stalled));
    // What was acknowledged is there.
    let shop =
        Shop::open_at(folder, ServerSettings { address: "127.0.0.1:0".parse().unwrap(), ..ServerSettings::default() });
    assert_eq!(shop.get(&path(&job)).json()["id"], job["id"]);
}

#[test]
fn cuts_whose_callers_leave_are_not_worked() {
    let shop = Shop::open();
    let job = shop.small();
    let version = job["version"].clone();
    let mut last = String::new();
    for _ in 0..6 {
        let mut heard = Heard::begin(&shop, &format!("{}/cut", path(&job)), &json!({"version": version}));
        last = heard.next("begun")["search"].as_str().unwrap().to_string();
    }
    let stop = format!("{}/searches/{last}/stop", path(&job));
    wait("the last cut ends", || shop.call("POST", &stop, &json!({})).status == 404);
    assert_eq!(shop.get(&path(&job)).json()["version"], version);
}

#[test]
fn the_queue_of_cuts_has_an_end() {
    let shop = Shop::open();
    let job = shop.done("POST", "/api/jobs", &json!({"example": "hill-climb-four"}), 201);
    let request = json!({"version": 1, "effort": 200});
    let search = format!("{}/searches", path(&job));
    let waiting: Vec<Heard> = (0..10)
        .map(|_| {
            let mut heard = Heard::begin(&shop, &search, &request);
            heard.next("begun");
            heard
        })
        .collect();
    let refused = shop.call("POST", &search, &request);
    assert_eq!((refused.status, refused.header("retry-after")), (503, Some("20")));
    // Those that wait hold back no edit.
    shop.done("PATCH", &path(&job), &json!({"version": 1, "name": "renamed"}), 200);
    drop(waiting);
    wait("the queue empties", || {
        let mut stream = Heard::begin(&shop, &search, &json!({"version": 2, "effort": 0}));
        stream.is_begun()
    });
}
