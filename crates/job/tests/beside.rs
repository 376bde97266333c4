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
    let (beside, wrong) = read_extras(&Folder::of(&folder), None);
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
    let (beside, wrong) = read_extras(&Folder::of(&folder), None);
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
    let (_, said) = read_extras(&Folder::of(&folder), None);
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
            0 => details_file::read_flanges("x", &bytes, None).1,
            1 => details_file::read_templates("x", &bytes, None).1,
            _ => bender_file::read("x", &bytes).1,
        };
        assert!(problems.iter().all(|p| !p.message.is_empty()));
    }
}

/// The codes that a flange.toml gets beside an example's job of 1 3/4 in tube (bore 41.148 mm) with stubs of 28 mm.
fn findings_of(flange: &str) -> Vec<(String, bool)> {
    let job = job::open(&Folder::of(&root().join("examples/hill-climb-four"))).unwrap().job;
    let text = format!("[[flange]]\nname = \"x\"\ncylinders = [1, 2, 3, 4]\n{flange}");
    let (_, problems) = details_file::read_flanges("flange.toml", text.as_bytes(), Some(&job));
    for problem in problems.iter().filter(|p| p.code != "default") {
        assert!(problem.place.spot.is_some(), "{problem}");
        assert!(!problem.expected.is_empty() && !problem.hint.is_empty(), "{problem}");
    }
    problems.iter().filter(|p| p.code != "default").map(|p| (p.code.to_string(), p.is_error())).collect()
}

#[test]
fn openings_that_do_not_go_with_their_tube_are_said_with_place_expectation_and_fix() {
    let one = |code: &str, error: bool| vec![(code.to_string(), error)];
    assert_eq!(findings_of("shape = \"round\"\ndiameter = 44.6\nmeets = \"through\"\n"), []);
    assert_eq!(findings_of("meets = \"through\"\ndiameter = 43.0\n"), one("opening-small", true));
    assert_eq!(findings_of("meets = \"through\"\ndiameter = 47.0\n"), one("opening-wide", false));
    let oval = "shape = \"oval\"\nwidth = 44.0\nheight = 36.0\n";
    assert_eq!(findings_of(&format!("{oval}meets = \"through\"\n")), one("opening-shape", true));
    assert_eq!(findings_of(oval), one("opening-step", false));
    let corners = "shape = \"rectangular\"\nwidth = 42.0\nheight = 38.0\ncorner = 4.0\n";
    assert_eq!(findings_of(corners), one("opening-outside-weld", false));
    assert_eq!(findings_of(&format!("{corners}meets = \"butt\"\n")), one("opening-outside-weld", true));
    assert_eq!(findings_of(&format!("{corners}meets = \"butt\"\ntransition = 15.0\n")), []);
    assert_eq!(findings_of(&format!("{corners}meets = \"butt\"\ntransition = 2.0\n")), one("transition-short", true));
    assert_eq!(findings_of(&format!("{corners}meets = \"butt\"\ntransition = 30.0\n")), one("seat-beyond-stub", true));
    assert_eq!(findings_of(&format!("{corners}transition = 15.0\n")), one("conflict", true));
}

#[test]
fn a_pocket_has_a_depth_less_than_its_plate() {
    assert_eq!(findings_of("meets = \"pocket\"\npocket = 4.0\n"), []);
    for bad in ["meets = \"pocket\"\n", "meets = \"pocket\"\npocket = 10.0\n", "pocket = 3.0\n"] {
        assert_eq!(findings_of(bad).len(), 1, "{bad}");
        assert!(findings_of(bad)[0].1, "{bad}");
    }
}

#[test]
fn first_pieces_start_where_flange_toml_puts_their_tubes() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("beside-seat");
    std::fs::create_dir_all(&folder).unwrap();
    let text = std::fs::read_to_string(root().join("examples/twin-entry-turbo/job.toml")).unwrap();
    std::fs::write(folder.join("job.toml"), text).unwrap();
    let seat = |flange: &str| {
        std::fs::write(folder.join("flange.toml"), flange).unwrap();
        job::open(&Folder::of(&folder)).unwrap().job.ports[0].seat
    };
    let head = "[[flange]]\nname = \"x\"\ncylinders = [1, 2, 3, 4]\nthickness = 12.0\n";
    assert_eq!(seat(head), 0.0);
    assert_eq!(seat(&format!("{head}meets = \"through\"\n")), 0.0);
    assert!((seat(&format!("{head}meets = \"butt\"\n")) - 12.0).abs() < 1e-9);
    assert!((seat(&format!("{head}meets = \"pocket\"\npocket = 5.0\n")) - 7.0).abs() < 1e-9);
}

#[test]
fn what_a_collectors_body_overrides_is_warned_of() {
    let job = job::open(&Folder::of(&root().join("examples/hill-climb-four"))).unwrap().job;
    let text = "[[collector]]\nname = \"merge\"\nlean = 10.0\noutlet_od = 80.0\n";
    let (_, problems) = details_file::read_templates("templates.toml", text.as_bytes(), Some(&job));
    let said: Vec<&str> = problems.iter().filter(|p| p.code == "overridden").map(|p| p.message.as_str()).collect();
    assert!(said.len() == 2 && said[0].contains("`lean`") && said[1].contains("`outlet_od`"), "{said:?}");
    assert!(problems.iter().all(|p| !p.is_error()));
}
