//! Collectors: names, what feeds what, which cylinders and inlets.

use super::finding::Finding;
use crate::file::job_file::Draft;
use crate::file::read::Reader;
use crate::file::record::{Record, Value};
use crate::firing;
use crate::model::{Collector, Groups, Job, Pattern, Rotation};
use crate::suggest::nearest;

/// Checks the collectors and tails.
pub fn check(reader: &mut Reader<'_>, draft: &Draft) {
    let job = &draft.job;
    for (i, (collector, table)) in job.collectors.iter().zip(&draft.collectors).enumerate() {
        if job.collectors[..i].iter().any(|c| c.name == collector.name) {
            let message = format!("two collectors are called \"{}\"", collector.name);
            finding("duplicate-name", table, "name", message, "each name once", "give one of them another name")
                .error(reader);
        }
        no_body(reader, collector, table);
        cylinders(reader, draft, collector, table);
        inlet_of(reader, draft, collector, table);
        order(reader, draft, collector, table);
    }
    if draft.collectors_whole {
        feeds(reader, draft);
        tails(reader, draft);
        if draft.ports_whole {
            enough_inlets(reader, draft);
        }
    }
    let secondaries = job.collectors.iter().any(|c| c.feeds.is_some());
    if draft.root.given("secondary") && !secondaries && draft.collectors_whole && !job.collectors.is_empty() {
        let span = draft.root.key_span("secondary");
        let message = "[secondary] is given, but no collector feeds another".to_string();
        let hint = "add feeds = \"...\" to the first collector, or delete [secondary]".to_string();
        Finding { code: "unused", span, about: String::new(), message, expected: String::new(), hint }.warn(reader);
    }
}

fn finding(code: &'static str, table: &Record, key: &str, message: String, expected: &str, hint: &str) -> Finding {
    Finding {
        code,
        span: table.span_of(key),
        about: table.about.clone(),
        message,
        expected: expected.into(),
        hint: hint.into(),
    }
}

fn no_body(reader: &mut Reader<'_>, collector: &Collector, table: &Record) {
    if table.given("body") || table.is_bad("body") || reader.broken {
        return;
    }
    let message = format!("collector \"{}\" has no body: it is taken as its inlet plane", collector.name);
    finding(
        "no-body",
        table,
        "name",
        message,
        "[collector.body] with how it is made",
        "add `body = { made = \"merge\" }`, or \"slip\", \"plate\", or \"bought\" with its length and outlet_od",
    )
    .warn(reader);
}

fn cylinders(reader: &mut Reader<'_>, draft: &Draft, collector: &Collector, table: &Record) {
    let Some(list) = table.list("cylinders") else { return };
    let mut known: Vec<String> = draft.job.ports.iter().map(|p| p.cylinder.to_string()).collect();
    known.dedup();
    for (i, (value, span)) in list.iter().enumerate() {
        let Value::Whole(n) = value else { continue };
        let mut say = |code, message: String, hint: &str| {
            let expected = format!("the cylinders that have a [[port]]: {}", known.join(", "));
            Finding { code, span: span.clone(), about: table.about.clone(), message, expected, hint: hint.into() }
                .error(reader);
        };
        if list[..i].iter().any(|(v, _)| matches!(v, Value::Whole(m) if m == n)) {
            say("cylinder-twice", format!("cylinder {n} is named twice"), "delete one of the two");
        } else if draft.ports_whole && !draft.job.ports.iter().any(|p| i64::from(p.cylinder) == *n) {
            say(
                "no-such-port",
                format!("cylinder {n} has no port in this job"),
                "add its [[port]], or take it out of the list",
            );
        }
    }
    if collector.cylinders.len() > collector.inlets {
        let message = format!("{} cylinders are named for {} inlets", collector.cylinders.len(), collector.inlets);
        finding(
            "too-few-inlets",
            table,
            "cylinders",
            message,
            "at most as many cylinders as inlets",
            "correct inlets or cylinders",
        )
        .error(reader);
    }
}

