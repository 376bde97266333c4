//! `tubewright papers`: what is written, and what is said when it can't be.
#![allow(clippy::unwrap_used)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

fn run(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_tubewright")).args(args).output().unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn json(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).unwrap_or_else(|e| panic!("{e}: {}", err(output)))
}

fn folder(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("papers-{name}"));
    let _ = fs::remove_dir_all(&path);
    fs::create_dir_all(&path).unwrap();
    path
}

/// A job of trial pieces: `runs` runs, each of `bends` quarter bends that take a piece of stock each.
fn trial_pieces(folder: &Path, name: &str, runs: usize, bends: usize, last: f64) {
    let job = format!(
        "format = 1\nname = {name}\nunits = \"mm\"\n[tube]\nod = 44.45\nwall = 1.65\nmaterial = \"304L\"\n\
         [[stock.bend]]\nclr = 76.2\nangle = 90.0\nlegs = [60.0, 60.0]\nprice = 20.0\n\
         [[stock.straight]]\nlength = 1000.0\nprice = 18.0\n\
         [saw]\nkerf = 1.6\nmin_straight = 12.0\nmin_arc = 5.0\n[cost]\njoint = 14.0\ncut = 2.5\n",
        name = serde_json::to_string(name).unwrap()
    );
    fs::write(folder.join("job.toml"), job).unwrap();
    let mut routes = String::from("format = 1\nunits = \"mm\"\n");
    for run in 1..=runs {
        let rows: Vec<String> =
            (0..bends).map(|k| format!("[30.0, {}.0, 90.0, 76.2]", if k % 2 == 0 { 0 } else { 50 })).collect();
        routes.push_str(&format!("[[primary]]\ncylinder = {run}\nsteps = [{}, [{last:.1}]]\n", rows.join(", ")));
    }
    fs::write(folder.join("routes.toml"), routes).unwrap();
}

fn printed(job: &Path, more: &[&str]) -> Output {
    let path = job.to_str().unwrap();
    let out = job.join("out");
    let mut args = vec!["papers", path, "-o", out.to_str().unwrap(), "--json"];
    args.extend(more);
    run(&args)
}

#[test]
fn a_run_in_one_piece_gets_every_paper_but_no_cut_and_no_jig() {
    let job = folder("one-piece");
    trial_pieces(&job, "one piece", 1, 1, 30.0);
    let output = printed(&job, &[]);
    assert!(output.status.success(), "{}", err(&output));
    let said = json(&output);
    let kinds: Vec<&str> = said["sheets"].as_array().unwrap().iter().map(|s| s["kind"].as_str().unwrap()).collect();
    for kind in ["overview", "stock", "saw", "full-size", "assembly", "inspection", "quote", "cautions"] {
        assert!(kinds.contains(&kind), "{kind}: {kinds:?}");
    }
    assert!(!kinds.contains(&"jig"));
    let file = fs::read(said["files"][0]["file"].as_str().unwrap()).unwrap();
    assert!(file.starts_with(b"%PDF-"));
}

#[test]
fn the_same_job_prints_the_same_bytes() {
    let job = folder("same");
    trial_pieces(&job, "same", 2, 3, 0.0);
    let first = json(&printed(&job, &["--date", "2025-01-02"]));
    let bytes = fs::read(job.join("out/papers.pdf")).unwrap();
    let again = json(&printed(&job, &["--date", "2025-01-02"]));
    assert_eq!(first["hash"], again["hash"]);
    assert!(bytes == fs::read(job.join("out/papers.pdf")).unwrap());
}

#[test]
fn sixty_pieces_and_a_name_of_sixty_letters_are_printed() {
    let job = folder("sixty");
    let name = "W".repeat(60);
    trial_pieces(&job, &name, 12, 5, 0.0);
    let said = json(&printed(&job, &["--only", "saw,assembly,clocking"]));
    let saw = said["sheets"].as_array().unwrap().iter().filter(|s| s["kind"] == "saw").count();
    assert!(saw >= 40, "{saw}");
    assert!(said["files"][0]["pages"].as_u64().unwrap() > 60);
}

#[test]
fn a_character_that_no_font_has_is_a_warning_and_no_failure() {
    let job = folder("glyphs");
    trial_pieces(&job, "cuneiform \u{12000} 排気管 שלום سلام 🔧 #let $x$ <a> \\ \"", 1, 1, 30.0);
    let output = printed(&job, &["--only", "overview"]);
    assert!(output.status.success(), "{}", err(&output));
    assert!(err(&output).contains("U+12000"), "{}", err(&output));
    let warnings = json(&output)["warnings"].to_string();
    assert!(!warnings.contains("排") && !warnings.contains('ש'), "{warnings}");
}

#[test]
fn a_folder_that_cannot_be_written_is_said_by_its_name() {
    let job = folder("unwritable");
    trial_pieces(&job, "x", 1, 1, 30.0);
    let file = job.join("a-file");
    fs::write(&file, "x").unwrap();
    let output = run(&["papers", job.to_str().unwrap(), "-o", file.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("a-file"), "{}", err(&output));
}

#[test]
fn what_is_asked_wrongly_is_said_with_what_was_expected() {
    let job = folder("asked");
    trial_pieces(&job, "x", 1, 1, 30.0);
    for (option, value, expected) in [
        ("--paper", "a5", "tabloid"),
        ("--units", "cm", "mm or in"),
        ("--date", "1.2.2025", "2025-03-31"),
        ("--only", "sawing", "full-size"),
    ] {
        let output = printed(&job, &[option, value]);
        assert_eq!(output.status.code(), Some(2), "{option}");
        assert!(err(&output).contains(expected), "{option}: {}", err(&output));
    }
}

#[test]
fn terms_beside_the_job_are_printed_as_text() {
    let job = folder("terms");
    trial_pieces(&job, "x", 1, 1, 30.0);
    fs::write(job.join("terms.txt"), "# Our terms\n\n#pagebreak() $a$ *no markup*").unwrap();
    assert!(printed(&job, &["--only", "quote"]).status.success());
    fs::write(job.join("terms.txt"), b"\xff\xfe").unwrap();
    let output = printed(&job, &["--only", "quote"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("terms.txt"), "{}", err(&output));
}

#[test]
fn a_tube_too_large_for_the_page_is_tiled_at_full_size() {
    let job = folder("large");
    trial_pieces(&job, "large", 1, 1, 30.0);
    let text = fs::read_to_string(job.join("job.toml")).unwrap();
    let large = text
        .replace("od = 44.45\nwall = 1.65", "od = 219.1\nwall = 2.77")
        .replace("clr = 76.2", "clr = 304.8")
        .replace("legs = [60.0, 60.0]", "legs = [300.0, 300.0]");
    fs::write(job.join("job.toml"), large).unwrap();
    let routes = fs::read_to_string(job.join("routes.toml")).unwrap().replace("76.2", "304.8");
    fs::write(job.join("routes.toml"), routes).unwrap();
    let output = printed(&job, &["--only", "full-size"]);
    assert!(output.status.success(), "{}", err(&output));
    // 829 x 829 mm with its legs needs at least 20 pages of A4.
    assert!(json(&output)["files"][0]["pages"].as_u64().unwrap() >= 16);
}
