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
use survey::photo::detect::detect;
use survey::photo::flaws::cut_off;
use survey::photo::grey::Grey;

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

fn photo_check() -> PathBuf {
    check().join("../photos")
}

/// The kept photos with another survey.toml.
struct KeptPhotos;

impl PhotoFiles for KeptPhotos {
    fn names(&self) -> io::Result<Vec<String>> {
        PhotoFolder(photo_check().join("given")).names()
    }

    fn bytes(&self, name: &str, most: u64) -> io::Result<Vec<u8>> {
        PhotoFolder(photo_check().join("given")).bytes(name, most)
    }
}

/// True places by marker, mm.
fn truth() -> BTreeMap<u32, [f64; 3]> {
    let text = std::fs::read_to_string(photo_check().join("truth.csv")).unwrap();
    let row = |line: &str| {
        let cells: Vec<f64> = line.split(',').map(|c| c.parse().unwrap()).collect();
        (cells[0] as u32, [cells[1], cells[2], cells[3]])
    };
    text.lines().skip(1).map(row).collect()
}

fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    (0..3).map(|c| (a[c] - b[c]).powi(2)).sum::<f64>().sqrt()
}

/// A survey of the kept photos with a stud that only a tape reaches; `bar` as measured, one reading `slip` mm too long.
fn photos_and_tape(name: &str, bar: Option<f64>, slip: f64) -> SurveyReport {
    const STUD: [f64; 3] = [-150.0, 250.0, 120.0];
    let truth = truth();
    let names = ["port 1", "port 2", "port 3", "port 4", "collector", "bracket", "hose", "rail", "mount"];
    let text = std::fs::read_to_string(photo_check().join("given/survey.toml")).unwrap();
    let (head, _) = text.split_once("[[marker]]").unwrap();
    let mut text = head.replace("measured = 200.0", &format!("measured = {}", bar.unwrap_or(200.0)));
    if bar.is_none() {
        let (before, rest) = text.split_once("[photos.bar]").unwrap();
        text = format!("{before}{}", &rest[rest.find("[frame]").unwrap()..]);
    }
    text.push_str("[measured]\ntape = [\n");
    for (i, name) in names.iter().enumerate() {
        let off = if i == 5 { slip } else { [0.4, -0.6, 0.2, -0.3, 0.7, 0.0, -0.5, 0.3, 0.1][i] };
        text.push_str(&format!("[\"stud\", \"{name}\", {:.1}],\n", distance(STUD, truth[&(i as u32)]) + off));
    }
    text.push_str(&format!("[\"port 1\", \"rail\", {:.1}],\n", distance(truth[&0], truth[&7])));
    text.push_str(&format!("[\"port 4\", \"mount\", {:.1}],\n", distance(truth[&3], truth[&8])));
    text.push_str(&format!("[\"collector\", \"mount\", {:.1}],\n]\n", distance(truth[&4], truth[&8])));
    for (tag, name) in names.iter().enumerate() {
        text.push_str(&format!("[[marker]]\ntag = {tag}\nname = \"{name}\"\n"));
    }
    let folder = folder(name, &[("survey.toml", text.as_bytes())]);
    let report = survey_job(&Folder::of(&folder), &KeptPhotos, &AtomicBool::new(false)).unwrap();
    let at = |name: &str| {
        let point = report.points().into_iter().find(|p| report.file.names[p.name] == name);
        point.unwrap_or_else(|| panic!("{name}: {}", report.text())).at.to_array()
    };
    assert!(distance(at("stud"), STUD) < 1.5, "{:?}", at("stud"));
    // Markers keep the exactness of photos.
    for (tag, name) in names.iter().enumerate() {
        assert!(
            distance(at(name), truth[&(tag as u32)]) < if bar.is_some() { 0.6 } else { 1.2 },
            "{name} {:?}",
            at(name)
        );
    }
    report
}

#[test]
fn readings_and_photos_are_adjusted_together_and_a_slip_of_the_tape_is_named() {
    let report = photos_and_tape("joined", Some(200.0), 25.0);
    let json = report.to_json();
    assert!(report.is_settled(), "{}", report.text());
    assert_eq!(json["slips"].as_array().unwrap().len(), 1, "{}", json["slips"]);
    assert_eq!(json["slips"][0]["between"], serde_json::json!(["stud", "bracket"]));
    assert_eq!(json["scale"]["from"], "bar and tape");
    // Nine points of photos have 9 x 3 - 7 components and the bar; 12 readings, one of them left out.
    assert_eq!(json["redundancy"], 20 + 1 + 11 - 30 + 6);
    let port = json["points"].as_array().unwrap().iter().find(|p| p["name"] == "port 2").unwrap();
    let marker = json["markers"].as_array().unwrap().iter().find(|m| m["name"] == "port 2").unwrap();
    assert_eq!((&port["at_mm"], &port["sd_mm"]), (&marker["at_mm"], &marker["sd_mm"]));
}

