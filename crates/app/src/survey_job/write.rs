//! Puts the places of a survey into job.toml, by place, and keeps what was written, so that a number typed since is seen.

use job::survey::{Part, Place};
use job::{Problem, Problems};
use serde::Serialize;
use serde_json::{Value, json};
use survey::DVec3;
use toml_edit::{DocumentMut, Item};
use utoipa::ToSchema;

use super::report::SurveyReport;
use crate::edit_job::{Edit, Op, PathStep, edit_text, path_text};

/// Decimals of a place in mm and in inches, and of a direction.
const DECIMALS: (i32, i32, i32) = (2, 4, 5);

/// What is to be written.
#[derive(Debug, Clone)]
pub struct Written {
    /// The new text of job.toml.
    pub job_text: String,
    /// The new survey.json: the answer, the covariance of the points, and the values that were written.
    pub kept: Value,
    /// Values that changed, and those that were left as they were typed.
    pub changes: Vec<WrittenValue>,
}

/// A value of job.toml that the survey gives.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct WrittenValue {
    /// Where it stands: `port[0].at`.
    pub path: String,
    /// What stood there, in the job's unit; null where nothing did.
    pub was: Option<Vec<f64>>,
    /// What the survey says.
    pub is: Vec<f64>,
    /// Whether what stood there was typed since the survey was last written.
    pub typed: bool,
    /// Whether it was left as typed.
    pub kept: bool,
}

impl WrittenValue {
    /// In a line.
    pub fn text(&self) -> String {
        let (was, is) = (list(self.was.as_deref()), list(Some(&self.is)));
        if self.kept {
            return format!("{}: changed since it was written, {was} kept; --overwrite puts {is} there", self.path);
        }
        format!("{}: {was}{} -> {is}", self.path, if self.typed { " (typed since)" } else { "" })
    }
}

/// A value for a key of job.toml.
struct Target {
    path: Vec<PathStep>,
    values: Vec<f64>,
    form: Form,
}

/// How numbers stand in job.toml.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    Number,
    List,
    /// A list of places.
    Places,
}

impl Target {
    fn value(&self) -> Value {
        match self.form {
            Form::Number => json!(self.values[0]),
            Form::List => json!(self.values),
            Form::Places => json!(self.values.chunks(3).collect::<Vec<_>>()),
        }
    }
}

/// Works out the new job.toml; `before` is the survey.json of the last time. A value that is not the one written then is
/// left alone, unless `overwrite`.
///
/// # Errors
/// A survey that is not settled; a job.toml that cannot be read; parts that it does not have.
pub fn write(
    report: &SurveyReport,
    job_text: &str,
    before: Option<&Value>,
    overwrite: bool,
) -> Result<Written, Problems> {
    let refuse = |code, message: String, hint: &str| {
        Problems::one(
            Problem::error(code, message).in_file("job.toml").expected("places that can be written").hint(hint),
        )
    };
    if !report.is_settled() {
        let hint = "do what the survey proposes first";
        return Err(refuse("not-settled", "the survey is not settled: nothing was written".into(), hint));
    }
    let document = job_text.parse::<DocumentMut>();
    let document = document.map_err(|e| {
        refuse("syntax", format!("it cannot be read: {}", e.message()), "fix it first; `check` lists every error")
    })?;
    let targets = targets(report, &document)?;
    let mut written = serde_json::Map::new();
    let (mut edits, mut changes) = (Vec::new(), Vec::new());
    for target in targets {
        let path = path_text(&target.path);
        let now = current(&document, &target.path);
        let last = before.and_then(|b| numbers(&b["written"][&path]));
        let typed = now.is_some() && last.is_some() && now != last && now.as_ref() != Some(&target.values);
        let kept = typed && !overwrite;
        if now.as_ref() != Some(&target.values) {
            changes.push(WrittenValue { path: path.clone(), was: now, is: target.values.clone(), typed, kept });
        }
        if kept {
            written.insert(path, json!(last));
            continue;
        }
        written.insert(path, json!(target.values));
        edits.push(Edit { op: Op::Set, value: Some(target.value()), path: target.path });
    }
    let text = edit_text(job_text, &edits);
    let job_text = text.map_err(|e| refuse("edit", e.to_string(), "correct job.toml by hand"))?;
    let mut kept = report.to_json();
    kept["written"] = Value::Object(written);
    kept["covariance_mm2"] = covariance(report);
    Ok(Written { job_text, kept, changes })
}

