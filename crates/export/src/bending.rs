//! Tables for a bending machine: XYZ (points and radii) and LRA (length, rotation, angle).
//!
//! Rotation by the right-hand rule about the feed, in (-180, 180] degrees. What a machine must be set to is the angle wanted
//! and its springback, interpolated in the shop's own table; what must be cut is the developed length less what the bends
//! stretch, and what the clamps need at the ends. A machine is checked for the least straight before each bend (what its
//! clamp holds), the least between bends, the least after the last, and a tool for each CLR.

use geom::{Centreline, Step};
use job::bender::{Bender, Tool};
use job::model::Units;

use crate::table::{Cell, Table};
use crate::{Header, Run};

/// A length as a machine reads it: to a thousandth of a millimetre, or a ten-thousandth of an inch.
fn length(mm: f64, units: Units) -> Cell {
    let decimals = match units {
        Units::Mm => 3,
        Units::Inch => 4,
    };
    Cell::Number(mm / units.in_mm(), decimals)
}

/// An angle in degrees, to a thousandth.
fn degrees(angle: f64) -> Cell {
    Cell::Number(angle.to_degrees(), 3)
}

/// A table and what a person should know before using it.
#[derive(Debug, Clone, PartialEq)]
pub struct BendingTable {
    /// The table.
    pub table: Table,
    /// Plain sentences, each naming its run.
    pub warnings: Vec<String>,
}

/// Intersection points and radii of all runs.
pub fn xyz(header: &Header, units: Units) -> Table {
    let unit = job::show::unit(units);
    let heads = ["run", "point", "x $", "y $", "z $", "CLR $"].map(|h| h.replace('$', unit));
    let mut table = Table { name: "XYZ".into(), heads: heads.to_vec(), rows: Vec::new() };
    for run in &header.runs {
        let (points, radii) = run.line.to_points();
        for (i, p) in points.iter().enumerate() {
            let clr = i.checked_sub(1).and_then(|b| radii.get(b)).map_or(Cell::Blank, |r| length(*r, units));
            let place = [p.x, p.y, p.z].map(|v| length(v, units));
            let mut row: Vec<Cell> = vec![run.name.as_str().into(), (i + 1).into()];
            row.extend(place);
            row.push(clr);
            table.rows.push(row);
        }
    }
    table
}

/// Rows of length, rotation and angle of all runs, with what the machine is set to when a bender is given.
pub fn lra(header: &Header, bender: Option<&Bender>, units: Units) -> BendingTable {
    let unit = job::show::unit(units);
    let heads = [
        "run",
        "bend",
        "length $",
        "rotation deg",
        "angle deg",
        "CLR $",
        "set angle deg",
        "springback deg",
        "elongation $",
        "tool",
        "developed $",
        "cut $",
    ]
    .map(|h| h.replace('$', unit));
    let mut out = BendingTable {
        table: Table { name: "LRA".into(), heads: heads.to_vec(), rows: Vec::new() },
        warnings: Vec::new(),
    };
    for run in &header.runs {
        rows_of(run, bender, units, &mut out);
    }
    out
}

/// The steps of a run with the first rotation 0: a machine turns from its own first bend.
fn steps(line: &Centreline) -> (Vec<Step>, f64) {
    let (mut steps, last) = line.to_steps();
    if let Some(first) = steps.first_mut() {
        first.rotation = 0.0;
    }
    // A bend above 135 degrees stands in a route as two points: one bend of the machine.
    let mut joined: Vec<Step> = Vec::new();
    for step in steps {
        match joined.last_mut() {
            Some(before)
                if step.length < 1e-4 && step.rotation.abs() < 1e-5 && (step.clr - before.clr).abs() < 1e-6 =>
            {
                before.angle += step.angle;
            }
            _ => joined.push(step),
        }
    }
    (joined, last)
}

