//! The correction slip: one page with what to cut and turn, as measured.

use crate::PaperJob;
use crate::bench::{Slip, SlipPiece};
use crate::sheet::{Block, Column, RowHeight, Sheet, SheetKind, Table, TextStyle};
use crate::words;

/// Least change that is marked: of a length, mm, and of an angle, rad.
const LEAST: [f64; 2] = [0.05, 0.005 * std::f64::consts::PI / 180.0];

pub(super) fn sheets(papers: &PaperJob<'_>) -> Vec<Sheet> {
    let slips: Vec<&Slip> = papers.bench.slips.iter().collect();
    if slips.is_empty() {
        return Vec::new();
    }
    let mut sheet = Sheet::new(SheetKind::Slip, "Correction", "as measured; what is welded stays");
    sheet.blocks.push(Block::Heading("Ends off their inlets".into()));
    sheet.blocks.push(Block::Table(ends(papers, &slips)));
    let remarks: Vec<String> = slips.iter().flat_map(|s| s.remarks.iter().map(|r| format!("{}: {r}", s.run))).collect();
    if !remarks.is_empty() {
        sheet.blocks.push(Block::Steps(remarks));
    }
    sheet.blocks.push(Block::Heading("Cut".into()));
    sheet.blocks.push(Block::Table(cuts(papers, &slips)));
    sheet.blocks.push(Block::Heading("Turn from the match mark, looking downstream".into()));
    sheet.blocks.push(Block::Table(turns(&slips)));
    let slides = slides(papers, &slips);
    if !slides.rows.is_empty() {
        sheet.blocks.push(Block::Heading("Slip joints".into()));
        sheet.blocks.push(Block::Table(slides));
    }
    sheet.blocks.push(Block::Text(
        TextStyle::Small,
        "Cut to the right-hand figure, from the marks that stand. Measure again after every weld: the last reading decides. \
         Welds cut open near fuel or brake lines are for a licensed workshop."
            .into(),
    ));
    vec![sheet]
}

fn ends(papers: &PaperJob<'_>, slips: &[&Slip]) -> Table {
    let units = papers.units;
    let mut table = Table::new(vec![
        Column::wide("tube", 1.0),
        Column::right(words::head("as planned", units)),
        Column::right("degrees"),
        Column::right(words::head("as corrected", units)),
        Column::right("degrees"),
        Column::right("goes in"),
    ]);
    table.row_height = RowHeight::Low;
    for slip in slips {
        let off = |k: usize| [words::figure(slip.off[k][0], units), format!("{:.2}", slip.off[k][1].to_degrees())];
        let ([was, was_turned], [is, is_turned]) = (off(0), off(1));
        let chance = slip.chance.map_or("-".into(), |[a, b]| format!("{:.0} -> {:.0} %", a * 100.0, b * 100.0));
        table.row(vec![slip.run.clone(), was, was_turned, is, is_turned, chance]);
    }
    table
}

fn cuts(papers: &PaperJob<'_>, slips: &[&Slip]) -> Table {
    let units = papers.units;
    let mut table = Table::new(vec![
        Column::left("piece"),
        Column::wide("figure", 1.0),
        Column::right("planned"),
        Column::left(""),
        Column::right("cut to"),
        Column::wide("done", 0.8),
    ]);
    for piece in slips.iter().flat_map(|s| &s.pieces) {
        for (name, was, is) in figures(piece, &|mm| words::figure(mm, units), words::head("", units).trim()) {
            table.row(vec![piece.mark.clone(), name, was, "->".into(), is, String::new()]);
        }
    }
    if table.rows.is_empty() {
        table.row(vec![
            "-".into(),
            "nothing to change".into(),
            String::new(),
            String::new(),
            String::new(),
            String::new(),
        ]);
    }
    table
}

/// The figures of a piece that change: name, as planned, as corrected.
fn figures(piece: &SlipPiece, long: &dyn Fn(f64) -> String, unit: &str) -> Vec<(String, String, String)> {
    let straight = piece.was[1] <= 0.0;
    let names = [if straight { "length" } else { "entry leg" }, "angle", "exit leg"];
    (0..3)
        .filter(|&k| (piece.was[k] - piece.is[k]).abs() >= LEAST[k % 2])
        .map(|k| {
            let name = if k == 1 { names[k].to_string() } else { format!("{} {unit}", names[k]) };
            let shown = |v: f64| if k == 1 { words::fine_angle(v) } else { long(v) };
            (name, shown(piece.was[k]), shown(piece.is[k]))
        })
        .collect()
}

fn slides(papers: &PaperJob<'_>, slips: &[&Slip]) -> Table {
    let units = papers.units;
    let mut table = Table::new(vec![
        Column::wide("joint", 1.0),
        Column::right(words::head("overlap planned", units)),
        Column::left(""),
        Column::right("corrected"),
        Column::wide("done", 0.8),
    ]);
    for (joint, overlap) in slips.iter().flat_map(|s| &s.slides).filter(|(_, o)| (o[0] - o[1]).abs() >= LEAST[0]) {
        let [was, is] = overlap.map(|mm| words::figure(mm, units));
        table.row(vec![joint.clone(), was, "->".into(), is, String::new()]);
    }
    table
}

fn turns(slips: &[&Slip]) -> Table {
    let mut table = Table::new(vec![Column::left("piece"), Column::wide("turn", 1.0), Column::wide("done", 0.8)]);
    for turn in slips.iter().flat_map(|s| &s.turns).filter(|t| t.past.abs() >= LEAST[1]) {
        table.row(vec![turn.to.clone(), words::turn(turn.past), String::new()]);
    }
    if table.rows.is_empty() {
        table.row(vec!["-".into(), "every joint on its mark".into(), String::new()]);
    }
    table
}