/// The values of all parts.
///
/// # Errors
/// Parts that job.toml does not have.
fn targets(report: &SurveyReport, document: &DocumentMut) -> Result<Vec<Target>, Problems> {
    let inches = document.get("units").and_then(Item::as_str) == Some("in");
    let (mut targets, mut problems) = (Vec::new(), Vec::new());
    for place in &report.file.places {
        match table_of(document, &place.part) {
            Some(way) if place.scan.is_some() && current(document, &scan_path(&way, "mesh")).is_none() => problems.push(
                Problem::error("no-scan-points", format!("{} has no points picked in it yet", part_words(&place.part)))
                    .at(place.spot.clone())
                    .expected("`place.mesh` in job.toml: three points of the scan, those that were surveyed")
                    .hint("pick them on the page (Measure, align the scan), or write place = { mesh = [...], at = [...] }"),
            ),
            Some(way) => targets.extend(targets_of(report, place, &way, inches)),
            None => problems.push(
                Problem::error("no-such-part", format!("job.toml has no {}", part_words(&place.part)))
                    .at(place.spot.clone())
                    .expected("a part that job.toml has")
                    .hint("add it to job.toml, or correct [[is]]"),
            ),
        }
    }
    if problems.is_empty() { Ok(targets) } else { Err(Problems(problems)) }
}

fn part_words(part: &Part) -> String {
    match part {
        Part::Port(cylinder) => format!("port of cylinder {cylinder}"),
        Part::Collector(name) => format!("collector `{name}`"),
        Part::Keepout(name) => format!("keepout `{name}`"),
    }
}

/// The way to the table of a part.
fn table_of(document: &DocumentMut, part: &Part) -> Option<Vec<PathStep>> {
    let list = match part {
        Part::Port(_) => "port",
        Part::Collector(_) => "collector",
        Part::Keepout(_) => "keepout",
    };
    let is = |t: &toml_edit::Table| match part {
        Part::Port(cylinder) => t.get("cylinder").and_then(Item::as_integer) == Some(i64::from(*cylinder)),
        Part::Collector(name) | Part::Keepout(name) => t.get("name").and_then(Item::as_str) == Some(name),
    };
    let at = document.get(list)?.as_array_of_tables()?.iter().position(is)?;
    Some(vec![PathStep::Key(list.into()), PathStep::Place(at)])
}

/// The way to a key of the place of a scan.
fn scan_path(way: &[PathStep], key: &str) -> Vec<PathStep> {
    way.iter().cloned().chain([PathStep::Key("place".into()), PathStep::Key(key.into())]).collect()
}

fn targets_of(report: &SurveyReport, place: &Place, way: &[PathStep], inches: bool) -> Vec<Target> {
    let (unit, decimals) = if inches { (25.4, DECIMALS.1) } else { (1.0, DECIMALS.0) };
    let target = |key: &str, values: Vec<f64>, decimals: i32| {
        let path = way.iter().cloned().chain([PathStep::Key(key.into())]).collect();
        let round = |v: f64| (v * 10f64.powi(decimals)).round() / 10f64.powi(decimals) + 0.0;
        let form = if values.len() == 1 { Form::Number } else { Form::List };
        Target { path, form, values: values.into_iter().map(round).collect() }
    };
    let length = |key: &str, v: DVec3| target(key, v.to_array().map(|c| c / unit).to_vec(), decimals);
    let points = report.points();
    let point = |p: usize| points.iter().find(|q| q.name == p);
    let mut targets = Vec::new();
    if let Some(at) = place.at.and_then(point) {
        targets.push(length("at", at.at));
        targets.push(length("at_sd", at.sd));
    }
    if let Some((axis, sd)) = axis(report, place) {
        targets.push(target("axis", axis.to_array().to_vec(), DECIMALS.2));
        targets.push(target("axis_sd", vec![sd.to_degrees()], 2));
    }
    let scan: Option<Vec<DVec3>> = place.scan.and_then(|all| all.iter().map(|p| point(*p).map(|q| q.at)).collect());
    if let Some(at) = scan {
        let flat: Vec<f64> = at.iter().flat_map(|p| p.to_array()).map(|c| c / unit).collect();
        targets.push(Target { path: scan_path(way, "at"), form: Form::Places, ..target("at", flat, decimals) });
    }
    for (key, p) in [("from", place.from), ("to", place.to)] {
        targets.extend(p.and_then(point).map(|q| length(key, q.at)));
    }
    // Only ports and collectors keep their standard deviations.
    if matches!(place.part, Part::Keepout(_)) {
        targets.retain(|t| !matches!(t.path.last(), Some(PathStep::Key(key)) if key.ends_with("_sd")));
    }
    targets
}

