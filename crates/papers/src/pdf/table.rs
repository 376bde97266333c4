//! Tables: widths of columns, rows that stay whole, heads again on every page.

use std::rc::Rc;

use super::chunk::{Chunk, Placed};
use super::text::{HEAD_POINTS, PLAIN_POINTS, Style, Typesetter, Words, points_mm};
use crate::sheet::{Ink, RowHeight, Stroke, Table};

/// Padding of a cell at its sides, mm.
const SIDES: f64 = 1.6;

/// Padding of a cell above and below its text, mm.
fn padding(row_height: RowHeight) -> f64 {
    match row_height {
        RowHeight::Low => 0.9,
        RowHeight::Plain => 1.35,
        RowHeight::Roomy => 2.6,
    }
}

/// A table cut into pieces that each stay whole.
pub(super) struct Rows {
    /// The column heads, which go before the first row of every page.
    pub heads: Chunk<'static>,
    /// The rows, each with the rule below it.
    pub rows: Vec<Chunk<'static>>,
}

impl Rows {
    /// The pieces of a table that is `width` mm wide, with rows of that height.
    pub fn new(typesetter: &mut Typesetter, table: &Table, row_height: RowHeight, width: f64) -> Rows {
        let Shaped { heads, rows } = Shaped::new(typesetter, table);
        let widths = widths(&wanted(table, &heads, &rows), width);
        let rule = Stroke::of(points_mm(0.4), Ink(150, 150, 150));
        Rows {
            heads: row(heads, (table, row_height), &widths, Stroke::black(points_mm(0.9))),
            rows: rows.into_iter().map(|cells| row(cells, (table, row_height), &widths, rule)).collect(),
        }
    }
}

/// The cells of a table, each on one line.
struct Shaped {
    heads: Vec<Words>,
    rows: Vec<Vec<Words>>,
}

impl Shaped {
    fn new(typesetter: &mut Typesetter, table: &Table) -> Self {
        let heads = table.columns.iter().map(|c| typesetter.words(&c.head, Style::bold(HEAD_POINTS))).collect();
        let style = |column: usize| if column == 0 { Style::bold(PLAIN_POINTS) } else { Style::plain() };
        let mut row = |cells: &Vec<String>| -> Vec<Words> {
            cells.iter().enumerate().map(|(column, text)| typesetter.words(text, style(column))).collect()
        };
        let rows = table.rows.iter().map(&mut row).collect();
        Shaped { heads, rows }
    }
}

/// What each column wants: its natural width and its share of what is left over.
fn wanted(table: &Table, heads: &[Words], rows: &[Vec<Words>]) -> Vec<(f64, f64)> {
    let natural = |k: usize| {
        let cells = rows.iter().filter_map(|row| row.get(k)).chain(heads.get(k));
        cells.map(Words::width).fold(0.0, f64::max) + 2.0 * SIDES
    };
    table.columns.iter().enumerate().map(|(k, column)| (natural(k), column.share)).collect()
}

/// A row with the rule below it; every cell in the middle of the height.
fn row(cells: Vec<Words>, (table, row_height): (&Table, RowHeight), widths: &[f64], rule: Stroke) -> Chunk<'static> {
    let places = table.columns.iter().zip(widths);
    let cells: Vec<Words> =
        cells.into_iter().zip(places).map(|(cell, (c, width))| cell.broken(width - 2.0 * SIDES, c.side)).collect();
    let height = cells.iter().map(Words::height).fold(0.0, f64::max) + 2.0 * padding(row_height);
    let mut row = Chunk::default();
    let mut x = 0.0;
    for (cell, width) in cells.into_iter().zip(widths) {
        let y = 0.5 * (height - cell.height());
        row.write(Rc::new(cell), [x + SIDES, y]);
        x += width;
    }
    row.items.push(Placed::Rule { from: [0.0, height], length: x, stroke: rule });
    row.height = height;
    row
}

/// Widths of columns, each given by its natural width and its share of what is left over; one with a share takes no
/// room of its own. Where the natural widths are too much for `room` the widest ones are cut to one width.
pub(super) fn widths(wanted: &[(f64, f64)], room: f64) -> Vec<f64> {
    let fixed = wanted.iter().filter(|w| w.1 <= 0.0).map(|w| w.0);
    let left = room - fixed.clone().sum::<f64>();
    let most = if left >= 0.0 { f64::INFINITY } else { fair(fixed.collect(), room) };
    let shares: f64 = wanted.iter().map(|w| w.1).sum();
    let width = |w: &(f64, f64)| if w.1 > 0.0 { left.max(0.0) * w.1 / shares } else { w.0.min(most) };
    wanted.iter().map(width).collect()
}

/// The width that columns are cut to so that together they take `room`.
fn fair(mut natural: Vec<f64>, room: f64) -> f64 {
    natural.sort_by(f64::total_cmp);
    let mut left = room;
    for (i, width) in natural.iter().enumerate() {
        let even = left / (natural.len() - i) as f64;
        if *width > even {
            return even;
        }
        left -= width;
    }
    f64::INFINITY
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_share_what_is_left_over() {
        assert_eq!(widths(&[(30.0, 0.0), (500.0, 1.0), (10.0, 3.0)], 110.0), [30.0, 20.0, 60.0]);
    }

    #[test]
    fn only_the_widest_columns_are_cut() {
        assert_eq!(widths(&[(10.0, 0.0), (90.0, 0.0), (200.0, 0.0), (5.0, 1.0)], 110.0), [10.0, 50.0, 50.0, 0.0]);
        assert_eq!(widths(&[(10.0, 0.0), (45.0, 0.0), (200.0, 0.0)], 110.0), [10.0, 45.0, 55.0]);
    }
}
