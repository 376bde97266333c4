//! Documents beyond any bound: refused or kept as text, said with their place, and no other job suffers.

use serde_json::{Value, json};

use crate::client::{SMALL, Shop, path};

fn put(shop: &Shop, job: &Value, name: &str, text: &str) -> Value {
    let version = shop.get(&path(job)).json()["version"].clone();
    let body = json!({"version": version, "label": "Test", "text": text});
    shop.done("PUT", &format!("{}/documents/{name}", path(job)), &body, 200)
}

fn text(shop: &Shop, job: &Value, name: &str) -> String {
    shop.get(&format!("{}/documents/{name}", path(job))).json()["text"].as_str().unwrap().to_string()
}

/// The first problem of a document.
fn problem<'a>(job: &'a Value, code: &str) -> &'a Value {
    let all = job["problems"].as_array().unwrap();
    all.iter().find(|p| p["code"] == code).unwrap_or_else(|| panic!("no {code} among {all:?}"))
}

#[test]
fn a_plan_with_a_leg_beyond_any_tube_is_no_plan() {
    let shop = Shop::open();
    let job = shop.small();
    let mut plan: Value = serde_json::from_str(&text(&shop, &job, "cutplan.json")).unwrap();
    let whole = plan.clone();
    plan["items"][0]["legs_mm"][0] = json!(4_294_967_296_u64);
    let seen = put(&shop, &job, "cutplan.json", &plan.to_string());
    let said = problem(&seen, "cutplan")["message"].as_str().unwrap();
    assert!(said.contains("items[0].legs_mm is 4294967296; it lies between 0 and 20000"), "{said}");
    assert_eq!(shop.get(&format!("{}/papers/sheets", path(&job))).status, 409);
    // Within the bounds, but not what the stock has; and a leg that the item does not have.
    for (place, key) in [("items", "legs_mm"), ("pieces", "leg_in_mm")] {
        let mut plan = whole.clone();
        let value = &mut plan[place][0][key];
        let value = if place == "items" { &mut value[0] } else { value };
        *value = json!(value.as_f64().unwrap() + 900.0);
        let seen = put(&shop, &job, "cutplan.json", &plan.to_string());
        assert!(seen["plan_stale"].is_string(), "{place}: {}", seen["plan_stale"]);
    }
    let seen = put(&shop, &job, "cutplan.json", &whole.to_string());
    assert!(seen["plan_stale"].is_null(), "{}", seen["plan_stale"]);
}

#[test]
fn very_many_keep_outs_are_said_once_and_not_read() {
    let shop = Shop::open();
    let job = shop.job(SMALL);
    let empty = "[[keepout]]\n".repeat(40_000);
    let seen = put(&shop, &job, "job.toml", &format!("{SMALL}\n{empty}"));
    assert_eq!(problem(&seen, "too-many")["expected"], "at most 2000");
    let inline = format!("{}keepout = [{}]\n", SMALL.split("[[keepout]]").next().unwrap(), "{},".repeat(500_000));
    let body = json!({"version": 2, "label": "Test", "text": inline});
    let error = shop.refused("PUT", &format!("{}/documents/job.toml", path(&job)), &body, 422);
    assert!(error["message"].as_str().unwrap().contains("more brackets"), "{error}");
    let error = shop.refused("POST", "/api/jobs", &json!({"toml": inline}), 422);
    assert!(error["expected"].is_string() && error["hint"].is_string(), "{error}");
    assert_eq!(shop.get("/api/jobs").json()["jobs"].as_array().unwrap().len(), 1);
}

#[test]
fn every_document_of_a_job_has_bounds() {
    let shop = Shop::open();
    let job = shop.small();
    let head = "format = 1\nunits = \"mm\"\n";
    let cope = "[[cope]]\nname = \"a\"\nbranch_od = 40\nrun_od = 60\n";
    let hole = "[[flange.hole]]\nat = [0, 0, 0]\ndiameter = 8\n";
    let flange = "[[flange]]\nname = \"a\"\ncylinders = [1]\n";
    for (name, text) in [
        ("templates.toml", format!("{head}{}", cope.repeat(101))),
        ("flange.toml", format!("{head}{flange}{}", hole.repeat(201))),
        ("bender.toml", format!("{head}{}", "[[tool]]\nod = 40\nclr = 60\nclamp = 50\n".repeat(201))),
        ("rates.toml", format!("{head}{}", "[[extra]]\nwhat = \"a\"\nprice = 1\n".repeat(201))),
        ("routes.toml", format!("{head}[[primary]]\ncylinder = 1\npoints = [{}]\n", "[0, 0, 0], ".repeat(1001))),
    ] {
        let seen = put(&shop, &job, name, &text);
        let problem = problem(&seen, "too-many");
        assert_eq!(problem["file"], name, "{problem}");
        put(&shop, &job, name, if name == "bender.toml" { "format = 1\ntool = []\n" } else { head });
    }
    let thing = json!({"id": "1", "label": "a", "thing": {"od": 40, "wall": 1.5, "shape": {"kind": "straight", "length": 1e9}}});
    let seen = put(&shop, &job, "shelf.json", &json!([thing]).to_string());
    assert!(problem(&seen, "shelf")["message"].as_str().unwrap().contains("thing 1: length"), "{seen}");
    let version = shop.get(&path(&job)).json()["version"].clone();
    let body = json!({"version": version, "label": "Test", "text": "x".repeat(40_001)});
    shop.refused("PUT", &format!("{}/documents/terms.txt", path(&job)), &body, 422);
}

#[test]
fn runs_tried_by_hand_have_bounds_too() {
    let shop = Shop::open();
    let job = shop.small();
    let zigzag: Vec<Value> = (0..300).map(|i| json!([f64::from(i) * 60.0, f64::from(i % 2) * 15_000.0, 0.0])).collect();
    let run = json!({"run": "primary 1", "points": zigzag, "radii": vec![50.0; 298]});
    shop.refused("POST", &format!("{}/trial", path(&job)), &json!({"runs": [run]}), 422);
    let same = json!({"run": "primary 1", "points": [[0, 0, 0], [0, 500, 0]], "radii": []});
    shop.refused("POST", &format!("{}/trial", path(&job)), &json!({"runs": vec![same; 201]}), 422);
}

#[test]
fn a_job_that_cannot_be_read_is_listed_as_broken() {
    let shop = Shop::open();
    shop.small();
    let broken = shop.job("name = \"broken\"\nformat = = 1\n");
    let list = shop.get("/api/jobs").json();
    let state = |id: &Value| {
        let card = list["jobs"].as_array().unwrap().iter().find(|c| &c["id"] == id).unwrap();
        card["state"].as_str().unwrap().to_string()
    };
    assert_eq!((list["jobs"].as_array().unwrap().len(), state(&broken["id"])), (2, "broken".to_string()));
    assert_eq!(shop.get(&path(&broken)).status, 200);
}
