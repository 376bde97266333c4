//! routes.toml: where every run's centreline goes, read and written.

use std::fmt::Write as _;
use std::ops::Range;

use geom::{Centreline, CentrelineError, Frame, LraStep, Vec3};

use super::read::Reader;
use super::record::{Record, Value};
use super::syntax;
use super::tables::ROUTES;
use crate::inlets::{collector_frame, entering_od, inlets, outlet};
use crate::model::{Job, Units};
use crate::problem::{Problem, Problems};
use crate::routes::{CollectorPlace, Route, Routes, RunId};
use crate::show::exact_with_unit;
use crate::source::Source;
use crate::suggest::nearest;

/// Longest run that is read, mm: two lorries. Gaps are counted point by point, so that a run of a thousand kilometres would
/// fill the memory.
pub const LONGEST_RUN: f64 = 30_000.0;
/// Most bends of a run.
pub const MOST_BENDS: usize = 100;

/// Most bends of all runs of a job together: every one of them is measured against every other. Twenty-four cylinders with
/// secondaries and tails have 300.
pub const MOST_BENDS_IN_ALL: usize = 400;

/// Reads the bytes of a routes file of `job`.
///
/// # Errors
/// All problems, when there is an error among them.
pub fn read(name: &str, bytes: &[u8], job: &Job) -> Result<(Routes, Problems), Problems> {
    let text = syntax::decode(name, bytes)?;
    let source = Source::new(name, text);
    let tree = syntax::settle(&source);
    let text = tree.text.clone();
    let root = syntax::parse(&text);
    let units = super::units(root.get_ref()).unwrap_or(job.units);
    let mut reader = Reader::new(&source, units, tree);
    let record = reader.file(&ROUTES, &root);
    let routes = build(&mut reader, &record, job);
    if are_beyond(&routes) {
        let problem = reader.error("too-many", &(0..0), "", "the runs have more bends together than any exhaust");
        problem.expected = format!("at most {MOST_BENDS_IN_ALL}");
        problem.hint = "take out the runs that this job does not need".into();
    }
    let mut problems = Problems(reader.finish());
    problems.sort();
    if problems.has_errors() { Err(problems) } else { Ok((routes, problems)) }
}

fn build(reader: &mut Reader<'_>, root: &Record, job: &Job) -> Routes {
    let mut routes = Routes::default();
    for table in root.tables("primary") {
        let Some(cylinder) = table.whole("cylinder") else { continue };
        let run = RunId::Primary { cylinder: cylinder as u32 };
        let start = job.ports.iter().find(|p| p.cylinder == cylinder as u32).map(|p| Frame {
            origin: p.at,
            forward: p.axis,
            up: geom::any_perpendicular(p.axis),
        });
        if start.is_none() && !job.ports.is_empty() {
            let problem = reader.error(
                "unknown-port",
                &table.span_of("cylinder"),
                &table.about,
                format!("the job has no port of cylinder {cylinder}"),
            );
            problem.expected = format!("one of the cylinders {}", list(job.ports.iter().map(|p| p.cylinder)));
            problem.hint = "delete this run, or add the port to job.toml".into();
        }
        let collector = table.text("collector").map(str::to_string).unwrap_or_default();
        add(reader, &mut routes, table, run, collector, start, job, "collector");
    }
    for table in root.tables("secondary") {
        let Some(from) = table.text("from") else { continue };
        let start = leaves(reader, table, from, job);
        let to = table.text("to").map(str::to_string).unwrap_or_default();
        add(reader, &mut routes, table, RunId::Secondary { from: from.to_string() }, to, start, job, "to");
    }
    for table in root.tables("tail") {
        let Some(from) = table.text("from") else { continue };
        let start = leaves(reader, table, from, job);
        add(reader, &mut routes, table, RunId::Tail { from: from.to_string() }, String::new(), start, job, "from");
    }
    for table in root.tables("collector") {
        moved(reader, &mut routes, table, job);
    }
    inlets_once(reader, root);
    ends(reader, &routes, root, job);
    if routes.runs.is_empty() && !reader.problems.iter().any(Problem::is_error) {
        let problem = reader.error("no-routes", &(0..0), "", "there are no runs in this file");
        problem.expected = "[[primary]], [[secondary]] or [[tail]]".into();
        problem.hint = "route the job first, or write the trial pieces as [[primary]]".into();
    }
    routes
}

