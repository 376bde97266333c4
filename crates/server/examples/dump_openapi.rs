//! tmp
#![allow(clippy::unwrap_used)]
fn main() {
    std::fs::write(
        "crates/server/openapi.json",
        format!("{}\n", serde_json::to_string_pretty(&server::openapi()).unwrap()),
    )
    .unwrap();
}
