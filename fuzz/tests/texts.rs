//! The readers of job.toml, stock.toml, routes.toml and cutplan.json, fed with damaged files: they answer
//! with what they read or with problems fit to be shown; they never panic and never ask for much memory.
#![allow(clippy::unwrap_used)]

use std::path::PathBuf;

use app::saved_plan::{Saved, saved_plan};
use fuzz::bad_jobs::bad_jobs;
use fuzz::{Damage, files_below, from_root, peak_memory, rounds};
use job::Problems;
use job::file::routes_file;
use job::model::Job;

/// Most memory that reading files of some kilobytes may take, bytes, the test program with its threads included.
const MOST_MEMORY: u64 = 1 << 31;

fn read_job(bytes: &[u8], shop: Option<&[u8]>) -> Result<Job, Problems> {
    job::read_job("job.toml", bytes, "x", &job::no_mesh_files, shop.map(|s| ("stock.toml", s))).map(|(job, _, _)| job)
}

/// What is said must be fit to be shown.
fn presentable(problems: &Problems) {
    assert!(problems.has_errors());
    let text = problems.to_string();
    assert!(!text.chars().any(|c| c.is_control() && c != '\n'), "{text:?}");
    for p in &problems.0 {
        assert!(!p.message.is_empty() && !p.hint.is_empty(), "{p}");
        if let Some(s) = &p.place.spot {
            assert!(s.line >= 1 && s.column >= 1 && s.mark_len >= 1);
        }
    }
    assert!(problems.to_json().is_array());
}

/// Counts of what was read and what was refused: damage that is all refused, or all read, finds nothing.
#[derive(Default, Debug)]
struct Tally {
    good: usize,
    bad: usize,
}

impl Tally {
    fn count<T>(&mut self, read: Result<T, Problems>) -> Option<T> {
        match read {
            Ok(read) => {
                self.good += 1;
                Some(read)
            }
            Err(problems) => {
                self.bad += 1;
                presentable(&problems);
                None
            }
        }
    }

    fn hold(&self) {
        assert!(self.good > 0 && self.bad > self.good / 20, "{self:?}: the damage is too tame or too wild");
        let peak = peak_memory().unwrap_or(0);
        assert!(peak < MOST_MEMORY, "{} MiB were asked for", peak >> 20);
    }
}

fn texts(folder: &str) -> Vec<Vec<u8>> {
    let files = files_below(folder, &["toml"]).unwrap();
    assert!(!files.is_empty());
    files.into_iter().map(|f| std::fs::read(f).unwrap()).collect()
}

/// A job that gives everything there is to give.
fn full() -> Vec<u8> {
    std::fs::read(from_root("crates/job/tests/full.toml")).unwrap()
}

#[test]
fn job_files() {
    let mut sound = texts("examples");
    sound.push(full());
    let odd: Vec<Vec<u8>> = bad_jobs().into_iter().map(|j| j.text.into_bytes()).collect();
    let (mut damage, mut tally) = (Damage::new(1), Tally::default());
    for i in 0..rounds(6_000) {
        let text = if i % 3 == 0 { damage.one(&odd).clone() } else { damage.one(&sound).clone() };
        tally.count(read_job(&damage.text(&text), None));
    }
    tally.hold();
}

#[test]
fn stock_files() {
    let bare = b"format = 1\nunits = \"mm\"\n[tube]\nod = 44.45\nwall = 1.65\nmaterial = \"304\"\n";
    let text = String::from_utf8(full()).unwrap();
    let stock = format!(
        "format = 1\nunits = \"mm\"\n[price]\ncurrency = \"EUR\"\nlabour_per_hour = 60\n[time]\ntrial_fit = 40\n{}",
        &text[text.find("[[stock.bend]]").unwrap()..]
    );
    read_job(bare, Some(stock.as_bytes())).unwrap();
    let (mut damage, mut tally) = (Damage::new(2), Tally::default());
    for _ in 0..rounds(3_000) {
        tally.count(read_job(bare, Some(&damage.text(stock.as_bytes()))));
    }
    tally.hold();
}

