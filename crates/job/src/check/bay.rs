//! Ports and keep-outs against one another.

use std::collections::BTreeSet;

use super::finding::{Finding, show};
use super::scale;
use crate::file::job_file::Draft;
use crate::file::read::Reader;
use crate::file::record::Record;
use crate::model::Keepout;

/// Checks the bay.
pub fn check(reader: &mut Reader<'_>, draft: &Draft) {
    ports(reader, draft);
    let mut names = BTreeSet::new();
    for (keepout, table) in draft.job.keepouts.iter().zip(&draft.keepouts) {
        if !names.insert(keepout.name.as_str()) {
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
        if keepout.holds_ports {
            stubs(reader, draft, keepout);
        } else {
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
    if !scale::fits(draft, &keepout.shape) {
        return;
    }
    let ports = job.ports.iter().map(|p| (p.at, format!("the port of cylinder {}", p.cylinder), true));
    let planes = job.collectors.iter().map(|c| (c.at, format!("the inlet plane of collector \"{}\"", c.name), false));
    let (mut inside, mut close) = (Vec::new(), Vec::new());
    for (at, what, is_port) in ports.chain(planes) {
        let distance = keepout.shape.distance(at);
        if distance < -1e-3 {
            inside.push(format!("{what} by {}", show(-distance, units)));
        } else if is_port && draft.given.tube && distance < 0.5 * job.primary.tube.od + keepout.clearance {
            close.push(format!("{what} ({})", show(distance, units)));
        }
    }
    let key = ["center", "from", "file"].into_iter().find(|k| table.given(k)).unwrap_or("name");
    let finding = |code, message: String, expected: &str| Finding {
        code,
        span: table.span_of(key),
        about: table.about.clone(),
        message,
        expected: expected.into(),
        hint: "add holds_ports = true when it is what the ports sit in; else check its place and unit".into(),
    };
    if !inside.is_empty() {
        let message = format!("\"{}\" swallows {}", keepout.name, inside.join(", "));
        finding("keepout-swallows", message, "places outside of every keep-out").error(reader);
    }
    if !close.is_empty() {
        let gap = show(keepout.clearance, units);
        let message = format!("\"{}\" is too near for a tube and a gap of {gap}: {}", keepout.name, close.join(", "));
        finding("keepout-close", message, "room for the tube and its gap at every port").warn(reader);
    }
}

/// Where a stub ends, the gap to what the port sits in is asked again.
fn stubs(reader: &mut Reader<'_>, draft: &Draft, keepout: &Keepout) {
    if !draft.given.tube || !draft.given.clearance {
        return;
    }
    let units = reader.units;
    let radius = 0.5 * draft.job.primary.tube.od;
    for (port, table) in draft.job.ports.iter().zip(&draft.ports) {
        let distance = keepout.shape.distance(port.at + port.axis * port.stub);
        let missing = radius + keepout.clearance - distance;
        if missing > 1e-6 {
            let gap = show(keepout.clearance, units);
            Finding {
                code: "stub-in-gap",
                span: table.span_of("stub"),
                about: table.about.clone(),
                message: format!(
                    "where the stub ends, the tube is {} too near to \"{}\" for a gap of {gap}",
                    show(missing, units),
                    keepout.name
                ),
                expected: format!("a stub of about {} or more", show(port.stub + missing, units)),
                hint: format!("lengthen the stub, or give \"{}\" a smaller clearance of its own", keepout.name),
            }
            .warn(reader);
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
