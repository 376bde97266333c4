//! Searches: told as they go, stopped, left, and overtaken by another.

use std::time::{Duration, Instant};

use serde_json::json;

use crate::client::{Heard, SMALL, Shop, events, path, wait};

#[test]
fn a_search_tells_better_answers_and_keeps_the_best() {
    let shop = Shop::open();
    let job = shop.job(SMALL);
    let request = json!({"version": 1, "effort": 1, "alternatives": 3});
    let answer = shop.call("POST", &format!("{}/searches", path(&job)), &request);
    assert_eq!(answer.header("content-type"), Some("text/event-stream"));
    let told = events(&answer.body);
    assert_eq!(told.first().unwrap().0, "begun");
    assert!(told.iter().any(|(name, data)| name == "better" && data["routes"]["runs"][0]["length_mm"].is_f64()));
    let (name, done) = told.last().unwrap();
    assert_eq!((name.as_str(), done["met"].as_bool()), ("done", Some(true)));
    assert_eq!(done["job"], shop.get(&path(&job)).json());
    assert_eq!((done["job"]["version"].as_i64(), done["job"]["undo_label"].as_str()), (Some(2), Some("Route")));
    let kept = shop.get(&format!("{}/alternatives", path(&job))).json();
    assert_eq!(kept["alternatives"], done["alternatives"]);
    assert!(!kept["alternatives"].as_array().unwrap().is_empty());
    // The same seed gives the same routes.
    let again = shop.job(SMALL);
    let answer = shop.call("POST", &format!("{}/searches", path(&again)), &request);
    let (_, same) = events(&answer.body).pop().unwrap();
    assert_eq!(same["job"]["routes"], done["job"]["routes"]);
}

#[test]
fn a_search_is_stopped_and_keeps_what_it_has() {
    let shop = Shop::open();
    let job = shop.done("POST", "/api/jobs", &json!({"example": "hill-climb-four"}), 201);
    let mut heard = Heard::begin(&shop, &format!("{}/searches", path(&job)), &json!({"version": 1, "effort": 200}));
    let name = heard.next("begun")["search"].as_str().unwrap().to_string();
    heard.next("better");
    shop.done("POST", &format!("{}/searches/{name}/stop", path(&job)), &json!({}), 200);
    let asked = Instant::now();
    let done = heard.next("done");
    assert!(asked.elapsed() < Duration::from_secs(30), "{:?}", asked.elapsed());
    assert_eq!((done["met"].as_bool(), done["job"]["routes"]["met"].as_bool()), (Some(true), Some(true)));
    let stopped = format!("{}/searches/{name}/stop", path(&job));
    wait("a search that ended is forgotten", || shop.call("POST", &stopped, &json!({})).status == 404);
}

#[test]
fn a_search_whose_caller_leaves_stops_and_keeps_what_it_has() {
    let shop = Shop::open();
    let job = shop.done("POST", "/api/jobs", &json!({"example": "hill-climb-four"}), 201);
    let mut heard = Heard::begin(&shop, &format!("{}/searches", path(&job)), &json!({"version": 1, "effort": 200}));
    let name = heard.next("begun")["search"].as_str().unwrap().to_string();
    heard.next("better");
    drop(heard);
    let left = Instant::now();
    wait("what was found is kept", || shop.get(&path(&job)).json()["version"] == 2);
    assert!(left.elapsed() < Duration::from_secs(30));
    assert_eq!(shop.get(&path(&job)).json()["routes"]["met"], true);
    assert_eq!(shop.call("POST", &format!("{}/searches/{name}/stop", path(&job)), &json!({})).status, 404);
}

#[test]
fn a_job_that_was_changed_meanwhile_is_not_written_over() {
    let shop = Shop::open();
    let job = shop.done("POST", "/api/jobs", &json!({"example": "hill-climb-four"}), 201);
    let mut heard = Heard::begin(&shop, &format!("{}/searches", path(&job)), &json!({"version": 1, "effort": 1}));
    heard.next("begun");
    shop.done("PATCH", &path(&job), &json!({"version": 1, "name": "renamed"}), 200);
    let done = heard.next("done");
    assert_eq!((done["job"].is_null(), &done["conflict"]["version"]), (true, &json!(2)));
    // What was found is told, and can be put on top.
    assert_eq!(done["routes"]["met"], true);
    assert!(shop.get(&path(&job)).json()["routes"].is_null());
}

#[test]
fn a_closest_attempt_is_kept_beside_the_routes() {
    let shop = Shop::open();
    let job = shop.job(SMALL);
    let routed = |version: i64| {
        let answer = shop.call("POST", &format!("{}/searches", path(&job)), &json!({"version": version, "effort": 1}));
        events(&answer.body).pop().unwrap().1
    };
    let edit = |version: i64, target: f64| {
        let edits = json!([{"op": "set", "path": ["length", "target"], "value": target},
            {"op": "set", "path": ["length", "tolerance"], "value": 2.0}]);
        let body = json!({"version": version, "label": "target", "edits": edits});
        shop.done("POST", &format!("{}/edits", path(&job)), &body, 200)
    };
    let good = routed(1)["job"]["routes"].clone();
    assert_eq!(good["met"], true);
    edit(2, 60.0);
    let done = routed(3);
    assert_eq!(done["met"], false);
    // The routes are those of before; the attempt stands beside them, readable, with what it misses.
    let (kept, attempt) = (&done["job"]["routes"], &done["job"]["attempt"]);
    assert_eq!(kept["runs"][0]["points"], good["runs"][0]["points"]);
    assert!(!attempt["runs"].as_array().unwrap().is_empty() && !attempt["unmet"].as_array().unwrap().is_empty());
    assert!(done["job"]["problems"].as_array().unwrap().iter().all(|p| p["severity"] != "error"));
    let advice = shop.get(&format!("{}/alternatives", path(&job))).json();
    assert_eq!(advice["relaxations"], done["relaxations"]);
    // A search that meets everything takes the attempt away.
    let length = good["runs"][0]["length_mm"].as_f64().unwrap();
    edit(4, length);
    let done = routed(5);
    assert_eq!((done["met"].as_bool(), done["job"]["attempt"].is_null()), (Some(true), true));
}

#[test]
fn a_job_that_cannot_be_routed_is_refused_with_what_is_missing() {
    let shop = Shop::open();
    let (head, rest) = SMALL.split_once("[[port]]").unwrap();
    let bare = shop.job(&format!("{head}{}", &rest[rest.find("[[keepout]]").unwrap()..]));
    let error = shop.refused("POST", &format!("{}/searches", path(&bare)), &json!({"version": 1}), 422);
    let said = error["problems"].to_string();
    assert!(said.contains("[[port]]") && said.contains("[[collector]]"), "{said}");
    shop.refused("POST", &format!("{}/searches", path(&bare)), &json!({"version": 1, "effort": 9999}), 422);
    shop.refused("POST", &format!("{}/cut", path(&bare)), &json!({"version": 1}), 409);
}
