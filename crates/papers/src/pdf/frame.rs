//! Head and foot of every page. Lengths in mm.

use super::Frame;
use super::chunk::{Chunk, Placed};
use super::text::{Style, Typesetter, points_mm};
use crate::paper::{BOTTOM, SIDE, TOP};
use crate::sheet::{Ink, Sheet, Side, Stroke};

/// From the rule of the head to the blocks, and from the blocks to the rule of the foot.
const AWAY: f64 = 3.0;

/// From a rule to the words of the head or foot.
const HEAD_GAP: f64 = 1.3;
const FOOT_GAP: f64 = 1.2;

/// Width of the job's name, and the room beside it.
const NAME_WIDTH: f64 = 62.0;
const NAME_GAP: f64 = 6.0;

/// Bytes of a name above which it is set smaller.
const LONG_NAME: usize = 45;

/// Room between the two lines of the head.
const LINES: f64 = 1.7;

/// The head of a sheet's pages of that width: title and flag at the left, the job's name at the right, a rule below.
pub(super) fn head(typesetter: &mut Typesetter, sheet: &Sheet, frame: &Frame, width: f64) -> Vec<Placed<'static>> {
    let inner = width - 2.0 * SIDE;
    let left = inner - NAME_WIDTH - NAME_GAP;
    let mut titles = Chunk::default();
    titles.write(typesetter.lines(&sheet.title, Style::bold(15.0), left, Side::Left), [0.0, 0.0]);
    let y = titles.height + LINES;
    // Titles stand at one height, with words below them or without.
    titles.height = y + Style::regular(9.0).rise();
    let x = flag(typesetter, &mut titles, &frame.flag, y);
    if !sheet.about.is_empty() {
        titles.write(typesetter.lines(&sheet.about, Style::regular(9.0), left - x, Side::Left), [x, y]);
    }
    let size = if frame.job.len() > LONG_NAME { 7.0 } else { 9.0 };
    let mut name = Chunk::default();
    name.write(typesetter.lines(&frame.job, Style::bold(size), NAME_WIDTH, Side::Right), [0.0, 0.0]);
    let rule = TOP - AWAY;
    let mut items = vec![Placed::Rule { from: [SIDE, rule], length: inner, stroke: Stroke::black(points_mm(1.4)) }];
    // Both stand on the rule.
    for (piece, x) in [(titles, SIDE), (name, SIDE + left + NAME_GAP)] {
        let top = rule - HEAD_GAP - piece.height;
        items.extend(piece.items.into_iter().map(|item| item.moved([x, top])));
    }
    items
}

/// White on black: why no page may be worked by. Says where the words beside it begin.
fn flag(typesetter: &mut Typesetter, titles: &mut Chunk<'_>, flag: &str, y: f64) -> f64 {
    const INSET: [f64; 2] = [1.2, 0.8];
    if flag.is_empty() {
        return 0.0;
    }
    let words = typesetter.words(flag, Style::bold(9.0).inked(Ink::WHITE));
    let size = [words.width() + 2.0 * INSET[0], words.height() + 2.0 * INSET[1]];
    titles.items.push(Placed::Area { corner: [0.0, y - INSET[1]], size, fill: Ink::BLACK, stroke: None });
    titles.write(words.into(), [INSET[0], y]);
    size[0] + 2.0
}

/// The foot of one page of that width and height: revision and date, hash, and which page of how many.
pub(super) fn foot(
    typesetter: &mut Typesetter,
    frame: &Frame,
    size: [f64; 2],
    page: [usize; 2],
) -> Vec<Placed<'static>> {
    let inner = size[0] - 2.0 * SIDE;
    let rule = size[1] - BOTTOM + AWAY;
    let number = format!("page {} of {}", page[0], page[1]);
    let third = inner / 3.0;
    let mut words = Chunk::default();
    let thirds = [(frame.left.as_str(), Side::Left), (frame.middle.as_str(), Side::Middle), (&number, Side::Right)];
    for (k, (text, side)) in thirds.into_iter().enumerate() {
        words.write(
            typesetter.lines(text, Style::regular(7.6), third, side),
            [SIDE + k as f64 * third, rule + FOOT_GAP],
        );
    }
    let mut items = vec![Placed::Rule { from: [SIDE, rule], length: inner, stroke: Stroke::black(points_mm(0.5)) }];
    items.extend(words.items);
    items
}
