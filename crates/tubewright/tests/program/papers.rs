//! `tubewright papers`: what is written, and what is said when it can't be.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use crate::user::{PROGRAM, err, folder, object, run};

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
    let mut args = vec!["sheets", path, "-o", out.to_str().unwrap(), "--json"];
    args.extend(more);
    run(&args)
}

#[test]
fn a_run_in_one_piece_gets_every_paper_but_no_cut_and_no_jig() {
    let job = folder("papers-one-piece");
    trial_pieces(&job, "one piece", 1, 1, 30.0);
    let output = printed(&job, &["--set", "full"]);
    assert!(output.status.success(), "{}", err(&output));
    let said = object(&output);
    let kinds: Vec<&str> = said["sheets"].as_array().unwrap().iter().map(|s| s["kind"].as_str().unwrap()).collect();
    for kind in ["overview", "stock", "saw", "full-size", "assembly", "inspection", "quote", "cautions"] {
        assert!(kinds.contains(&kind), "{kind}: {kinds:?}");
    }
    assert!(!kinds.contains(&"jig"));
    let file = fs::read(said["files"][0]["file"].as_str().unwrap()).unwrap();
    assert!(file.starts_with(b"%PDF-"));
}

#[test]
fn the_short_set_has_no_bends_at_full_size_and_the_quote_is_apart() {
    let job = folder("papers-short");
    trial_pieces(&job, "short", 2, 3, 0.0);
    let said = object(&printed(&job, &[]));
    let of = |file: &str| -> Vec<String> {
        let sheets = said["sheets"].as_array().unwrap().iter().filter(|s| s["file"] == file);
        sheets.map(|s| s["kind"].as_str().unwrap().to_string()).collect()
    };
    let shop = of("papers.pdf");
    assert_eq!(shop.first().map(String::as_str), Some("cautions"));
    assert!(shop.iter().all(|k| k != "full-size" && k != "quote"), "{shop:?}");
    assert_eq!(of("quote.pdf"), ["quote"]);
    assert!(job.join("out/papers.pdf").is_file() && job.join("out/quote.pdf").is_file());
    fs::remove_file(job.join("out/papers.pdf")).unwrap();
    assert!(printed(&job, &["--only", "quote"]).status.success());
    assert!(!job.join("out/papers.pdf").exists());
}

#[test]
fn the_same_job_prints_the_same_bytes() {
    let job = folder("papers-same");
    trial_pieces(&job, "same", 2, 3, 0.0);
    let first = object(&printed(&job, &["--date", "2025-01-02"]));
    let bytes = fs::read(job.join("out/papers.pdf")).unwrap();
    let again = object(&printed(&job, &["--date", "2025-01-02"]));
    assert_eq!(first["hash"], again["hash"]);
    assert!(bytes == fs::read(job.join("out/papers.pdf")).unwrap());
}

#[test]
fn sixty_pieces_and_a_name_of_sixty_letters_are_printed() {
    let job = folder("papers-sixty");
    let name = "W".repeat(60);
    trial_pieces(&job, &name, 12, 5, 0.0);
    let said = object(&printed(&job, &["--only", "saw,assembly,clocking"]));
    let saw = said["sheets"].as_array().unwrap().iter().filter(|s| s["kind"] == "saw").count();
    assert!(saw >= 40, "{saw}");
    assert!(said["files"][0]["pages"].as_u64().unwrap() > 60);
}

#[test]
fn a_character_that_no_font_has_is_a_warning_and_no_failure() {
    let job = folder("papers-glyphs");
    trial_pieces(&job, "cuneiform \u{12000} 排気管 שלום سلام 🔧 #let $x$ <a> \\ \"", 1, 1, 30.0);
    let output = printed(&job, &["--only", "overview"]);
    assert!(output.status.success(), "{}", err(&output));
    assert!(err(&output).contains("U+12000"), "{}", err(&output));
    let warnings = object(&output)["warnings"].to_string();
    assert!(!warnings.contains("排") && !warnings.contains('ש'), "{warnings}");
}

