//! A survey as one JSON object; docs/survey.md describes its keys.

use job::survey::Tool;
use serde_json::{Value, json};
use survey::DVec3;
use survey::photo::place::Places;
use survey::tape::survey::Answer;

use super::report::{PhotoReport, SurveyReport};
use crate::summary::rounded;

fn triple(v: DVec3) -> Value {
    json!(v.to_array().map(rounded))
}

impl SurveyReport {
    /// As one JSON object.
    pub fn to_json(&self) -> Value {
        object(self)
    }
}

fn object(report: &SurveyReport) -> Value {
    let points: Vec<Value> = report
        .points()
        .iter()
        .map(|p| json!({"name": report.file.names[p.name], "at_mm": triple(p.at), "sd_mm": triple(p.sd)}))
        .collect();
    let unfixed = report.unfixed();
    let mut object = json!({
        "format": 1,
        "fixed": unfixed.is_empty(),
        "redundancy": report.redundancy(),
        "chi2": rounded(chi2(report)),
        "points": points,
        "slips": [], "rivals": [], "mirror": null, "unchecked": [], "next": [], "level": null,
        "unfixed": unfixed.iter().map(|p| report.file.names[*p].as_str()).collect::<Vec<_>>(),
        "warnings": report.warnings.to_json(),
    });
    if let Some(answer) = &report.tape {
        add_tape(&mut object, report, answer);
    }
    if let Some(photos) = &report.photos {
        add_photos(&mut object, report, photos);
    }
    object
}

fn chi2(report: &SurveyReport) -> f64 {
    let photos = || report.photos.as_ref().and_then(|p| p.answer.as_ref()).map_or(0.0, |a| a.chi2);
    report.tape.as_ref().map_or_else(photos, |a| a.chi2)
}

fn add_tape(object: &mut Value, report: &SurveyReport, answer: &Answer) {
    let name = |p: &usize| report.file.names[*p].as_str();
    let moved = |list: &[(usize, DVec3)]| -> Vec<Value> {
        list.iter().map(|(p, at)| json!({"name": name(p), "at_mm": triple(*at)})).collect()
    };
    let next = answer.next.iter().map(|n| {
        json!({
            "between": n.between.map(|p| name(&p)), "point": name(&n.point), "settles": n.settles,
            "sd_before_mm": rounded(n.sd_before), "sd_after_mm": rounded(n.sd_after),
        })
    });
    let unchecked =
        answer.unchecked.iter().map(|i| json!({"tool": tool(report, *i).key(), "between": between(report, *i)}));
    object["slips"] = json!(slips(report, answer));
    object["rivals"] = answer.rivals.iter().map(|r| json!({"points": moved(r)})).collect();
    object["mirror"] = json!(answer.mirror.as_ref().map(|m| json!({"ask": name(&m.ask), "points": moved(&m.points)})));
    object["unchecked"] = unchecked.collect();
    object["next"] = next.collect();
    object["level"] = json!(answer.level.map(|[roll, pitch]| {
        json!({"roll_deg": rounded(roll.to_degrees()), "pitch_deg": rounded(pitch.to_degrees())})
    }));
}

fn add_photos(object: &mut Value, report: &SurveyReport, photos: &PhotoReport) {
    let name = |tag: u32| report.name_of(tag);
    let markers = photos.placed().map(|(_, tag, face, count)| {
        json!({
            "tag": tag, "name": name(tag), "at_mm": triple(face.at), "normal": face.normal.to_array().map(|v| (v * 1e6).round() / 1e6),
            "sd_mm": triple(face.sd), "sd_deg": rounded(face.sd_tilt.to_degrees()), "photos": count,
        })
    });
    object["markers"] = markers.collect();
    let moved = photos.moved().into_iter().map(|m| {
        json!({"tag": m.tag, "from_photo": photos.name(m.photo), "by_mm": triple(m.by), "turn_deg": rounded(m.turn.to_degrees())})
    });
    object["moved"] = moved.collect();
    let drawn = |places: &Places| json!({"print": (places.scale * 1e5).round() / 1e5, "from": photos.scale_from});
    object["scale"] = json!(photos.places.as_ref().ok().map(drawn));
    let answer = photos.answer.as_ref();
    let few = answer.iter().flat_map(|a| &a.lost_tags).map(|tag| json!({"tag": tag, "name": name(*tag)}));
    object["few"] = few.collect();
    let misprinted = answer.iter().flat_map(|a| &a.plates).filter(|p| p.misprinted);
    object["misprinted"] = misprinted.map(|p| json!({"tag": p.tag, "name": name(p.tag)})).collect();
}

fn tool(report: &SurveyReport, i: usize) -> Tool {
    report.file.readings[i].tool
}

/// Names of the points of a reading.
fn between(report: &SurveyReport, i: usize) -> Vec<&str> {
    report.file.readings[i].points.iter().map(|p| report.file.names[*p].as_str()).collect()
}

fn slips(report: &SurveyReport, answer: &Answer) -> Vec<Value> {
    let fixed = |i: usize| report.file.readings[i].points.iter().all(|p| !answer.unfixed.contains(p));
    let slips = answer.slips.iter().filter(|s| fixed(s.reading));
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