fn inlet_of(reader: &mut Reader<'_>, draft: &Draft, collector: &Collector, table: &Record) {
    let Some(list) = table.list("inlet_of") else { return };
    for (i, ((cylinder, inlet), (value, key_span))) in collector.inlet_of.iter().zip(list).enumerate() {
        let Value::List(pair) = value else { continue };
        let inlet_span = pair.get(1).map_or_else(|| key_span.clone(), |(_, s)| s.clone());
        let mut say = |span: &std::ops::Range<usize>, code, message: String, expected: String, hint: &str| {
            Finding { code, span: span.clone(), about: table.about.clone(), message, expected, hint: hint.into() }
                .error(reader);
        };
        if *inlet > collector.inlets {
            let message = format!("there is no inlet {inlet}; inlets = {}", collector.inlets);
            say(
                &inlet_span,
                "inlet-out-of-range",
                message,
                format!("an inlet from 1 to {}", collector.inlets),
                "correct the inlet",
            );
        }
        if collector.inlet_of[..i].iter().any(|(_, other)| other == inlet) {
            let message = format!("inlet {inlet} is given to two cylinders");
            say(&inlet_span, "inlet-twice", message, "each inlet once".into(), "give one of the two another inlet");
        }
        let listed = collector.cylinders.is_empty() || collector.cylinders.contains(cylinder);
        if draft.ports_whole && !draft.job.ports.iter().any(|p| p.cylinder == *cylinder) {
            let message = format!("cylinder {cylinder} has no port in this job");
            say(
                key_span,
                "no-such-port",
                message,
                "a cylinder that has a [[port]]".into(),
                "add its [[port]], or take it out",
            );
        } else if !listed {
            let message = format!("cylinder {cylinder} is not among `cylinders` of this collector");
            say(
                key_span,
                "not-its-cylinder",
                message,
                "a cylinder of this collector".into(),
                "add it to cylinders, or take it out here",
            );
        }
    }
}

/// Twin entries and firing rotation need a firing order that groups the cylinders.
fn order(reader: &mut Reader<'_>, draft: &Draft, collector: &Collector, table: &Record) {
    let twin = collector.groups == Groups::Twin;
    let firing = collector.rotation == Rotation::Firing;
    if twin && collector.inlets % 2 == 1 {
        odd_twin(reader, collector, table);
    }
    if !(twin || firing) {
        return;
    }
    let key = if twin { "groups" } else { "rotation" };
    let engine_bad =
        draft.root.is_bad("engine") || draft.root.table("engine").is_some_and(|t| t.is_bad("firing_order"));
    let order = draft.job.engine.as_ref().and_then(|e| e.firing_order.clone());
    let Some(order) = order else {
        if !engine_bad {
            let message = format!("`{key}` goes by the firing order, and the job has none");
            finding(
                "no-firing-order",
                table,
                key,
                message,
                "firing_order in [engine]",
                "add [engine] with layout, cylinders and firing_order",
            )
            .error(reader);
        }
        return;
    };
    if firing && collector.pattern == Pattern::Line {
        let message = "inlets in a line have no order around".to_string();
        finding(
            "rotation-of-line",
            table,
            "rotation",
            message,
            "a square, triangle or ring",
            "write rotation = \"any\"",
        )
        .warn(reader);
    }
    let takes: Vec<u32> = if collector.cylinders.is_empty() {
        draft.job.ports.iter().map(|p| p.cylinder).collect()
    } else {
        collector.cylinders.clone()
    };
    if twin
        && takes.len() == collector.inlets
        && takes.len().is_multiple_of(2)
        && takes.iter().all(|c| order.contains(c))
    {
        grouped(reader, collector, table, &order, &takes);
    }
}

/// A twin entry has two groups of the same number of inlets.
fn odd_twin(reader: &mut Reader<'_>, collector: &Collector, table: &Record) {
    finding(
        "twin-odd",
        table,
        "groups",
        format!("a twin entry cannot part {} inlets in two", collector.inlets),
        "an even number of inlets",
        "correct inlets, or write groups = \"none\"",
    )
    .error(reader);
}

