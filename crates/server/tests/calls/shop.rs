//! The shop, signing in.

use serde_json::json;
use server::{ServerSettings, hash_password};

use crate::client::Shop;

#[test]
fn the_shop_tells_its_limits_and_remembers_its_unit() {
    let shop = Shop::open();
    let told = shop.get("/api/shop").json();
    assert_eq!((told["needs_password"].as_bool(), told["signed_in"].as_bool()), (Some(false), Some(true)));
    assert_eq!((told["units"].as_str(), &told["limits"]["triangles"]), (Some("mm"), &json!(1_000_000)));
    let told = shop.done("PATCH", "/api/shop", &json!({"units": "in", "name": "Bench 4"}), 200);
    assert_eq!((told["units"].as_str(), told["name"].as_str()), (Some("in"), Some("Bench 4")));
    shop.refused("PATCH", "/api/shop", &json!({"units": "ell"}), 422);
    assert_eq!(shop.get("/api/shop").json()["units"], "in");
    assert_eq!(shop.get("/api/health").json()["ok"], true);
}

#[test]
fn a_shop_with_a_password_is_closed_until_it_is_given() {
    let password = Some(hash_password("quiet harbour 7").unwrap());
    let shop = Shop::open_with(ServerSettings {
        address: "127.0.0.1:0".parse().unwrap(),
        password,
        ..ServerSettings::default()
    });
    assert_eq!(shop.get("/api/shop").json()["signed_in"], false);
    for (method, path) in
        [("GET", "/api/jobs"), ("POST", "/api/jobs"), ("PATCH", "/api/shop"), ("GET", "/api/openapi.json")]
    {
        shop.refused(method, path, &json!({}), 401);
    }
    shop.refused("POST", "/api/session", &json!({"password": "loud harbour 7"}), 401);
    shop.refused("POST", "/api/session", &json!({"password": "x".repeat(9000)}), 413);
    let answer = shop.call("POST", "/api/session", &json!({"password": "quiet harbour 7"}));
    let cookie = answer.header("set-cookie").unwrap().to_string();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"), "{cookie}");
    let session = cookie.split(';').next().unwrap().to_string();
    assert_eq!(session.split('=').nth(1).unwrap().len(), 64);
    let with = |method: &str, path: &str| shop.send(method, path, &[("Cookie", &session)], b"");
    assert_eq!(with("GET", "/api/jobs").status, 200);
    assert_eq!(shop.send("GET", "/api/jobs", &[("Cookie", "tubewright_session=0000")], b"").status, 401);
    assert_eq!(with("DELETE", "/api/session").status, 200);
    assert_eq!(with("GET", "/api/jobs").status, 401);
}

#[test]
fn guessing_a_password_is_slowed_down() {
    let password = Some(hash_password("quiet harbour 7").unwrap());
    let shop = Shop::open_with(ServerSettings {
        address: "127.0.0.1:0".parse().unwrap(),
        password,
        ..ServerSettings::default()
    });
    let statuses: Vec<u16> =
        (0..7).map(|i| shop.call("POST", "/api/session", &json!({"password": format!("guess {i}")})).status).collect();
    assert_eq!(statuses, [401, 401, 401, 401, 401, 429, 429]);
    // Somebody at this computer is still let in with the right one.
    shop.done("POST", "/api/session", &json!({"password": "quiet harbour 7"}), 200);
    let far = |password: &str, address: &str| {
        let headers = [("Content-Type", "application/json"), ("X-Forwarded-For", address)];
        shop.send("POST", "/api/session", &headers, json!({"password": password}).to_string().as_bytes())
    };
    let statuses: Vec<u16> = (0..6).map(|i| far(&format!("guess {i}"), "192.0.2.7").status).collect();
    assert_eq!(statuses, [401, 401, 401, 401, 401, 429]);
    // From there even the right one has to wait now, and from nowhere else.
    let answer = far("quiet harbour 7", "192.0.2.7");
    assert_eq!(answer.status, 429);
    assert!(answer.header("retry-after").unwrap().parse::<u32>().unwrap() <= 31);
    assert_eq!(far("quiet harbour 7", "192.0.2.8").status, 200);
}
