//! Head and foot of every page. Lengths in mm.

use super::chunk::{Chunk, Placed};
use super::text::{Style, Typesetter, points_mm};
use crate::paper::{BOTTOM, Paper, SIDE, TOP};
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

/// Sizes that a title is tried at until it fits on one line, points; the last is kept whatever it takes.
const TITLES: [f64; 4] = [15.0, 13.0, 11.0, 9.5];

/// Lines that a job's name may take.
const NAME_LINES: usize = 3;

/// Head and foot of every page.
#[derive(Debug, Clone, PartialEq)]
pub struct Frame {
    /// Name of the job, at the head.
    pub job: String,
    /// Size of the paper.
    pub paper: Paper,
    /// At the left of the foot: revision and date.
    pub left: String,
    /// In the middle of the foot: the hash of what the papers were made from.
    pub middle: String,
    /// White on black in the head: why no page may be worked by; empty: nothing.
    pub flag: String,
}

/// The head of a sheet's pages of that width: title and flag at the left, the job's name at the right, a rule below.
pub(super) fn head(typesetter: &mut Typesetter, sheet: &Sheet, frame: &Frame, width: f64) -> Vec<Placed<'static>> {
    let inner = width - 2.0 * SIDE;
    let left = inner - NAME_WIDTH - NAME_GAP;
    let mut titles = titled(typesetter, &sheet.title, &TITLES, left);
    let y = titles.height + LINES;
    // Titles stand at one height, with words below them or without.
    titles.height = y + Style::regular(9.0).rise();
    let x = flag(typesetter, &mut titles, &frame.flag, y);
    about(typesetter, &mut titles, sheet, [x, y], left);
    let mut name = Chunk::default();
    let size = if frame.job.len() > LONG_NAME { 7.0 } else { 9.0 };
    let words = at_most(typesetter, &frame.job, Style::bold(size), NAME_WIDTH, NAME_LINES);
    name.write(typesetter.lines(&words, Style::bold(size), NAME_WIDTH, Side::Right), [0.0, 0.0]);
    let rule = TOP - AWAY;
    let mut items = vec![Placed::Rule { from: [SIDE, rule], length: inner, stroke: Stroke::black(points_mm(1.4)) }];
    // Both stand on the rule.
    for (piece, x) in [(titles, SIDE), (name, SIDE + left + NAME_GAP)] {
        let top = rule - HEAD_GAP - piece.height;
        items.extend(piece.items.into_iter().map(|item| item.moved([x, top])));
    }
    items
}

/// The title of a sheet that does not begin its page, with what it is of, `width` mm wide.
pub(super) fn title(typesetter: &mut Typesetter, sheet: &Sheet, width: f64) -> Chunk<'static> {
    let mut titles = titled(typesetter, &sheet.title, &TITLES[1..], width);
    if !sheet.about.is_empty() {
        let y = titles.height + LINES;
        titles.height = y + Style::regular(9.0).rise();
        about(typesetter, &mut titles, sheet, [0.0, y], width);
    }
    let rule = titles.height + HEAD_GAP;
    titles.items.push(Placed::Rule { from: [0.0, rule], length: width, stroke: Stroke::black(points_mm(1.0)) });
    titles.height = rule + AWAY;
    titles
}

/// A title on one line, as large as it fits.
fn titled(typesetter: &mut Typesetter, title: &str, sizes: &[f64], width: f64) -> Chunk<'static> {
    let fits = |size: &&f64, typesetter: &mut Typesetter| typesetter.words(title, Style::bold(**size)).width() <= width;
    let size = sizes.iter().find(|size| fits(size, typesetter)).or(sizes.last()).copied().unwrap_or(9.5);
    let mut titles = Chunk::default();
    let words = at_most(typesetter, title, Style::bold(size), width, 1);
    titles.write(typesetter.lines(&words, Style::bold(size), width, Side::Left), [0.0, 0.0]);
    titles
}

/// What a sheet is of, on one line at `at` up to `width`.
fn about(typesetter: &mut Typesetter, titles: &mut Chunk<'static>, sheet: &Sheet, at: [f64; 2], width: f64) {
    if sheet.about.is_empty() {
        return;
    }
    let room = width - at[0];
    let fits = |points: &f64, typesetter: &mut Typesetter| {
        typesetter.words(&sheet.about, Style::regular(*points)).width() <= room
    };
    let points = [9.0, 8.0, 7.0].into_iter().find(|p| fits(p, typesetter)).unwrap_or(6.5);
    let words = at_most(typesetter, &sheet.about, Style::regular(points), room, 1);
    titles.write(typesetter.lines(&words, Style::regular(points), room, Side::Left), at);
}

/// A text cut, with an ellipsis, to what stands on so many lines.
fn at_most(typesetter: &mut Typesetter, text: &str, style: Style, width: f64, lines: usize) -> String {
    let mut left: Vec<char> = text.chars().collect();
    let mut shown = text.to_string();
    while left.len() > 1 && typesetter.lines(&shown, style, width, Side::Left).lines() > lines {
        // A tenth at a time: few steps for a long text, few letters too many.
        left.truncate(left.len() - (left.len() / 10).max(1));
        shown = left.iter().chain(&['…']).collect();
    }
    shown
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

/// From the line of caution to the rule of the foot below it, mm.
const CAUTION_GAP: f64 = 2.5;

/// The foot of one page of that width and height: a line of caution, revision and date, hash, and which page of how many.
pub(super) fn foot(
    typesetter: &mut Typesetter,
    frame: &Frame,
    size: [f64; 2],
    page: [usize; 2],
    caution: &str,
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
    words.write(typesetter.lines(caution, Style::regular(5.8), inner, Side::Left), [SIDE, rule - CAUTION_GAP]);
    let mut items = vec![Placed::Rule { from: [SIDE, rule], length: inner, stroke: Stroke::black(points_mm(0.5)) }];
    items.extend(words.items);
    items
}
