//! Whether runs can get from their ports to their collectors.
//!
//! A run of stub s at a port P with axis a, and stub t at an inlet I with axis b, is at least
//! s + t + |(P + s a) - (I - t b)| long: nothing is shorter than a straight line. A collector that may
//! move is taken where it is nearest. A target below that cannot be met; it is only a warning here, because
//! the router says by how much, and what would help.

use super::collectors::choices;
use super::finding::{Finding, show};
use crate::file::job_file::Draft;
use crate::file::read::Reader;
use crate::file::record::Record;
use crate::inlets::{Inlet, collector_frame, end_stub, inlets};
use crate::model::{Collector, Port};

/// A collector whose ports all lie downstream of its inlet plane, on the mean further than this, mm, and than
/// [`WRONG_COS`] of their mean distance, points the wrong way. Runs that turn back into a flange lie nearer: a
/// U-turn of a usual bend takes 150 mm.
const WRONG_MM: f64 = 200.0;
/// See [`WRONG_MM`].
const WRONG_COS: f64 = 0.4;
/// A collector that lies further behind the flange face of all its ports than this, mm, and than
/// [`BEHIND_COS`] of their distance, is on the other side of the engine.
const BEHIND_MM: f64 = 150.0;
/// See [`BEHIND_MM`].
const BEHIND_COS: f64 = 0.2;

/// Checks what is possible between ports and collectors.
pub fn check(reader: &mut Reader<'_>, draft: &Draft) {
    if !draft.given.tube || draft.job.collectors.is_empty() {
        return;
    }
    stubs(reader, draft);
    target(reader, draft);
    if draft.ports_whole && draft.collectors_whole {
        sides(reader, draft);
    }
    apart(reader, draft);
}

fn stubs(reader: &mut Reader<'_>, draft: &Draft) {
    let job = &draft.job;
    for (i, (port, table)) in job.ports.iter().zip(&draft.ports).enumerate() {
        let far = choices(job, i)
            .into_iter()
            .map(|c| (job.collectors[c].at - port.at).length() + play(&job.collectors[c]))
            .fold(f64::NEG_INFINITY, f64::max);
        too_long(reader, table, port.stub, far, "the collector", "20 to 40");
    }
    for (c, (collector, table)) in job.collectors.iter().zip(&draft.collectors).enumerate() {
        let mine = (0..job.ports.len()).filter(|p| choices(job, *p).contains(&c));
        let near =
            mine.map(|p| (job.ports[p].at - collector.at).length() + play(collector)).fold(f64::INFINITY, f64::min);
        too_long(reader, table, collector.stub, near, "the nearest port", "30 to 60");
    }
}

/// Says when a stub is longer than the straight line of `line` mm to what it is measured to.
fn too_long(reader: &mut Reader<'_>, table: &Record, stub: f64, line: f64, to: &str, usual: &str) {
    if !line.is_finite() || stub <= line {
        return;
    }
    let units = reader.units;
    Finding {
        code: "stub-too-long",
        span: table.span_of("stub"),
        about: table.about.clone(),
        message: format!(
            "a stub of {} is longer than the straight line of {} to {to}",
            show(stub, units),
            show(line, units)
        ),
        expected: "a stub much shorter than the way".into(),
        hint: format!("check the stub and its unit; {usual} mm are usual"),
    }
    .error(reader);
}

/// How far a collector may come from where it was drawn, mm.
fn play(collector: &Collector) -> f64 {
    collector.may_move.along.hypot(collector.may_move.aside)
}

/// Least length of a run, mm.
fn least(port: &Port, collector: &Collector, inlet: &Inlet) -> f64 {
    let stub = end_stub(collector);
    let (from, to) = (port.at + port.axis * port.stub, inlet.at - inlet.axis * stub);
    ((from - to).length() - play(collector)).max(0.0) + port.stub + stub
}

fn target(reader: &mut Reader<'_>, draft: &Draft) {
    let job = &draft.job;
    let units = reader.units;
    let wanted = job.primary.length;
    let (Some(target), true) = (wanted.target, wanted.tolerance.is_finite()) else { return };
    let Some(table) = draft.root.table("length") else { return };
    let od = job.primary.tube.od;
    let mut worst: Option<(f64, u32)> = None;
    for (i, port) in job.ports.iter().enumerate() {
        let least = choices(job, i)
            .into_iter()
            .flat_map(|c| {
                let collector = &job.collectors[c];
                // A roll that may change leaves only the centre certain.
                let places = inlets(collector, &collector_frame(collector), od);
                let arm = places.first().map_or(0.0, |i| (i.in_plane - collector.at).length());
                let slack = if collector.may_move.roll > 0.0 { arm } else { 0.0 };
                places.into_iter().map(move |inlet| least(port, collector, &inlet) - 2.0 * slack)
            })
            .fold(f64::INFINITY, f64::min);
        if least.is_finite() && worst.is_none_or(|(w, _)| least > w) {
            worst = Some((least, port.cylinder));
        }
    }
    if let Some((least, cylinder)) = worst
        && target + wanted.tolerance < least - 1e-6
    {
        Finding {
            code: "target-too-short",
            span: table.span_of("target"),
            about: table.about.clone(),
            message: format!(
                "no run from the port of cylinder {cylinder} is shorter than {}, stubs and the straight line between them",
                show(least, units)
            ),
            expected: format!("a target of more than {}", show(least - wanted.tolerance, units)),
            hint: "lengthen the target or bring the collector nearer; check their units".into(),
        }
        .warn(reader);
    }
}

