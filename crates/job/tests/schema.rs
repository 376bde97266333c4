//! The JSON Schema of job.toml: kept fresh, and true of the jobs that the reader takes.
#![allow(clippy::unwrap_used)]

use std::path::{Path, PathBuf};

use job::model::{Layout, Units};
use job::starter::{PITCH, Starter, starter};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A TOML text as the JSON that a schema speaks of.
fn json(text: &str) -> serde_json::Value {
    serde_json::to_value(toml::from_str::<toml::Table>(text).unwrap()).unwrap()
}

fn faults(text: &str) -> Vec<String> {
    let validator = jsonschema::validator_for(&job::schema::schema()).unwrap();
    validator.iter_errors(&json(text)).map(|e| format!("{}: {e}", e.instance_path)).collect()
}

#[test]
fn the_kept_schema_is_fresh() {
    let kept = root().join("docs/job.schema.json");
    if std::env::var_os("BLESS").is_some() {
        std::fs::write(&kept, job::schema::text()).unwrap();
    }
    let text = std::fs::read_to_string(&kept).unwrap_or_default();
    assert!(
        text == job::schema::text(),
        "docs/job.schema.json is stale: BLESS=1 cargo test -p job --test schema writes it"
    );
}

#[test]
fn jobs_that_the_reader_takes_fit_the_schema() {
    let mut texts =
        vec![include_str!("full.toml").to_string(), include_str!("../../../cases/bad-jobs/base.toml").to_string()];
    for (layout, cylinders) in [(Layout::Single, 1), (Layout::Inline, 4), (Layout::Inline, 6), (Layout::Vee, 8)] {
        for (units, turbo) in [(Units::Mm, false), (Units::Inch, true)] {
            texts.push(starter(&Starter { name: "x".into(), layout, cylinders, units, turbo, pitch: PITCH }).unwrap());
        }
    }
    let mut examples = 0;
    for place in ["examples", "cases"] {
        for entry in std::fs::read_dir(root().join(place)).into_iter().flatten() {
            let file = entry.unwrap().path().join("job.toml");
            if file.is_file() {
                texts.push(std::fs::read_to_string(&file).unwrap());
                examples += 1;
            }
        }
    }
    for text in &texts {
        let faults = faults(text);
        assert!(faults.is_empty(), "{}\n{}", faults.join("\n"), &text[..text.len().min(200)]);
    }
    println!("{} jobs, {examples} of them from examples and cases", texts.len());
}

#[test]
fn what_is_wrong_with_one_value_or_key_is_wrong_by_the_schema_too() {
    let base = include_str!("../../../cases/bad-jobs/base.toml");
    for (from, to) in [
        ("wall = 1.65", "walll = 1.65"),
        ("od = 44.45", "od = -44.45"),
        ("layout = \"inline\"", "layout = \"in line\""),
        ("at = [-96.0, 0.0, 0.0]", "at = [-96.0, 0.0]"),
        ("price = 24.0", "price = \"24\""),
        ("inlets = 4", "inlets = 4.5"),
        ("kerf = 1.6\n", ""),
        ("holds_ports = true", "holds_ports = 1"),
        ("angle = 180.0", "angle = 400.0"),
    ] {
        assert!(base.contains(from), "{from}");
        let text = base.replacen(from, to, 1);
        assert!(!faults(&text).is_empty(), "the schema takes {to}");
        let read = job::read_job("x", text.as_bytes(), "x", &job::no_mesh_files, None);
        assert!(read.is_err(), "the reader takes {to}");
    }
}

#[test]
fn the_manual_names_every_key() {
    let manual = std::fs::read_to_string(root().join("docs/job-format.md")).unwrap();
    let schema = job::schema::schema();
    let mut missing = Vec::new();
    fn keys(value: &serde_json::Value, found: &mut Vec<String>) {
        match value {
            serde_json::Value::Object(map) => {
                if let Some(serde_json::Value::Object(properties)) = map.get("properties") {
                    found.extend(properties.keys().cloned());
                }
                map.values().for_each(|v| keys(v, found));
            }
            serde_json::Value::Array(list) => list.iter().for_each(|v| keys(v, found)),
            _ => {}
        }
    }
    let mut all = Vec::new();
    keys(&schema, &mut all);
    assert!(all.len() > 80);
    for key in all {
        if !manual.contains(&format!("`{key}`")) && !manual.contains(&format!("\n{key} = ")) && !missing.contains(&key)
        {
            missing.push(key);
        }
    }
    assert!(missing.is_empty(), "docs/job-format.md does not name {missing:?}");
}