/// Fixed inlets of a twin entry must not mix its two groups.
fn grouped(reader: &mut Reader<'_>, collector: &Collector, table: &Record, order: &[u32], takes: &[u32]) {
    let Ok(groups) = firing::groups(order, takes, 2) else { return };
    let group = |cylinder: u32| groups.iter().position(|g| g.contains(&cylinder));
    let side = |inlet: usize| usize::from(inlet > collector.inlets / 2);
    for (i, (cylinder, inlet)) in collector.inlet_of.iter().enumerate() {
        for (other, other_inlet) in &collector.inlet_of[..i] {
            let (same_group, same_side) = (group(*cylinder) == group(*other), side(*inlet) == side(*other_inlet));
            if cylinder != other && same_group != same_side {
                let words: Vec<String> =
                    groups.iter().map(|g| g.iter().map(u32::to_string).collect::<Vec<_>>().join("+")).collect();
                let message =
                    format!("the inlets of cylinders {other} and {cylinder} mix the two groups of the firing order");
                let expected = format!("{} in one half of the inlets and {} in the other", words[0], words[1]);
                finding("twin-mixed", table, "inlet_of", message, &expected, "move one of them to the other half")
                    .error(reader);
                return;
            }
        }
    }
}

fn feeds(reader: &mut Reader<'_>, draft: &Draft) {
    let collectors = &draft.job.collectors;
    let names: Vec<&str> = collectors.iter().map(|c| c.name.as_str()).collect();
    for (i, (collector, table)) in collectors.iter().zip(&draft.collectors).enumerate() {
        let Some(target) = &collector.feeds else { continue };
        if !names.contains(&target.as_str()) {
            let others: Vec<String> =
                names.iter().filter(|n| **n != collector.name).map(|n| format!("\"{n}\"")).collect();
            let hint = nearest(target, names.iter().copied().filter(|n| *n != collector.name))
                .map_or_else(|| "add that collector, or correct the name".to_string(), |n| format!("write \"{n}\""));
            let message = format!("there is no collector \"{target}\"");
            let others = if others.is_empty() { vec!["the name of another collector".to_string()] } else { others };
            finding("unknown-collector", table, "feeds", message, &crate::suggest::either(&others), &hint)
                .error(reader);
            continue;
        }
        // Follow the outlets; a chain that comes back is found once, at its first collector.
        let (mut at, mut seen) = (i, vec![i]);
        while let Some(next) = collectors[at].feeds.as_ref().and_then(|t| names.iter().position(|n| n == t)) {
            if next == i && seen.iter().all(|s| *s >= i) {
                let chain: Vec<&str> = seen.iter().chain([&i]).map(|s| names[*s]).collect();
                let message = format!("the collectors feed one another in a circle: {}", chain.join(" -> "));
                finding(
                    "feeds-circle",
                    table,
                    "feeds",
                    message,
                    "a last collector that feeds none",
                    "delete feeds of the last one",
                )
                .error(reader);
            }
            if seen.contains(&next) {
                break;
            }
            seen.push(next);
            at = next;
        }
    }
}

fn tails(reader: &mut Reader<'_>, draft: &Draft) {
    let job = &draft.job;
    for (i, (tail, table)) in job.tails.iter().zip(&draft.tails).enumerate() {
        let names = job.collectors.iter().map(|c| c.name.as_str());
        match job.collectors.iter().find(|c| c.name == tail.from) {
            None => {
                let quoted: Vec<String> = names.clone().map(|n| format!("\"{n}\"")).collect();
                let hint = nearest(&tail.from, names)
                    .map_or_else(|| "add that collector".to_string(), |n| format!("write \"{n}\""));
                let message = format!("there is no collector \"{}\"", tail.from);
                finding("unknown-collector", table, "from", message, &crate::suggest::either(&quoted), &hint)
                    .error(reader);
            }
            Some(c)
                if c.feeds.as_ref().is_some_and(|f| *f != c.name && job.collectors.iter().any(|o| o.name == *f)) =>
            {
                let message = format!("collector \"{}\" already feeds another one", c.name);
                finding(
                    "outlet-twice",
                    table,
                    "from",
                    message,
                    "a collector whose outlet is free",
                    "let the tail leave the last collector",
                )
                .error(reader);
            }
            Some(_) => {}
        }
        if job.tails[..i].iter().any(|t| t.from == tail.from) {
            let message = format!("two tails leave collector \"{}\"", tail.from);
            finding("outlet-twice", table, "from", message, "one tail from each collector", "delete one of the two")
                .error(reader);
        }
        let mut before = None;
        for (point, (_, span)) in tail.via.iter().zip(table.list("via").unwrap_or_default()) {
            if before.is_some_and(|b: geom::Vec3| (*point - b).length() < 1.0) {
                let message = "two waypoints are the same place".to_string();
                Finding {
                    code: "same-place",
                    span: span.clone(),
                    about: table.about.clone(),
                    message,
                    expected: "places in order along the tail".into(),
                    hint: "delete one of the two".into(),
                }
                .error(reader);
            }
            before = Some(*point);
        }
    }
}

