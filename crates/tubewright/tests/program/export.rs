//! `export` run as a user runs it.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::user::{STOCK, err, folder, run};

const TUBE: &str =
    "format = 1\nname = \"排気 <b> #1\"\nunits = \"mm\"\n[tube]\nod = 44.45\nwall = 1.65\nmaterial = \"304\"\n";
const ROUTES: &str = "format = 1\n[[primary]]\ncylinder = 1\nsteps = [[60, 0, 90, 76.2], [80.0, 90, 40, 76.2], [30.0]]\n\
                      [[primary]]\ncylinder = 2\npoints = [[0, 200, 0], [180, 200, 0]]\nradii = []\n";

/// A job with routes, in a folder of its own.
fn job(name: &str, text: &str) -> PathBuf {
    let path = folder(name);
    fs::write(path.join("job.toml"), text).unwrap();
    fs::write(path.join("routes.toml"), ROUTES).unwrap();
    path
}

/// Exports and returns the files' names.
fn exported(job: &Path, args: &[&str]) -> Vec<String> {
    let out = job.join("exports");
    let mut all = vec!["export", job.to_str().unwrap(), "-o", out.to_str().unwrap(), "--json"];
    all.extend(args);
    let output = run(&all);
    assert!(output.status.success(), "{args:?}: {}", err(&output));
    let listed: Value = serde_json::from_slice(&output.stdout).unwrap();
    let files = listed["files"].as_array().unwrap();
    let name = |f: &Value| {
        let file = PathBuf::from(f.as_str().unwrap());
        assert!(fs::metadata(&file).unwrap().len() > 0, "{}", file.display());
        file.strip_prefix(&out).unwrap().to_str().unwrap().to_string()
    };
    files.iter().map(name).collect()
}

#[test]
fn everything_is_written_under_a_name_that_every_system_takes() {
    let job = job("export-all", &format!("{TUBE}{STOCK}"));
    let files = exported(&job, &["-f", "all"]);
    for ending in
        [".step", ".stl", ".3mf", ".glb", "-xyz.csv", "-lra.csv", "-cutlist.csv", "-cutlist.xlsx", "-quote.xlsx"]
    {
        let wanted = format!("排気-b-1{ending}");
        assert!(files.contains(&wanted), "{wanted}: {files:?}");
    }
    // The same job gives the same bytes.
    let bytes =
        |files: &[String]| files.iter().map(|f| fs::read(job.join("exports").join(f)).unwrap()).collect::<Vec<_>>();
    let first = bytes(&files);
    assert_eq!(first, bytes(&exported(&job, &["-f", "all"])));
}

#[test]
fn a_single_piece_and_a_single_run_can_be_asked_for() {
    let job = job("export-one", &format!("{TUBE}{STOCK}"));
    assert_eq!(exported(&job, &["-f", "step", "--of", "1a"]), ["排気-b-1-1a.step"]);
    let text = fs::read_to_string(job.join("exports/排気-b-1-1a.step")).unwrap();
    assert_eq!(text.matches("MANIFOLD_SOLID_BREP").count(), 1);
    assert_eq!(exported(&job, &["-f", "stl", "--of", "primary 2", "--solid"]), ["排気-b-1-primary-2.stl"]);
}

