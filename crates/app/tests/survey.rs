//! Surveys read from files: against scipy's solution, with photos that cannot be used, and written into a job.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

use app::survey_job::photo_files::{PhotoFiles, PhotoFolder};
use app::survey_job::write::write;
use app::survey_job::{SurveyReport, survey_job};
use job::Folder;

fn check() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../checks/survey")
}

/// A folder of its own with these files.
fn folder(name: &str, files: &[(&str, &[u8])]) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    for (file, bytes) in files {
        std::fs::write(folder.join(file), bytes).unwrap();
    }
    folder
}

fn survey(folder: &Path) -> Result<SurveyReport, job::Problems> {
    survey_job(&Folder::of(folder), &PhotoFolder::of(folder), &AtomicBool::new(false))
}

#[test]
fn a_survey_comes_out_as_scipy_solves_it() {
    let report = survey(&check().join("given")).unwrap();
    let text = std::fs::read_to_string(check().join("expected.csv")).unwrap();
    let rows: Vec<Vec<&str>> = text.lines().map(|l| l.split(',').collect()).collect();
    let chi2: f64 = rows.iter().find(|r| r[0] == "tape chi2").unwrap()[2].parse().unwrap();
    let json = report.to_json();
    assert!((json["chi2"].as_f64().unwrap() - chi2).abs() < 1e-3);
    let points: Vec<&Vec<&str>> = rows.iter().filter(|r| r[0] == "tape point").collect();
    assert!(points.len() == 19 && report.is_settled());
    for row in points {
        let ours = json["points"].as_array().unwrap().iter().find(|p| p["name"] == row[1]).unwrap();
        for c in 0..3 {
            let theirs: f64 = row[2 + c].parse().unwrap();
            assert!((ours["at_mm"][c].as_f64().unwrap() - theirs).abs() < 2e-3, "{row:?} {ours}");
        }
    }
    assert!(report.text().contains("mount rear"));
}

const PHOTOS: &str = "format = 1\nunits = \"mm\"\n[photos]\nfiles = \"*.*g\"\nside = 44.0\n[frame]\norigin = \"a\"\nforward = [\"b\", \"a\"]\n\
                      left = { mean_normal = [\"a\", \"b\"] }\n[[marker]]\ntag = [1, 2]\nname = [\"a\", \"b\"]\n";

/// A grey photo without anything in it.
fn blank(width: u32) -> Vec<u8> {
    let mut bytes = io::Cursor::new(Vec::new());
    image::GrayImage::from_pixel(width, 400, image::Luma([90])).write_to(&mut bytes, image::ImageFormat::Png).unwrap();
    bytes.into_inner()
}

struct Memory(BTreeMap<String, Vec<u8>>);

impl PhotoFiles for Memory {
    fn names(&self) -> io::Result<Vec<String>> {
        Ok(self.0.keys().cloned().collect())
    }

    fn bytes(&self, name: &str, _most: u64) -> io::Result<Vec<u8>> {
        self.0.get(name).cloned().ok_or_else(|| io::ErrorKind::NotFound.into())
    }
}

#[test]
fn photos_that_cannot_be_used_say_why() {
    let folder = folder("photos", &[("survey.toml", PHOTOS.as_bytes())]);
    let files = [
        ("1.jpg", b"\0\0\0\x18ftypheic\0\0\0\0mif1".to_vec()),
        ("2.jpg", b"\xff\xd8\xff\xe0 this is no photo".to_vec()),
        ("3.jpg", b"GIF89a".to_vec()),
        ("4.png", blank(1200)),
        ("5.png", blank(100)),
    ];
    let memory = Memory(files.into_iter().map(|(n, b)| (n.to_string(), b)).collect());
    let problems = survey_job(&Folder::of(&folder), &memory, &AtomicBool::new(false)).unwrap_err().0;
    let codes: Vec<&str> = problems.iter().map(|p| p.code).collect();
    assert_eq!(codes, ["heic", "broken-photo", "not-a-photo", "panorama", "photo-size"]);
    assert!(problems.iter().all(|p| !p.hint.is_empty() && p.place.spot.as_ref().unwrap().line == 3));
}

#[test]
fn photos_without_markers_give_no_places_and_nothing_breaks() {
    let folder = folder("blank", &[("survey.toml", PHOTOS.as_bytes()), ("1.png", &blank(500)), ("2.png", &blank(500))]);
    let report = survey(&folder).unwrap();
    assert!(!report.is_settled() && report.points().is_empty());
    let json = report.to_json();
    assert!(json["scale"].is_null() && json["fixed"] == false && json["unfixed"] == serde_json::json!(["a", "b"]));
    assert!(report.warnings.0.iter().any(|w| w.code == "no-marker"));
}

#[test]
fn places_are_written_by_place_and_a_number_typed_since_is_kept() {
    let mut text = std::fs::read_to_string(check().join("given/survey.toml")).unwrap();
    text.push_str("\n[[is]]\nport = 1\nat = \"port 1\"\naxis = [\"port 1\", \"rod 1\"]\n[[is]]\ncollector = \"main\"\nat = \"collector\"\n");
    text.push_str("[[is]]\nkeepout = \"shaft\"\nfrom = \"shaft front\"\nto = \"shaft rear\"\n");
    let folder = folder("written", &[("survey.toml", text.as_bytes())]);
    let report = survey(&folder).unwrap();
    let job = "units = \"mm\"\n[[port]]\ncylinder = 1\nat = [1, 2, 3] # guessed\naxis = [0, 1, 0]\n[[collector]]\nname = \"main\"\nat = [0.0, 0.0, 0.0]\n\
               [[keepout]]\nname = \"shaft\"\nfrom = [0, 0, 0]\nto = [1, 1, 1]\n";
    let first = write(&report, job, None, false).unwrap();
    assert!(first.job_text.contains("at = [0.0, 0.0, 0.0] # guessed"), "{}", first.job_text);
    assert!(first.job_text.contains("at = [-627.06, 182.93, -266.25]") && first.job_text.contains("at_sd = ["));
    assert!(first.job_text.contains("axis_sd = 0.") && first.job_text.contains("from = [-249.39, 407.48, 38.82]"));
    assert!(
        first.changes.iter().any(|c| c.text().starts_with("port[0].at: [1, 2, 3] -> [0, 0, 0]")),
        "{:?}",
        first.changes
    );
    assert_eq!(first.kept["covariance_mm2"]["rows"].as_array().unwrap().len(), 57);
    let again = write(&report, &first.job_text, Some(&first.kept), false).unwrap();
    assert!(again.changes.is_empty() && again.job_text == first.job_text);
    let typed = first.job_text.replace("-627.06", "-630");
    let kept = write(&report, &typed, Some(&first.kept), false).unwrap();
    assert!(kept.job_text.contains("-630") && kept.changes[0].kept, "{:?}", kept.changes);
    let replaced = write(&report, &typed, Some(&kept.kept), true).unwrap();
    assert!(replaced.job_text == first.job_text && replaced.changes[0].typed, "{:?}", replaced.changes);
    let missing = write(&report, "units = \"mm\"\n", None, false).unwrap_err();
    assert!(missing.0.len() == 3 && missing.0[0].message.contains("no port of cylinder 1"));
}
