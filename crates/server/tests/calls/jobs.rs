//! Jobs: made, edited, listed, taken away and brought back.

use serde_json::{Value, json};

use crate::client::{SMALL, Shop, path};

#[test]
fn a_job_is_made_of_an_example_a_starter_or_a_text() {
    let shop = Shop::open();
    let examples = shop.get("/api/examples").json();
    let names: Vec<&str> =
        examples["examples"].as_array().unwrap().iter().map(|e| e["name"].as_str().unwrap()).collect();
    assert_eq!(names.len(), 4);
    for name in names {
        let job = shop.done("POST", "/api/jobs", &json!({"example": name}), 201);
        assert_eq!(
            job["problems"].as_array().unwrap().iter().filter(|p| p["severity"] == "error").count(),
            0,
            "{name}"
        );
        assert!(!job["bay"]["ports"].as_array().unwrap().is_empty());
    }
    let starter =
        json!({"starter": {"name": "six", "layout": "inline", "cylinders": 6, "units": "in", "bore_spacing": 100.0}});
    let job = shop.done("POST", "/api/jobs", &starter, 201);
    assert_eq!((job["units"].as_str(), job["name"].as_str()), (Some("in"), Some("six")));
    let ports = job["bay"]["ports"].as_array().unwrap();
    // Inches are rounded to what a tape shows.
    assert!((ports[5]["at"][0].as_f64().unwrap() + 500.0).abs() < 1.0, "{}", ports[5]);
    let job = shop.job(SMALL);
    assert_eq!((job["name"].as_str(), job["version"].as_i64()), (Some("one tube"), Some(1)));
    assert_eq!(job["document"]["tube"]["od"], 44.45);
    // Keys come in the order of the file.
    let text = String::from_utf8(shop.get(&path(&job)).body).unwrap();
    let document = &text[text.find("\"document\"").unwrap()..];
    assert!(document.find("\"tube\"").unwrap() < document.find("\"length\"").unwrap());
    let list = shop.get("/api/jobs").json();
    assert_eq!(list["jobs"].as_array().unwrap().len(), 6);
    assert_eq!(list["jobs"][0]["state"], "measured");
    let wrong = json!({"starter": {"name": "x", "layout": "vee", "cylinders": 3}});
    assert!(shop.refused("POST", "/api/jobs", &wrong, 422)["message"].as_str().unwrap().contains("not 3"));
    assert!(shop.refused("POST", "/api/jobs", &json!({"example": "none"}), 422)["message"].is_string());
}

fn edit(version: &Value, edits: Value) -> Value {
    json!({"version": version, "label": "Edit", "edits": edits})
}

#[test]
fn an_edit_keeps_comments_and_is_told_back() {
    let shop = Shop::open();
    let job = shop.job(SMALL);
    let edits = json!([
        {"op": "set", "path": ["tube", "od"], "value": "1 5/8 in"},
        {"op": "set", "path": ["port", 0, "at"], "value": [1, 2.5, 0]},
        {"op": "insert", "path": ["keepout", 1], "value": {"name": "ball", "shape": "sphere", "center": [0, 900, 0], "radius": 5}},
        {"op": "insert", "path": ["plug", 0], "value": {"at": [0, 0, 90], "axis": [0, 0, 1], "socket_od": 21, "reach": 100}},
        {"op": "remove", "path": ["collector", 0, "up"]},
    ]);
    let job = shop.done("POST", &format!("{}/edits", path(&job)), &edit(&job["version"], edits), 200);
    let text = job["text"].as_str().unwrap();
    assert!(text.contains("od = \"1 5/8 in\" # measured"), "{text}");
    assert!(text.starts_with("# one tube") && text.contains("[[plug]]"), "{text}");
    assert_eq!(job["document"]["tube"]["od"], "1 5/8 in");
    assert!((job["bay"]["ports"][0]["od"].as_f64().unwrap() - 41.275).abs() < 1e-9);
    assert_eq!(job["bay"]["keepouts"][1]["shape"]["kind"], "sphere");
    assert_eq!((job["version"].as_i64(), job["undo_label"].as_str()), (Some(2), Some("Edit")));
}

