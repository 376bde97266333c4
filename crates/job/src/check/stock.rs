//! Whether there is stock for the tubes, and whether the saw can cut it.

use std::collections::BTreeMap;

use super::finding::{Finding, show};
use crate::file::job_file::Draft;
use crate::file::read::Reader;
use crate::model::{BendStock, KerfAt, Remnant, SAME_SIZE, Tube};

/// Checks stock and saw.
pub fn check(reader: &mut Reader<'_>, draft: &Draft) {
    let job = &draft.job;
    let stock = &job.stock;
    let any = !(stock.bends.is_empty() && stock.straights.is_empty() && stock.remnants.is_empty());
    if draft.given.tube && any && draft.stock_whole {
        let secondaries = job.collectors.iter().any(|c| c.feeds.is_some());
        usable(reader, draft, &job.primary.tube, "primary", true);
        if secondaries && job.secondary.tube.od != job.primary.tube.od {
            usable(reader, draft, &job.secondary.tube, "secondary", false);
        }
        if !job.tails.is_empty() && job.tail.tube.od != job.primary.tube.od {
            usable(reader, draft, &job.tail.tube, "tail", false);
        }
    }
    kerf(reader, draft);
    let mut first = BTreeMap::new();
    for (i, (bend, table)) in stock.bends.iter().zip(&draft.bends).enumerate() {
        let BendStock { name, od, wall, clr, angle, legs: [before, after], price: _, count } = bend;
        let sizes = [od, wall, clr, angle, before, after].map(|size| size.to_bits());
        let earlier = *first.entry((name, sizes, count)).or_insert(i);
        if earlier < i {
            Finding {
                code: "same-stock",
                span: table.span.clone(),
                about: table.about.clone(),
                message: format!("it is the same as bend {} but perhaps for the price", earlier + 1),
                expected: "each bend once".into(),
                hint: "delete the more expensive one".into(),
            }
            .warn(reader);
        }
    }
}

/// The bends that a run of `tube` can be cut from, remnants too.
fn bends(draft: &Draft) -> impl Iterator<Item = &BendStock> {
    let shelf = draft.job.stock.remnants.iter().filter_map(|r| match r {
        Remnant::Bend(bend) => Some(bend),
        Remnant::Straight(_) => None,
    });
    draft.job.stock.bends.iter().chain(shelf).filter(|b| b.count != Some(0))
}

fn usable(reader: &mut Reader<'_>, draft: &Draft, tube: &Tube, run: &str, certain: bool) {
    let units = reader.units;
    if bends(draft).next().is_none() && draft.job.ports.is_empty() {
        // Trial pieces may be all straight.
        return;
    }
    let right: Vec<&BendStock> = bends(draft).filter(|b| (b.od - tube.od).abs() <= SAME_SIZE).collect();
    let span = match draft.root.table("stock") {
        Some(stock) => draft.bends.first().map_or_else(|| stock.span.clone(), |b| b.span.clone()),
        None => draft.root.span_of("tube"),
    };
    if right.is_empty() {
        let mut sizes: Vec<String> = Vec::new();
        for bend in bends(draft) {
            let size = show(bend.od, units);
            if !sizes.contains(&size) {
                sizes.push(size);
            }
        }
        let there = if sizes.is_empty() {
            "there are no bends at all".to_string()
        } else {
            format!("the bends are of {}", sizes.join(", "))
        };
        let finding = Finding {
            code: "no-usable-bend",
            span,
            about: "[stock]".into(),
            message: format!(
                "no bend in the stock is of the {run} tube of {} outside diameter; {there}",
                show(tube.od, units)
            ),
            expected: "at least one [[stock.bend]] of that tube".into(),
            hint: "correct od of the bends or of the tube, or add a bend".into(),
        };
        if certain {
            finding.error(reader)
        } else {
            finding.warn(reader)
        }
        return;
    }
    if right.iter().all(|b| !tube.is_same_size(b.od, b.wall)) {
        Finding {
            code: "other-wall",
            span,
            about: "[stock]".into(),
            message: format!(
                "all bends of that diameter have another wall than the {run} tube's {}",
                show(tube.wall, units)
            ),
            expected: "bends of the tube's wall".into(),
            hint: "check wall of the bends and of the tube; gauge is BWG, 16 ga = 1.65 mm".into(),
        }
        .warn(reader);
    }
}

/// The blade must be narrower than the inside of every bend it is to cut.
fn kerf(reader: &mut Reader<'_>, draft: &Draft) {
    let saw = draft.job.saw;
    let units = reader.units;
    let Some(table) = draft.root.table("saw") else { return };
    for bend in bends(draft) {
        let inner = match saw.kerf_at {
            KerfAt::Inside => bend.clr - 0.5 * bend.od,
            KerfAt::Centreline => bend.clr,
        };
        if saw.kerf >= inner {
            Finding {
                code: "kerf-too-wide",
                span: table.span_of("kerf"),
                about: table.about.clone(),
                message: format!(
                    "a kerf of {} is wider than the inside of {}, {}",
                    show(saw.kerf, units),
                    bend.name,
                    show(inner, units)
                ),
                expected: "a kerf of 1 to 3 mm".into(),
                hint: "check kerf and its unit, and the bend's CLR".into(),
            }
            .error(reader);
            return;
        }
    }
    if saw.kerf > 5.0 {
        Finding {
            code: "wide-kerf",
            span: table.span_of("kerf"),
            about: table.about.clone(),
            message: format!("a kerf of {} is wide", show(saw.kerf, units)),
            expected: "1 to 3 mm for a band or cold saw".into(),
            hint: "check kerf and its unit".into(),
        }
        .warn(reader);
    }
}
