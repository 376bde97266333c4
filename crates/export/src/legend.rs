//! What stands below every drawing, whatever the format: a bar to measure a print with, title, unit and notes.

use job::model::Units;
use template::{Align, Drawing, Layer, Shape, Text, Vec2};

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

/// Title, unit and notes as texts below a drawing, each in lines that a person can read.
pub(crate) fn words(drawing: &Drawing, units: Units) -> Vec<Text> {
    let [low, _] = drawing.bounds().unwrap_or([Vec2::ZERO, Vec2::ZERO]);
    let unit = match units {
        Units::Mm => "Full size, millimetres.",
        Units::Inch => "Full size, inches.",
    };
    let mut lines = vec![drawing.title.clone()];
    for note in std::iter::once(unit).chain(drawing.notes.iter().map(String::as_str)) {
        lines.extend(wrapped(note));
    }
    let place = |i: usize| Vec2::new(low.x, low.y - 17.0 - 1.7 * NOTE * i as f64);
    let text = |(i, text): (usize, String)| Text {
        layer: Layer::Text,
        at: place(i),
        height: NOTE,
        angle: 0.0,
        align: Align::Left,
        text,
    };
    lines.into_iter().enumerate().map(text).collect()
}

/// A sentence in lines of at most [`LINE`] characters, broken at blanks.
fn wrapped(sentence: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in sentence.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= LINE => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_string()),
        }
    }
    lines
}