fn sides(reader: &mut Reader<'_>, draft: &Draft) {
    let job = &draft.job;
    let units = reader.units;
    for (c, (collector, table)) in job.collectors.iter().zip(&draft.collectors).enumerate() {
        let mine: Vec<&Port> =
            (0..job.ports.len()).filter(|p| choices(job, *p) == [c]).map(|p| &job.ports[p]).collect();
        if mine.is_empty() {
            continue;
        }
        let least = |f: &dyn Fn(&Port) -> f64| mine.iter().map(|p| f(p)).fold(f64::INFINITY, f64::min);
        let away = |p: &Port| (p.at - collector.at).length().max(1e-9);
        let downstream = |p: &Port| (p.at - collector.at).dot(collector.axis);
        let behind = |p: &Port| (p.at - collector.at).dot(p.axis);
        let ahead = least(&downstream);
        let count = mine.len() as f64;
        let mean = mine.iter().map(|p| downstream(p)).sum::<f64>() / count;
        let cos = mean / (mine.iter().map(|p| away(p)).sum::<f64>() / count);
        let finding = |code, key: &str, message: String, hint: &str| Finding {
            code,
            span: table.span_of(key),
            about: table.about.clone(),
            message,
            expected: "ports on the side from which the flow comes".into(),
            hint: hint.into(),
        };
        let flip = "axis points with the flow, from the inlets to the outlet: turn it round, or check `at`";
        if ahead > 0.0 && mean > WRONG_MM.max(play(collector)) && cos > WRONG_COS {
            let message = format!(
                "its ports lie on the wrong side: on the mean {} downstream of its inlet plane",
                show(mean, units)
            );
            finding("wrong-side", "axis", message, flip).error(reader);
        } else if ahead > 1.0 && cos > WRONG_COS {
            let message = format!(
                "all its ports lie {} or more downstream of its inlet plane: every run has to turn back",
                show(ahead, units)
            );
            finding("turns-back", "axis", message, flip).warn(reader);
        }
        lone_port(reader, draft, &mine);
        let back = least(&behind);
        let other_side = "check `at` of the collector and `axis` of the ports, which points out of the head";
        if back > BEHIND_MM.max(play(collector)) && least(&|p| behind(p) / away(p)) > BEHIND_COS {
            let message = format!(
                "it lies {} or more behind the flange face of all its ports, on the wrong side",
                show(back, units)
            );
            finding("wrong-side", "at", message, other_side).error(reader);
        } else if back > 1.0 {
            let message = format!("it lies {} or more behind the flange face of all its ports", show(back, units));
            finding("behind-ports", "at", message, other_side).warn(reader);
        }
    }
}

/// One port that blows against all the others of its collector has its axis the wrong way round.
fn lone_port(reader: &mut Reader<'_>, draft: &Draft, mine: &[&Port]) {
    let against = |p: &&Port| mine.iter().filter(|o| o.cylinder != p.cylinder).all(|o| o.axis.dot(p.axis) < -0.5);
    let lone: Vec<&Port> = mine.iter().filter(|p| against(p)).copied().collect();
    let [port] = lone[..] else { return };
    let Some(at) = draft.job.ports.iter().position(|p| p.cylinder == port.cylinder) else { return };
    if mine.len() < 3 {
        return;
    }
    let table = &draft.ports[at];
    Finding {
        code: "wrong-side",
        span: table.span_of("axis"),
        about: table.about.clone(),
        message: "this port points the opposite way to the others on its collector".into(),
        expected: "the direction of flow out of the head".into(),
        hint: "turn axis round".into(),
    }
    .error(reader);
}

/// Two collectors cannot stand in the same place.
fn apart(reader: &mut Reader<'_>, draft: &Draft) {
    let job = &draft.job;
    for (i, (collector, table)) in job.collectors.iter().zip(&draft.collectors).enumerate() {
        for other in &job.collectors[..i] {
            if (other.at - collector.at).length() < job.primary.tube.od * 0.5 {
                Finding {
                    code: "same-place",
                    span: table.span_of("at"),
                    about: table.about.clone(),
                    message: format!(
                        "collectors \"{}\" and \"{}\" stand in the same place",
                        other.name, collector.name
                    ),
                    expected: "a place of its own for each".into(),
                    hint: "measure the inlet plane of each".into(),
                }
                .error(reader);
            }
        }
    }
}