#[test]
fn surveys() {
    let sound = std::fs::read(from_root("checks/survey/given/survey.toml")).unwrap();
    let (mut damage, mut tally) = (Damage::new(7), Tally::default());
    for _ in 0..rounds(2_000) {
        let (file, problems) = job::file::survey_file::read("survey.toml", &damage.text(&sound));
        let problems = Problems(problems);
        assert_eq!(file.is_none(), problems.has_errors());
        tally.count(file.ok_or(problems));
    }
    tally.hold();
}

/// Kept jobs with routes and a cut plan, each in its folder.
fn cut_jobs() -> Vec<PathBuf> {
    let plans = files_below("checks/cut-verifier/given", &["json"]).unwrap();
    let folders: Vec<PathBuf> = plans.iter().filter_map(|p| p.parent().map(PathBuf::from)).collect();
    let whole: Vec<PathBuf> =
        folders.into_iter().filter(|f| f.join("job.toml").is_file() && f.join("routes.toml").is_file()).collect();
    assert!(whole.len() > 3, "{whole:?}");
    whole
}

#[test]
fn routes_files() {
    let steps =
        b"format = 1\n[[primary]]\ncylinder = 1\nsteps = [[60, 0, 90, 76.2], [50.0, 90.0, 180.0, \"3 in\"], [80.0]]\n\
                  [[tail]]\nfrom = \"main\"\npoints = [[0,0,0], [1500,0,0]]\nradii = []\n\
                  [[collector]]\nname = \"main\"\nat = [0,0,0]\naxis = [1,0,0]\nup = [0,0,1]\n";
    let mut given = vec![(read_job(&full(), None).unwrap(), steps.to_vec())];
    for folder in cut_jobs().into_iter().step_by(3) {
        let job = job::open(&job::Folder::of(&folder)).unwrap().job;
        given.push((job, std::fs::read(folder.join("routes.toml")).unwrap()));
    }
    for (job, text) in &given {
        routes_file::read("routes.toml", text, job).unwrap();
    }
    let (mut damage, mut tally) = (Damage::new(3), Tally::default());
    for _ in 0..rounds(3_000) {
        let (job, text) = damage.one(&given).clone();
        if let Some((routes, _)) = tally.count(routes_file::read("routes.toml", &damage.text(&text), &job)) {
            // What was taken is written and read back as it was.
            let again = routes_file::write(&routes, job.units);
            routes_file::read("routes.toml", again.as_bytes(), &job).unwrap_or_else(|p| panic!("{again}\n{p}"));
        }
    }
    tally.hold();
}

#[test]
fn cut_plans() {
    let given: Vec<_> = cut_jobs()
        .into_iter()
        .map(|folder| {
            let opened = job::open(&job::Folder::of(&folder)).unwrap();
            let (routes, _) = job::open_routes(&job::Folder::of(&folder), &opened.job).unwrap().unwrap();
            (opened.job, routes, std::fs::read(folder.join("cutplan.json")).unwrap())
        })
        .collect();
    let mut damage = Damage::new(4);
    let (mut fits, mut stale, mut broken) = (0, 0, 0);
    for _ in 0..rounds(3_000) {
        let (job, routes, text) = damage.one(&given).clone();
        let text = damage.text(&text);
        let Ok(text) = String::from_utf8(text) else { continue };
        match saved_plan(&text, &cutplan::CutJob::of(&job), &routes, job.units) {
            Saved::Fits(plan) => {
                fits += 1;
                assert!(plan.cost.0 >= 0);
            }
            Saved::Stale(why) => {
                stale += 1;
                assert!(!why.is_empty());
            }
            Saved::Broken(why) => {
                broken += 1;
                assert!(!why.is_empty());
            }
        }
    }
    assert!(fits > 0 && stale > 50 && broken > 50, "{fits} {stale} {broken}");
}
