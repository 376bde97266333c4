//! A survey as one JSON object; docs/survey.md describes its keys.

use job::survey::Tool;
use serde_json::{Value, json};
use survey::tape::survey::Answer;

use super::SurveyReport;
use crate::summary::rounded;

fn triple(v: [f64; 3]) -> Value {
    json!(v.map(rounded))
}

/// The object.
pub fn report(report: &SurveyReport) -> Value {
    let answer = &report.answer;
    let name = |p: &usize| report.file.names[*p].as_str();
    let point = |(p, at): &(usize, [f64; 3])| json!({"name": name(p), "at_mm": triple(*at)});
    let moved = |list: &[(usize, _)]| -> Vec<Value> {
        list.iter().map(|(p, at): &(usize, survey::DVec3)| point(&(*p, at.to_array()))).collect()
    };
    let fixed = (0..answer.at.len()).filter(|p| !answer.unfixed.contains(p));
    let points: Vec<Value> = fixed
        .map(|p| json!({"name": name(&p), "at_mm": triple(answer.at[p].to_array()), "sd_mm": triple(answer.sd(p).to_array())}))
        .collect();
    let rivals: Vec<Value> = answer.rivals.iter().map(|r| json!({"points": moved(r)})).collect();
    let next: Vec<Value> = answer
        .next
        .iter()
        .map(|n| {
            json!({
                "between": n.between.map(|p| name(&p)), "point": name(&n.point), "settles": n.settles,
                "sd_before_mm": rounded(n.sd_before), "sd_after_mm": rounded(n.sd_after),
            })
        })
        .collect();
    json!({
        "format": 1,
        "fixed": answer.is_fixed(),
        "redundancy": answer.redundancy,
        "chi2": rounded(answer.chi2),
        "points": points,
        "slips": slips(report),
        "unfixed": answer.unfixed.iter().map(name).collect::<Vec<_>>(),
        "rivals": rivals,
        "mirror": answer.mirror.as_ref().map(|m| json!({"ask": name(&m.ask), "points": moved(&m.points)})),
        "unchecked": answer.unchecked.iter().map(|i| json!({"tool": tool(report, *i).key(), "between": between(report, *i)})).collect::<Vec<_>>(),
        "next": next,
        "level": answer.level.map(|[roll, pitch]| json!({"roll_deg": rounded(roll.to_degrees()), "pitch_deg": rounded(pitch.to_degrees())})),
        "warnings": report.warnings.to_json(),
    })
}

fn tool(report: &SurveyReport, i: usize) -> Tool {
    report.file.readings[i].tool
}

/// Names of the points of a reading.
fn between(report: &SurveyReport, i: usize) -> Vec<&str> {
    report.file.readings[i].points.iter().map(|p| report.file.names[*p].as_str()).collect()
}

fn slips(report: &SurveyReport) -> Vec<Value> {
    let fixed = |answer: &Answer, i: usize| report.file.readings[i].points.iter().all(|p| !answer.unfixed.contains(p));
    let slips = report.answer.slips.iter().filter(|s| fixed(&report.answer, s.reading));
    slips.map(|slip| slip_json(report, slip)).collect()
}

fn slip_json(report: &SurveyReport, slip: &survey::tape::survey::Slip) -> Value {
    let reading = &report.file.readings[slip.reading];
    // Over edges, what should have been read is over the edges too.
    let proposed = slip.proposed + reading.read - reading.value;
    let or: Vec<Value> =
        slip.or.iter().map(|i| json!({"tool": tool(report, *i).key(), "between": between(report, *i)})).collect();
    let mut object = json!({"tool": reading.tool.key(), "between": between(report, slip.reading), "or": or, "line": reading.spot.line});
    let (unit, scale) = if reading.tool == Tool::Incline { ("deg", 180.0 / std::f64::consts::PI) } else { ("mm", 1.0) };
    object[format!("read_{unit}")] = json!(rounded(reading.read * scale));
    object[format!("proposed_{unit}")] = json!(rounded(proposed * scale));
    object
}