#[test]
fn an_edit_that_leaves_problems_is_kept_and_they_are_told_with_their_place() {
    let shop = Shop::open();
    let job = shop.job(SMALL);
    let edits = json!([{"op": "set", "path": ["tube", "od"], "value": "one and five eights"}]);
    let job = shop.done("POST", &format!("{}/edits", path(&job)), &edit(&job["version"], edits), 200);
    let problem = &job["problems"][0];
    assert_eq!((problem["severity"].as_str(), problem["file"].as_str()), (Some("error"), Some("job.toml")));
    assert_eq!(problem["path"], json!(["tube", "od"]));
    assert_eq!(problem["line"], 7);
    // The bay of the revision before stays to be seen.
    assert_eq!(job["bay_stale"], true);
    assert_eq!(job["bay"]["ports"][0]["cylinder"], 1);
    let edits = json!([{"op": "set", "path": ["tube", "od"], "value": 44.45}]);
    let job = shop.done("POST", &format!("{}/edits", path(&job)), &edit(&job["version"], edits), 200);
    assert_eq!((job["bay_stale"].as_bool(), job["problems"].as_array().unwrap().len()), (Some(false), 0));
    // A whole text that is no TOML is kept too.
    let body = json!({"version": job["version"], "label": "Type", "text": "[[["});
    let job = shop.done("PUT", &format!("{}/documents/job.toml", path(&job)), &body, 200);
    assert_eq!((job["document"].is_null(), job["bay_stale"].as_bool()), (true, Some(true)));
}

#[test]
fn edits_that_make_no_sense_are_refused_and_change_nothing() {
    let shop = Shop::open();
    let job = shop.job(SMALL);
    for edits in [
        json!([{"op": "set", "path": ["port", 7, "at"], "value": [0, 0, 0]}]),
        json!([{"op": "remove", "path": ["nothing"]}]),
        json!([{"op": "set", "path": ["tube", "od"]}]),
        json!([{"op": "set", "path": ["tube", "od"], "value": null}]),
        json!([{"op": "set", "path": ["tube", "od", "deeper"], "value": 1}]),
        json!([{"op": "set", "path": [], "value": 1}]),
        json!([{"op": "grow", "path": ["tube"]}]),
        json!([]),
    ] {
        shop.refused("POST", &format!("{}/edits", path(&job)), &edit(&job["version"], edits), 422);
    }
    let same = shop.get(&path(&job)).json();
    assert_eq!((&same["version"], &same["text"]), (&job["version"], &job["text"]));
}

#[test]
fn a_job_goes_out_as_one_file_and_comes_back_the_same() {
    let shop = Shop::open();
    let job = shop.small();
    let file = shop.get(&format!("{}/archive", path(&job)));
    assert_eq!((file.status, file.header("content-type")), (200, Some("application/zip")));
    let back = shop.send("POST", "/api/jobs/import", &[("Content-Type", "application/zip")], &file.body);
    assert_eq!(back.status, 201, "{}", String::from_utf8_lossy(&back.body));
    let back = back.json();
    assert_ne!(back["id"], job["id"]);
    for what in ["name", "text", "documents", "routes", "plan", "quote", "bay"] {
        assert_eq!(back[what], job[what], "{what}");
    }
    let copy = shop.done("POST", &format!("{}/copy", path(&job)), &json!({}), 201);
    assert_eq!((copy["name"].as_str(), &copy["plan"]), (Some("one tube (copy)"), &job["plan"]));
    let bad = shop.send("POST", "/api/jobs/import", &[("Content-Type", "application/zip")], b"PK\x03\x04 but no");
    assert_eq!(bad.status, 422);
}

#[test]
fn a_job_is_renamed_and_put_away() {
    let shop = Shop::open();
    let job = shop.job(SMALL);
    let named = shop.done("PATCH", &path(&job), &json!({"version": 1, "name": " left bank "}), 200);
    assert_eq!((named["name"].as_str(), named["version"].as_i64()), (Some("left bank"), Some(2)));
    shop.refused("PATCH", &path(&job), &json!({"version": 2, "name": "   "}), 422);
    shop.done("PATCH", &path(&job), &json!({"version": 2, "archived": true}), 200);
    assert_eq!(shop.get("/api/jobs").json()["jobs"], json!([]));
    assert_eq!(shop.get("/api/jobs?archived=true").json()["jobs"][0]["name"], "left bank");
    let picture = shop.get(&format!("{}/picture.svg", path(&job)));
    assert_eq!(picture.header("content-type"), Some("image/svg+xml"));
    assert!(picture.body.starts_with(b"<svg"));
}

#[test]
fn only_an_archived_job_is_deleted() {
    let shop = Shop::open();
    let job = shop.job(SMALL);
    let here = |version: i64| format!("{}?version={version}", path(&job));
    assert!(shop.refused("DELETE", &here(1), &json!({}), 409)["message"].as_str().unwrap().contains("archive"));
    shop.done("PATCH", &path(&job), &json!({"version": 1, "archived": true}), 200);
    assert_eq!(shop.refused("DELETE", &here(1), &json!({}), 409)["code"], "conflict");
    shop.done("DELETE", &here(2), &json!({}), 200);
    assert_eq!(shop.get(&path(&job)).status, 404);
    assert_eq!(shop.get("/api/jobs?archived=true").json()["jobs"], json!([]));
}