fn list(numbers: impl Iterator<Item = u32>) -> String {
    numbers.map(|n| n.to_string()).collect::<Vec<_>>().join(", ")
}

/// The frame in which a run leaves a collector of the job.
fn leaves(reader: &mut Reader<'_>, table: &Record, from: &str, job: &Job) -> Option<Frame> {
    let found = job.collectors.iter().find(|c| c.name == from);
    if found.is_none() && !job.collectors.is_empty() {
        unknown_collector(reader, table, "from", from, job);
    }
    found.map(|c| Frame { origin: c.at, forward: c.axis, up: c.up })
}

fn unknown_collector(reader: &mut Reader<'_>, table: &Record, key: &str, name: &str, job: &Job) {
    let names: Vec<&str> = job.collectors.iter().map(|c| c.name.as_str()).collect();
    let near = nearest(name, names.iter().copied());
    let problem = reader.error(
        "unknown-collector",
        &table.span_of(key),
        &table.about,
        format!("the job has no collector \"{name}\""),
    );
    problem.expected = names.iter().map(|n| format!("\"{n}\"")).collect::<Vec<_>>().join(" or ");
    problem.hint = near.map_or_else(|| "name a collector of job.toml".into(), |n| format!("write \"{n}\""));
}

#[allow(clippy::too_many_arguments)] // one run of the file with what the job says of its two ends
fn add(
    reader: &mut Reader<'_>,
    routes: &mut Routes,
    table: &Record,
    run: RunId,
    collector: String,
    start: Option<Frame>,
    job: &Job,
    key: &str,
) {
    if routes.runs.iter().any(|r| r.run == run) {
        let problem = reader.error("duplicate-run", &table.span, &table.about, format!("{run} is given twice"));
        problem.expected = "each run once".into();
        problem.hint = "delete one of the two".into();
    }
    let inlet = table.whole("inlet").unwrap_or(0) as usize;
    if !collector.is_empty() && !job.collectors.is_empty() {
        match job.collectors.iter().find(|c| c.name == collector) {
            None => unknown_collector(reader, table, key, &collector, job),
            Some(c) if inlet > c.inlets => {
                let message = format!("collector \"{}\" has {} inlets, not {inlet}", c.name, c.inlets);
                let problem = reader.error("inlet-out-of-range", &table.span_of("inlet"), &table.about, message);
                problem.expected = format!("a whole number from 1 to {}", c.inlets);
                problem.hint = "correct the inlet".into();
            }
            Some(_) => {}
        }
    }
    let Some((points, radii)) = centreline(reader, table, start) else { return };
    if is_beyond(&points, &radii) {
        let message = format!("{run} is longer, or has more bends, than any exhaust");
        let problem = reader.error("run-too-long", &table.span, &table.about, message);
        problem.expected = format!("runs below {} m, of {MOST_BENDS} bends at most", LONGEST_RUN / 1000.0);
        problem.hint = "take this run out, or undo what made it".into();
        return;
    }
    let locked = table.flag("locked").unwrap_or(false);
    routes.runs.push(Route { run, collector, inlet, points, radii, locked });
}

/// Whether the runs have more bends together than are looked at.
pub fn are_beyond(routes: &Routes) -> bool {
    routes.runs.iter().map(|run| run.radii.len()).sum::<usize>() > MOST_BENDS_IN_ALL
}

/// Whether a run is too long, or has too many bends, to be looked at.
pub fn is_beyond(points: &[Vec3], radii: &[f64]) -> bool {
    let length: f64 = points.windows(2).map(|p| (p[1] - p[0]).length()).sum();
    // A length that is no number is beyond too.
    radii.len() > MOST_BENDS || !(0.0..=LONGEST_RUN).contains(&length)
}

