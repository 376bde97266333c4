//! First sizes.

use crate::client::{Shop, path};
use serde_json::json;

#[test]
fn sizes_are_those_of_the_command_line() {
    let shop = Shop::open();
    let job = shop.done("POST", "/api/jobs", &json!({"example": "hill-climb-four"}), 201);
    let sizes = shop.get(&format!("{}/sizes", path(&job))).json();
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/hill-climb-four");
    let opened = job::open(&job::Folder::of(&folder)).unwrap();
    let command = app::size_job::size_job(&opened.job).to_json();
    let rules = command["rules"].as_array().unwrap();
    assert!(!rules.is_empty() && rules.len() == sizes["rules"].as_array().unwrap().len());
    for (ours, theirs) in sizes["rules"].as_array().unwrap().iter().zip(rules) {
        for key in ["of", "rule", "low_mm", "high_mm", "source"] {
            assert_eq!(ours[key], theirs[key], "{key}");
        }
    }
    assert_eq!(sizes["pairs"], command["firing"]["pairs"]);
}
