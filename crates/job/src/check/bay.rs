//! Ports and keep-outs against one another.

use super::{Finding, show, signed_distance};
use crate::file::job_file::Draft;
use crate::file::read::Reader;
use crate::file::record::Record;
use crate::model::Keepout;

/// Checks the bay.
pub fn check(reader: &mut Reader<'_>, draft: &Draft) {
    ports(reader, draft);
    for (i, (keepout, table)) in draft.job.keepouts.iter().zip(&draft.keepouts).enumerate() {
        if draft.job.keepouts[..i].iter().any(|k| k.name == keepout.name) {
            Finding {
                code: "duplicate-name",
                span: table.span_of("name"),
                about: table.about.clone(),
                message: format!("two keep-outs are called \"{}\"", keepout.name),
                expected: "a name of its own, by which gaps are reported".into(),
                hint: "give one of them another name".into(),
            }
            .warn(reader);
        }
        if !keepout.holds_ports {
            swallows(reader, draft, keepout, table);
        }
    }
    moves(reader, draft);
}

fn ports(reader: &mut Reader<'_>, draft: &Draft) {
    let job = &draft.job;
    let units = reader.units;
    let od = job.primary.tube.od;
    for (i, (port, table)) in job.ports.iter().zip(&draft.ports).enumerate() {
        if job.ports[..i].iter().any(|p| p.cylinder == port.cylinder) {
            Finding {
                code: "cylinder-twice",
                span: table.span_of("cylinder"),
                about: table.about.clone(),
                message: format!("cylinder {} has two ports", port.cylinder),
                expected: "one [[port]] for each cylinder".into(),
                hint: "correct the cylinder of one of the two".into(),
            }
            .error(reader);
        }
        if !draft.given.tube {
            continue;
        }
        let near =
            job.ports[..i].iter().map(|p| ((p.at - port.at).length(), p.cylinder)).min_by(|a, b| a.0.total_cmp(&b.0));
        let Some((distance, other)) = near else { continue };
        let clearance = job.clearance.tubes;
        let mut say = |code, message: String, error: bool| {
            let finding = Finding {
                code,
                span: table.span_of("at"),
                about: table.about.clone(),
                message,
                expected: format!("ports at least {} apart", show(od + clearance, units)),
                hint: "check the coordinates and their unit".into(),
            };
            if error { finding.error(reader) } else { finding.warn(reader) }
        };
        if distance < od - 1e-6 {
            let message = format!(
                "the ports of cylinders {other} and {} are {} apart, and the tube is {} wide",
                port.cylinder,
                show(distance, units),
                show(od, units)
            );
            say("ports-overlap", message, true);
        } else if distance < od + clearance - 1e-6 {
            let message = format!(
                "between the tubes at the ports of cylinders {other} and {} there is {}, less than the gap asked",
                port.cylinder,
                show(distance - od, units)
            );
            say("ports-close", message, false);
        }
    }
}

fn swallows(reader: &mut Reader<'_>, draft: &Draft, keepout: &Keepout, table: &Record) {
    let job = &draft.job;
    let units = reader.units;
    let places = job
        .ports
        .iter()
        .map(|p| (p.at, format!("the port of cylinder {}", p.cylinder), job.primary.tube.od, job.clearance.keepouts))
        .chain(job.collectors.iter().map(|c| (c.at, format!("the inlet plane of collector \"{}\"", c.name), 0.0, 0.0)));
    for (at, what, od, _) in places {
        let depth = signed_distance(&keepout.shape, at);
        let span = table.span_of(if table.given("center") {
            "center"
        } else if table.given("from") {
            "from"
        } else {
            "file"
        });
        let finding = |code, message: String, expected: &str| Finding {
            code,
            span: span.clone(),
            about: table.about.clone(),
            message,
            expected: expected.into(),
            hint: "add holds_ports = true when it is what the ports sit in; else check its place and unit".into(),
        };
        if depth < -1e-3 {
            let by = format!(" by {}", show(-depth, units));
            finding(
                "keepout-swallows",
                format!("\"{}\" swallows {what}{by}", keepout.name),
                "places outside of every keep-out",
            )
            .error(reader);
        } else if od > 0.0 && depth.is_finite() && depth < 0.5 * od + keepout.clearance {
            let message = format!(
                "\"{}\" is {} from the middle of {what}: the gap of {} cannot be kept there",
                keepout.name,
                show(depth, units),
                show(keepout.clearance, units)
            );
            finding("keepout-close", message, "room for the tube and its gap at every port").warn(reader);
        }
    }
}

fn moves(reader: &mut Reader<'_>, draft: &Draft) {
    let Some(table) = draft.root.table("goes_on") else { return };
    for ((_, span), step) in table.list("moves").unwrap_or_default().iter().zip(draft.job.goes_on.iter().flatten()) {
        if step.length() < 1e-3 {
            Finding {
                code: "zero-length",
                span: span.clone(),
                about: table.about.clone(),
                message: "a move of length 0".into(),
                expected: "a move [x, y, z] that goes somewhere".into(),
                hint: "delete it".into(),
            }
            .error(reader);
        }
    }
}
