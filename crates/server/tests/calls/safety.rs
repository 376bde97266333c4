//! What keeps others out, and what headers a browser gets.

use serde_json::json;

use crate::client::{SMALL, Shop};

#[test]
fn a_name_that_was_made_to_point_here_is_refused() {
    let shop = Shop::open();
    let port = shop.address.port();
    for host in [format!("evil.example:{port}"), "localhost".into(), format!("localhost:{}", port ^ 1), String::new()] {
        let answer = shop.send("GET", "/api/shop", &[("Host", &host)], b"");
        assert_eq!(answer.status, 403, "{host}");
        assert_eq!(shop.send("GET", "/", &[("Host", &host)], b"").status, 403, "{host}");
    }
    for host in [format!("localhost:{port}"), format!("127.0.0.1:{port}"), format!("[::1]:{port}")] {
        assert_eq!(shop.send("GET", "/api/shop", &[("Host", &host)], b"").status, 200, "{host}");
    }
}

#[test]
fn another_site_can_change_nothing() {
    let shop = Shop::open();
    let body = json!({"toml": SMALL}).to_string();
    let json = ("Content-Type", "application/json");
    let own = format!("http://{}", shop.address);
    for wrong in [
        ("Origin", "http://evil.example"),
        ("Origin", "null"),
        ("Sec-Fetch-Site", "cross-site"),
        ("Sec-Fetch-Site", "same-site"),
    ] {
        assert_eq!(shop.send("POST", "/api/jobs", &[json, wrong], body.as_bytes()).status, 403, "{wrong:?}");
    }
    assert_eq!(shop.get("/api/jobs").json()["jobs"], json!([]));
    assert_eq!(
        shop.send("POST", "/api/jobs", &[json, ("Origin", &own), ("Sec-Fetch-Site", "same-origin")], body.as_bytes())
            .status,
        201
    );
    // What a form of another site can send without asking is no JSON.
    assert_eq!(shop.send("POST", "/api/jobs", &[("Content-Type", "text/plain")], body.as_bytes()).status, 415);
}

#[test]
fn every_answer_tells_the_browser_what_it_may_do() {
    let shop = Shop::open();
    for path in ["/", "/api/shop", "/api/none", "/none.js"] {
        let answer = shop.get(path);
        let policy = answer.header("content-security-policy").unwrap();
        assert!(policy.contains("default-src 'self'") && policy.contains("frame-ancestors 'none'"), "{policy}");
        assert!(!policy.contains("unsafe"), "{policy}");
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"), "{path}");
        assert_eq!(answer.header("referrer-policy"), Some("no-referrer"), "{path}");
    }
    assert_eq!(shop.get("/api/shop").header("cache-control"), Some("no-store"));
}

#[test]
fn refusals_have_one_shape() {
    let shop = Shop::open();
    let raw =
        |method: &str, path: &str, kind: &str, body: &[u8]| shop.send(method, path, &[("Content-Type", kind)], body);
    let json = "application/json";
    for (answer, status) in [
        (shop.get("/api/none"), 404),
        (shop.get("/api/jobs/none"), 404),
        (shop.get("/api/jobs/%00"), 404),
        (shop.get("/api/jobs/%FF"), 404),
        (shop.get("/api/jobs?archived=perhaps"), 400),
        (shop.get("/api/jobs?other=1"), 400),
        (shop.call("DELETE", "/api/jobs", &json!({})), 405),
        (raw("POST", "/api/jobs", json, b"{"), 400),
        (raw("POST", "/api/jobs", json, b""), 400),
        (raw("POST", "/api/jobs", json, b"{}"), 422),
        (raw("POST", "/api/jobs", json, b"[1]"), 422),
        (raw("PATCH", "/api/shop", json, b"[null, null]"), 422),
        (raw("POST", "/api/jobs", "text/plain", b"{}"), 415),
        (raw("POST", "/api/jobs", json, &[b"\"", &vec![b'x'; 3 << 20][..], b"\""].concat()), 413),
    ] {
        assert_eq!(answer.status, status, "{answer:?}");
        assert_eq!(answer.header("content-type"), Some("application/json"));
        assert!(answer.json()["error"]["message"].as_str().is_some_and(|m| !m.is_empty()));
    }
}

#[test]
fn a_path_of_the_address_reaches_no_file() {
    let shop = Shop::open();
    let job = shop.job(SMALL);
    let id = job["id"].as_str().unwrap();
    for name in ["..%2F..%2Fetc%2Fpasswd", "%2Fetc%2Fpasswd", "shop.sqlite", "..", "job.toml%00"] {
        for kind in ["documents", "meshes"] {
            let answer = shop.get(&format!("/api/jobs/{id}/{kind}/{name}"));
            assert!((400..=422).contains(&answer.status), "{kind}/{name}: {}", answer.status);
        }
    }
    for path in ["/../../etc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "//etc/passwd", "/assets/..%2f..%2fetc/passwd"] {
        let answer = shop.get(path);
        assert!(!String::from_utf8_lossy(&answer.body).contains("root:"), "{path}");
    }
}
