//! Which crate may import which, held against what cargo says of the workspace.

use std::path::Path;

use serde_json::Value;

use crate::run::{cargo, output};

/// Each crate of crates/ and the crates of this workspace that it may import.
///
/// A new arrow needs a page in docs/decisions. `tubewright` knows the data and settings of the stages, so that
/// its options have their types; what it does goes through `app`.
const ALLOWED: [(&str, &[&str]); 15] = [
    ("geom", &[]),
    ("gas", &[]),
    ("survey", &[]),
    ("strength", &["geom"]),
    ("job", &["geom"]),
    ("route", &["geom", "job"]),
    ("cutplan", &["geom", "job", "route"]),
    ("fit", &["geom", "job", "cutplan"]),
    ("template", &["geom", "job", "route"]),
    ("export", &["geom", "job", "cutplan", "template"]),
    ("papers", &["geom", "job", "route", "cutplan", "template"]),
    ("app", &["fit", "gas", "geom", "job", "route", "cutplan", "template", "export", "papers", "strength", "survey"]),
    ("store", &[]),
    ("server", &["geom", "job", "route", "cutplan", "papers", "app", "store"]),
    ("tubewright", &["app", "job", "route", "cutplan", "export", "papers", "server", "store"]),
];

/// Says every import that is not allowed.
///
/// # Errors
/// One line for each, or why cargo could not say.
pub fn arrows(root: &Path) -> Result<(), String> {
    let text = output(&mut cargo(root, &["metadata", "--no-deps", "--format-version", "1"]))?;
    let metadata: Value = serde_json::from_str(&text).map_err(|e| format!("cargo metadata: {e}"))?;
    let wrong = wrong_arrows(&metadata);
    if wrong.is_empty() { Ok(()) } else { Err(wrong.join("\n          ")) }
}

fn wrong_arrows(metadata: &Value) -> Vec<String> {
    let packages = || metadata["packages"].as_array().into_iter().flatten();
    let name = |package: &Value| package["name"].as_str().unwrap_or_default().to_string();
    let ours: Vec<String> = packages().map(name).collect();
    let mut wrong = Vec::new();
    for package in packages() {
        let manifest = package["manifest_path"].as_str().unwrap_or_default().replace('\\', "/");
        if !manifest.contains("/crates/") {
            continue;
        }
        let from = name(package);
        let Some((_, allowed)) = ALLOWED.iter().find(|a| a.0 == from) else {
            wrong.push(format!("{from} has no line in xtask/src/tidy/arrows.rs"));
            continue;
        };
        for dependency in package["dependencies"].as_array().into_iter().flatten() {
            let to = name(dependency);
            // Tests may look anywhere: only what is built into the crate counts.
            if dependency["kind"] != "dev" && ours.contains(&to) && !allowed.contains(&to.as_str()) {
                wrong.push(format!("{from} must not import {to}"));
            }
        }
    }
    wrong
}

#[cfg(test)]
mod tests {
    use super::wrong_arrows;
    use serde_json::json;

    #[test]
    fn an_arrow_against_the_flow_is_said_and_a_test_may_have_it() {
        let metadata = |kind| {
            json!({"packages": [
                {"name": "geom", "manifest_path": "/p/crates/geom/Cargo.toml",
                 "dependencies": [{"name": "job", "kind": kind}, {"name": "glam", "kind": null}]},
                {"name": "job", "manifest_path": "/p/crates/job/Cargo.toml",
                 "dependencies": [{"name": "geom", "kind": null}]},
            ]})
        };
        assert_eq!(wrong_arrows(&metadata(json!(null))), ["geom must not import job"]);
        assert!(wrong_arrows(&metadata(json!("dev"))).is_empty());
    }
}