#[test]
fn a_tape_alone_gives_the_size_of_photos() {
    let report = photos_and_tape("taped-size", None, 0.2);
    let scale = report.to_json()["scale"].clone();
    assert!((scale["print"].as_f64().unwrap() - 0.985).abs() < 0.003 && scale["from"] == "tape", "{scale}");
    assert!(report.is_settled() && report.to_json()["slips"] == serde_json::json!([]), "{}", report.text());
}

#[test]
fn a_bar_that_was_read_wrong_is_named() {
    let report = photos_and_tape("bar", Some(210.0), 0.2);
    let warning = report.warnings.0.iter().find(|w| w.code == "scale").expect("named");
    let says = warning.message.rsplit_once("say ").and_then(|s| s.1.trim_end_matches(" mm").parse::<f64>().ok());
    assert!(warning.message.contains("210.0 mm"), "{}", warning.message);
    assert!(says.is_some_and(|mm| (mm - 200.0).abs() < 0.6), "{}", warning.message);
    assert!(report.to_json()["slips"] == serde_json::json!([]), "{}", report.text());
}

#[test]
fn readings_are_not_lost_while_photos_cannot_be_used() {
    let text = std::fs::read_to_string(check().join("given/survey.toml")).unwrap();
    let text = format!("{text}\n[photos]\nfiles = \"*.jpg\"\nside = 44.0\n");
    let report = survey(&folder("no-photos", &[("survey.toml", text.as_bytes())])).unwrap();
    assert!(report.is_settled() && report.warnings.0.iter().any(|w| w.code == "photo-count"), "{}", report.text());
}

#[test]
fn the_place_of_a_scan_is_written() {
    let mut text = std::fs::read_to_string(check().join("given/survey.toml")).unwrap();
    text.push_str("\n[[is]]\nkeepout = \"engine\"\nplace = [\"port 1\", \"port 4\", \"mount front\"]\n");
    let report = survey(&folder("scan", &[("survey.toml", text.as_bytes())])).unwrap();
    let job = "[[keepout]]\nname = \"engine\"\nshape = \"mesh\"\nfile = \"e.stl\"\n\
               place = { mesh = [[1, 2, 3], [4, 5, 6], [7, 8, 10]], at = [[0, 0, 0], [1, 0, 0], [0, 1, 0]] }\n";
    let written = write(&report, job, None, false).unwrap();
    assert!(written.job_text.contains("at = [[0.0, 0.0, 0.0], [-31"), "{}", written.job_text);
    assert!(written.job_text.contains("mesh = [[1, 2, 3], [4, 5, 6], [7, 8, 10]]"));
    assert!(write(&report, &written.job_text, Some(&written.kept), false).unwrap().changes.is_empty());
    let typed = written.job_text.replace("[[0.0, 0.0, 0.0]", "[[5.0, 0.0, 0.0]");
    assert!(write(&report, &typed, Some(&written.kept), false).unwrap().changes[0].kept);
    let unpicked = "[[keepout]]\nname = \"engine\"\nshape = \"mesh\"\nfile = \"e.stl\"\n";
    assert_eq!(write(&report, unpicked, None, false).unwrap_err().0[0].code, "no-scan-points");
}

fn kept_photo(name: &str) -> Vec<u8> {
    std::fs::read(photo_check().join("given").join(name)).unwrap()
}

fn png(picture: &image::GrayImage) -> Vec<u8> {
    let mut bytes = io::Cursor::new(Vec::new());
    picture.write_to(&mut bytes, image::ImageFormat::Png).unwrap();
    bytes.into_inner()
}

/// The left part of one of these photos whose edge cuts a marker that the others do not show often enough.
fn cut_through_a_marker(names: &[&str], others: &[image::GrayImage]) -> image::GrayImage {
    let search = |picture: &image::GrayImage| {
        let size = [picture.width() as usize, picture.height() as usize];
        (detect(&Grey::new(size[0], size[1], picture.as_raw().clone()).unwrap()), size)
    };
    let others: Vec<_> = others.iter().map(search).collect();
    let named = |picture: &image::GrayImage| {
        let here = search(picture);
        let all: Vec<_> = others.iter().chain([&here]).map(|(found, size)| (found, *size)).collect();
        cut_off(&all, 3).iter().any(|c| c.photo == others.len())
    };
    let cut = names.iter().flat_map(|name| {
        let whole = decoded(name);
        let left = move |width: u32| image::imageops::crop_imm(&whole, 0, 0, width, whole.height()).to_image();
        (400..1200).rev().step_by(8).map(left)
    });
    cut.into_iter().find(named).expect("some edge cuts a marker")
}