fn rows_of(run: &Run, bender: Option<&Bender>, units: Units, out: &mut BendingTable) {
    let (steps, last) = steps(&run.line);
    let mut stretched = 0.0;
    for (i, step) in steps.iter().enumerate() {
        let tool = bender.and_then(|b| b.tool(step.clr, run.od));
        let spring = tool.and_then(|t| t.springback(step.angle));
        let longer = tool.and_then(|t| t.elongation(step.angle));
        stretched += longer.unwrap_or(0.0);
        out.table.rows.push(vec![
            run.name.as_str().into(),
            (i + 1).into(),
            length(step.length, units),
            degrees(step.rotation),
            degrees(step.angle),
            length(step.clr, units),
            spring.map_or(Cell::Blank, |s| degrees(step.angle + s)),
            spring.map_or(Cell::Blank, degrees),
            longer.map_or(Cell::Blank, |e| length(e, units)),
            tool.map_or(Cell::Blank, |t| t.name.as_str().into()),
            Cell::Blank,
            Cell::Blank,
        ]);
    }
    let developed = run.line.length();
    let mut row: Vec<Cell> = vec![run.name.as_str().into(), "last straight".into(), length(last, units)];
    row.extend(std::iter::repeat_n(Cell::Blank, 7));
    row.push(length(developed, units));
    row.push(bender.map_or(Cell::Blank, |b| length(developed - stretched + b.end_allowance, units)));
    out.table.rows.push(row);
    if let Some(bender) = bender {
        check(run, &steps, last, bender, units, &mut out.warnings);
    }
}

/// Everything that the machine cannot do with a run, in plain words.
fn check(run: &Run, steps: &[Step], last: f64, bender: &Bender, units: Units, warnings: &mut Vec<String>) {
    let shown = |mm: f64| job::show::length_with_unit(mm, units);
    let name = &run.name;
    let mut radii: Vec<f64> = Vec::new();
    for (i, step) in steps.iter().enumerate() {
        let bend = i + 1;
        if !radii.iter().any(|r| (r - step.clr).abs() < 0.01) {
            radii.push(step.clr);
        }
        let Some(tool) = bender.tool(step.clr, run.od) else {
            warnings.push(format!("{name}: no tool bends {} to CLR {} (bend {bend})", shown(run.od), shown(step.clr)));
            continue;
        };
        straight_before(run, step, bend, tool, units, warnings);
        match (tool.springback(step.angle), tool.most_angle()) {
            (None, Some(most)) => warnings.push(format!(
                "{name}: bend {bend} turns {:.1} degrees; the springback table of {} ends at {:.1}",
                step.angle.to_degrees(),
                tool.name,
                most.to_degrees()
            )),
            (None, None) => {
                warnings.push(format!("{name}: {} has no springback table: bend {bend} is set as drawn", tool.name))
            }
            _ => {}
        }
    }
    if !steps.is_empty() && last < bender.last_straight {
        warnings.push(format!(
            "{name}: the last straight is {}; the machine needs {}: leave it longer and cut it off after bending",
            shown(last),
            shown(bender.last_straight)
        ));
    }
    if radii.len() > 1 {
        let list: Vec<String> = radii.iter().map(|r| shown(*r)).collect();
        warnings.push(format!(
            "{name}: its bends have {} radii ({}): the tool must be changed within the run",
            radii.len(),
            list.join(", ")
        ));
    }
}

fn straight_before(run: &Run, step: &Step, bend: usize, tool: &Tool, units: Units, warnings: &mut Vec<String>) {
    let shown = |mm: f64| job::show::length_with_unit(mm, units);
    let name = &run.name;
    if bend == 1 && step.length < tool.clamp {
        warnings.push(format!(
            "{name}: the first straight is {}; the clamp of {} holds {}: leave it longer and cut it off after bending",
            shown(step.length),
            tool.name,
            shown(tool.clamp)
        ));
    }
    let least = tool.clamp.max(tool.between);
    if bend > 1 && step.length < least {
        warnings.push(format!(
            "{name}: only {} straight before bend {bend}; {} needs {}: bend it in two pieces and weld, or ask for a longer straight",
            shown(step.length),
            tool.name,
            shown(least)
        ));
    }
}
