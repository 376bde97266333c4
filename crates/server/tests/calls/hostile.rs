//! Damaged jobs and meshes: a reason each time, never an internal error, and the server goes on.

use fuzz::Damage;
use serde_json::json;

use crate::client::{SMALL, Shop, path};

#[test]
fn damaged_jobs_are_kept_with_their_problems() {
    let shop = Shop::open();
    let job = shop.job(SMALL);
    let mut version = 1;
    let mut damage = Damage::new(7);
    let mut with_errors = 0;
    for _ in 0..150 {
        let bytes = damage.text(SMALL.as_bytes());
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let body = json!({"version": version, "label": "Damage", "text": text});
        let answer = shop.call("PUT", &format!("{}/documents/job.toml", path(&job)), &body);
        match answer.status {
            200 => {
                version += 1;
                let problems = answer.json()["problems"].clone();
                with_errors += usize::from(problems.as_array().unwrap().iter().any(|p| p["severity"] == "error"));
            }
            413 | 422 => assert!(answer.json()["error"]["message"].is_string()),
            other => panic!("{other} for {text:?}"),
        }
    }
    assert!(with_errors > 40, "{with_errors}");
    assert_eq!(shop.get(&path(&job)).status, 200);
}

#[test]
fn damaged_routes_and_plans_are_reported() {
    let shop = Shop::open();
    let job = shop.small();
    let mut damage = Damage::new(11);
    for name in ["routes.toml", "cutplan.json"] {
        let whole = shop.get(&format!("{}/documents/{name}", path(&job))).json()["text"].as_str().unwrap().to_string();
        for _ in 0..60 {
            let version = shop.get(&path(&job)).json()["version"].clone();
            let text = String::from_utf8_lossy(&damage.text(whole.as_bytes())).into_owned();
            let body = json!({"version": version, "label": "Damage", "text": text});
            let answer = shop.call("PUT", &format!("{}/documents/{name}", path(&job)), &body);
            assert!([200, 413, 422].contains(&answer.status), "{} for {text:?}", answer.status);
            let quote = shop.get(&format!("{}/quote", path(&job))).status;
            assert!([200, 409].contains(&quote), "{quote} for {text:?}");
        }
        let version = shop.get(&path(&job)).json()["version"].clone();
        let body = json!({"version": version, "label": "Mend", "text": whole});
        shop.done("PUT", &format!("{}/documents/{name}", path(&job)), &body, 200);
    }
    assert_eq!(shop.get(&path(&job)).json()["plan"], job["plan"]);
}

#[test]
fn damaged_meshes_are_refused_or_taken() {
    let shop = Shop::open();
    let job = shop.job(SMALL);
    let mut version = 1;
    let (mut taken, mut refused) = (0, 0);
    for (ending, whole) in fuzz::meshes::sound_files() {
        let name = format!("scan.{ending}");
        let mut damage = Damage::new(13);
        for round in 0..25 {
            let bytes = if round == 0 { whole.clone() } else { damage.binary(&whole) };
            let address = format!("{}/meshes/{name}?version={version}", path(&job));
            let answer = shop.send("PUT", &address, &[("Content-Type", "application/octet-stream")], &bytes);
            match answer.status {
                200 => (version, taken) = (version + 1, taken + 1),
                413 | 422 => {
                    assert!(answer.json()["error"]["message"].as_str().is_some_and(|m| !m.is_empty()));
                    refused += 1;
                }
                other => panic!("{other} for {name}"),
            }
        }
    }
    assert!(taken > 10 && refused > 10, "{taken} taken, {refused} refused");
}

#[test]
fn strange_archives_are_refused_or_taken() {
    let shop = Shop::open();
    let job = shop.small();
    let whole = shop.get(&format!("{}/archive", path(&job))).body;
    let mut damage = Damage::new(17);
    for _ in 0..60 {
        let bytes = damage.binary(&whole);
        let answer = shop.send("POST", "/api/jobs/import", &[("Content-Type", "application/zip")], &bytes);
        assert!([201, 413, 422].contains(&answer.status), "{answer:?}");
    }
}
