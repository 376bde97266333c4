//! Tables: widths of columns, rows that stay whole, heads again on every page.

use std::rc::Rc;

use super::flow::{Column, Flow, Gap, Spot};
use super::piece::{Item, Piece};
use super::text::{HEAD_POINTS, PLAIN_POINTS, Style, Words, points_mm};
use crate::sheet::{Ink, Rise, Stroke, Table};

/// Padding of a cell at its sides, mm.
const SIDES: f64 = 1.6;

/// Padding of a cell above and below its text, mm.
fn padding(rise: Rise) -> f64 {
    match rise {
        Rise::Low => 0.9,
        Rise::Plain => 1.35,
        Rise::Roomy => 2.6,
    }
}

/// Sets a table and says where it ends.
pub(super) fn set<'a>(flow: &mut Flow<'a, '_>, table: &'a Table, column: Column, mut spot: Spot) -> Spot {
    let grid = Grid::new(flow, table, column.width);
    let head = grid.row(grid.heads.clone(), Stroke::black(points_mm(0.9)));
    // The heads go before the next row that begins a page.
    let mut above = Gap::Usual;
    let mut headed = false;
    for cells in grid.rows.iter().cloned() {
        let row = grid.row(cells, Stroke::of(points_mm(0.4), Ink(150, 150, 150)));
        let piece = if headed && flow.fits(spot, above, &row) { row } else { head.clone().above(row) };
        spot = flow.put(spot, column, above, piece, Gap::Of(0.0));
        (above, headed) = (Gap::Of(0.0), true);
    }
    if !headed {
        spot = flow.put(spot, column, Gap::Usual, head, Gap::Usual);
    }
    spot.then(Gap::Usual)
}

/// The cells of a table, broken into lines.
struct Grid<'a> {
    table: &'a Table,
    widths: Vec<f64>,
    heads: Vec<Rc<Words>>,
    rows: Vec<Vec<Rc<Words>>>,
}

impl<'a> Grid<'a> {
    fn new(flow: &mut Flow<'_, '_>, table: &'a Table, width: f64) -> Self {
        let mut shape = |cells: &mut dyn Iterator<Item = (&String, Style)>| -> Vec<Words> {
            cells.map(|(text, style)| flow.typesetter.words(text, style)).collect()
        };
        let heads = shape(&mut table.columns.iter().map(|c| (&c.head, Style::bold(HEAD_POINTS))));
        let style = |column: usize| if column == 0 { Style::bold(PLAIN_POINTS) } else { Style::plain() };
        let rows: Vec<Vec<Words>> =
            table.rows.iter().map(|r| shape(&mut r.iter().enumerate().map(|(k, c)| (c, style(k))))).collect();
        let wanted: Vec<(f64, f64)> = table
            .columns
            .iter()
            .enumerate()
            .map(|(k, column)| {
                let cells = rows.iter().filter_map(|row| row.get(k)).chain(heads.get(k));
                (cells.map(Words::width).fold(0.0, f64::max) + 2.0 * SIDES, column.share)
            })
            .collect();
        let widths = widths(&wanted, width);
        let broken = |row: Vec<Words>| -> Vec<Rc<Words>> {
            let places = table.columns.iter().zip(&widths);
            row.into_iter().zip(places).map(|(cell, (c, w))| Rc::new(cell.broken(w - 2.0 * SIDES, c.side))).collect()
        };
        let heads = broken(heads);
        let rows = rows.into_iter().map(broken).collect();
        Grid { table, widths, heads, rows }
    }

    /// A row with the rule below it; every cell in the middle of the height.
    fn row(&self, cells: Vec<Rc<Words>>, rule: Stroke) -> Piece<'static> {
        let padding = padding(self.table.rise);
        let height = cells.iter().map(|c| c.height()).fold(0.0, f64::max) + 2.0 * padding;
        let mut row = Piece::default();
        let mut x = 0.0;
        for (cell, width) in cells.into_iter().zip(&self.widths) {
            let y = 0.5 * (height - cell.height());
            row.write(cell, [x + SIDES, y]);
            x += width;
        }
        row.items.push(Item::Rule { from: [0.0, height], length: x, stroke: rule });
        row.height = height;
        row
    }
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
