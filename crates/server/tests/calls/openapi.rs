//! The kept OpenAPI document is that of the code. `cargo x bless` rewrites it.

use std::path::Path;

#[test]
fn the_kept_document_is_fresh() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("openapi.json");
    let now = serde_json::to_string_pretty(&server::openapi()).unwrap() + "\n";
    if std::env::var_os("BLESS").is_some() {
        std::fs::write(&file, &now).unwrap();
    }
    let kept = std::fs::read_to_string(&file).unwrap_or_default();
    assert!(kept == now, "crates/server/openapi.json is not that of the code: run `cargo x bless`");
}

#[test]
fn every_call_says_how_it_refuses() {
    let document = serde_json::to_value(server::openapi()).unwrap();
    let mut calls = 0;
    for (path, item) in document["paths"].as_object().unwrap() {
        for (method, call) in item.as_object().unwrap() {
            calls += 1;
            for status in ["400", "404", "409", "413", "415", "422", "503"] {
                assert!(call["responses"][status].is_object() || path == "/api/examples", "{method} {path}: {status}");
            }
            assert!(call["operationId"].is_string() && call["summary"].is_string(), "{method} {path}");
        }
    }
    assert!(calls > 40, "{calls}");
}
