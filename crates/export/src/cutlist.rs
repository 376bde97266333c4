//! The cut list and the quote as tables.

use cutplan::figures::{Steps, in_steps};
use cutplan::quote::{Quote, QuoteLine};
use cutplan::saw::{Face, SawWork, from_end, saw_work};
use cutplan::{CutJob, CutMark, CutPlace, CutPlan, Item, ItemShape};
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

/// Heads of what each piece is; `$` stands for the unit.
const PIECE: [&str; 11] =
    ["piece", "run", "from", "stock", "OD $", "wall $", "CLR $", "entry leg $", "angle deg", "exit leg $", "length $"];

/// Heads of one end of a piece; `#` stands for 1 or 2.
const END: [&str; 10] = [
    "cut # by",
    "cut # on",
    "cut # angle deg",
    "cut # from $",
    "cut # outside $",
    "cut # inside $",
    "cut # end outside $",
    "cut # end inside $",
    "cut # over outside $",
    "cut # over inside $",
];

/// One row a piece: what it is cut from, where, and how it is turned against the next. In the figures of the papers, which add
/// up.
pub fn cut_list(plan: &CutPlan, job: &CutJob<'_>, units: Units) -> Table {
    let plan = &in_steps(plan, Steps::of(units), job);
    let works: Vec<SawWork> = (0..plan.items.len()).map(|item| saw_work(plan, item, job)).collect();
    let ends = ["1", "2"].into_iter().flat_map(|end| END.map(|head| head.replace('#', end)));
    let heads = PIECE.map(String::from).into_iter().chain(ends);
    let heads = heads.chain(["clocking to", "clocking deg", "around $"].map(String::from));
    let unit = job::show::unit(units);
    let mut table = Table { name: "cut list".into(), ..Table::default() };
    table.heads = heads.map(|head| head.replace('$', unit)).collect();
    for (k, piece) in plan.pieces.iter().enumerate() {
        let Some(item) = plan.items.get(piece.item) else { continue };
        let clr = match item.shape {
            ItemShape::Bend { clr, .. } if piece.angle > 0.0 => length(clr, units),
            _ => Cell::Blank,
        };
        let mut row: Vec<Cell> = vec![
            piece.mark.as_str().into(),
            piece.run.to_string().into(),
            item.id.as_str().into(),
            item.name.as_str().into(),
            length(item.od, units),
            length(job.tube_of(&piece.run).wall, units),
            clr,
            length(piece.leg_in, units),
            degrees(piece.angle),
            length(piece.leg_out, units),
            length(piece.to - piece.from, units),
        ];
        for (end, cut) in piece.cuts.iter().enumerate() {
            row.extend(place(item, cut, made(&works[piece.item], k, piece.at[end]), units));
        }
        match &piece.clocking {
            Some(c) => row.extend([c.to.as_str().into(), degrees(c.angle), length(c.around, units)]),
            None => row.extend([Cell::Blank, Cell::Blank, Cell::Blank]),
        }
        table.rows.push(row);
    }
    table
}

/// The face of the piece `k` at `line`, and whether the blade runs along it.
fn made(work: &SawWork, k: usize, line: f64) -> Option<(Face, bool)> {
    let faces = work.cuts.iter().flat_map(|c| std::iter::once((c.saw, true)).chain(c.second.map(|f| (f, false))));
    faces.into_iter().find(|(face, _)| face.piece == k && face.line == line)
}

/// How an end of a piece is made, where its line lies, by its tangent line and by the end of its leg, and what the saw leaves
/// before it.
fn place(item: &Item, cut: &CutMark, made: Option<(Face, bool)>, units: Units) -> [Cell; 10] {
    let blank = || Cell::Blank;
    let Some((face, sawn)) = made else {
        let mut cells: [Cell; 10] = std::array::from_fn(|_| Cell::Blank);
        cells[0] = "mill end".into();
        return cells;
    };
    let (on, turned, from, outside, inside) = match cut.place {
        CutPlace::FirstLeg { from_tangent } => ("leg 1", blank(), length(from_tangent, units), blank(), blank()),
        CutPlace::SecondLeg { from_tangent } => ("leg 2", blank(), length(from_tangent, units), blank(), blank()),
        CutPlace::Straight { from_end } => ("straight", blank(), length(from_end, units), blank(), blank()),
        CutPlace::Arc { angle, outside, inside, .. } => {
            ("arc", degrees(angle), blank(), length(outside, units), length(inside, units))
        }
    };
    let end = from_end(&item.shape, &face.place);
    let by = if sawn || !face.trued() { "saw" } else { "true" };
    let [over_outside, over_inside] = face.over.map(|o| length(o, units));
    let [end_outside, end_inside] = [end.outside, end.inside].map(|l| length(l, units));
    [by.into(), on.into(), turned, from, outside, inside, end_outside, end_inside, over_outside, over_inside]
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

/// The quote line by line, and its sums; `basis` says how the quantity of a line came about.
pub fn quote_table(quote: &Quote, basis: impl Fn(&QuoteLine) -> String) -> Table {
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
            Cell::Number(line.unit_price.units(), 3),
            Cell::Number(line.amount.units(), 2),
            basis(line).into(),
        ]);
    }
    let sums = [
        ("subtotal", quote.direct),
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
            Cell::Number(amount.units(), 2),
            blank,
        ]);
    }
    if quote.invented {
        table.rows.push(vec!["note".into(), "placeholder prices: put your own into [price] of stock.toml".into()]);
    }
    table
}
