//! The cut list and the quote as tables.

use cutplan::quote::file::QuoteFile;
use cutplan::{CutMark, CutPlace, CutPlan};
use job::model::Units;

use crate::table::{Cell, Table};

/// Decimals of a length in a table: a hundredth of a millimetre, a thousandth of an inch.
pub(crate) fn decimals(units: Units) -> usize {
    match units {
        Units::Mm => 2,
        Units::Inch => 3,
    }
}

/// A length in the job's unit.
pub(crate) fn length(mm: f64, units: Units) -> Cell {
    Cell::Number(mm / units.in_mm(), decimals(units))
}

/// An angle in degrees, to a hundredth.
pub(crate) fn degrees(angle: f64) -> Cell {
    Cell::Number(angle.to_degrees(), 2)
}

/// One row a piece: what it is cut from, where, and how it is turned against the next.
pub fn cut_list(plan: &CutPlan, units: Units) -> Table {
    let unit = job::show::unit(units);
    let with_unit = |names: &[&str]| names.iter().map(|n| n.replace('$', unit)).collect::<Vec<_>>();
    let mut table = Table { name: "cut list".into(), ..Table::default() };
    table.heads = with_unit(&[
        "piece",
        "run",
        "from",
        "stock",
        "leg in $",
        "angle deg",
        "leg out $",
        "length $",
        "cut 1 on",
        "cut 1 at",
        "cut 1 outside $",
        "cut 1 inside $",
        "cut 2 on",
        "cut 2 at",
        "cut 2 outside $",
        "cut 2 inside $",
        "clocking to",
        "clocking deg",
        "around $",
    ]);
    for piece in &plan.pieces {
        let item = plan.items.get(piece.item);
        let mut row: Vec<Cell> = vec![
            piece.mark.as_str().into(),
            piece.run.to_string().into(),
            item.map_or(Cell::Blank, |i| i.id.as_str().into()),
            item.map_or(Cell::Blank, |i| i.name.as_str().into()),
            length(piece.leg_in, units),
            degrees(piece.angle),
            length(piece.leg_out, units),
            length(piece.to - piece.from, units),
        ];
        for cut in &piece.cuts {
            row.extend(place(cut, units));
        }
        match &piece.clocking {
            Some(c) => row.extend([c.to.as_str().into(), degrees(c.angle), length(c.around, units)]),
            None => row.extend([Cell::Blank, Cell::Blank, Cell::Blank]),
        }
        table.rows.push(row);
    }
    table
}

/// What a cut lies on, where, and its tape lengths along outside and inside of a bend.
fn place(cut: &CutMark, units: Units) -> [Cell; 4] {
    if cut.mill_end {
        return ["mill end".into(), Cell::Blank, Cell::Blank, Cell::Blank];
    }
    match cut.place {
        CutPlace::FirstLeg { from_tangent } => ["leg 1".into(), length(from_tangent, units), Cell::Blank, Cell::Blank],
        CutPlace::SecondLeg { from_tangent } => ["leg 2".into(), length(from_tangent, units), Cell::Blank, Cell::Blank],
        CutPlace::Straight { from_end } => ["straight".into(), length(from_end, units), Cell::Blank, Cell::Blank],
        CutPlace::Arc { angle, outside, inside, .. } => {
            ["arc, deg".into(), degrees(angle), length(outside, units), length(inside, units)]
        }
    }
}

/// What is taken from the supplier or the shelf.
pub fn stock_list(plan: &CutPlan) -> Table {
    let mut table = Table::new("stock", &["count", "stock", "each"]);
    for line in plan.stock_lines() {
        table.rows.push(vec![
            Cell::Number(f64::from(line.count), 0),
            line.name.into(),
            Cell::Number(line.price.units(), 2),
        ]);
    }
    table
}

/// The quote line by line, and its sums.
pub fn quote_table(quote: &QuoteFile) -> Table {
    let currency = &quote.currency;
    let mut table = Table { name: "quote".into(), ..Table::default() };
    table.heads = vec![
        "for".into(),
        "what".into(),
        "quantity".into(),
        "unit".into(),
        format!("each {currency}"),
        format!("amount {currency}"),
        "from".into(),
    ];
    for line in &quote.lines {
        table.rows.push(vec![
            line.group.name().into(),
            line.what.as_str().into(),
            Cell::Number(line.quantity, 3),
            line.unit.clone().into(),
            Cell::Number(line.unit_price, 3),
            Cell::Number(line.amount, 2),
            line.basis.as_str().into(),
        ]);
    }
    let sums = [
        ("direct", quote.direct),
        ("margin", quote.margin),
        ("net", quote.net),
        ("tax", quote.tax),
        ("total", quote.total),
    ];
    for (name, amount) in sums {
        let blank = Cell::Blank;
        table.rows.push(vec![
            name.into(),
            blank.clone(),
            blank.clone(),
            blank.clone(),
            blank.clone(),
            Cell::Number(amount, 2),
            blank,
        ]);
    }
    if quote.invented_prices {
        table
            .rows
            .push(vec!["note".into(), "with invented prices: put the shop's own into [price] of stock.toml".into()]);
    }
    table
}
