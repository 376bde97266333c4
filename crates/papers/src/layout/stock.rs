//! Pick list (stock on hand) and buying list.

use cutplan::{StockLine, StockRef};

use crate::PaperJob;
use crate::sheet::{Block, Column, Sheet, SheetKind, Side, Table, TextStyle};
use crate::words;

pub(super) fn sheets(papers: &PaperJob<'_>) -> Vec<Sheet> {
    let mut sheet = Sheet::new(SheetKind::Stock, "Pick list and buying list", "stock on hand first, then the supplier");
    let lines = papers.plan.stock_lines();
    let (shelf, bought): (Vec<&StockLine>, Vec<&StockLine>) =
        lines.iter().partition(|l| matches!(l.stock, StockRef::Remnant(_)));
    sheet.blocks.push(Block::Heading("1  Pick from stock on hand".into()));
    if shelf.is_empty() {
        sheet.blocks.push(Block::Text(TextStyle::Plain, "Nothing on hand fits this job.".into()));
    } else {
        sheet.blocks.push(Block::Table(table(papers, &shelf)));
    }
    sheet.blocks.push(Block::Heading("2  Buy".into()));
    if bought.is_empty() {
        sheet.blocks.push(Block::Text(TextStyle::Plain, "Nothing to buy.".into()));
    } else {
        sheet.blocks.push(Block::Table(table(papers, &bought)));
    }
    let parts = parts(papers);
    if !parts.is_empty() {
        sheet.blocks.push(Block::Text(TextStyle::Strong, "Parts on the tubes".into()));
        sheet.blocks.push(Block::Points(parts));
    }
    sheet.blocks.push(Block::Heading("3  Before the first cut".into()));
    sheet.blocks.push(Block::Points(checks(papers)));
    if !papers.plan.offcuts.is_empty() {
        sheet.blocks.push(Block::Heading("4  Offcuts to return to stock".into()));
        sheet.blocks.push(Block::Table(offcuts(papers)));
    }
    vec![sheet]
}

fn table(papers: &PaperJob<'_>, lines: &[&StockLine]) -> Table {
    let mut table = Table::new(vec![
        Column { side: Side::Right, ..Column::left("qty") },
        Column::wide("item", 1.3),
        Column::wide("shape", 1.8),
        Column::right(words::head("OD", papers.units)),
        Column::left("saw sheets"),
        Column { side: Side::Middle, ..Column::left("got it") },
    ]);
    for line in lines {
        let items: Vec<_> = papers.plan.items.iter().filter(|i| i.stock == line.stock).collect();
        let ids: Vec<&str> = items.iter().map(|i| i.id.as_str()).collect();
        let shape = items.first().map_or(String::new(), |i| words::shape(&i.shape, papers.units));
        let od = items.first().map_or(String::new(), |i| words::size(i.od, papers.units));
        table.row(vec![line.count.to_string(), line.name.clone(), shape, od, ids.join(" "), "[   ]".into()]);
    }
    table
}

/// Brackets by their kind, bungs by their thread, ends to expand for slip joints.
fn parts(papers: &PaperJob<'_>) -> Vec<String> {
    let parts = &papers.job.parts;
    let mut counts: Vec<(String, usize)> = Vec::new();
    let brackets = parts.brackets.iter().map(|b| format!("bracket, {}", b.kind.word()));
    let bungs = parts.bungs.iter().map(|b| format!("bung {}", words::short(&b.thread, 24)));
    let slips = parts.slips.iter().map(|s| {
        let springs = if s.springs { ", with springs" } else { "" };
        format!("end expanded for a slip joint, overlap {}{springs}", words::figure_with_unit(s.overlap, papers.units))
    });
    let couplings = parts.couplings.iter().map(|c| {
        let od = papers.job.tube_of(&c.run).od;
        format!(
            "{} for tube {}, {} wide",
            c.kind.words(),
            words::size(od, papers.units),
            words::figure_with_unit(c.width, papers.units)
        )
    });
    let shields = parts.shields.iter().map(|s| {
        let [thickness, length, width] =
            [s.thickness, s.length, s.width].map(|l| words::figure_with_unit(l, papers.units));
        format!(
            "heat shield {length} x {width} x {thickness}, {}, against {}",
            words::short(&s.material, 16),
            words::short(&s.obstacle, 24)
        )
    });
    for what in brackets.chain(bungs).chain(slips).chain(couplings).chain(shields) {
        match counts.iter_mut().find(|(known, _)| *known == what) {
            Some((_, count)) => *count += 1,
            None => counts.push((what, 1)),
        }
    }
    counts.into_iter().map(|(what, count)| format!("{count} x {what}")).collect()
}

fn checks(papers: &PaperJob<'_>) -> Vec<String> {
    let tube = &papers.job.primary.tube;
    vec![
        format!(
            "Check delivered OD, wall, CLR and legs against this list; the primaries are {}, {}.",
            words::tube(tube.od, tube.wall, papers.units),
            tube.material
        ),
        "Lay a bend on its full-size page (in the full set); send back any with the wrong CLR or angle.".into(),
        "Keep certificates and heat numbers with the job when the customer asks for them.".into(),
    ]
}

fn offcuts(papers: &PaperJob<'_>) -> Table {
    let mut table = Table::new(vec![
        Column::left("from"),
        Column::right(words::head("length", papers.units)),
        Column::wide("item", 1.0),
        Column::wide("label", 1.6),
    ]);
    for offcut in &papers.plan.offcuts {
        let item = &papers.plan.items[offcut.item];
        let length = offcut.at[1] - offcut.at[0];
        let label = format!(
            "{} · OD {} · {}",
            words::short(&papers.job.name, 24),
            words::size_with_unit(item.od, papers.units),
            item.id
        );
        table.row(vec![item.id.clone(), words::length(length, papers.units), item.name.clone(), label]);
    }
    table
}
