//! What is left to be cut of a build, as a job of its own: the rest of every run as corrected, written as trial pieces, and what is
//! left of the items that were cut from, offered beside what can be bought.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::ops::Range;

use cutplan::{CutPlan, ItemShape};
use fit::chain::figure;
use fit::correction::clocking;
use fit::{Joining, Slot, State};
use job::model::{Job, SAME_SIZE};
use toml_edit::{Array, ArrayOfTables, DocumentMut, Item, Table, value};

use crate::fit_report::{FitReport, RunFit};
use crate::open_job::Planned;

/// Shortest leftover that is offered, mm: no saw holds less (common practice, no source).
const LEAST: f64 = 30.0;

/// Least arc of a leftover bend, rad: 5 degrees.
const LEAST_ARC: f64 = 5.0 * std::f64::consts::PI / 180.0;

/// What of job.toml the rest needs: the tube, what it is cut from, and how.
const KEPT: [&str; 6] = ["format", "units", "tube", "stock", "saw", "cost"];

/// A job of what is left to be cut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Recut {
    /// Its job.toml.
    pub job: String,
    /// Its routes.toml.
    pub routes: String,
    /// What each of its trial pieces is: `1: 1C to 1E of primary 1`.
    pub pieces: Vec<String>,
    /// Runs with pieces left that are of another tube: each needs a job of its own.
    pub other_tubes: Vec<String>,
}

/// What is left to be cut; `None` when nothing is.
pub fn recut(planned: Planned<'_>, report: &FitReport) -> Option<Recut> {
    let job = &planned.opened.job;
    let mut out = Recut { job: String::new(), routes: String::new(), pieces: Vec::new(), other_tubes: Vec::new() };
    let mut rows = String::new();
    for fit in &report.runs {
        let run = &fit.build.run;
        for left in uncut(fit) {
            if !job.primary.tube.is_same_size(run.od, run.wall) {
                out.other_tubes.push(run.id.to_string());
                continue;
            }
            let number = out.pieces.len() + 1;
            let [first, last] = [left.start, left.end - 1].map(|k| run.parts[k].mark.as_str());
            let marks = if first == last { first.to_string() } else { format!("{first} to {last}") };
            out.pieces.push(format!("{number}: {marks} of {}", run.id));
            let steps = steps(fit, left);
            let _ = write!(rows, "\n# {marks} of {}\n[[primary]]\ncylinder = {number}\nsteps = [\n{steps}]\n", run.id);
        }
    }
    out.other_tubes.dedup();
    if out.pieces.is_empty() && out.other_tubes.is_empty() {
        return None;
    }
    out.routes = format!("# What is left to be cut, as corrected.\nformat = 1\nunits = \"mm\"\n{rows}");
    out.job = job_text(&planned.open.text, &job.name, leftovers(planned.plan, report, job));
    Some(out)
}

/// Stretches of pieces that are not cut yet; those beside a slip joint or coupling are apart.
fn uncut(fit: &RunFit) -> Vec<Range<usize>> {
    let (states, parts) = (fit.build.states(), &fit.build.run.parts);
    let mut stretches: Vec<Range<usize>> = Vec::new();
    for k in (0..states.len()).filter(|k| states[*k] == State::Uncut) {
        match stretches.last_mut() {
            Some(last) if last.end == k && parts[k].joining == Joining::Weld => last.end = k + 1,
            _ => stretches.push(k..k + 1),
        }
    }
    stretches
}

/// A stretch as rows of length, rotation, angle and CLR, mm and degrees.
fn steps(fit: &RunFit, stretch: Range<usize>) -> String {
    let (run, figures) = (&fit.build.run, fit.final_figures());
    let (mut rows, mut straight) = (String::new(), 0.0);
    for k in stretch {
        let of = |slot| figures[figure(k, slot)];
        straight += of(Slot::LegIn);
        if run.parts[k].is_bend() {
            // The plane of its first bend is a piece's own.
            let turn = if rows.is_empty() { 0.0 } else { clocking(run, figures, k).to_degrees() };
            let angle = of(Slot::Angle).to_degrees();
            let _ = writeln!(rows, "  [{straight:.4}, {turn:.5}, {angle:.5}, {:.4}],", of(Slot::Clr));
            straight = 0.0;
        }
        straight += of(Slot::LegOut);
    }
    let _ = writeln!(rows, "  [{straight:.4}],");
    rows
}

