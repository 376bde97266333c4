//! The engine: its figures, its firing order, what of it the job names.

use super::finding::{Finding, show};
use crate::file::job_file::Draft;
use crate::file::read::Reader;
use crate::file::record::{Record, Value};

/// Checks the engine.
pub fn check(reader: &mut Reader<'_>, draft: &Draft) {
    let Some(table) = draft.root.table("engine") else { return };
    let cylinders = table.whole("cylinders");
    layout(reader, table, cylinders);
    if let Some(cylinders) = cylinders {
        firing_order(reader, table, cylinders);
        for (port, record) in draft.job.ports.iter().zip(&draft.ports) {
            if i64::from(port.cylinder) > cylinders {
                Finding {
                    code: "no-such-cylinder",
                    span: record.span_of("cylinder"),
                    about: record.about.clone(),
                    message: format!("the engine has {cylinders} cylinders, not {}", port.cylinder),
                    expected: format!("a whole number from 1 to {cylinders}"),
                    hint: "correct the cylinder here, or cylinders of [engine]".into(),
                }
                .error(reader);
            }
        }
    }
    proportions(reader, table, draft);
}

fn layout(reader: &mut Reader<'_>, table: &Record, cylinders: Option<i64>) {
    let (Some(layout), Some(cylinders)) = (table.text("layout"), cylinders) else { return };
    let finding = |message: String, hint: &str| Finding {
        code: "layout",
        span: table.span_of("layout"),
        about: table.about.clone(),
        message,
        expected: "single for one cylinder; inline, vee or flat for more".into(),
        hint: hint.into(),
    };
    if layout == "single" && cylinders != 1 {
        finding(
            format!("a single has one cylinder, not {cylinders}"),
            "write layout = \"inline\", or correct cylinders",
        )
        .error(reader);
    } else if layout != "single" && cylinders == 1 {
        finding(format!("an engine of one cylinder is no {layout}"), "write layout = \"single\", or correct cylinders")
            .warn(reader);
    } else if matches!(layout, "vee" | "flat") && cylinders % 2 == 1 {
        finding(format!("a {layout} with {cylinders} cylinders has uneven banks"), "check layout and cylinders")
            .warn(reader);
    }
}

fn firing_order(reader: &mut Reader<'_>, table: &Record, cylinders: i64) {
    let Some(list) = table.list("firing_order") else { return };
    let order: Vec<i64> =
        list.iter().filter_map(|(v, _)| if let Value::Whole(n) = v { Some(*n) } else { None }).collect();
    let missing: Vec<String> = (1..=cylinders).filter(|c| !order.contains(c)).map(|c| c.to_string()).collect();
    let expected = format!("each cylinder from 1 to {cylinders} once");
    let mut faults: Vec<(std::ops::Range<usize>, String)> = Vec::new();
    for (i, (n, (_, span))) in order.iter().zip(list).enumerate() {
        if *n > cylinders {
            faults.push((span.clone(), format!("the firing order names cylinder {n}, and the engine has {cylinders}")));
        } else if order[..i].contains(n) {
            faults.push((span.clone(), format!("the firing order names cylinder {n} twice")));
        }
    }
    if faults.is_empty() && !missing.is_empty() {
        faults.push((table.span_of("firing_order"), format!("the firing order lacks cylinder {}", missing.join(", "))));
    }
    let hint = if missing.is_empty() {
        "delete what is too much".into()
    } else {
        format!("cylinder {} is missing in it", missing.join(", "))
    };
    for (span, message) in faults {
        let (expected, hint) = (expected.clone(), hint.clone());
        Finding { code: "firing-order", span, about: table.about.clone(), message, expected, hint }.error(reader);
    }
}

fn proportions(reader: &mut Reader<'_>, table: &Record, draft: &Draft) {
    let units = reader.units;
    let mut odd = |key: &'static str, message: String, expected: &str| {
        Finding {
            code: "odd-proportion",
            span: table.span_of(key),
            about: table.about.clone(),
            message,
            expected: expected.into(),
            hint: "check the figure and its unit".into(),
        }
        .warn(reader);
    };
    if let (Some(bore), Some(stroke)) = (table.number("bore"), table.number("stroke"))
        && !(0.3..=3.0).contains(&(bore / stroke))
    {
        odd(
            "stroke",
            format!("bore and stroke are {} and {}", show(bore, units), show(stroke, units)),
            "bore / stroke between 0.3 and 3",
        );
    }
    if let (Some(rod), Some(stroke)) = (table.number("rod_length"), table.number("stroke")) {
        if rod <= 0.5 * stroke {
            Finding {
                code: "rod-too-short",
                span: table.span_of("rod_length"),
                about: table.about.clone(),
                message: format!("a rod of {} cannot turn a crank of {}", show(rod, units), show(0.5 * stroke, units)),
                expected: "a rod longer than half the stroke, usually 1.4 to 2.2 strokes".into(),
                hint: "check rod_length, stroke and their unit".into(),
            }
            .error(reader);
            return;
        }
        if !(1.1..=4.0).contains(&(rod / stroke)) {
            odd(
                "rod_length",
                format!("the rod is {:.2} strokes long", rod / stroke),
                "1.1 to 4 strokes, usually 1.4 to 2.2",
            );
        }
    }
    if let Some(bore) = table.number("bore")
        && draft.given.tube
        && draft.job.primary.tube.od > bore
    {
        odd(
            "bore",
            format!("the primary tube is wider than the bore of {}", show(bore, units)),
            "a tube narrower than the bore",
        );
    }
}
