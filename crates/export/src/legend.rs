//! What stands below every drawing, whatever the format: a bar to measure a print with, title, unit, notes and table.

use job::model::Units;
use template::{Align, Drawing, Layer, Shape, Text, Vec2, break_lines};

/// Height of notes, mm.
const NOTE: f64 = 3.0;
/// Characters in a line of notes.
const LINE: usize = 64;

/// A bar of known length below a drawing, to measure a print with: 100 mm or 4 in, and its name.
pub(crate) fn bar(drawing: &Drawing, units: Units) -> (Shape, Text) {
    let [low, _] = drawing.bounds().unwrap_or([Vec2::ZERO, Vec2::ZERO]);
    let (length, name) = match units {
        Units::Mm => (100.0, "100 mm"),
        Units::Inch => (101.6, "4 in"),
    };
    let at = low - Vec2::new(0.0, 7.0);
    let tick = Vec2::new(0.0, 1.5);
    let end = at + Vec2::new(length, 0.0);
    let shape = Shape::through([at + tick, at - tick, at, end, end - tick, end + tick], false);
    let place = end + Vec2::new(2.0, -1.0);
    let text = Text { layer: Layer::Text, at: place, height: NOTE, angle: 0.0, align: Align::Left, text: name.into() };
    (shape, text)
}

/// Title, unit, notes and table as texts below a drawing, each in lines that a person can read.
pub(crate) fn words(drawing: &Drawing, units: Units) -> Vec<Text> {
    let [low, _] = drawing.bounds().unwrap_or([Vec2::ZERO, Vec2::ZERO]);
    let unit = match units {
        Units::Mm => "Full size, millimetres.",
        Units::Inch => "Full size, inches.",
    };
    let mut lines = vec![drawing.title.clone()];
    for note in std::iter::once(unit).chain(drawing.notes.iter().map(String::as_str)) {
        lines.extend(break_lines(note, LINE));
    }
    let text = |line: usize, aside: f64, text: String| Text {
        layer: Layer::Text,
        at: Vec2::new(low.x + aside, low.y - 17.0 - 1.7 * NOTE * line as f64),
        height: NOTE,
        angle: 0.0,
        align: Align::Left,
        text,
    };
    let below = lines.len() + 1;
    let mut out: Vec<Text> = lines.into_iter().enumerate().map(|(i, words)| text(i, 0.0, words)).collect();
    let starts = columns(&drawing.table);
    for (i, row) in drawing.table.iter().enumerate() {
        let cells = row.iter().zip(&starts).filter(|(cell, _)| !cell.is_empty());
        out.extend(cells.map(|(cell, aside)| text(below + i, *aside, cell.clone())));
    }
    out
}

/// Where each column of a table begins, mm: after the widest cell of the one before.
fn columns(table: &[Vec<String>]) -> Vec<f64> {
    let count = table.iter().map(Vec::len).max().unwrap_or(0);
    let widest = |c: usize| table.iter().filter_map(|r| r.get(c)).map(|s| s.chars().count()).max().unwrap_or(0);
    let mut at = 0.0;
    (0..count)
        .map(|c| {
            let start = at;
            // Letters are about as wide as their capitals are high; one more for the blank between.
            at += NOTE * (widest(c) as f64 + 2.0);
            start
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_of_a_table_stand_below_the_notes_in_columns() {
        let mut drawing = Drawing::new("x", "a plate");
        drawing.note("one note");
        drawing.table = vec![vec!["".into(), "what".into()], vec!["a".into(), "hole 9.00".into()]];
        let texts = words(&drawing, Units::Mm);
        let at = |words: &str| texts.iter().find(|t| t.text == words).map(|t| t.at).unwrap();
        assert!(at("what").y < at("one note").y && at("hole 9.00").y < at("what").y);
        assert_eq!(at("what").x, at("hole 9.00").x);
        assert!(at("a").x + NOTE < at("hole 9.00").x);
    }
}
