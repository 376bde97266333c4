//! Routes changed by hand.

use serde_json::{Value, json};

use crate::client::{Shop, path};

fn trial(shop: &Shop, job: &Value, body: Value) -> Value {
    let tried = shop.done("POST", &format!("{}/trial", path(job)), &body, 200);
    assert!(tried["refusal"].is_null(), "{tried}");
    tried["routes"].clone()
}

#[test]
fn a_trial_tells_the_figures_and_keeps_nothing() {
    let shop = Shop::open();
    let job = shop.small();
    let run = job["routes"]["runs"][0].clone();
    let same = json!({"runs": [{"run": "primary 1", "points": run["points"], "radii": run["radii"]}]});
    let told = trial(&shop, &job, same);
    let length = |run: &Value| run["length_mm"].as_f64().unwrap();
    // Points are told to a micrometre.
    assert!((length(&told["runs"][0]) - length(&run)).abs() < 0.005);
    assert_eq!(told["met"], true);
    // The first bend moved out along the port's line: another length, and the ends as they were.
    let mut to = run["points"][1].clone();
    to[1] = json!(to[1].as_f64().unwrap() + 20.0);
    let moved = trial(&shop, &job, json!({"edit": {"kind": "move_point", "run": "primary 1", "index": 1, "to": to}}));
    assert_ne!(moved["runs"][0]["length_mm"], run["length_mm"]);
    let ends = |r: &Value| {
        let p = r["points"].as_array().unwrap().clone();
        (p[0].clone(), p[p.len() - 1].clone())
    };
    assert_eq!(ends(&moved["runs"][0]), ends(&run));
    assert_eq!(shop.get(&path(&job)).json()["routes"], job["routes"]);
}

#[test]
fn what_a_trial_misses_is_told_with_its_place() {
    let shop = Shop::open();
    let job = shop.small();
    let edit = json!({"kind": "pull_to_length", "run": "primary 1", "length_mm": 1100.0});
    let pulled = trial(&shop, &job, json!({"edit": edit}));
    assert!((pulled["runs"][0]["length_mm"].as_f64().unwrap() - 1100.0).abs() < 0.1);
    // A keep-out in the way: said where it is.
    let line = &job["routes"]["runs"][0]["line"]["xyz"];
    let middle = line[line.as_array().unwrap().len() / 2].clone();
    let edits = json!([{"op": "insert", "path": ["keepout", 1], "value": {"name": "ball", "shape": "sphere", "center": middle, "radius": 5.0}}]);
    let body = json!({"version": job["version"], "label": "Ball", "edits": edits});
    let job = shop.done("POST", &format!("{}/edits", path(&job)), &body, 200);
    let miss = &job["routes"]["unmet"][0];
    assert_eq!((job["routes"]["met"].as_bool(), miss["requirement"].as_str()), (Some(false), Some("keepout_gap")));
    // The centreline goes through the ball's centre: 5 + 22.2 inside of each other, and 8 are asked.
    assert!((miss["by"].as_f64().unwrap() - (5.0 + 22.225 + 8.0)).abs() < 0.1, "{miss}");
    let at = miss["at"].as_array().unwrap();
    let off: f64 = (0..3).map(|i| (at[i].as_f64().unwrap() - middle[i].as_f64().unwrap()).powi(2)).sum();
    assert!(off.sqrt() < 6.0, "{miss}");
    assert!(job["bay"]["keepouts"][1]["short"].as_f64().unwrap() > 30.0);
    let list = shop.get("/api/jobs").json();
    assert_eq!((list["jobs"][0]["state"].as_str(), &list["jobs"][0]["unmet_count"]), (Some("not met"), &json!(1)));
}

#[test]
fn a_change_by_hand_is_kept_as_one_step() {
    let shop = Shop::open();
    let job = shop.small();
    let run = &job["routes"]["runs"][0];
    let body = json!({
        "version": job["version"], "label": "Lock primary 1",
        "runs": [{"run": "primary 1", "points": run["points"], "radii": run["radii"], "locked": true}],
    });
    let locked = shop.done("PUT", &format!("{}/routes", path(&job)), &body, 200);
    assert_eq!(locked["routes"]["runs"][0]["locked"], true);
    let edit = json!({"kind": "pull_to_length", "run": "primary 1", "length_mm": 1000.0});
    let body = json!({"version": locked["version"], "label": "Pull to 1000", "edit": edit});
    let pulled = shop.done("PUT", &format!("{}/routes", path(&job)), &body, 200);
    assert!((pulled["routes"]["runs"][0]["length_mm"].as_f64().unwrap() - 1000.0).abs() < 0.1);
    // The plan was of the routes before.
    assert!(pulled["plan_stale"].is_string() && pulled["quote"].is_null());
    let back = shop.done("POST", &format!("{}/undo", path(&job)), &json!({"version": pulled["version"]}), 200);
    assert_eq!(back["routes"]["runs"][0]["length_mm"], run["length_mm"]);
    assert!(back["plan_stale"].is_null());
}

#[test]
fn runs_that_are_none_are_refused() {
    let shop = Shop::open();
    let job = shop.small();
    for runs in [
        json!([{"run": "primary 9", "points": [[0, 0, 0], [1, 0, 0]], "radii": []}]),
        json!([{"run": "pipe", "points": [[0, 0, 0], [1, 0, 0]], "radii": []}]),
        json!([{"run": "primary 1", "points": [[0, 0, 0]], "radii": []}]),
        json!([{"run": "primary 1", "points": [[0, 0, 0], [0, 0, 0]], "radii": []}]),
        json!([{"run": "primary 1", "points": [[0, 0, 0], [100, 0, 0], [100, 100, 0]], "radii": [-5]}]),
        json!([{"run": "primary 1", "points": [[0, 0, 0], [100, 0, 0], [100, 100, 0]], "radii": [500]}]),
        json!([{"run": "primary 1", "points": [[0, 0, 0], [1e12, 0, 0]], "radii": []}]),
        json!([{"run": "primary 1", "points": [[0, 0, 0], [1, 0]], "radii": []}]),
    ] {
        shop.refused("POST", &format!("{}/trial", path(&job)), &json!({"runs": runs}), 422);
    }
    let edit = json!({"kind": "remove_bend", "run": "primary 9", "index": 1});
    shop.refused("POST", &format!("{}/trial", path(&job)), &json!({"edit": edit}), 422);
}

#[test]
fn a_hand_that_passes_where_there_is_no_tube_is_told_so_and_not_refused() {
    let shop = Shop::open();
    let job = shop.small();
    let edit = json!({"kind": "remove_bend", "run": "primary 1", "index": 40});
    let tried = shop.done("POST", &format!("{}/trial", path(&job)), &json!({"edit": edit}), 200);
    assert!(tried["routes"].is_null() && tried["refusal"].as_str().unwrap().contains("no bend 40"), "{tried}");
    // To keep it is another thing.
    let body = json!({"version": job["version"], "label": "Remove", "edit": edit});
    shop.refused("PUT", &format!("{}/routes", path(&job)), &body, 422);
}