/// Every port and every collector that feeds another needs an inlet of its own: a matching.
fn enough_inlets(reader: &mut Reader<'_>, draft: &Draft) {
    let job = &draft.job;
    if job.collectors.is_empty() || job.ports.is_empty() {
        return;
    }
    let fed = |i: usize| {
        job.collectors.iter().filter(|c| c.feeds.as_deref() == Some(job.collectors[i].name.as_str())).count()
    };
    let mut room: Vec<usize> = Vec::new();
    for (i, (collector, table)) in job.collectors.iter().zip(&draft.collectors).enumerate() {
        let fed = fed(i);
        if fed > collector.inlets {
            let message = format!("{fed} collectors feed this one, which has {} inlets", collector.inlets);
            finding("too-few-inlets", table, "inlets", message, &format!("at least {fed} inlets"), "correct inlets")
                .error(reader);
            return;
        }
        room.push(collector.inlets - fed);
    }
    let mut takes: Vec<Vec<usize>> = vec![Vec::new(); room.len()];
    for port in 0..job.ports.len() {
        if place(draft, port, &room, &mut takes, &mut vec![false; room.len()]) {
            continue;
        }
        let total: usize = room.iter().sum();
        let (record, collectors) = (&draft.ports[port], &draft.collectors);
        let (span, about) = match &collectors[..] {
            [only] => (only.span_of("inlets"), only.about.clone()),
            _ => (record.span.clone(), record.about.clone()),
        };
        let message = if choices(job, port).is_empty() {
            format!("no collector takes cylinder {}", job.ports[port].cylinder)
        } else {
            format!("{} ports need an inlet each, and the collectors have {total} for them", job.ports.len())
        };
        let expected = "at least as many inlets as ports".into();
        let hint = "correct inlets or cylinders of the collectors, or add a collector".into();
        Finding { code: "too-few-inlets", span, about, message, expected, hint }.error(reader);
        return;
    }
    for (i, (collector, table)) in job.collectors.iter().zip(&draft.collectors).enumerate() {
        let possible = (0..job.ports.len()).filter(|p| choices(job, *p).contains(&i)).count() + fed(i);
        if possible < collector.inlets {
            let message = format!("more inlets ({}) than tubes ({possible})", collector.inlets);
            finding(
                "open-inlet",
                table,
                "inlets",
                message,
                "as many inlets as runs",
                "an inlet left open must be capped; check inlets",
            )
            .warn(reader);
        }
    }
}

/// One step of Kuhn's augmenting matching: finds the port a place, moving others when that helps.
fn place(draft: &Draft, port: usize, room: &[usize], takes: &mut [Vec<usize>], tried: &mut [bool]) -> bool {
    for c in choices(&draft.job, port) {
        if std::mem::replace(&mut tried[c], true) {
            continue;
        }
        if takes[c].len() < room[c] {
            takes[c].push(port);
            return true;
        }
        for k in 0..takes[c].len() {
            let other = takes[c][k];
            if place(draft, other, room, takes, tried) {
                takes[c][k] = port;
                return true;
            }
        }
    }
    false
}

/// Indices of the collectors that a port may go to.
pub(super) fn choices(job: &Job, port: usize) -> Vec<usize> {
    let cylinder = job.ports[port].cylinder;
    let free = |c: &Collector| c.cylinders.is_empty() || c.cylinders.contains(&cylinder);
    let fixed = job.collectors.iter().position(|c| c.inlet_of.iter().any(|(cyl, _)| *cyl == cylinder));
    match fixed {
        Some(only) => vec![only],
        None => {
            let named: Vec<usize> =
                (0..job.collectors.len()).filter(|i| job.collectors[*i].cylinders.contains(&cylinder)).collect();
            if !named.is_empty() {
                return named;
            }
            (0..job.collectors.len()).filter(|i| free(&job.collectors[*i])).collect()
        }
    }
}
