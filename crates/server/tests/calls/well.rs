//! Callers that leave, names that show nothing, and a server behind a proxy with TLS.

use std::io::Write as _;
use std::net::TcpStream;
use std::time::Duration;

use serde_json::{Value, json};
use server::{ServeError, Server, ServerSettings, hash_password};
use store::{Location, Store};

use crate::client::{SMALL, Shop, path};

fn move_port(job: &Value, x: u32) -> Value {
    let edit = json!({"op": "set", "path": ["port", 0, "at"], "value": [x, 0, 0]});
    json!({"version": job["version"], "label": "Move port", "edits": [edit]})
}

#[test]
fn callers_that_leave_in_the_middle_of_a_write_stop_nobody() {
    let shop = Shop::open();
    let mut job = shop.job(SMALL);
    for turn in 0..150_u32 {
        let calls = [
            ("POST", format!("{}/edits", path(&job)), move_port(&job, turn)),
            ("PATCH", "/api/shop".to_string(), json!({"units": "in"})),
        ];
        let (method, call, body) = &calls[turn as usize % 2];
        let body = body.to_string();
        let mut stream = TcpStream::connect(shop.address).unwrap();
        write!(
            stream,
            "{method} {call} HTTP/1.1\r\nHost: {}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
            shop.address,
            body.len()
        )
        .unwrap();
        std::thread::sleep(Duration::from_micros(u64::from(turn) * 97 % 4000));
        drop(stream);
        if turn % 30 == 29 {
            job = shop.get(&path(&job)).json();
        }
    }
    // What was begun may still end: whoever comes after it names the version that is then.
    let edited = (0..50).find_map(|x| {
        let now = shop.get(&path(&job)).json();
        let answer = shop.call("POST", &format!("{}/edits", path(&job)), &move_port(&now, 1000 + x));
        assert!([200, 409].contains(&answer.status), "{answer:?}");
        (answer.status == 200).then(|| answer.json())
    });
    let edited = edited.unwrap();
    assert_eq!(shop.get("/api/health").status, 200);
    shop.done("PATCH", "/api/shop", &json!({"name": "acknowledged"}), 200);
    let folder = shop.end();
    let again =
        Shop::open_at(folder, ServerSettings { address: "127.0.0.1:0".parse().unwrap(), ..ServerSettings::default() });
    assert_eq!(again.get("/api/shop").json()["name"], "acknowledged");
    assert_eq!(again.get(&path(&edited)).json()["version"], edited["version"]);
}

#[test]
fn names_that_show_nothing_are_refused() {
    let shop = Shop::open();
    let job = shop.job(SMALL);
    let revision = format!("{}/revisions/{}", path(&job), job["revision"]["id"].as_str().unwrap());
    for name in ["\u{200b}", "\u{202e}\u{202e}", "\u{feff}\u{2060}"] {
        shop.refused("PATCH", &path(&job), &json!({"version": job["version"], "name": name}), 422);
        shop.refused("POST", "/api/jobs", &json!({"toml": SMALL, "name": name}), 422);
        shop.refused("PATCH", &revision, &json!({"name": name}), 422);
        shop.refused("PATCH", "/api/shop", &json!({"name": name}), 422);
    }
    let renamed = json!({"version": job["version"], "name": "four\u{202e} into\u{200b} one"});
    assert_eq!(shop.done("PATCH", &path(&job), &renamed, 200)["name"], "four into one");
    shop.done("PATCH", &revision, &json!({"name": "as measured"}), 200);
    assert_eq!(shop.done("PATCH", &revision, &json!({"name": ""}), 200)["name"], "");
}

#[test]
fn nul_in_an_address_is_a_wrong_address() {
    let shop = Shop::open();
    for (method, call) in [("GET", "/api/jobs/%00"), ("DELETE", "/api/shelf/a%00"), ("DELETE", "/api/bookings/%00")] {
        shop.refused(method, call, &json!({}), 404);
    }
    shop.refused("GET", &format!("{}/compare?a=%00&b=%00", path(&shop.job(SMALL))), &json!({}), 400);
}

#[test]
fn behind_a_proxy_with_tls_cookies_are_secure() {
    let password = Some(hash_password("quiet harbour 7").unwrap());
    let (address, tls_name) = ("127.0.0.1:0".parse().unwrap(), Some("shop.lan".to_string()));
    let shop = Shop::open_with(ServerSettings { address, password, tls_name, ..ServerSettings::default() });
    let proxied = [("Host", "shop.lan"), ("Origin", "https://shop.lan"), ("Content-Type", "application/json")];
    let answer = shop.send("POST", "/api/session", &proxied, br#"{"password": "quiet harbour 7"}"#);
    assert_eq!(answer.status, 200, "{answer:?}");
    assert!(answer.header("set-cookie").unwrap().contains("; Secure"), "{answer:?}");
    let elsewhere = [("Host", "shop.lan"), ("Origin", "https://evil.example"), ("Content-Type", "application/json")];
    assert_eq!(shop.send("POST", "/api/session", &elsewhere, b"{}").status, 403);
    assert_eq!(shop.send("GET", "/api/shop", &[("Host", "evil.example")], b"").status, 403);
}

#[test]
fn behind_a_proxy_a_password_is_needed() {
    let folder = std::env::temp_dir().join(format!("tubewright-proxied-{}", std::process::id()));
    let settings = ServerSettings {
        address: "127.0.0.1:0".parse().unwrap(),
        tls_name: Some("x".into()),
        ..ServerSettings::default()
    };
    tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap().block_on(async {
        let store = Store::open(&Location::File(folder.join("shop.sqlite"))).await.unwrap();
        assert!(matches!(Server::bind(store, settings).await, Err(ServeError::NoPassword)));
    });
    std::fs::remove_dir_all(&folder).unwrap();
}
