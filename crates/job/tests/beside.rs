//! The small files beside a job: `flange.toml`, `templates.toml`, `bender.toml`.
#![allow(clippy::unwrap_used)]

use std::path::{Path, PathBuf};

use job::file::{bender_file, details_file};
use job::open_beside;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// The first block of TOML after a heading of the manual.
fn block(heading: &str) -> String {
    let manual = std::fs::read_to_string(root().join("docs/job-format.md")).unwrap();
    let after = manual.split(&format!("\n## {heading}\n")).nth(1).unwrap();
    after.split("```toml\n").nth(1).unwrap().split("```").next().unwrap().to_string()
}

#[test]
fn the_manual_names_every_key() {
    let manual = std::fs::read_to_string(root().join("docs/job-format.md")).unwrap();
    let keys = details_file::keys().into_iter().chain(bender_file::keys()).map(|k| k.name);
    let missing: Vec<&str> = keys
        .filter(|key| {
            let forms = [
                format!("`{key}`"),
                format!("\n{key} = "),
                format!("[[{key}]]"),
                format!(".{key}]]"),
                format!("{key} = {{"),
            ];
            !forms.iter().any(|form| manual.contains(form)) && !manual.contains(&format!(" {key} = "))
        })
        .collect();
    assert!(missing.is_empty(), "docs/job-format.md does not name {missing:?}");
}

#[test]
fn the_manuals_own_files_are_read_without_a_word() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("beside-manual");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    for name in ["flange.toml", "templates.toml", "bender.toml"] {
        std::fs::write(folder.join(name), block(name)).unwrap();
    }
    let beside = open_beside(&folder).unwrap_or_else(|p| panic!("{p}"));
    assert!(beside.warnings.0.is_empty(), "{}", beside.warnings);
    let details = beside.details;
    assert_eq!(
        (details.flanges.len(), details.collectors.len(), details.copes.len(), details.mitres.len()),
        (1, 1, 1, 1)
    );
    assert!(beside.bender.unwrap().tool(76.2, 44.45).is_some());
}

#[test]
fn a_job_without_them_has_nothing_beside_it() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("beside-none/job");
    std::fs::create_dir_all(&folder).unwrap();
    let beside = open_beside(&folder).unwrap();
    assert!(beside.bender.is_none() && beside.details.flanges.is_empty());
}

#[test]
fn all_that_is_wrong_in_all_of_them_is_said_at_once() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("beside-wrong");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("flange.toml"), "[[flange]]\nname = \"x\"\nshape = \"ovl\"\n").unwrap();
    std::fs::write(folder.join("templates.toml"), "[[mitre]]\nname = \"x\"\nod = -3\n").unwrap();
    std::fs::write(folder.join("bender.toml"), "tool = 3\n").unwrap();
    let said = open_beside(&folder).unwrap_err();
    for words in ["`cylinders` is missing", "oval", "`od` cannot be -3", "`tool`"] {
        assert!(said.to_string().contains(words), "{words}: {said}");
    }
    assert!(said.0.iter().all(|p| !p.hint.is_empty()), "{said}");
}