/// Points and radii of a run, from either of its two forms.
fn centreline(reader: &mut Reader<'_>, table: &Record, start: Option<Frame>) -> Option<(Vec<Vec3>, Vec<f64>)> {
    if table.given("steps") && (table.given("points") || table.given("radii")) {
        let problem =
            reader.error("conflict", &table.key_span("steps"), &table.about, "both `steps` and `points` are given");
        problem.expected = "points and radii, or steps".into();
        problem.hint = "keep the one that was measured".into();
        return None;
    }
    if table.given("steps") {
        return steps(reader, table, start);
    }
    for key in ["points", "radii"] {
        let straight = key == "radii" && table.list("points").is_some_and(|p| p.len() == 2);
        if !table.given(key) && !straight {
            if !reader.broken {
                let problem = reader.error(
                    "missing-key",
                    &table.span,
                    &table.about,
                    format!("`{key}` missing in {}", table.about),
                );
                problem.expected = "points and radii, or steps".into();
                problem.hint = format!("add {key} = [...]");
            }
            return None;
        }
    }
    let points = table.points("points")?;
    let radii = if table.is_bad("radii") { return None } else { table.numbers("radii").unwrap_or_default() };
    match Centreline::from_points(&points, &radii) {
        Ok(_) => Some((points, radii)),
        Err(error) => {
            let item = |key: &str, at: usize| table.list(key).and_then(|l| l.get(at)).map(|(_, span)| span.clone());
            let span = match &error {
                CentrelineError::RadiusCount { .. } => table.span_of("radii"),
                CentrelineError::BadRadius { at, .. } => {
                    item("radii", at.saturating_sub(1)).unwrap_or_else(|| table.span_of("radii"))
                }
                CentrelineError::Coincident { at } | CentrelineError::Overlap { at, .. } => {
                    item("points", at + 1).unwrap_or_else(|| table.span_of("points"))
                }
                CentrelineError::TooSharp { at, .. } | CentrelineError::NotFinite { at } => {
                    item("points", *at).unwrap_or_else(|| table.span_of("points"))
                }
                _ => table.span_of("points"),
            };
            not_a_tube(reader, table, &span, &error);
            None
        }
    }
}

fn not_a_tube(reader: &mut Reader<'_>, table: &Record, span: &Range<usize>, error: &CentrelineError) {
    let units = reader.units;
    let long = |l: f64| exact_with_unit(l, units);
    let message = match error {
        CentrelineError::BadRadius { at, value } => {
            format!("the radius at point {at} is {}; it must be above 0", long(*value))
        }
        CentrelineError::Overlap { at, missing } => {
            format!("the bends need {} more than there is between points {at} and {}", long(*missing), at + 1)
        }
        other => other.to_string(),
    };
    let problem = reader.error("no-tube", span, &table.about, message);
    problem.expected = "points whose bends fit between them (points are counted from 0, the start)".into();
    problem.hint = match error {
        CentrelineError::Overlap { .. } => "take a smaller CLR, move the point, or check the measured row".into(),
        CentrelineError::RadiusCount { .. } => "give one radius for each point but the first and the last".into(),
        CentrelineError::TooSharp { .. } => "write a U-turn as two points, each with half of it".into(),
        _ => "measure that point again".into(),
    };
}

fn steps(reader: &mut Reader<'_>, table: &Record, start: Option<Frame>) -> Option<(Vec<Vec3>, Vec<f64>)> {
    let rows: Vec<Vec<f64>> = table
        .list("steps")?
        .iter()
        .map(|(row, _)| match row {
            Value::List(cells) => {
                cells.iter().filter_map(|(v, _)| if let Value::Number(n) = v { Some(*n) } else { None }).collect()
            }
            _ => Vec::new(),
        })
        .collect();
    let mut steps = Vec::new();
    let mut last = 0.0;
    for row in &rows {
        match row[..] {
            [length, rotation, angle, clr] => steps.push(LraStep { length, rotation, angle, clr }),
            [length] => last = length,
            _ => return None,
        }
    }
    let start = start.unwrap_or(Frame { origin: Vec3::ZERO, forward: Vec3::X, up: Vec3::Z });
    let made = Centreline::from_steps(start, &steps, last).and_then(|line| {
        let (points, radii) = line.to_points();
        Centreline::from_points(&points, &radii).map(|_| (points, radii))
    });
    match made {
        Ok(found) => Some(found),
        Err(error) => {
            not_a_tube(reader, table, &table.span_of("steps"), &error);
            None
        }
    }
}

