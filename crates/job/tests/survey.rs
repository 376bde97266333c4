//! survey.toml: what is read, and what is said of what cannot be right.
#![allow(clippy::unwrap_used)]

use job::file::survey_file::{keys, read};
use job::survey::{Part, Side, SurveyFile, Tool};
use job::{Problem, Severity};

const GOOD: &str = r#"format = 1
units = "mm"
[frame]
origin = "port 1"
forward = ["port 4", "port 1"]
down = "mount"
left = "rail"
[tools]
tape = 1.5
[measured]
rule = [["port 1", "port 4", 300.0], ["mount", "port 1", "14 3/16 in"], ["mount", "port 4", 360.5]]
tape = [["rail", "port 1", 500], ["rail", "port 4", 510], ["rail", "mount", 420.5]]
outside = [["port 1", "port 2", 140, 40, 42]]
height = [["port 1", "mount", -280]]
incline = [["port 1", "rail", -12.5]]
flush = [[["port 1", "port 4", "mount"], ["port 2", "rail"]]]
[[is]]
port = 1
at = "port 1"
axis = ["port 1", "rail"]
"#;

fn problems(text: &str) -> Vec<Problem> {
    read("survey.toml", text.as_bytes()).1
}

fn good(text: &str) -> SurveyFile {
    let (file, problems) = read("survey.toml", text.as_bytes());
    assert!(!problems.iter().any(Problem::is_error), "{problems:?}");
    file.unwrap()
}

/// The first problem of a text in which `old` is replaced.
fn problem_of(old: &str, new: &str) -> Problem {
    assert!(GOOD.contains(old), "{old}");
    let all = problems(&GOOD.replacen(old, new, 1));
    let first = all.first().unwrap_or_else(|| panic!("nothing is said of {new}")).clone();
    assert!(!first.hint.is_empty() && !first.expected.is_empty(), "{first}");
    first
}

fn line(problem: &Problem) -> usize {
    problem.place.spot.as_ref().unwrap().line
}

#[test]
fn readings_of_all_tools_are_read_in_mm_and_rad() {
    let file = good(GOOD);
    let of = |tool: Tool| file.readings.iter().filter(move |r| r.tool == tool).collect::<Vec<_>>();
    assert!((of(Tool::Rule)[1].value - 14.1875 * 25.4).abs() < 1e-6);
    let outside = of(Tool::Outside)[0];
    assert_eq!((outside.read, outside.value), (140.0, 99.0));
    assert_eq!(of(Tool::Height)[0].value, -280.0);
    assert!((of(Tool::Incline)[0].value + 12.5f64.to_radians()).abs() < 1e-12);
    assert_eq!(of(Tool::Flush).len(), 2);
    assert_eq!((file.sd_of(Tool::Tape), file.sd_of(Tool::Rule)), (1.5, 0.5));
    assert_eq!(file.places[0].part, Part::Port(1));
    assert!(matches!(file.frame.side, Some(Side::Point(_, true))));
    let inches = good(&GOOD.replace("units = \"mm\"", "units = \"in\"").replace("300.0]", "12]"));
    assert!((inches.readings.iter().find(|r| r.tool == Tool::Rule).unwrap().value - 304.8).abs() < 1e-9);
}

#[test]
fn what_cannot_be_right_is_said_at_its_place() {
    for (old, new, code, at) in [
        ("\"port 4\", 300.0]", "\"port 4\", 0]", "out-of-range", 11),
        ("\"port 4\", 300.0]", "\"port 4\", -3.5]", "out-of-range", 11),
        ("\"port 4\", 300.0]", "\"port 4\", 30000]", "out-of-range", 11),
        ("\"port 4\", 300.0]", "\"port 4\", \"300\"]", "bad-value", 11),
        ("\"port 4\", 300.0]", "\"port 4\"]", "wrong-count", 11),
        ("\"port 4\", 300.0]", "\"port 1\", 300.0]", "same-point", 11),
        ("\"14 3/16 in\"", "\"14 3/0 in\"", "bad-value", 11),
        ("140, 40, 42", "40, 40, 42", "out-of-range", 13),
        ("origin = \"port 1\"", "origin = \"prot 1\"", "unknown-point", 4),
        ("left = \"rail\"", "left = \"trail\"", "unknown-point", 7),
        ("down = \"mount\"", "down = \"port 4\"", "same-point", 6),
        ("forward = [\"port 4\", \"port 1\"]", "forward = [\"port 4\"]", "wrong-count", 5),
        ("tape = 1.5", "tapes = 1.5", "unknown-key", 9),
        ("port = 1\n", "", "wrong-count", 17),
        ("format = 1", "format = 2", "out-of-range", 1),
        ("left = \"rail\"", "left = { mean_normal = [\"port 1\"] }", "no-markers", 7),
    ] {
        let problem = problem_of(old, new);
        assert_eq!((problem.code, line(&problem), problem.severity), (code, at, Severity::Error), "{problem}");
    }
    assert!(problem_of("origin = \"port 1\"", "origin = \"prot 1\"").hint.contains("port 1"));
}

#[test]
fn what_looks_wrong_is_asked_and_nothing_is_lost() {
    let twice = GOOD.replace("[\"rail\", \"port 4\", 510]", "[\"rail\", \"port 4\", 510], [\"port 4\", \"rail\", 530]");
    let problem = problems(&twice).into_iter().find(|p| p.code == "read-twice").unwrap();
    assert!(problem.message.contains("530.0") && problem.message.contains("510.0"), "{problem}");
    assert_eq!(good(&twice).readings.len(), good(GOOD).readings.len() + 1);
    let spelled = GOOD.replace("[\"rail\", \"mount\", 420.5]", "[\"rial\", \"mount\", 420.5]");
    let problem = problems(&spelled).into_iter().find(|p| p.code == "similar-names").unwrap();
    assert!(problem.message.contains("`rial`") && problem.message.contains("`rail`"), "{problem}");
    let case = GOOD.replace("[\"rail\", \"mount\", 420.5]", "[\"rail\", \"Mount\", 420.5]");
    assert!(problems(&case).iter().any(|p| p.code == "similar-names"));
    let few = problems(GOOD).into_iter().find(|p| p.code == "few-readings").unwrap();
    assert!(few.message.contains("`port 2` has only 2 readings"), "{few}");
    let small = GOOD.replace("500]", "19]").replace("510]", "20]").replace("420.5]", "16]");
    assert!(problems(&small).iter().any(|p| p.code == "unit" && p.hint.contains("units = \"in\"")));
}

#[test]
fn an_empty_survey_and_one_without_axes_are_refused() {
    assert!(problems("format = 1\nunits = \"mm\"\n").iter().any(|p| p.code == "missing-key"));
    let axes = &GOOD[..GOOD.find("[tools]").unwrap()];
    assert!(problems(axes).iter().any(|p| p.code == "nothing-measured"));
    let flat = GOOD.replace("down = \"mount\"\n", "").replace("height = [[\"port 1\", \"mount\", -280]]\n", "");
    let flat = flat.replace("incline = [[\"port 1\", \"rail\", -12.5]]\n", "");
    assert!(problems(&flat).iter().any(|p| p.message.contains("where down is")));
}

#[test]
fn the_page_names_every_key() {
    let page = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/survey.md")).unwrap();
    let named = |k: &str| {
        [format!("`{k}`"), format!("{k} = "), format!("[{k}]")].iter().any(|form| page.contains(form.as_str()))
    };
    let missing: Vec<&str> = keys().into_iter().map(|k| k.name).filter(|k| !named(k)).collect();
    assert!(missing.is_empty(), "docs/survey.md does not name {missing:?}");
}
