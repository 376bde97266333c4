//! `survey`: its answer, its exit codes, and what it writes.

use std::path::Path;

use crate::user::{err, folder, object, out, run};

/// A clean survey of tape readings.
fn clean() -> String {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../checks/survey/given/survey.toml");
    std::fs::read_to_string(file).unwrap()
}

/// A folder with this survey and no job.
fn survey(name: &str, text: &str) -> String {
    let folder = folder(name);
    std::fs::write(folder.join("survey.toml"), text).unwrap();
    folder.to_str().unwrap().to_string()
}

#[test]
fn a_clean_survey_needs_no_job_and_names_nothing_wrong() {
    let folder = survey("survey_clean", &clean());
    let kept = format!("{folder}/answer.json");
    let output = run(&["survey", &folder, "--json", "--out", &kept]);
    let answer = object(&output);
    assert_eq!(output.status.code(), Some(0));
    assert!(answer["fixed"] == true && answer["mirror"].is_null() && answer["points"].as_array().unwrap().len() == 19);
    for list in ["slips", "unfixed", "rivals"] {
        assert!(answer[list].as_array().unwrap().is_empty(), "{list}");
    }
    let written: serde_json::Value = serde_json::from_slice(&std::fs::read(kept).unwrap()).unwrap();
    assert_eq!(written, answer);
    assert!(out(&run(&["survey", &folder])).contains("Measure next:"));
}

#[test]
fn a_misread_number_is_named_with_what_it_should_be() {
    let text = clean().replace("[\"shaft front\", \"port 1\", 480.0]", "[\"shaft front\", \"port 1\", 505.5]");
    let answer = object(&run(&["survey", &survey("survey_slip", &text), "--json"]));
    let slips = answer["slips"].as_array().unwrap();
    let slip = slips.iter().find(|s| s["between"] == serde_json::json!(["shaft front", "port 1"])).unwrap();
    assert!(slip["tool"] == "tape" && slip["read_mm"] == 505.5);
    assert!((slip["proposed_mm"].as_f64().unwrap() - 480.0).abs() < 6.0, "{slip}");
}

#[test]
fn what_is_open_ends_with_1_and_what_is_wrong_with_2() {
    let mirror = clean().replace("left = \"rail dot\"", "#");
    let output = run(&["survey", &survey("survey_mirror", &mirror), "--json"]);
    assert!(output.status.code() == Some(1) && object(&output)["mirror"]["ask"].is_string());
    let few = clean().replace("tape = [", "tape = [[\"bracket\", \"port 1\", 300], [\"bracket\", \"port 4\", 310],");
    let output = run(&["survey", &survey("survey_few", &few), "--json"]);
    let answer = object(&output);
    assert!(output.status.code() == Some(1) && answer["fixed"] == false);
    assert!(answer["unfixed"] == serde_json::json!(["bracket"]));
    assert!(!answer["points"].to_string().contains("bracket") && !answer["next"].to_string().contains("bracket"));
    let wrong = clean().replace("[\"shaft front\", \"port 1\", 480.0]", "[\"shaft front\", \"port 1\", -480.0]");
    let output = run(&["survey", &survey("survey_wrong", &wrong)]);
    assert!(output.status.code() == Some(2) && err(&output).contains("survey.toml:") && err(&output).contains("fix"));
    assert_eq!(run(&["survey", folder("survey_none").to_str().unwrap()]).status.code(), Some(2));
}

#[test]
fn writing_needs_a_job_and_says_what_it_changes() {
    let text =
        clean() + "\n[[is]]\ncollector = \"main\"\nat = \"collector\"\naxis = [\"collector\", \"collector rod\"]\n";
    let folder = survey("survey_write", &text);
    let output = run(&["survey", &folder, "--write"]);
    assert!(output.status.code() == Some(2) && err(&output).contains("job.toml"), "{}", err(&output));
    let job = "units = \"mm\"\n[[collector]]\nname = \"main\" # by the firewall\nat = [0, 0, 0]\naxis = [1, 0, 0]\n";
    std::fs::write(format!("{folder}/job.toml"), job).unwrap();
    let output = run(&["survey", &folder, "--write"]);
    assert!(
        output.status.code() == Some(0) && err(&output).contains("collector[0].at: [0, 0, 0] -> [-627"),
        "{}",
        err(&output)
    );
    let text = std::fs::read_to_string(format!("{folder}/job.toml")).unwrap();
    assert!(text.contains("# by the firewall") && text.contains("at = [-627.06"), "{text}");
    assert!(Path::new(&folder).join("survey.json").is_file());
}
