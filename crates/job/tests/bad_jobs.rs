//! Deliberately bad jobs, each with what must be said kept beside it.
//!
//! The first line of each names one code and line that must be among the errors (`must say`) or among the warnings of a
//! job that is taken (`must warn`); the `.txt` beside its patch holds everything that is said. `BLESS=1 cargo test -p job
//! --test bad_jobs` rewrites the latter, to be looked at by eye.
#![allow(clippy::unwrap_used)]

use std::fs;

use fuzz::bad_jobs::{BadJob, bad_jobs, base};

fn problems_of(job: &BadJob) -> job::Problems {
    let files = |name: &str| fs::read(fuzz::from_root("cases/bad-jobs").join(name));
    match job::read_job(&format!("{}.toml", job.name), job.text.as_bytes(), "bad", &files, None) {
        Err(problems) => problems,
        Ok((_, warnings, _)) => warnings,
    }
}

#[test]
fn every_bad_job_is_refused_with_the_message_kept_beside_it() {
    let jobs = bad_jobs();
    assert!(jobs.len() >= 100, "only {} bad jobs were found", jobs.len());
    let mut wrong = Vec::new();
    for job in &jobs {
        let problems = problems_of(job);
        let (must, line) = job.text.lines().next().unwrap().split_once(" at line ").unwrap();
        let (must, code) = must.split_once(": ").unwrap();
        let error = must == "# must say";
        if problems.has_errors() != error {
            wrong.push(format!("{}: {must}, but:\n{problems}\n", job.name));
        }
        let line: usize = line.parse().unwrap();
        let hit = |p: &job::Problem| {
            p.is_error() == error && p.code == code && p.place.spot.as_ref().is_some_and(|s| s.line == line)
        };
        if !problems.0.iter().any(hit) {
            wrong.push(format!("{}: {code} at line {line} is not said, but:\n{problems}\n", job.name));
        }
        for p in problems.0.iter().filter(|p| p.hint.is_empty() || (p.is_error() && p.expected.is_empty())) {
            wrong.push(format!("{}: without hint or expectation: {p}\n", job.name));
        }
        let kept = &job.expected;
        let text = format!("{problems}\n");
        if std::env::var_os("BLESS").is_some() {
            fs::write(kept, &text).unwrap();
        } else if fs::read_to_string(kept).unwrap_or_default() != text {
            wrong.push(format!("{}: says something else than {}:\n{text}", job.name, kept.display()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_job_they_were_made_from_is_good() {
    let base = base();
    let read = job::read_job("base.toml", base.as_bytes(), "x", &job::no_mesh_files, None);
    let (_, warnings, _) = read.unwrap_or_else(|p| panic!("{p}"));
    assert_eq!(warnings, job::Problems::default(), "{warnings}");
}