fn moved(reader: &mut Reader<'_>, routes: &mut Routes, table: &Record, job: &Job) {
    let Some(name) = table.text("name") else { return };
    if !job.collectors.is_empty() && !job.collectors.iter().any(|c| c.name == name) {
        unknown_collector(reader, table, "name", name, job);
    }
    if routes.collectors.iter().any(|c| c.name == name) {
        reader
            .error(
                "duplicate-name",
                &table.span_of("name"),
                &table.about,
                format!("collector \"{name}\" is given twice"),
            )
            .hint = "delete one of the two".into();
    }
    let (Some(at), Some(axis), Some(up)) = (table.point("at"), table.point("axis"), table.point("up")) else { return };
    match Frame::new(at, axis, up) {
        Some(frame) => routes.collectors.push(CollectorPlace { name: name.to_string(), frame }),
        None => {
            let problem =
                reader.error("up-along-axis", &table.span_of("up"), &table.about, "`up` is parallel to `axis`");
            problem.expected = "a direction across the axis".into();
            problem.hint = "route the job again".into();
        }
    }
}

/// A run that does not start where its port or collector is, or does not end where its inlet takes it, looks wrong.
///
/// Allowed are 1 mm and 1 degree: what a person who measures by hand can hold at best.
fn ends(reader: &mut Reader<'_>, routes: &Routes, root: &Record, job: &Job) {
    let collector = |name: &str| {
        let drawn = job.collectors.iter().find(|c| c.name == name)?;
        let moved = routes.collectors.iter().find(|c| c.name == name).map(|c| c.frame);
        Some((drawn, moved.unwrap_or_else(|| collector_frame(drawn))))
    };
    for route in &routes.runs {
        let Some(table) = record_of(root, &route.run) else { continue };
        let start = match &route.run {
            RunId::Primary { cylinder } => job.ports.iter().find(|p| p.cylinder == *cylinder).map(|p| (p.at, p.axis)),
            RunId::Secondary { from } | RunId::Tail { from } => {
                collector(from).map(|(c, f)| outlet(c, &f)).map(|o| (o.at, o.axis))
            }
        };
        let Ok(line) = route.centreline() else { continue };
        let (first, last) = (line.start(), line.end());
        let mut off = Vec::new();
        if let Some((at, axis)) = start {
            let distance = (first.origin - at).length();
            let angle = first.forward.angle_between(axis).to_degrees();
            if distance > 1.0 {
                off.push(format!("it starts {distance:.1} mm from its place"));
            }
            if angle > 1.0 {
                off.push(format!("it starts {angle:.1} degrees off its axis"));
            }
        }
        if let Some((c, f)) = collector(&route.collector) {
            let all = inlets(c, &f, entering_od(job, c));
            // A missing inlet is reported elsewhere; here the first one will do, as all lie in one plane.
            let Some(end) = all.get(route.inlet.saturating_sub(1)).or(all.first()) else { continue };
            let behind = (last.origin - end.at).dot(end.axis).abs();
            let angle = last.forward.angle_between(end.axis).to_degrees();
            let place = if end.beyond > 0.0 { "where its tube ends in the collector" } else { "the inlet plane" };
            if behind > 1.0 {
                off.push(format!("it ends {behind:.1} mm from {place}"));
            }
            if angle > 1.0 {
                off.push(format!("it enters {angle:.1} degrees off the axis"));
            }
        }
        if !off.is_empty() {
            let key = if table.given("steps") { "steps" } else { "points" };
            let message = format!("{}: {}", route.run, off.join(", "));
            let problem = reader.warning("off-its-place", &table.span_of(key), &table.about, message);
            problem.expected = "a run from its port or collector to its inlet".into();
            problem.hint = "a trial piece alone may lie anywhere; else route the job again".into();
        }
    }
}

