//! The small files beside a job: `flange.toml`, `templates.toml`, `bender.toml`.
#![allow(clippy::unwrap_used)]

use std::path::{Path, PathBuf};

use job::file::{bender_file, details_file};
use job::{Folder, read_extras};

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
    let (beside, wrong) = read_extras(&Folder::of(&folder));
    assert!(wrong.0.is_empty(), "{wrong}");
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
    let (beside, wrong) = read_extras(&Folder::of(&folder));
    assert!(wrong.0.is_empty(), "{wrong}");
    assert!(beside.bender.is_none() && beside.details.flanges.is_empty());
}

#[test]
fn all_that_is_wrong_in_all_of_them_is_said_at_once() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("beside-wrong");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("flange.toml"), "[[flange]]\nname = \"x\"\nshape = \"ovl\"\n").unwrap();
    std::fs::write(folder.join("templates.toml"), "[[mitre]]\nname = \"x\"\nod = -3\n").unwrap();
    std::fs::write(folder.join("bender.toml"), "tool = 3\n").unwrap();
    let (_, said) = read_extras(&Folder::of(&folder));
    for words in ["`cylinders` is missing", "oval", "`od` cannot be -3", "`tool`"] {
        assert!(said.to_string().contains(words), "{words}: {said}");
    }
    assert!(said.0.iter().all(|p| !p.hint.is_empty()), "{said}");
}

#[test]
fn rubbish_is_refused_and_never_a_panic() {
    let texts = ["flange.toml", "templates.toml", "bender.toml"].map(block);
    let mut state = 7_u64;
    let mut random = |below: usize| {
        // Knuth's MMIX generator.
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % below
    };
    for round in 0..3000 {
        let mut bytes = texts[round % 3].clone().into_bytes();
        for _ in 0..=random(4) {
            let at = random(bytes.len());
            match random(3) {
                0 => bytes[at] = random(256) as u8,
                1 => drop(bytes.drain(at..(at + random(20)).min(bytes.len()))),
                _ => {
                    let piece = bytes[at..(at + random(30)).min(bytes.len())].to_vec();
                    bytes.splice(at..at, piece);
                }
            }
        }
        let problems = match round % 3 {
            0 => details_file::read_flanges("x", &bytes).1,
            1 => details_file::read_templates("x", &bytes).1,
            _ => bender_file::read("x", &bytes).1,
        };
        assert!(problems.iter().all(|p| !p.message.is_empty()));
    }
}