#[test]
fn a_mesh_is_taken_in_placed_and_given_to_the_page() {
    let shop = Shop::open();
    let job = shop.job(SMALL);
    let mut stl = String::from("solid box\n");
    for (a, b, c) in [
        ((0, 0, 0), (1, 0, 0), (0, 1, 0)),
        ((0, 0, 0), (0, 1, 0), (0, 0, 1)),
        ((0, 0, 0), (0, 0, 1), (1, 0, 0)),
        ((1, 0, 0), (0, 0, 1), (0, 1, 0)),
    ] {
        stl.push_str("facet normal 0 0 0\nouter loop\n");
        [a, b, c]
            .iter()
            .for_each(|v| stl.push_str(&format!("vertex {} {} {}\n", 10 * v.0 + 50, 10 * v.1 + 50, 10 * v.2 + 50)));
        stl.push_str("endloop\nendfacet\n");
    }
    stl.push_str("endsolid\n");
    let put = |name: &str, version: &Value, bytes: &[u8]| {
        let address = format!("{}/meshes/{name}?version={version}", path(&job));
        shop.send("PUT", &address, &[("Content-Type", "application/octet-stream")], bytes)
    };
    let taken = put("scan.stl", &json!(1), stl.as_bytes());
    assert_eq!(taken.status, 200, "{}", String::from_utf8_lossy(&taken.body));
    let taken = taken.json();
    assert_eq!((taken["mesh"]["triangles"].as_i64(), &taken["mesh"]["size_mm"]), (Some(4), &json!([10.0, 10.0, 10.0])));
    let edits = json!([{"op": "insert", "path": ["keepout", 1], "value": {"name": "scan", "shape": "mesh", "file": "scan.stl", "unit": "cm"}}]);
    let job2 = shop.done("POST", &format!("{}/edits", path(&job)), &edit(&json!(2), edits), 200);
    let shape = &job2["bay"]["keepouts"][1]["shape"];
    assert_eq!(
        (shape["kind"].as_str(), shape["file"].as_str()),
        (Some("mesh"), Some("scan.stl")),
        "{}",
        job2["problems"]
    );
    assert_eq!(shape["bounds"]["max"], json!([600.0, 600.0, 600.0]), "{}", job2["problems"]);
    let numbers = |bytes: &[u8], at: usize| f32::from_le_bytes(bytes[at..at + 4].try_into().unwrap());
    let placed = shop.get(&format!("{}/meshes/scan.stl", path(&job))).body;
    assert_eq!(u32::from_le_bytes(placed[4..8].try_into().unwrap()), 4);
    let most = (0..4 * 3).map(|i| numbers(&placed, 8 + 4 * i)).fold(0.0, f32::max);
    assert_eq!((placed.len(), most), (8 + 4 * 12 + 4 * 12, 600.0));
    let raw = shop.get(&format!("{}/meshes/scan.stl?raw=true", path(&job))).body;
    assert_eq!((0..4 * 3).map(|i| numbers(&raw, 8 + 4 * i)).fold(0.0, f32::max), 60.0);
    assert_eq!(put("scan.stl", &json!(1), stl.as_bytes()).status, 409);
    assert_eq!(put("scan.exe", &json!(3), stl.as_bytes()).status, 422);
    assert_eq!(put("job.toml", &json!(3), stl.as_bytes()).status, 422);
    assert_eq!(put("..%2Fscan.stl", &json!(3), stl.as_bytes()).status, 422);
    assert_eq!(put("bad.stl", &json!(3), b"solid\nnothing").status, 422);
    assert_eq!(shop.get(&format!("{}/meshes/other.stl", path(&job))).status, 404);
    // A scan that comes to lie over a port is a mistake, and is shown all the same: how else could it be fixed?
    let swallowed = json!([{"op": "set", "path": ["port", 0, "at"], "value": [530, 530, 530]}]);
    let job3 = shop.done("POST", &format!("{}/edits", path(&job)), &edit(&json!(3), swallowed), 200);
    assert!(job3["problems"].as_array().unwrap().iter().any(|p| p["severity"] == "error"), "{}", job3["problems"]);
    assert_eq!((&job3["bay_stale"], &job3["bay"]["keepouts"][1]["shape"]), (&json!(false), shape));
    assert_eq!(job3["bay"]["ports"][0]["at"], json!([530.0, 530.0, 530.0]));
    assert_eq!(shop.get(&format!("{}/meshes/scan.stl", path(&job))).body, placed);
}
