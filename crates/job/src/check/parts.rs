//! Parts on tubes and covers of tubes: what they are on, and the keys that belong together. Where they stand on the routes is checked with the
//! routes ([`crate::parts::misplaced`]).

use super::Finding;
use crate::file::job_file::Draft;
use crate::file::read::Reader;
use crate::file::record::Record;
use crate::routes::RunId;
use crate::suggest::{either, nearest};

pub fn check(reader: &mut Reader<'_>, draft: &Draft) {
    for key in ["slip", "bung"] {
        for table in draft.root.tables(key) {
            run(reader, draft, table);
        }
    }
    for table in draft.root.tables("bracket") {
        bracket(reader, draft, table);
    }
    for table in draft.root.table("heat").map_or(&[][..], |heat| heat.tables("run")) {
        run(reader, draft, table);
        if table.given("thickness") && table.text("cover").is_some_and(|c| c != "wrapped") {
            let message = "only a wrap has a `thickness`".to_string();
            let hint = "delete `thickness`, or write cover = \"wrapped\"";
            say(reader, table, "thickness", "misplaced-key", message, "no `thickness`".into(), hint);
        }
    }
    for table in draft.root.tables("bung") {
        if let (Some(reach), Some(length)) = (table.number("reach"), table.number("length"))
            && reach < length
        {
            let message = "`reach` is less than `length`: the sensor would not come out".to_string();
            say(reader, table, "reach", "sensor-stuck", message, "at least `length`".into(), "correct one of the two");
        }
    }
}

fn say(
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
    say(reader, table, "run", "unknown-run", format!("there is no run \"{name}\""), expected, &hint);
}

fn bracket(reader: &mut Reader<'_>, draft: &Draft, table: &Record) {
    let [on_run, on_collector, at] = ["run", "collector", "at"].map(|key| table.given(key));
    match (on_run, on_collector) {
        (true, true) => {
            let message = "a bracket holds a run or a collector, and both are given".to_string();
            say(
                reader,
                table,
                "collector",
                "conflict",
                message,
                "one of the two".into(),
                "delete `run` or `collector`",
            );
        }
        (false, false) => {
            let expected = "`run` with `at`, or `collector`".to_string();
            let message = "a bracket needs what it holds".to_string();
            say(
                reader,
                table,
                "kind",
                "missing-key",
                message,
                expected,
                "add run = \"primary 1\" with at, or collector = \"...\"",
            );
        }
        (true, false) if !at => {
            let message = "a bracket on a run needs `at`".to_string();
            say(
                reader,
                table,
                "run",
                "missing-key",
                message,
                "`at`: a length".into(),
                "add at = ... from the start of the run",
            );
        }
        (false, true) if at => {
            let message = "a bracket on a collector has no `at`".to_string();
            say(reader, table, "at", "misplaced-key", message, "no `at`".into(), "delete `at`, or name the `run`");
        }
        _ => {}
    }
    run(reader, draft, table);
    if let Some(name) = table.text("collector")
        && draft.collectors_whole
        && !draft.job.collectors.iter().any(|c| c.name == name)
    {
        let names = draft.job.collectors.iter().map(|c| c.name.as_str());
        let quoted: Vec<String> = names.clone().map(|n| format!("\"{n}\"")).collect();
        let hint = nearest(name, names)
            .map_or_else(|| "name a collector of this job".to_string(), |n| format!("write \"{n}\""));
        say(
            reader,
            table,
            "collector",
            "unknown-collector",
            format!("there is no collector \"{name}\""),
            either(&quoted),
            &hint,
        );
    }
    match (table.text("kind"), table.given("along")) {
        (Some("link"), false) => {
            let message = "a link needs `along`, the direction in which it holds".to_string();
            say(
                reader,
                table,
                "kind",
                "missing-key",
                message,
                "`along`: a direction".into(),
                "add along = [0.0, 0.0, 1.0] or as it lies",
            );
        }
        (Some("tab"), true) => {
            let message = "a tab holds all ways and has no `along`".to_string();
            say(
                reader,
                table,
                "along",
                "misplaced-key",
                message,
                "kind = \"slotted\" or \"link\"".into(),
                "delete `along`, or correct `kind`",
            );
        }
        _ => {}
    }
}