fn decoded(name: &str) -> image::GrayImage {
    image::load_from_memory(&kept_photo(name)).unwrap().into_luma8()
}

#[test]
fn a_photo_more_blurred_than_the_others_and_one_that_cuts_a_marker_are_named() {
    let blurred = image::imageops::blur(&decoded("IMG_02.jpg"), 3.0);
    let others = [decoded("IMG_03.jpg"), decoded("IMG_07.jpg"), blurred.clone()];
    let cut = cut_through_a_marker(&["IMG_05.jpg", "IMG_01.jpg", "IMG_06.jpg", "IMG_08.jpg"], &others);
    let text = std::fs::read_to_string(photo_check().join("given/survey.toml")).unwrap().replace("IMG_*.jpg", "*.*g");
    let files: Vec<(&str, Vec<u8>)> = vec![
        ("survey.toml", text.into_bytes()),
        ("1.jpg", kept_photo("IMG_03.jpg")),
        ("2.jpg", kept_photo("IMG_07.jpg")),
        ("3-cut.png", png(&cut)),
        ("4-blurred.png", png(&blurred)),
    ];
    let files: Vec<(&str, &[u8])> = files.iter().map(|(n, b)| (*n, b.as_slice())).collect();
    let report = survey(&folder("flawed", &files)).unwrap();
    let named = |code: &str| -> Vec<&str> {
        report.warnings.0.iter().filter(|w| w.code == code).map(|w| w.message.as_str()).collect()
    };
    let [blur] = named("blurred-photo")[..] else { panic!("{:?}", report.warnings.0) };
    assert!(blur.starts_with("4-blurred.png: blurred by "), "{blur}");
    assert!(named("cut-off").iter().any(|m| m.starts_with("3-cut.png: the edge of the photo cuts off marker")));
    assert!(report.warnings.0.iter().all(|w| !w.hint.is_empty()));
}

#[test]
fn axes_on_points_with_too_few_readings_are_named() {
    let text = std::fs::read_to_string(check().join("given/survey.toml")).unwrap();
    let code = |report: &SurveyReport| report.warnings.0.iter().any(|w| w.code == "axes-unchecked");
    assert!(!code(&survey(&folder("axes", &[("survey.toml", text.as_bytes())])).unwrap()));
    // The point that gives z, reached by three tapes only.
    let down = "[\"new\", \"port 1\", 372.5],\n[\"new\", \"port 4\", 416.5],\n[\"new\", \"mount front\", 255.0],\n";
    let (head, tail) = text.split_once("tape = [\n").unwrap();
    let loose = format!("{head}tape = [\n{down}{tail}");
    let given = loose.lines().find(|l| l.starts_with("down")).unwrap();
    let loose = loose.replace(given, "down = \"new\"");
    let report = survey(&folder("loose-axes", &[("survey.toml", loose.as_bytes())])).unwrap();
    assert!(code(&report), "{:?}", report.warnings.0);
}

#[test]
fn photos_of_two_lenses_and_a_number_twice_are_named() {
    let decoded = decoded("IMG_02.jpg");
    // Cut to another size: another lens. Two copies side by side, one over the other: every number twice.
    let cut = image::imageops::crop_imm(&decoded, 0, 0, 1000, 900).to_image();
    let mut double = image::GrayImage::new(1200, 1800);
    image::imageops::replace(&mut double, &decoded, 0, 0);
    image::imageops::replace(&mut double, &decoded, 0, 900);
    let blurred = image::imageops::blur(&decoded, 9.0);
    let text = std::fs::read_to_string(photo_check().join("given/survey.toml")).unwrap().replace("IMG_*.jpg", "*.*g");
    let files: Vec<(&str, Vec<u8>)> = vec![
        ("survey.toml", text.into_bytes()),
        ("1.jpg", kept_photo("IMG_03.jpg")),
        ("2.jpg", kept_photo("IMG_07.jpg")),
        ("3-cut.png", png(&cut)),
        ("4-twice.png", png(&double)),
        ("5-blurred.png", png(&blurred)),
        ("6-torn.jpg", kept_photo("IMG_04.jpg")[..60_000].to_vec()),
    ];
    let files: Vec<(&str, &[u8])> = files.iter().map(|(n, b)| (*n, b.as_slice())).collect();
    let report = survey(&folder("mixed", &files)).unwrap();
    let warned = |code: &str, says: &str| report.warnings.0.iter().any(|w| w.code == code && w.message.contains(says));
    for (code, says) in [
        ("mixed-lenses", "3 cameras or lenses"),
        ("marker-twice", "4-twice.png"),
        ("no-marker", "5-blurred.png"),
        ("broken-photo", "6-torn.jpg: the file ends early"),
        ("no-exif", "say no focal length"),
    ] {
        assert!(warned(code, says), "{code}: {:?}", report.warnings.0);
    }
}