/// The table of a run.
fn record_of<'r>(root: &'r Record, run: &RunId) -> Option<&'r Record> {
    match run {
        RunId::Primary { cylinder } => {
            root.tables("primary").iter().find(|t| t.whole("cylinder") == Some(i64::from(*cylinder)))
        }
        RunId::Secondary { from } => root.tables("secondary").iter().find(|t| t.text("from") == Some(from.as_str())),
        RunId::Tail { from } => root.tables("tail").iter().find(|t| t.text("from") == Some(from.as_str())),
    }
}

/// Each inlet of a collector takes one run.
fn inlets_once(reader: &mut Reader<'_>, root: &Record) {
    let mut taken: Vec<(String, i64)> = Vec::new();
    let runs = root
        .tables("primary")
        .iter()
        .map(|t| (t, "collector"))
        .chain(root.tables("secondary").iter().map(|t| (t, "to")));
    for (table, key) in runs {
        let (Some(collector), Some(inlet)) = (table.text(key), table.whole("inlet")) else { continue };
        let this = (collector.to_string(), inlet);
        if taken.contains(&this) {
            let message = format!("inlet {inlet} of collector \"{collector}\" is taken by two runs");
            let problem = reader.error("inlet-twice", &table.span_of("inlet"), &table.about, message);
            problem.expected = "each inlet once".into();
            problem.hint = "give one of the two another inlet".into();
        }
        taken.push(this);
    }
}

/// The text of a routes file in the job's units, with coordinates to a millionth of a millimetre or
/// better, so that reading it back gives the same routes.
pub fn write(routes: &Routes, units: Units) -> String {
    let mut text = String::from(
        "# Where every run's centreline goes: start, intersection points, end, and the CLR at each point between.\n",
    );
    let _ = writeln!(text, "format = 1\nunits = \"{}\"", units.word());
    let number = |mm: f64| figure(mm, units);
    let place = |p: Vec3| format!("[{}, {}, {}]", number(p.x), number(p.y), number(p.z));
    let direction = |p: Vec3| format!("[{}, {}, {}]", p.x, p.y, p.z);
    for route in &routes.runs {
        let (heading, keys) = match &route.run {
            RunId::Primary { cylinder } => {
                let collector = if route.collector.is_empty() {
                    String::new()
                } else {
                    format!("collector = {}\n", quote(&route.collector))
                };
                ("primary", format!("cylinder = {cylinder}\n{collector}"))
            }
            RunId::Secondary { from } => {
                let to = if route.collector.is_empty() {
                    String::new()
                } else {
                    format!("to = {}\n", quote(&route.collector))
                };
                ("secondary", format!("from = {}\n{to}", quote(from)))
            }
            RunId::Tail { from } => ("tail", format!("from = {}\n", quote(from))),
        };
        let _ = write!(text, "\n[[{heading}]]\n{keys}");
        if route.inlet > 0 && heading != "tail" {
            let _ = writeln!(text, "inlet = {}", route.inlet);
        }
        if route.locked {
            text.push_str("locked = true\n");
        }
        let points: Vec<String> = route.points.iter().map(|p| format!("  {},\n", place(*p))).collect();
        let radii: Vec<String> = route.radii.iter().map(|r| number(*r)).collect();
        let _ = write!(text, "points = [\n{}]\nradii = [{}]\n", points.concat(), radii.join(", "));
    }
    for moved in &routes.collectors {
        let f = moved.frame;
        let _ = write!(
            text,
            "\n[[collector]]\nname = {}\nat = {}\naxis = {}\nup = {}\n",
            quote(&moved.name),
            place(f.origin),
            direction(f.forward),
            direction(f.up)
        );
    }
    text
}

fn figure(mm: f64, units: Units) -> String {
    let text = match units {
        Units::Mm => format!("{mm:.7}"),
        Units::Inch => format!("{:.9}", mm / units.in_mm()),
    };
    let short = text.trim_end_matches('0');
    let short = if short.ends_with('.') { format!("{short}0") } else { short.to_string() };
    if short == "-0.0" { "0.0".into() } else { short }
}

/// A text in quotes as TOML has it.
pub fn quote(text: &str) -> String {
    toml::Value::String(text.to_string()).to_string()
}
