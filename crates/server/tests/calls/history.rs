//! Undo, redo, conflicts, revisions.

use serde_json::json;

use crate::client::{SMALL, Shop, path};

#[test]
fn what_is_done_is_undone_and_done_again() {
    let shop = Shop::open();
    let job = shop.small();
    assert_eq!((job["can_undo"].as_bool(), job["undo_label"].as_str()), (Some(true), Some("Cut")));
    let plan = job["plan"].clone();
    let back = shop.done("POST", &format!("{}/undo", path(&job)), &json!({"version": job["version"]}), 200);
    assert_eq!((back["plan"].is_null(), back["redo_label"].as_str()), (true, Some("Cut")));
    let forth = shop.done("POST", &format!("{}/redo", path(&job)), &json!({"version": back["version"]}), 200);
    assert_eq!((&forth["plan"], forth["can_redo"].as_bool()), (&plan, Some(false)));
    let error = shop.refused("POST", &format!("{}/redo", path(&job)), &json!({"version": forth["version"]}), 409);
    assert_eq!(error["code"], "refused");
}

#[test]
fn two_people_on_one_job_are_told_of_one_another() {
    let shop = Shop::open();
    let job = shop.job(SMALL);
    let change = |label: &str, od: f64| json!({"version": 1, "label": label, "edits": [{"op": "set", "path": ["tube", "od"], "value": od}]});
    shop.done("POST", &format!("{}/edits", path(&job)), &change("Thinner tube", 42.4), 200);
    let error = shop.refused("POST", &format!("{}/edits", path(&job)), &change("Thicker tube", 48.3), 409);
    assert_eq!((error["code"].as_str(), &error["current"]["version"]), (Some("conflict"), &json!(2)));
    assert_eq!(error["current"]["label"], "Thinner tube");
    assert!(error["current"]["made"].as_i64().unwrap() > 1_600_000_000_000);
    // Every writing call of a job looks at the version.
    for (method, rest, body) in [
        ("PATCH", "", json!({"version": 1, "name": "x"})),
        ("PUT", "/documents/job.toml", json!({"version": 1, "label": "x", "text": "x"})),
        ("POST", "/undo", json!({"version": 1})),
        ("POST", "/redo", json!({"version": 1})),
        ("PUT", "/routes", json!({"version": 1, "label": "x", "runs": []})),
        ("POST", "/searches", json!({"version": 1})),
        ("POST", "/cut", json!({"version": 1})),
        ("POST", "/bookings", json!({"version": 1})),
        ("PUT", "/rates", json!({"version": 1, "edits": [{"op": "set", "path": ["price", "x"], "value": 1}]})),
    ] {
        assert_eq!(shop.refused(method, &format!("{}{rest}", path(&job)), &body, 409)["code"], "conflict", "{rest}");
    }
    let now = shop.get(&path(&job)).json();
    assert_eq!((now["version"].as_i64(), &now["document"]["tube"]["od"]), (Some(2), &json!(42.4)));
}

#[test]
fn revisions_are_named_compared_and_gone_back_to() {
    let shop = Shop::open();
    let job = shop.small();
    let list = shop.get(&format!("{}/revisions", path(&job))).json();
    let revisions = list["revisions"].as_array().unwrap();
    let labels: Vec<&str> = revisions.iter().map(|r| r["label"].as_str().unwrap()).collect();
    assert_eq!(labels, ["Cut", "Route", "New job"]);
    assert_eq!((revisions[0]["current"].as_bool(), revisions[1]["current"].as_bool()), (Some(true), Some(false)));
    let id = |i: usize| revisions[i]["id"].as_str().unwrap();
    let named =
        shop.done("PATCH", &format!("{}/revisions/{}", path(&job), id(2)), &json!({"name": "as measured"}), 200);
    assert_eq!(named["name"], "as measured");
    let both = shop.get(&format!("{}/compare?a={}&b={}", path(&job), id(1), id(0))).json();
    assert_eq!(both["differ"], json!(["cutplan.json"]));
    assert_eq!((both["a"]["joints"].is_null(), &both["b"]["joints"]), (true, &job["plan"]["joints"]));
    assert_eq!(both["b"]["total"], job["quote"]["total"]);
    assert_eq!(both["a"]["runs"][0]["line"]["xyz"], job["routes"]["runs"][0]["line"]["xyz"]);
    let back = shop.done(
        "POST",
        &format!("{}/revisions/{}/restore", path(&job), id(2)),
        &json!({"version": job["version"]}),
        200,
    );
    assert_eq!((back["routes"].is_null(), back["revision"]["label"].as_str()), (true, Some("Restore as measured")));
    let undone = shop.done("POST", &format!("{}/undo", path(&job)), &json!({"version": back["version"]}), 200);
    assert_eq!(undone["plan"], job["plan"]);
    assert_eq!(shop.get(&format!("{}/compare?a=none&b=none", path(&job))).status, 404);
}

#[test]
fn everything_is_there_after_the_server_was_started_anew() {
    let shop = Shop::open();
    let job = shop.small();
    let folder = shop.end();
    let shop =
        Shop::open_at(folder, server::ServerSettings { address: "127.0.0.1:0".parse().unwrap(), ..Default::default() });
    assert_eq!(shop.get(&path(&job)).json(), job);
}