/// What is left of the plan's items: whole ones that nothing was cut from, and what lies beside the pieces that were cut.
fn leftovers(plan: &CutPlan, report: &FitReport, job: &Job) -> Vec<Table> {
    let mut states: BTreeMap<&str, State> = BTreeMap::new();
    for fit in &report.runs {
        states.extend(
            fit.build.run.parts.iter().zip(fit.build.states()).map(|(part, state)| (part.mark.as_str(), state)),
        );
    }
    let is_cut = |mark: &str| states.get(mark).is_some_and(|state| *state != State::Uncut);
    let mut tables = Vec::new();
    let primary = |od: f64| (od - job.primary.tube.od).abs() <= SAME_SIZE;
    for (index, item) in plan.items.iter().enumerate().filter(|(_, item)| primary(item.od)) {
        let on_it = plan.pieces.iter().filter(|p| p.item == index && is_cut(&p.mark));
        let mut taken: Vec<[f64; 2]> = on_it.map(|p| p.at).collect();
        taken.sort_by(|a, b| a[0].total_cmp(&b[0]));
        let mut from = 0.0;
        for [low, high] in taken {
            tables.extend(remnant(&item.shape, [from, low - job.saw.kerf]));
            from = high + job.saw.kerf;
        }
        tables.extend(remnant(&item.shape, [from, item.shape.length()]));
    }
    tables
}

/// A stretch of an item as a remnant; `None` when it is too short.
fn remnant(shape: &ItemShape, [from, to]: [f64; 2]) -> Option<Table> {
    let mm = |length: f64| format!("{:.2} mm", length.max(0.0));
    let mut table = Table::new();
    let straight = |length: f64, mut table: Table| {
        table.insert("length", value(mm(length)));
        (length >= LEAST).then_some(table)
    };
    let ItemShape::Bend { clr, angle, legs } = *shape else { return straight(to - from, table) };
    let ends = [legs[0], legs[0] + clr * angle];
    let arc = (to.min(ends[1]) - from.max(ends[0])).max(0.0) / clr;
    let legs = [to.min(ends[0]) - from, to - from.max(ends[1])];
    if arc < LEAST_ARC {
        return straight(legs[0].max(legs[1]), table);
    }
    table.insert("clr", value(mm(clr)));
    table.insert("angle", value((arc.to_degrees() * 1e4).round() / 1e4));
    table.insert("legs", value(legs.map(mm).into_iter().collect::<Array>()));
    Some(table)
}

/// job.toml without ports, collectors and all that stands around them, with the leftovers as remnants.
fn job_text(text: &str, name: &str, leftovers: Vec<Table>) -> String {
    let mut document: DocumentMut = text.parse().unwrap_or_default();
    document.retain(|key, _| KEPT.contains(&key));
    document.insert("name", value(format!("{name}, the rest")));
    let mut remnants = ArrayOfTables::new();
    leftovers.into_iter().for_each(|table| remnants.push(table));
    let stock = document.entry("stock").or_insert_with(|| {
        let mut table = Table::new();
        table.set_implicit(true);
        Item::Table(table)
    });
    if let Some(stock) = stock.as_table_mut() {
        stock.insert("remnant", Item::ArrayOfTables(remnants));
    }
    document.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    const BEND: ItemShape = ItemShape::Bend { clr: 60.0, angle: std::f64::consts::PI, legs: [100.0, 100.0] };

    #[test]
    fn a_bend_cut_in_its_arc_leaves_a_smaller_bend_or_a_straight() {
        let arc = 60.0 * std::f64::consts::PI;
        let half = remnant(&BEND, [100.0 + 0.5 * arc, 200.0 + arc]).unwrap().to_string();
        assert!(half.contains("angle = 90.0") && half.contains("[\"0.00 mm\", \"100.00 mm\"]"), "{half}");
        let leg = remnant(&BEND, [100.0 + arc + 20.0, 200.0 + arc]).unwrap().to_string();
        assert_eq!(leg, "length = \"80.00 mm\"\n");
        assert!(remnant(&BEND, [0.0, 20.0]).is_none() && remnant(&BEND, [50.0, 40.0]).is_none());
    }

    #[test]
    fn the_rest_has_the_tube_the_stock_and_the_saw_and_nothing_around() {
        let text = "name = \"n\"\nunits = \"mm\"\n[tube]\nod = 40.0\n[[port]]\ncylinder = 1\n[[stock.remnant]]\nlength = 99.0\n[saw]\nkerf = 2.0\n";
        let rest = job_text(text, "n", vec![remnant(&ItemShape::Straight { length: 300.0 }, [0.0, 300.0]).unwrap()]);
        assert!(!rest.contains("port") && !rest.contains("99.0") && rest.contains("length = \"300.00 mm\""), "{rest}");
    }
}
