//! `tubewright build` into one folder again and again: what belongs to another answer never stays, and no kill or full disk
//! leaves files of two answers side by side unsaid.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use serde_json::Value;

use crate::user::{PROGRAM, all_output, run};

/// A keep-out that stands too near to the first port's stub, whatever the route.
const IN_THE_WAY: &str =
    "\n[[keepout]]\nname = \"dipstick\"\nshape = \"sphere\"\ncenter = [0.0, 20.0, 40.0]\nradius = 10.0\n";

/// What a report begins with when a requirement is not met.
const NOT_MET: &str = "The job cannot be met as specified";

/// A starter job of two cylinders in a folder of its own, and its text.
fn starter(name: &str) -> (PathBuf, String) {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_dir_all(&path);
    let made = run(&["new", path.to_str().unwrap(), "--cylinders", "2"]);
    assert!(made.status.success(), "{}", all_output(&made));
    let text = fs::read_to_string(path.join("job.toml")).unwrap();
    (path, text)
}

fn build(job: &Path) -> Command {
    let mut command = Command::new(PROGRAM);
    let out = job.join("out");
    command.args(["build", job.to_str().unwrap(), "-o", out.to_str().unwrap(), "--effort", "0", "--json"]);
    command
}

/// Every file below a folder, hidden ones too, by its name within it.
fn files(folder: &Path) -> Vec<String> {
    fn gather(at: &Path, base: &Path, found: &mut Vec<String>) {
        for entry in fs::read_dir(at).into_iter().flatten().flatten() {
            let path = entry.path();
            if path.is_dir() {
                gather(&path, base, found);
            } else {
                found.push(path.strip_prefix(base).unwrap().to_string_lossy().into_owned());
            }
        }
    }
    let mut found = Vec::new();
    gather(folder, folder, &mut found);
    found.sort();
    found
}

/// The files that the summary of a folder lists, with those that every build writes.
fn listed(out: &Path) -> Vec<String> {
    let summary: Value = serde_json::from_str(&fs::read_to_string(out.join("summary.json")).unwrap()).unwrap();
    let mut names: Vec<String> =
        summary["files"].as_array().unwrap().iter().map(|n| n.as_str().unwrap().to_string()).collect();
    names.extend(["report.txt", "routes.toml", "summary.json"].map(String::from));
    names.sort();
    names
}

#[test]
fn not_met_then_met_then_not_met_leaves_nothing_of_the_other_answer() {
    let (job, text) = starter("build-back-and-forth");
    let out = job.join("out");
    for met in [false, true, false] {
        fs::write(job.join("job.toml"), if met { text.clone() } else { format!("{text}{IN_THE_WAY}") }).unwrap();
        let built = build(&job).output().unwrap();
        assert_eq!(built.status.code(), Some(i32::from(!met)), "{}", all_output(&built));
        let summary: Value = serde_json::from_slice(&built.stdout).unwrap();
        let kept: Value = serde_json::from_str(&fs::read_to_string(out.join("summary.json")).unwrap()).unwrap();
        assert_eq!(summary, kept);
        assert_eq!(summary["met"], met);
        assert_eq!(summary["unmet"].as_array().unwrap().is_empty(), met);
        let names = files(&out);
        assert_eq!(names, listed(&out), "met: {met}");
        assert_eq!(names.iter().any(|n| n.starts_with("exports/")), met, "exports are of met jobs only");
        let report = fs::read_to_string(out.join("report.txt")).unwrap();
        assert_eq!(report.contains(NOT_MET), !met, "{report}");
        assert_eq!(report.contains("too close to dipstick"), !met, "{report}");
        // Poppler, where it is, reads the flag on every page of a job that is not met and on none of one that is.
        if let Ok(read) =
            Command::new("pdftotext").args([out.join("papers/papers.pdf").to_str().unwrap(), "-"]).output()
        {
            let text = String::from_utf8_lossy(&read.stdout).into_owned();
            let pages: Vec<&str> = text.split('\u{c}').filter(|p| !p.trim().is_empty()).collect();
            assert!(pages.len() > 10, "{}", pages.len());
            assert!(pages.iter().all(|p| p.contains("NOT MET: do not cut") != met), "met: {met}");
        }
    }
}

