//! Cutting, the shelf, the quote, papers, exports, the saw.

use serde_json::{Value, json};

use crate::client::{Heard, Shop, events, path, wait};

#[test]
fn a_plan_is_told_as_it_is_drawn() {
    let shop = Shop::open();
    let job = shop.small();
    let plan = &job["plan"];
    let marks: Vec<&str> = plan["pieces"].as_array().unwrap().iter().map(|p| p["mark"].as_str().unwrap()).collect();
    assert_eq!(marks[0], "1A");
    for item in plan["items"].as_array().unwrap() {
        let length = item["shape"]["length"].as_f64().unwrap();
        let at = |s: &Value, i: usize| s["at"][i].as_f64().unwrap();
        let stretches = item["stretches"].as_array().unwrap();
        let cuts = item["cuts"].as_array().unwrap();
        // What is kept, what is scrap and what the saw takes are the whole item.
        let kerf = |c: &Value| c["kerf_mm"][1].as_f64().unwrap() - c["kerf_mm"][0].as_f64().unwrap();
        let sum: f64 = stretches.iter().map(|s| at(s, 1) - at(s, 0)).sum::<f64>() + cuts.iter().map(kerf).sum::<f64>();
        assert!((sum - length).abs() < 0.01, "{item}");
    }
    let run = &job["routes"]["runs"][0];
    assert_eq!(run["joints"].as_u64().unwrap() + 1, marks.len() as u64);
    let pieces: f64 = plan["pieces"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| p["to_mm"].as_f64().unwrap() - p["from_mm"].as_f64().unwrap())
        .sum();
    assert!((pieces - run["length_mm"].as_f64().unwrap()).abs() < 0.01);
    let list = shop.get("/api/jobs").json();
    assert_eq!((list["jobs"][0]["state"].as_str(), &list["jobs"][0]["total"]), (Some("cut"), &job["quote"]["total"]));
}

#[test]
fn a_cut_tells_plans_and_bounds_as_they_get_better() {
    let shop = Shop::open();
    let job = shop.small();
    let answer = shop.call("POST", &format!("{}/cut", path(&job)), &json!({"version": job["version"]}));
    assert_eq!(answer.header("content-type"), Some("text/event-stream"));
    let told = events(&answer.body);
    let figures = |key: &str| -> Vec<f64> {
        told.iter().filter(|(name, _)| name == "better").map(|(_, data)| data[key].as_f64().unwrap()).collect()
    };
    let (costs, bounds) = (figures("cost"), figures("lower_bound"));
    assert!(!costs.is_empty() && costs.is_sorted_by(|a, b| a >= b) && bounds.is_sorted(), "{told:?}");
    let (first, last) = (told.first().unwrap(), told.last().unwrap());
    assert_eq!((&*first.0, &*last.0), ("begun", "done"));
    assert_eq!(last.1["job"]["plan"]["cost"].as_f64(), costs.last().copied());
    assert_eq!(last.1["job"], shop.get(&path(&job)).json());
}

#[test]
fn a_cut_is_stopped_with_the_best_kept_or_left_with_nothing_and_is_not_written_over_a_change() {
    let shop = Shop::open();
    let job = shop.done("POST", "/api/jobs", &json!({"example": "straight-six"}), 201);
    shop.call("POST", &format!("{}/searches", path(&job)), &json!({"version": 1, "effort": 0}));
    let cut = |version: u32| {
        let mut heard = Heard::begin(&shop, &format!("{}/cut", path(&job)), &json!({"version": version}));
        let name = heard.next("begun")["search"].as_str().unwrap().to_string();
        (heard, name)
    };
    let (mut heard, name) = cut(2);
    shop.done("POST", &format!("{}/searches/{name}/stop", path(&job)), &json!({}), 200);
    let done = heard.next("done");
    let plan = &done["job"]["plan"];
    assert!(plan["lower_bound"].as_f64().unwrap() <= plan["cost"].as_f64().unwrap(), "{plan}");
    let (heard, name) = cut(3);
    drop(heard);
    let stop = format!("{}/searches/{name}/stop", path(&job));
    wait("the cut ends", || shop.call("POST", &stop, &json!({})).status == 404);
    let (mut heard, _) = cut(3);
    shop.done("PATCH", &path(&job), &json!({"version": 3, "name": "renamed"}), 200);
    assert_eq!(heard.next("failed")["error"]["code"], "conflict");
    assert_eq!(shop.get(&path(&job)).json()["version"], 4);
}

fn shelf(shop: &Shop) -> Vec<Value> {
    shop.get("/api/shelf").json()["items"].as_array().unwrap().clone()
}

