//! Tables for a bending machine: XYZ (points and radii) and LRA (length, rotation, angle).
//!
//! Rotation by the right-hand rule about the feed, in (-180, 180] degrees. What a machine must be set to is the angle wanted
//! and its springback, interpolated in the shop's own table; what must be cut is the developed length less what the bends
//! stretch, and what the clamps need at the ends. A machine is checked for the least straight before each bend (what its
//! clamp holds), the least between bends, the least after the last, and a tool for each CLR.

use geom::{Centreline, LraStep};
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
    /// Bends that the machine cannot make as drawn.
    pub warnings: Vec<BendingWarning>,
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
fn steps(line: &Centreline) -> (Vec<LraStep>, f64) {
    let (mut steps, last) = line.to_steps();
    if let Some(first) = steps.first_mut() {
        first.rotation = 0.0;
    }
    // A bend above 135 degrees is two points in a route: one bend of the machine.
    let mut joined: Vec<LraStep> = Vec::new();
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
        check(run, &steps, last, bender, &mut out.warnings);
    }
}

/// Something that the bending machine cannot do with a run as drawn. Bends are counted from 1, lengths in mm, angles in rad.
#[derive(Debug, Clone, PartialEq)]
pub enum BendingWarning {
    /// No tool for a tube and CLR.
    NoTool {
        /// The run.
        run: String,
        /// The bend.
        bend: usize,
        /// Outside diameter.
        od: f64,
        /// CLR.
        clr: f64,
    },
    /// A bend beyond the springback table.
    BeyondTable {
        /// The run.
        run: String,
        /// The bend.
        bend: usize,
        /// Angle of the bend.
        angle: f64,
        /// The tool.
        tool: String,
        /// End of the table.
        most: f64,
    },
    /// A tool without a springback table.
    NoSpringback {
        /// The run.
        run: String,
        /// The bend.
        bend: usize,
        /// The tool.
        tool: String,
    },
    /// A last straight shorter than the machine needs.
    ShortLastStraight {
        /// The run.
        run: String,
        /// Length of the straight, mm.
        length: f64,
        /// Length that the machine needs.
        need: f64,
    },
    /// A first straight shorter than the clamp.
    ShortFirstStraight {
        /// The run.
        run: String,
        /// Length of the straight, mm.
        length: f64,
        /// The tool.
        tool: String,
        /// Length of the clamp.
        need: f64,
    },
    /// Too little straight between two bends.
    ShortBetween {
        /// The run.
        run: String,
        /// The bend after the straight.
        bend: usize,
        /// The straight.
        length: f64,
        /// The tool.
        tool: String,
        /// Length needed.
        need: f64,
    },
    /// Bends of several CLRs in one run.
    ToolChange {
        /// The run.
        run: String,
        /// The CLRs.
        clrs: Vec<f64>,
    },
}

/// Everything that the machine cannot do with a run.
fn check(run: &Run, steps: &[LraStep], last: f64, bender: &Bender, warnings: &mut Vec<BendingWarning>) {
    let name = || run.name.clone();
    let mut clrs: Vec<f64> = Vec::new();
    for (i, step) in steps.iter().enumerate() {
        let bend = i + 1;
        if !clrs.iter().any(|r| (r - step.clr).abs() < 0.01) {
            clrs.push(step.clr);
        }
        let Some(tool) = bender.tool(step.clr, run.od) else {
            warnings.push(BendingWarning::NoTool { run: name(), bend, od: run.od, clr: step.clr });
            continue;
        };
        warnings.extend(straight_before(run, step, bend, tool));
        let of_tool = || tool.name.clone();
        match (tool.springback(step.angle), tool.most_angle()) {
            (None, Some(most)) => {
                let angle = step.angle;
                warnings.push(BendingWarning::BeyondTable { run: name(), bend, angle, tool: of_tool(), most });
            }
            (None, None) => warnings.push(BendingWarning::NoSpringback { run: name(), bend, tool: of_tool() }),
            _ => {}
        }
    }
    if !steps.is_empty() && last < bender.last_straight {
        warnings.push(BendingWarning::ShortLastStraight { run: name(), length: last, need: bender.last_straight });
    }
    if clrs.len() > 1 {
        warnings.push(BendingWarning::ToolChange { run: name(), clrs });
    }
}

/// Whether the straight before a bend is too short for its tool.
fn straight_before(run: &Run, step: &LraStep, bend: usize, tool: &Tool) -> Option<BendingWarning> {
    let (run, length, name) = (run.name.clone(), step.length, tool.name.clone());
    let between = tool.clamp.max(tool.between);
    if bend == 1 {
        let short = BendingWarning::ShortFirstStraight { run, length, tool: name, need: tool.clamp };
        return (length < tool.clamp).then_some(short);
    }
    (length < between).then_some(BendingWarning::ShortBetween { run, bend, length, tool: name, need: between })
}
