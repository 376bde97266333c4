//! Parts on tubes and covers of tubes: what they are on, and the keys that belong together. Where they stand on the routes is checked with the
//! routes ([`crate::parts::misplaced`]).

use super::finding::Finding;
use crate::file::job_file::Draft;
use crate::file::read::Reader;
use crate::file::record::Record;
use crate::routes::RunId;
use crate::suggest::{either, nearest};

pub fn check(reader: &mut Reader<'_>, draft: &Draft) {
    for key in ["slip", "bung", "joint", "shield"] {
        for table in draft.root.tables(key) {
            run(reader, draft, table);
        }
    }
    for table in draft.root.tables("joint") {
        rigid_joint(reader, table);
    }
    for table in draft.root.tables("shield") {
        shielded(reader, draft, table);
    }
    for table in draft.root.tables("bracket") {
        bracket(reader, draft, table);
    }
    for table in draft.root.table("heat").map_or(&[][..], |heat| heat.tables("run")) {
        run(reader, draft, table);
        if table.given("thickness") && table.text("cover").is_some_and(|c| c != "wrapped") {
            let message = "only a wrap has a `thickness`".to_string();
            let hint = "delete `thickness`, or write cover = \"wrapped\"";
            report(reader, table, "thickness", "misplaced-key", message, "no `thickness`".into(), hint);
        }
    }
    for table in draft.root.tables("bung") {
        if let (Some(reach), Some(length)) = (table.number("reach"), table.number("length"))
            && reach < length
        {
            let message = "`reach` is less than `length`: the sensor would not come out".to_string();
            report(
                reader,
                table,
                "reach",
                "sensor-stuck",
                message,
                "at least `length`".into(),
                "correct one of the two",
            );
        }
    }
}

fn report(
    reader: &mut Reader<'_>,
    table: &Record,
    key: &str,
    code: &'static str,
    message: String,
    expected: String,
    hint: &str,
) {
    let (span, about) = (table.span_of(key), table.about.clone());
    Finding { code, span, about, message, expected, hint: hint.into() }.error(reader);
}

/// The run that a table names must be one of the job's.
fn run(reader: &mut Reader<'_>, draft: &Draft, table: &Record) {
    let Some(name) = table.text("run") else { return };
    if !(draft.ports_whole && draft.collectors_whole) {
        return;
    }
    let known: Vec<String> = draft.job.run_ids().iter().map(ToString::to_string).collect();
    if known.iter().any(|k| k == name) {
        return;
    }
    let quoted: Vec<String> = known.iter().map(|k| format!("\"{k}\"")).collect();
    // Another cylinder is not what was meant.
    let near = nearest(name, known.iter().map(String::as_str)).filter(|_| name.parse::<RunId>().is_err());
    let hint = near.map_or_else(|| "name a run of this job".to_string(), |near| format!("write \"{near}\""));
    let expected =
        if quoted.is_empty() { "a run that the job has ports or collectors for".into() } else { either(&quoted) };
    report(reader, table, "run", "unknown-run", format!("there is no run \"{name}\""), expected, &hint);
}

/// Only bellows have a stiffness.
fn rigid_joint(reader: &mut Reader<'_>, table: &Record) {
    let given = ["axial_n_per_mm", "lateral_n_per_mm"].into_iter().find(|key| table.given(key));
    let (Some(key), Some(kind)) = (given, table.text("kind").filter(|k| *k != "bellows")) else { return };
    let message = format!("a joint of kind \"{kind}\" gives in no way and has no `{key}`");
    let hint = format!("delete `{key}`, or write kind = \"bellows\"");
    report(
        reader,
        table,
        key,
        "misplaced-key",
        message,
        "`axial_n_per_mm` and `lateral_n_per_mm` with bellows".into(),
        &hint,
    );
}

/// The obstacle that a shield names must be one of the job's.
fn shielded(reader: &mut Reader<'_>, draft: &Draft, table: &Record) {
    let Some(name) = table.text("obstacle") else { return };
    let names = || draft.job.keepouts.iter().map(|k| k.name.as_str());
    if names().any(|n| n == name) || draft.root.is_bad("keepout") {
        return;
    }
    let quoted: Vec<String> = names().take(6).map(|n| format!("\"{n}\"")).collect();
    let expected = if quoted.is_empty() { "the name of a [[keepout]]".into() } else { either(&quoted) };
    let hint = nearest(name, names())
        .map_or_else(|| "name an obstacle of this job".to_string(), |near| format!("write \"{near}\""));
    let message = format!("there is no obstacle \"{name}\"");
    report(reader, table, "obstacle", "unknown-obstacle", message, expected, &hint);
}

fn bracket(reader: &mut Reader<'_>, draft: &Draft, table: &Record) {
    bracket_holds(reader, table);
    run(reader, draft, table);
    bracket_collector(reader, draft, table);
    let mut wrong = |key: &str, code, message: &str, expected: &str, hint: &str| {
        report(reader, table, key, code, message.into(), expected.into(), hint);
    };
    match (table.text("kind"), table.given("along")) {
        (Some("link"), false) => wrong(
            "kind",
            "missing-key",
            "a link needs `along`, the direction in which it holds",
            "`along`: a direction",
            "add along = [0.0, 0.0, 1.0] or as it lies",
        ),
        (Some("tab"), true) => wrong(
            "along",
            "misplaced-key",
            "a tab holds all ways and has no `along`",
            "kind = \"slotted\" or \"link\"",
            "delete `along`, or correct `kind`",
        ),
        _ => {}
    }
}

/// A bracket holds a run at a place, or a collector.
fn bracket_holds(reader: &mut Reader<'_>, table: &Record) {
    let [on_run, on_collector, at] = ["run", "collector", "at"].map(|key| table.given(key));
    let mut wrong = |key: &str, code, message: &str, expected: &str, hint: &str| {
        report(reader, table, key, code, message.into(), expected.into(), hint);
    };
    match (on_run, on_collector) {
        (true, true) => wrong(
            "collector",
            "conflict",
            "a bracket holds a run or a collector, and both are given",
            "one of the two",
            "delete `run` or `collector`",
        ),
        (false, false) => wrong(
            "kind",
            "missing-key",
            "a bracket needs what it holds",
            "`run` with `at`, or `collector`",
            "add run = \"primary 1\" with at, or collector = \"...\"",
        ),
        (true, false) if !at => wrong(
            "run",
            "missing-key",
            "a bracket on a run needs `at`",
            "`at`: a length",
            "add at = ... from the start of the run",
        ),
        (false, true) if at => wrong(
            "at",
            "misplaced-key",
            "a bracket on a collector has no `at`",
            "no `at`",
            "delete `at`, or name the `run`",
        ),
        _ => {}
    }
}

/// The collector that a bracket names must be one of the job's.
fn bracket_collector(reader: &mut Reader<'_>, draft: &Draft, table: &Record) {
    let Some(name) = table.text("collector") else { return };
    if !draft.collectors_whole || draft.job.collectors.iter().any(|c| c.name == name) {
        return;
    }
    let names = draft.job.collectors.iter().map(|c| c.name.as_str());
    let quoted: Vec<String> = names.clone().map(|n| format!("\"{n}\"")).collect();
    let expected = if quoted.is_empty() { "the name of a [[collector]]".into() } else { either(&quoted) };
    let hint = nearest(name, names)
        .map_or_else(|| "name a collector of this job".to_string(), |near| format!("write \"{near}\""));
    let message = format!("there is no collector \"{name}\"");
    report(reader, table, "collector", "unknown-collector", message, expected, &hint);
}