#[test]
fn a_kill_at_any_moment_leaves_one_answer_whole_or_none_that_says_it_is() {
    let (job, text) = starter("build-killed");
    let out = job.join("out");
    assert!(build(&job).output().unwrap().status.success());
    let begun = std::time::Instant::now();
    assert!(build(&job).output().unwrap().status.success());
    let whole = begun.elapsed();
    let first = fs::read_to_string(out.join("summary.json")).unwrap();
    let (mut killed, mut finished) = (0, 0);
    for i in 0..12 {
        fs::write(job.join("job.toml"), if i % 2 == 0 { format!("{text}{IN_THE_WAY}") } else { text.clone() }).unwrap();
        let mut child = build(&job).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        // Most of them near the end, where files are written.
        std::thread::sleep(whole.mul_f64(0.4 + 0.06 * f64::from(i)));
        child.kill().unwrap();
        killed += usize::from(child.wait().unwrap().code().is_none());
        let Ok(summary) = fs::read_to_string(out.join("summary.json")) else { continue };
        let summary: Value = serde_json::from_str(&summary).unwrap_or_else(|e| panic!("{i}: {e}"));
        finished += 1;
        // The papers are those of the summary: the hash of routes and plan is on their pages and in the summary.
        for name in summary["files"].as_array().unwrap() {
            assert!(out.join(name.as_str().unwrap()).is_file(), "{i}: {name} is not there");
        }
        let met = summary["met"] == true;
        assert_eq!(fs::read_to_string(out.join("report.txt")).unwrap().contains(NOT_MET), !met, "{i}");
    }
    assert!(killed > 0 && finished > 0, "{killed} killed, {finished} with a summary; {first}");
    fs::write(job.join("job.toml"), &text).unwrap();
    assert!(build(&job).output().unwrap().status.success());
    assert_eq!(files(&out), listed(&out), "the next build clears away what the killed ones left");
}

#[test]
fn a_full_disk_leaves_the_last_build_as_it_was() {
    let (job, text) = starter("build-full");
    let out = job.join("out");
    assert!(build(&job).output().unwrap().status.success());
    let before: Vec<(String, Vec<u8>)> =
        files(&out).into_iter().map(|n| (n.clone(), fs::read(out.join(&n)).unwrap())).collect();
    fs::write(job.join("job.toml"), format!("{text}{IN_THE_WAY}")).unwrap();
    // No file may have more than 8 kB (16 blocks of 512 bytes): routes fit, papers do not.
    let script = "trap '' XFSZ; ulimit -f 16; exec \"$0\" \"$@\"";
    let mut full = Command::new("sh");
    let full = full.args(["-c", script, PROGRAM, "build", job.to_str().unwrap(), "-o", out.to_str().unwrap()]);
    let full = full.args(["--effort", "0"]).output().unwrap();
    assert_eq!(full.status.code(), Some(2), "{}", all_output(&full));
    assert!(all_output(&full).contains("cannot be written"), "{}", all_output(&full));
    let after: Vec<(String, Vec<u8>)> =
        files(&out).into_iter().map(|n| (n.clone(), fs::read(out.join(&n)).unwrap())).collect();
    assert!(before == after, "{:?}", files(&out));
}

#[test]
fn route_and_papers_too_leave_whole_files_when_they_are_killed_or_the_disk_is_full() {
    let (job, _) = starter("route-killed");
    let path = job.to_str().unwrap();
    let routed = run(&["route", path, "--effort", "0"]);
    assert!(routed.status.success(), "{}", all_output(&routed));
    let papers = job.join("papers");
    let print = ["sheets", path, "-o", papers.to_str().unwrap()];
    assert!(Command::new(PROGRAM).args(print).output().unwrap().status.success());
    let names = [files(&job), files(&papers)];
    let route = ["route", path, "--effort", "0", "--seed", "7"];
    for words in [&route[..], &print[..]] {
        // A program that is to be killed may be done sooner, so what is kept is looked at afresh.
        let kept = [job.join("routes.toml"), papers.join("papers.pdf")].map(|f| (f.clone(), fs::read(f).unwrap()));
        let full = ["-c", "trap '' XFSZ; ulimit -f 1; exec \"$0\" \"$@\"", PROGRAM];
        let full = Command::new("sh").args(full).args(words).output().unwrap();
        assert_eq!(full.status.code(), Some(2), "{words:?}: {}", all_output(&full));
        assert!(all_output(&full).contains("cannot be written"), "{words:?}: {}", all_output(&full));
        assert!(kept.iter().all(|(file, bytes)| fs::read(file).unwrap() == *bytes), "{words:?}");
        assert_eq!([files(&job), files(&papers)], names, "{words:?}");
        for i in 0..10 {
            let mut child =
                Command::new(PROGRAM).args(words).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
            std::thread::sleep(Duration::from_millis(40 * i));
            child.kill().unwrap();
            child.wait().unwrap();
            let pdf = fs::read(&kept[1].0).unwrap();
            assert!(pdf.starts_with(b"%PDF-") && pdf.ends_with(b"%%EOF") || pdf.ends_with(b"%%EOF\n"), "{words:?} {i}");
            let routes = fs::read_to_string(&kept[0].0).unwrap();
            assert!(routes.matches("[[primary]]").count() == 2 && routes.ends_with('\n'), "{words:?} {i}");
        }
        assert!(Command::new(PROGRAM).args(words).output().unwrap().status.success());
    }
    assert_eq!([files(&job), files(&papers)], names, "drafts of killed programs are gone");
}
