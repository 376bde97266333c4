//! Photos of a survey: taken in one by one, bad ones refused, looked through and adjusted, their places put into the job.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use crate::client::{SMALL, Shop, events, path};

fn given() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../checks/photos/given")
}

fn put(shop: &Shop, job: &Value, name: &str, version: i64, bytes: &[u8]) -> crate::client::Answer {
    let address = format!("{}/photos/{name}?version={version}", path(job));
    shop.send("PUT", &address, &[("Content-Type", "application/octet-stream")], bytes)
}

/// Adds all photos of the kept set; the version after.
fn put_all(shop: &Shop, job: &Value, mut version: i64) -> i64 {
    for number in 1..=8 {
        let name = format!("IMG_{number:02}.jpg");
        let answer = put(shop, job, &name, version, &std::fs::read(given().join(&name)).unwrap());
        assert_eq!(answer.status, 200, "{}", String::from_utf8_lossy(&answer.body));
        version += 1;
    }
    version
}

#[test]
fn photos_become_places_of_the_job() {
    let shop = Shop::open();
    let job = shop.job(SMALL);
    let version = put_all(&shop, &job, 1);
    let survey = format!("{}/survey", path(&job));
    // Markers are known as soon as a photo is there; nothing can be adjusted without survey.toml.
    let before = shop.get(&survey).json();
    assert!(before["photos"]["photos"].as_array().unwrap().iter().all(|p| p["state"] == "searched"), "{before}");
    let mut text = std::fs::read_to_string(given().join("survey.toml")).unwrap();
    text.push_str("\n[[is]]\nport = 1\nat = \"port 1\"\n");
    let body = json!({"version": version, "label": "survey", "text": text});
    shop.done("PUT", &format!("{}/documents/survey.toml", path(&job)), &body, 200);
    assert_eq!(shop.get(&survey).json()["photos"]["pending"], true);
    let told = events(&shop.call("POST", &format!("{survey}/adjust"), &json!({})).body);
    assert_eq!(told.iter().filter(|(name, _)| name == "better").count(), 8);
    let (name, done) = told.last().unwrap();
    assert_eq!(name, "done");
    let photos = &done["survey"]["photos"];
    assert_eq!((&photos["pending"], &done["survey"]["answer"]["settled"]), (&json!(false), &json!(true)), "{done}");
    assert!(photos["photos"].as_array().unwrap().iter().all(|p| p["state"] == "used" && p["from"].is_array()));
    let plates = photos["plates"].as_array().unwrap();
    let shaft = plates.iter().find(|p| p["name"] == "shaft").unwrap();
    assert_eq!((&shaft["moved"]["after"], &shaft["moved"]["from_photo"]), (&json!(5), &json!("IMG_06.jpg")));
    assert_eq!(shop.get(&survey).json(), done["survey"]);
    let write = json!({"version": version + 1});
    let written = shop.done("POST", &format!("{survey}/write"), &write, 200);
    assert_eq!(written["job"]["document"]["port"][0]["at"], json!([0.0, 0.0, 0.0]), "{written}");
    assert!(written["changes"].as_array().unwrap().iter().any(|c| c["path"] == "port[0].axis"));
    // The archive brings the photos along.
    let archive = shop.get(&format!("{}/archive", path(&job))).body;
    let copy = shop.send("POST", "/api/jobs/import", &[("Content-Type", "application/zip")], &archive);
    assert_eq!(copy.status, 201, "{}", String::from_utf8_lossy(&copy.body));
    assert!(copy.json()["documents"].as_array().unwrap().contains(&json!("IMG_08.jpg")));
}

#[test]
fn a_bad_photo_is_refused_by_name_and_the_others_stay() {
    let shop = Shop::open();
    let job = shop.job(SMALL);
    let good = std::fs::read(given().join("IMG_01.jpg")).unwrap();
    assert_eq!(put(&shop, &job, "IMG_01.jpg", 1, &good).status, 200);
    let mut wide = std::io::Cursor::new(Vec::new());
    image::GrayImage::new(1200, 400).write_to(&mut wide, image::ImageFormat::Png).unwrap();
    for (name, bytes, says) in [
        ("a.jpg", &good[..2000], "a.jpg: the file ends early"),
        ("b.png", wide.get_ref().as_slice(), "b.png: 1200 x 400 pixels look like a panorama"),
        ("c.jpg", b"\0\0\0\x18ftypheic\0\0\0\0mif1".as_slice(), "c.jpg: HEIC photos are not read"),
        ("d.jpg", b"".as_slice(), "d.jpg: neither JPEG nor PNG"),
        ("e.heic", &good[..], "e.heic: not a valid name of a photo"),
    ] {
        let answer = put(&shop, &job, name, 2, bytes);
        let error = &answer.json()["error"];
        assert!(error["message"].as_str().unwrap().starts_with(says), "{error}");
        assert!(answer.status == 422 && error["expected"].is_string() && error["hint"].is_string(), "{error}");
    }
    let huge = put(&shop, &job, "huge.jpg", 2, &vec![0; (24 << 20) + 1]);
    assert_eq!((huge.status, huge.json()["error"]["code"].as_str()), (413, Some("too-large")));
    assert_eq!(put(&shop, &job, "IMG_01.jpg", 1, &good).status, 409);
    let photos = shop.get(&format!("{}/survey", path(&job))).json()["photos"]["photos"].clone();
    assert_eq!(photos.as_array().unwrap().len(), 1);
    let small = shop.get(&format!("{}/photos/IMG_01.jpg", path(&job)));
    assert!(small.header("content-type") == Some("image/jpeg") && small.body.starts_with(b"\xff\xd8"));
    shop.done("DELETE", &format!("{}/photos/IMG_01.jpg?version=2", path(&job)), &json!({}), 200);
    assert_eq!(shop.get(&format!("{}/photos/IMG_01.jpg", path(&job))).status, 404);
    assert_eq!(shop.get(&format!("{}/survey", path(&job))).json()["photos"], json!(null));
}
