//! Inspection: figures to check, and blanks.

use job::routes::RunId;

use super::runs::{run_name, run_number};
use crate::PaperJob;
use crate::sheet::{Block, Column, RowHeight, Sheet, SheetKind, Table, TextStyle};
use crate::words;

pub(super) fn sheets(papers: &PaperJob<'_>) -> Vec<Sheet> {
    vec![joint_places(papers), figures(papers)]
}

fn joint_places(papers: &PaperJob<'_>) -> Sheet {
    let mut sheet = Sheet::new(SheetKind::Inspection, "Where the joints lie", "vehicle axes: as drawn, and as read");
    sheet.blocks.push(Block::Table(joints(papers)));
    sheet.blocks.push(Block::Text(
        TextStyle::Small,
        "± : 19 of 20 joints made as drawn lie within it in x, y and z, with usual shop practice (common practice, no source). Farther off: \
         look for a wrong piece, leg or clocking before the next weld."
            .into(),
    ));
    sheet
}

fn figures(papers: &PaperJob<'_>) -> Sheet {
    let mut sheet = Sheet::new(SheetKind::Inspection, "Inspection", "fill in as built; keep with the job");
    sheet.blocks.push(Block::Heading("Length and water volume".into()));
    sheet.blocks.push(Block::Table(runs(papers)));
    sheet.blocks.push(Block::Text(
        TextStyle::Small,
        "Water: cap the port end, hold the inlet plane level, fill to the brim, pour into a measuring jug or weigh it (1 g is 1 ml at room \
         temperature). Nominal wall, bends taken as round; dry before welding."
            .into(),
    ));
    sheet.blocks.push(Block::Heading("Chord over the whole tube, centre of the start to centre of the end".into()));
    sheet.blocks.push(Block::Table(ends(papers)));
    sheet.blocks.push(Block::Heading("Visual checks".into()));
    sheet.blocks.push(Block::Table(by_hand()));
    sheet.blocks.push(Block::Room(5.0));
    let blanks = ["Tube heat no.", "Filler lot", "Checked by", "Date", "Weight as built", "Remarks"];
    sheet.blocks.push(Block::Blanks(blanks.map(String::from).to_vec()));
    sheet
}

fn runs(papers: &PaperJob<'_>) -> Table {
    let units = papers.units;
    let mut table = Table::new(vec![
        Column::left("no."),
        Column::wide("tube", 1.0),
        Column::right(words::head("length", units)),
        Column::right(words::head("target", units)),
        Column::wide("built", 0.6),
        Column::right("water ml"),
        Column::wide("poured", 0.6),
        Column::right("joints"),
        Column::wide("leaks", 0.5),
    ]);
    table.row_height = RowHeight::Roomy;
    for (index, run) in papers.assembly.iter().enumerate() {
        let wanted = match run.run {
            RunId::Primary { .. } => &papers.job.primary.length,
            RunId::Secondary { .. } => &papers.job.secondary.length,
            RunId::Tail { .. } => &papers.job.tail.length,
        };
        let wanted = match (wanted.target, wanted.tolerance.is_finite()) {
            (Some(target), true) => {
                format!("{} ± {}", words::length(target, units), words::length(wanted.tolerance, units))
            }
            (None, true) => format!("equal within {}", words::length(wanted.tolerance, units)),
            (_, false) => "-".into(),
        };
        table.row(vec![
            run_number(papers, index),
            run_name(&run.run),
            words::length(run.length, units),
            wanted,
            String::new(),
            format!("{:.0}", run.volume / 1000.0),
            String::new(),
            run.pieces.len().saturating_sub(1).to_string(),
            String::new(),
        ]);
    }
    table
}

fn ends(papers: &PaperJob<'_>) -> Table {
    let units = papers.units;
    let mut table = Table::new(vec![
        Column::left("no."),
        Column::wide("tube", 1.0),
        Column::right(words::head("straight", units)),
        Column::wide("built", 0.7),
        Column::wide("worst mismatch (hi-lo)", 0.7),
        Column::wide("worst clocking", 0.7),
    ]);
    table.row_height = RowHeight::Roomy;
    for (index, run) in papers.assembly.iter().enumerate() {
        let straight = run.joints.last().map_or(0.0, |j| j.reach);
        let mut row = vec![run_number(papers, index), run_name(&run.run), words::length(straight, units)];
        row.extend([String::new(), String::new(), String::new()]);
        table.row(row);
    }
    table
}

/// The drawn place of every joint between pieces, how far off it may lie, and room for the reading.
fn joints(papers: &PaperJob<'_>) -> Table {
    let units = papers.units;
    let mut table = Table::new(vec![
        Column::wide("joint", 1.0),
        Column::right(words::head("x", units)),
        Column::right("y"),
        Column::right("z"),
        Column::right(words::head("±", units)),
        Column::wide("x read", 0.7),
        Column::wide("y read", 0.7),
        Column::wide("z read", 0.7),
    ]);
    for (run, spreads) in papers.assembly.iter().zip(&papers.bench.spreads) {
        for (joint, spread) in run.joints.iter().skip(1).zip(spreads) {
            let [x, y, z] = words::place(joint.place, units);
            let spread = words::figure(*spread, units);
            table.row(vec![
                words::short(&joint.name, 40),
                x,
                y,
                z,
                spread,
                String::new(),
                String::new(),
                String::new(),
            ]);
        }
    }
    table.row_height = RowHeight::of(table.rows.len());
    table
}

fn by_hand() -> Table {
    let mut table = Table::new(vec![Column::wide("look for", 2.0), Column::left("good"), Column::wide("remark", 1.4)]);
    for what in [
        "Flange faces flat, bolt holes clear, bolts and sockets fit",
        "Inside of every joint flush: no mismatch, icicles or sugaring",
        "Welds all around: no pinholes, cracks or undercut",
        "Clearances to obstacles and between tubes as in the overview",
        "Fits and comes off without force",
        "Clean inside: no swarf, no tape, no purge caps",
    ] {
        table.row(vec![what.into(), "[   ]".into(), String::new()]);
    }
    table
}