#[test]
fn routes_alone_are_exported_whole_and_need_stock_only_for_their_pieces() {
    let job = job("export-routes", TUBE);
    assert_eq!(exported(&job, &["-f", "step,xyz"]).len(), 2);
    let text = fs::read_to_string(job.join("exports/排気-b-1.step")).unwrap();
    assert_eq!(text.matches("MANIFOLD_SOLID_BREP").count(), 2);
    let output = run(&["export", job.to_str().unwrap(), "-f", "cutlist", "-o", job.join("x").to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("[saw]") && err(&output).contains("[stock]"), "{}", err(&output));
}

#[test]
fn trial_pieces_fit_the_bed_that_is_given() {
    let job = job("export-trial", &format!("{TUBE}{STOCK}"));
    let coarse = exported(&job, &["-f", "stl,3mf", "--trial"]);
    let fine = exported(&job, &["-f", "stl", "--trial", "--bed", "100x100x90"]);
    assert!(coarse.contains(&"trial/1A.stl".to_string()) && fine.len() > coarse.len(), "{coarse:?} {fine:?}");
}

#[test]
fn what_cannot_be_exported_is_said_with_what_was_expected() {
    let job = job("export-wrong", &format!("{TUBE}{STOCK}"));
    let path = job.to_str().unwrap();
    let out = job.join("o");
    let out = out.to_str().unwrap();
    for (args, says) in [
        (&["-f", "stp"][..], "write `step`"),
        (&["-f", "step", "--of", "7Q"], "there are primary 1, primary 2, 1A"),
        (&["-f", "dxf", "--of", "1A"], "leave out --of for dxf"),
        (&["-f", "stl", "--trial", "--bed", "220x220"], "width, depth and height"),
        (&["-f", "stl", "--trial", "--bed", "30x30x30"], "too small"),
        (&["-f", "stl", "--tolerance", "0"], "0.001 to 2 mm"),
    ] {
        let mut all = vec!["export", path, "-o", out];
        all.extend(args);
        let output = run(&all);
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        assert!(err(&output).contains(says), "{args:?}: {}", err(&output));
    }
    // A folder that cannot be made: its name is a file's.
    fs::write(job.join("taken"), "x").unwrap();
    let taken = job.join("taken/exports");
    let output = run(&["export", path, "-f", "glb", "-o", taken.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("cannot be written"), "{}", err(&output));
}

#[test]
fn a_bend_through_itself_is_refused() {
    let job = job("export-tight", TUBE);
    let routes = "format = 1\n[[primary]]\ncylinder = 1\npoints = [[0,0,0],[100,0,0],[100,100,0]]\nradii = [20]\n";
    fs::write(job.join("routes.toml"), routes).unwrap();
    let output = run(&["export", job.to_str().unwrap(), "-f", "step", "-o", job.join("o").to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("would run through itself"), "{}", err(&output));
}

#[test]
fn a_bending_machine_is_checked_and_its_springback_added() {
    let job = job("export-bender", TUBE);
    let bender = "format = 1\nunits = \"mm\"\nlast_straight = 50\nend_allowance = 120\n[[tool]]\nod = 44.45\nclr = 76.2\nclamp = 90\n\
                  [[tool.measured]]\nangle = 90\nspringback = 2.7\nelongation = 4\n";
    fs::write(job.join("bender.toml"), bender).unwrap();
    exported(&job, &["-f", "lra"]);
    let output = run(&["export", job.to_str().unwrap(), "-f", "lra", "-o", job.join("o").to_str().unwrap()]);
    for words in
        ["the first straight is 60.0 mm", "only 80.0 mm straight before bend 2", "the last straight is 30.0 mm"]
    {
        assert!(err(&output).contains(words), "{words}: {}", err(&output));
    }
    let table = fs::read_to_string(job.join("exports/排気-b-1-lra.csv")).unwrap();
    let row = table.lines().find(|l| l.starts_with("primary 1,1,")).unwrap();
    assert_eq!(row, "primary 1,1,60.000,0.000,90.000,76.200,92.700,2.700,4.000,CLR 76.2,,");
    // 60 + 80 + 30 and the arcs; less 4 and 4 x 40 / 90, and 120 for the clamps.
    let arcs = 76.2 * 130f64.to_radians();
    let last = table.lines().find(|l| l.starts_with("primary 1,last")).unwrap();
    let cut: f64 = last.rsplit(',').next().unwrap().parse().unwrap();
    assert!((cut - (170.0 + arcs - 4.0 - 4.0 * 40.0 / 90.0 + 120.0)).abs() < 1e-3, "{last}");
    // A file that is wrong is said with its line.
    fs::write(job.join("bender.toml"), bender.replace("clamp", "clmp")).unwrap();
    let output = run(&["export", job.to_str().unwrap(), "-f", "lra", "-o", job.join("o").to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("bender.toml:8:1"), "{}", err(&output));
}

#[test]
fn templates_asked_for_are_drawn_and_what_does_not_go_is_said() {
    let job = job("export-templates", TUBE);
    let templates = "format = 1\nunits = \"mm\"\n[[cope]]\nname = \"bung\"\nbranch_od = 22\nrun_od = 44.45\nangle = 60\n\
                     [[cope]]\nname = \"bend bung\"\nbranch_od = 22\nrun_od = 44.45\nbend = { clr = 76.2, angle = 90, at = 45, out = 20 }\n\
                     [[cope]]\nname = \"too wide\"\nbranch_od = 50\nrun_od = 44.45\n\
                     [[mitre]]\nname = \"elbow\"\nod = 101.6\nclr = 152.4\nangle = 90\nsegments = 4\n";
    fs::write(job.join("templates.toml"), templates).unwrap();
    let files = exported(&job, &["-f", "dxf,svg"]);
    for wanted in ["dxf/cope-bung.dxf", "svg/cope-bend-bung.svg", "dxf/mitre-elbow-middle.dxf"] {
        assert!(files.contains(&wanted.to_string()), "{wanted}: {files:?}");
    }
    let output = run(&["export", job.to_str().unwrap(), "-f", "dxf", "-o", job.join("o").to_str().unwrap()]);
    assert!(err(&output).contains("too wide is not drawn"), "{}", err(&output));
}