#[test]
fn a_cut_uses_the_shelf_and_its_booking_is_undone() {
    let shop = Shop::open();
    let bend = json!({"thing": {"od": 44.45, "wall": 1.65, "material": "304", "shape": {"kind": "bend", "clr": 76.2, "angle_deg": 180, "legs": [101.6, 101.6]}}, "count": 2});
    shop.done("POST", "/api/shelf", &bend, 201);
    // A stick of another tube is of no use.
    let stick = json!({"label": "thin stick", "thing": {"od": 38.1, "wall": 1.65, "shape": {"kind": "straight", "length": 900}}});
    shop.done("POST", "/api/shelf", &stick, 201);
    let job = shop.small();
    let from_shelf = job["plan"]["items"].as_array().unwrap().iter().filter(|i| i["from_shelf"] == true).count();
    assert!((1..=2).contains(&from_shelf), "{}", job["plan"]);
    let booked = shop.done("POST", &format!("{}/bookings", path(&job)), &json!({"version": job["version"]}), 201);
    let offcuts: usize = job["plan"]["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|i| i["stretches"].as_array().unwrap().iter().filter(|s| s["becomes"] == "offcut").count())
        .sum();
    let now = shelf(&shop);
    assert_eq!(now.len(), 3 - from_shelf + offcuts);
    let left: Vec<&Value> = now.iter().filter(|i| i["booking"] == booked["booking"]["id"]).collect();
    assert_eq!(left.len(), offcuts);
    assert!(left.iter().all(|i| i["label"].as_str().unwrap().starts_with("one tube ")), "{left:?}");
    // The plan is still whole though the shelf has changed, and it is booked once only.
    assert_eq!(shop.get(&path(&job)).json()["plan"], job["plan"]);
    shop.refused("POST", &format!("{}/bookings", path(&job)), &json!({"version": job["version"]}), 409);
    let list = shop.get(&format!("{}/bookings", path(&job))).json();
    assert_eq!(list["bookings"][0]["current"], true);
    // An offcut used by another job's booking keeps the first from being undone.
    let other = shop.done("POST", &format!("{}/copy", path(&job)), &json!({}), 201);
    let other = shop.cut(&other);
    let second = shop.done("POST", &format!("{}/bookings", path(&other)), &json!({"version": other["version"]}), 201);
    let uses = shelf(&shop).iter().filter(|i| i["booking"] == booked["booking"]["id"]).count() < offcuts;
    let first = format!("/api/bookings/{}", booked["booking"]["id"].as_str().unwrap());
    if uses {
        shop.refused("DELETE", &first, &json!({}), 409);
    }
    shop.done("DELETE", &format!("/api/bookings/{}", second["booking"]["id"].as_str().unwrap()), &json!({}), 200);
    shop.done("DELETE", &first, &json!({}), 200);
    let labels: Vec<String> = shelf(&shop).iter().map(|i| i["label"].as_str().unwrap().to_string()).collect();
    assert_eq!(labels.len(), 3, "{labels:?}");
    shop.refused("DELETE", &first, &json!({}), 404);
}

#[test]
fn a_thing_that_is_gone_cannot_be_booked() {
    let shop = Shop::open();
    let bend = json!({"label": "the bend", "thing": {"od": 44.45, "wall": 1.65, "shape": {"kind": "bend", "clr": 76.2, "angle_deg": 180, "legs": [101.6, 101.6]}}});
    shop.done("POST", "/api/shelf", &bend, 201);
    let job = shop.small();
    let id = shelf(&shop)[0]["id"].as_str().unwrap().to_string();
    shop.done("DELETE", &format!("/api/shelf/{id}"), &json!({}), 200);
    let error = shop.refused("POST", &format!("{}/bookings", path(&job)), &json!({"version": job["version"]}), 409);
    assert!(error["message"].as_str().unwrap().contains("no longer in stock"), "{error}");
    for wrong in [
        json!({"thing": {"od": -1, "wall": 1.65, "shape": {"kind": "straight", "length": 100}}}),
        json!({"thing": {"od": 40, "wall": 1.65, "shape": {"kind": "straight", "length": 1e9}}}),
        json!({"thing": {"od": 40, "wall": 1.65, "shape": {"kind": "straight", "length": 100}}, "count": 0}),
        json!({"thing": {"od": 40, "wall": 1.65, "shape": {"kind": "knot"}}}),
    ] {
        shop.refused("POST", "/api/shelf", &wrong, 422);
    }
}

#[test]
fn a_job_adds_lines_of_its_own_to_its_quote() {
    let shop = Shop::open();
    let job = shop.small();
    let quote = || shop.get(&format!("{}/quote", path(&job))).json();
    let change = |version: &Value, edit: Value| {
        shop.done("PUT", &format!("{}/rates", path(&job)), &json!({"version": version, "edits": [edit]}), 200)
    };
    let before = quote();
    let line = json!({"what": "coating", "quantity": 2, "price": 90});
    let with = change(&job["version"], json!({"op": "insert", "path": ["extra", 0], "value": line}));
    let after = quote();
    let added = after["lines"].as_array().unwrap().last().unwrap();
    assert_eq!((added["group"].as_str(), added["amount"].as_f64()), (Some("extras"), Some(180.0)));
    assert!((after["direct"].as_f64().unwrap() - before["direct"].as_f64().unwrap() - 180.0).abs() < 1e-9);
    assert_eq!(after["own_extras"][0]["what"], "coating");
    change(&with["version"], json!({"op": "remove", "path": ["extra", 0]}));
    assert_eq!(quote(), before);
}

#[test]
fn rates_of_the_job_come_before_the_shops() {
    let shop = Shop::open();
    let stock = "format = 1\nunits = \"mm\"\n[price]\nlabour_per_hour = 100.0\ncurrency = \"EUR\"\n";
    let kept = shop.done("PUT", "/api/stock", &json!({"version": 0, "text": stock}), 200);
    assert_eq!((kept["version"].as_i64(), kept["problems"].as_array().unwrap().len()), (Some(1), 0));
    assert_eq!(shop.refused("PUT", "/api/stock", &json!({"version": 0, "text": ""}), 409)["code"], "conflict");
    let cheaper = json!([{"op": "set", "path": ["price", "labour_per_hour"], "value": 90}]);
    let kept = shop.done("PATCH", "/api/stock", &json!({"version": 1, "edits": cheaper}), 200);
    assert_eq!((kept["version"].as_i64(), kept["currency"].as_str()), (Some(2), Some("EUR")));
    assert!(kept["text"].as_str().unwrap().contains("labour_per_hour = 90"), "{kept}");
    assert_eq!(shop.refused("PATCH", "/api/stock", &json!({"version": 1, "edits": cheaper}), 409)["code"], "conflict");
    let back = json!([{"op": "set", "path": ["price", "labour_per_hour"], "value": 100.0}]);
    shop.done("PATCH", "/api/stock", &json!({"version": 2, "edits": back}), 200);
    let job = shop.small();
    let rate = |quote: &Value| {
        let all = quote["rates"].as_array().unwrap();
        all.iter().find(|r| r["key"] == "labour_per_hour").unwrap()["value"].as_f64().unwrap()
    };
    let quote = shop.get(&format!("{}/quote", path(&job))).json();
    assert_eq!(
        (quote["currency"].as_str(), rate(&quote), &quote["total"]),
        (Some("EUR"), 100.0, &job["quote"]["total"])
    );
    let edits = json!([{"op": "set", "path": ["price", "labour_per_hour"], "value": 200}]);
    let job =
        shop.done("PUT", &format!("{}/rates", path(&job)), &json!({"version": job["version"], "edits": edits}), 200);
    let repriced = shop.get(&format!("{}/quote", path(&job))).json();
    assert_eq!((repriced["currency"].as_str(), rate(&repriced)), (Some("EUR"), 200.0));
    let labour = |quote: &Value| {
        let lines = quote["lines"].as_array().unwrap().iter().filter(|l| l["group"] == "labour");
        lines.map(|l| l["amount"].as_f64().unwrap()).sum::<f64>()
    };
    assert!((labour(&repriced) - 2.0 * labour(&quote)).abs() < 0.1, "{} {}", labour(&repriced), labour(&quote));
}

#[test]
fn papers_and_exports_are_given() {
    let shop = Shop::open();
    let job = shop.small();
    let sheets = shop.get(&format!("{}/papers/sheets", path(&job))).json();
    let kinds: Vec<&str> = sheets["sheets"].as_array().unwrap().iter().map(|s| s["kind"].as_str().unwrap()).collect();
    assert!(kinds.contains(&"saw") && !kinds.contains(&"quote") && !kinds.contains(&"full-size"), "{kinds:?}");
    let full = shop.get(&format!("{}/papers/sheets?set=full", path(&job))).json();
    assert!(full["sheets"].as_array().unwrap().iter().any(|s| s["kind"] == "full-size"), "{full}");
    for only in ["saw,stock", "quote"] {
        let pdf = shop.get(&format!("{}/papers?paper=letter&units=in&only={only}", path(&job)));
        assert_eq!((pdf.status, pdf.header("content-type")), (200, Some("application/pdf")));
        assert!(pdf.body.starts_with(b"%PDF-"));
    }
    for wrong in [
        "paper=a0",
        "only=saw,quote",
        "set=whole",
        "units=ell",
        "only=poem",
        "date=the+day+after+tomorrow",
        "colour=red",
    ] {
        let answer = shop.get(&format!("{}/papers?{wrong}", path(&job)));
        assert!((400..=422).contains(&answer.status), "{wrong}: {}", answer.status);
    }
    for (format, begins) in [
        ("step", &b"ISO-10303-21"[..]),
        ("stl", b""),
        ("3mf", b"PK"),
        ("glb", b"glTF"),
        ("svg", b""),
        ("dxf", b""),
        ("xyz", b""),
        ("lra", b""),
        ("cutlist", b"PK"),
        ("quote", b"PK"),
    ] {
        let file = shop.get(&format!("{}/exports/{format}", path(&job)));
        assert_eq!(file.status, 200, "{format}: {}", String::from_utf8_lossy(&file.body));
        assert!(file.body.len() > 40 && file.body.starts_with(begins), "{format}");
        assert!(file.header("content-disposition").unwrap().starts_with("attachment; filename=\"one-tube"), "{format}");
    }
    assert_eq!(shop.get(&format!("{}/exports/exe", path(&job))).status, 404);
    assert_eq!(shop.get(&format!("{}/exports/step?of=9Z", path(&job))).status, 422);
    let bare = shop.job(crate::client::SMALL);
    assert_eq!(shop.get(&format!("{}/papers", path(&bare))).status, 409);
    assert_eq!(shop.get(&format!("{}/exports/step", path(&bare))).status, 409);
    assert_eq!(shop.get(&format!("{}/quote", path(&bare))).status, 409);
}

#[test]
fn ticks_at_the_saw_belong_to_the_plan() {
    let shop = Shop::open();
    let job = shop.small();
    let address = format!("{}/saw", path(&job));
    let none = shop.get(&address).json();
    assert_eq!((&none["plan"], &none["done"]), (&job["plan"]["hash"], &json!([])));
    let cut = job["plan"]["items"][0]["cuts"][0]["id"].clone();
    let ticks = json!({"plan": none["plan"], "done": [cut]});
    assert_eq!(shop.done("PUT", &address, &ticks, 200), ticks);
    // They are there after a reload, and they do not move the job.
    assert_eq!(shop.get(&address).json(), ticks);
    assert_eq!(shop.get(&path(&job)).json()["version"], job["version"]);
    shop.refused("PUT", &address, &json!({"plan": "another", "done": []}), 409);
    let undone = shop.done("POST", &format!("{}/undo", path(&job)), &json!({"version": job["version"]}), 200);
    assert_eq!(shop.get(&address).status, 409);
    shop.done("POST", &format!("{}/redo", path(&job)), &json!({"version": undone["version"]}), 200);
    assert_eq!(shop.get(&address).json(), ticks);
}

#[test]
fn the_order_of_assembly_holds_every_piece_once() {
    let shop = Shop::open();
    let job = shop.small();
    let steps = shop.get(&format!("{}/assembly", path(&job))).json();
    let steps = steps["steps"].as_array().unwrap();
    let runs = job["routes"]["runs"].as_array().unwrap();
    assert_eq!(steps.len(), runs.len());
    for run in runs {
        let step = steps.iter().find(|s| s["run"] == run["run"]).unwrap();
        let parts = ["at_flange", "group", "at_collector"].map(|p| step[p].as_array().unwrap().clone());
        let planned = job["plan"]["pieces"].as_array().unwrap();
        let own: Vec<Value> = planned.iter().filter(|p| p["run"] == run["run"]).map(|p| p["mark"].clone()).collect();
        assert_eq!(parts.concat(), own);
        // The flow leaves the port along its first straight.
        let points = run["points"].as_array().unwrap();
        let at = |k: usize, i: usize| points[k][i].as_f64().unwrap();
        let along: Vec<f64> = (0..3).map(|i| at(1, i) - at(0, i)).collect();
        let length = along.iter().map(|x| x * x).sum::<f64>().sqrt();
        for (i, x) in along.iter().enumerate() {
            assert!((step["off"][i].as_f64().unwrap() - x / length).abs() < 1e-3, "{step}");
        }
        for tack in step["tacks"].as_array().unwrap() {
            assert!(!tack["hours"].as_array().unwrap().is_empty(), "{tack}");
        }
    }
    let unplanned = shop.done("POST", "/api/jobs", &json!({"example": "hill-climb-four"}), 201);
    let refused = shop.call("GET", &format!("{}/assembly", path(&unplanned)), &Value::Null);
    assert_eq!(refused.status, 409);
}