/// Direction and its standard deviation, rad: between two points, or of the marker on the face. A port blows out of
/// its face, into a collector the flow goes against the normal of its inlet plane.
fn axis(report: &SurveyReport, place: &Place) -> Option<(DVec3, f64)> {
    let Some([from, to]) = place.axis else {
        let sign = match place.part {
            Part::Port(_) => 1.0,
            Part::Collector(_) => -1.0,
            Part::Keepout(_) => return None,
        };
        let (_, face) = report.marker_at(place.at?)?;
        return Some((face.normal * sign, face.sd_tilt));
    };
    let points = report.points();
    let at = |p: usize| points.iter().find(|q| q.name == p).map(|q| q.at);
    let along = at(to)? - at(from)?;
    let unit = along.try_normalize()?;
    let c = report.covariance(to, to) + report.covariance(from, from)
        - report.covariance(to, from)
        - report.covariance(from, to);
    let trace = c.x_axis.x + c.y_axis.y + c.z_axis.z;
    let across = (trace - unit.dot(c * unit)).max(0.0) / 2.0;
    Some((unit, across.sqrt() / along.length()))
}

/// Names in order, and the rows of the covariance of all their coordinates.
fn covariance(report: &SurveyReport) -> Value {
    let points = report.points();
    let names: Vec<&str> = points.iter().map(|p| report.file.names[p.name].as_str()).collect();
    let row = |p: usize, c: usize| -> Vec<f64> {
        let blocks = points.iter().map(|q| report.covariance(p, q.name).row(c).to_array());
        blocks.flatten().map(|v| (v * 1e6).round() / 1e6 + 0.0).collect()
    };
    let rows: Vec<Vec<f64>> = points.iter().flat_map(|p| (0..3).map(|c| row(p.name, c))).collect();
    json!({"names": names, "rows": rows})
}

/// The numbers at a path of job.toml, those of lists in lists one after the other; `None` when there is nothing, or something else.
fn current(document: &DocumentMut, path: &[PathStep]) -> Option<Vec<f64>> {
    let [PathStep::Key(list), PathStep::Place(at), keys @ ..] = path else { return None };
    let table = document.get(list)?.as_array_of_tables()?.get(*at)?;
    let [PathStep::Key(first), rest @ ..] = keys else { return None };
    let mut item = table.get(first)?;
    for step in rest {
        let PathStep::Key(key) = step else { return None };
        item = item.get(key)?;
    }
    flat(item.as_value()?)
}

fn flat(value: &toml_edit::Value) -> Option<Vec<f64>> {
    if let toml_edit::Value::Array(array) = value {
        return array.iter().map(flat).collect::<Option<Vec<_>>>().map(|parts| parts.concat());
    }
    value.as_float().or_else(|| value.as_integer().map(|i| i as f64)).map(|n| vec![n])
}

fn numbers(value: &Value) -> Option<Vec<f64>> {
    value.as_array()?.iter().map(Value::as_f64).collect()
}

fn list(values: Option<&[f64]>) -> String {
    let Some(values) = values else { return "nothing".into() };
    let all: Vec<String> = values.iter().map(ToString::to_string).collect();
    if let [one] = &all[..] { one.clone() } else { format!("[{}]", all.join(", ")) }
}