#[test]
fn a_folder_that_cannot_be_written_is_said_by_its_name() {
    let job = folder("papers-unwritable");
    trial_pieces(&job, "x", 1, 1, 30.0);
    let file = job.join("a-file");
    fs::write(&file, "x").unwrap();
    let output = run(&["sheets", job.to_str().unwrap(), "-o", file.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("a-file"), "{}", err(&output));
}

#[test]
fn what_is_asked_wrongly_is_said_with_what_was_expected() {
    let job = folder("papers-asked");
    trial_pieces(&job, "x", 1, 1, 30.0);
    for (option, value, expected) in [
        ("--paper", "a5", "tabloid"),
        ("--units", "cm", "mm or in"),
        ("--date", "1.2.2025", "2025-03-31"),
        ("--only", "sawing", "full-size"),
        ("--set", "whole", "short or full"),
    ] {
        let output = printed(&job, &[option, value]);
        assert_eq!(output.status.code(), Some(2), "{option}");
        assert!(err(&output).contains(expected), "{option}: {}", err(&output));
    }
}

#[test]
fn terms_beside_the_job_are_printed_as_text() {
    let job = folder("papers-terms");
    trial_pieces(&job, "x", 1, 1, 30.0);
    fs::write(job.join("terms.txt"), "# Our terms\n\n#pagebreak() $a$ *no markup*").unwrap();
    assert!(printed(&job, &["--only", "quote"]).status.success());
    fs::write(job.join("terms.txt"), b"\xff\xfe").unwrap();
    let output = printed(&job, &["--only", "quote"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("terms.txt"), "{}", err(&output));
}

#[test]
fn terms_in_the_folder_above_are_found_from_within_the_job() {
    let shop = folder("papers-shop");
    let job = shop.join("job");
    fs::create_dir_all(&job).unwrap();
    trial_pieces(&job, "x", 1, 1, 30.0);
    fs::write(shop.join("terms.txt"), b"\xff\xfe").unwrap();
    let within = Command::new(PROGRAM).args(["sheets", ".", "--only", "quote"]).current_dir(&job).output().unwrap();
    assert_eq!(within.status.code(), Some(2), "the terms are read, and they are no text");
    assert!(err(&within).contains("terms.txt"), "{}", err(&within));
    fs::write(shop.join("terms.txt"), "# Our terms").unwrap();
    let within = Command::new(PROGRAM).args(["sheets", ".", "--only", "quote"]).current_dir(&job).output().unwrap();
    assert!(within.status.success(), "{}", err(&within));
}

#[test]
fn a_tube_too_large_for_the_page_is_tiled_at_full_size() {
    let job = folder("papers-large");
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
    assert!(object(&output)["files"][0]["pages"].as_u64().unwrap() >= 16);
}

/// The text of a page by its number from 1, as poppler reads it; `None` without poppler.
fn page_text(file: &Path, page: usize) -> Option<String> {
    let page = page.to_string();
    let read = Command::new("pdftotext").args(["-f", &page, "-l", &page, file.to_str()?, "-"]).output().ok()?;
    Some(String::from_utf8_lossy(&read.stdout).into_owned())
}

#[test]
fn an_inch_job_is_told_in_inches_on_every_page() {
    let job = folder("papers-inches");
    let made = run(&["new", job.join("j").to_str().unwrap(), "--cylinders", "2", "--units", "in"]);
    assert!(made.status.success(), "{}", err(&made));
    let job = job.join("j");
    // A port that leans, a mitred bend, a cope and a keep-out in the way: their words too.
    let text = fs::read_to_string(job.join("job.toml")).unwrap();
    let keepout = "\n[[keepout]]\nname = \"dipstick\"\nshape = \"sphere\"\ncenter = [0.0, 0.8, 1.6]\nradius = 0.4\n";
    fs::write(job.join("job.toml"), format!("{text}{keepout}")).unwrap();
    let templates = "format = 1\nunits = \"in\"\n[[cope]]\nname = \"bung\"\nbranch_od = 0.875\nrun_od = 1.75\nangle = 60\n\
                     [[mitre]]\nname = \"elbow\"\nod = 2\nclr = 3\nangle = 90\nsegments = 4\n";
    fs::write(job.join("templates.toml"), templates).unwrap();
    let out = job.join("out");
    let built = run(&["build", job.to_str().unwrap(), "-o", out.to_str().unwrap(), "--effort", "0", "--json"]);
    assert_eq!(built.status.code(), Some(1), "{}", err(&built));
    let summary = object(&built);
    let unmet = summary["unmet"].to_string();
    assert!(unmet.contains(" in too close to dipstick") && !unmet.contains(" mm"), "{unmet}");
    assert!(!summary["relaxations"].to_string().contains(" mm"), "{}", summary["relaxations"]);
    let report = fs::read_to_string(out.join("report.txt")).unwrap();
    assert!(!report.contains(" mm"), "{report}");
    let file = out.join("papers/papers.pdf");
    let mut pages = 0;
    while let Some(text) = page_text(&file, pages + 1).filter(|t| !t.trim().is_empty()) {
        pages += 1;
        let strange: Vec<&str> = text.lines().filter(|l| l.contains(" mm") && !l.contains("100 mm")).collect();
        assert!(strange.is_empty(), "page {pages}: {strange:?}");
        assert!(text.contains("NOT MET: do not cut"), "page {pages}: {text}");
    }
    assert!(pages > 10 || page_text(&file, 1).is_none(), "{pages}");
}

#[test]
fn words_come_in_the_unit_that_is_asked_for() {
    let job = folder("papers-asked-unit");
    trial_pieces(&job, "x", 1, 2, 30.0);
    for (units, wanted, other) in [("in", "1 3/4 in", "44.45 mm"), ("mm", "44.45", "1 3/4")] {
        let output = printed(&job, &["--only", "templates,assembly", "--units", units]);
        assert!(output.status.success(), "{}", err(&output));
        let Some(text) = page_text(&job.join("out/papers.pdf"), 1) else { continue };
        assert!(text.contains(wanted.trim_end_matches(" in")) && !text.contains(other), "{units}: {text}");
    }
}

#[test]
fn straights_of_no_length_and_a_bend_beside_a_bend_are_printed() {
    let job = folder("papers-no-length");
    trial_pieces(&job, "no length", 1, 1, 0.0);
    let routes =
        "format = 1\nunits = \"mm\"\n[[primary]]\ncylinder = 1\nsteps = [[0, 0, 90, 76.2], [0, 90, 45, 76.2], [0]]\n";
    fs::write(job.join("routes.toml"), routes).unwrap();
    let output = printed(&job, &["--set", "full"]);
    assert!(output.status.success(), "{}", err(&output));
    let said = object(&output);
    let kinds: Vec<&str> = said["sheets"].as_array().unwrap().iter().map(|s| s["kind"].as_str().unwrap()).collect();
    assert!(kinds.contains(&"clocking") && kinds.contains(&"saw"), "{kinds:?}");
}

#[test]
fn a_machine_without_fonts_prints_with_those_of_the_program() {
    let job = folder("papers-no-fonts");
    trial_pieces(&job, "排気管 שלום", 1, 1, 30.0);
    let out = job.join("out");
    // Asked for by the name the command had first. No font of the user can be found: the home is empty and the name's letters are in the program's own fonts.
    let output = Command::new(PROGRAM)
        .args(["papers", job.to_str().unwrap(), "-o", out.to_str().unwrap(), "--json", "--only", "overview"])
        .env_clear()
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", err(&output));
    assert_eq!(object(&output)["warnings"].as_array().unwrap().len(), 0);
    if let Some(text) = page_text(&out.join("papers.pdf"), 1) {
        assert!(text.contains("排気管"), "{text}");
    }
}
