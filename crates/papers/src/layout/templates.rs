//! Flanges and collector templates at 1:1, on as many pages as they need.

use template::{Align, Drawing as Template, Layer, Shape, Vec2};

use crate::PaperJob;
use crate::sheet::{Anchor, Dash, Drawing, Ink, Kind, Sheet, Stroke, Weight, arc, polyline};
use crate::tile::{FullSize, fits, tiled, window};

/// Room around a drawing, mm.
const AROUND: f64 = 5.0;

/// Height of a line of notes, its type and the mean width of a letter of it, mm.
const LINE: f64 = 4.2;
const TYPE: f64 = 2.9;
const LETTER: f64 = 1.62;

/// Room for the title, mm.
const TITLE: f64 = 8.0;

/// Least width of a drawing with its title and notes, mm: two beside one another on the smallest page.
const NARROWEST: f64 = 80.0;

pub(super) fn sheets(papers: &PaperJob<'_>) -> Vec<Sheet> {
    let drawn: Vec<(String, Drawing)> = papers.templates.iter().filter_map(drawing).collect();
    let mut out = Vec::new();
    let mut rest = drawn.as_slice();
    while let Some((title, first)) = rest.first() {
        if fits([first.width, first.height], papers.paper) != Some(false) {
            out.extend(paged(papers, title.clone(), first));
            rest = &rest[1..];
            continue;
        }
        let (page, titles) = packed(papers, &mut rest);
        let title = if titles.len() == 1 { titles[0].clone() } else { "Flanges and templates".into() };
        out.extend(paged(papers, title, &page));
    }
    out
}

fn paged(papers: &PaperJob<'_>, title: String, drawing: &Drawing) -> Vec<Sheet> {
    let full = FullSize { kind: Kind::Templates, title, about: "full size".into(), drawing };
    tiled(&full, papers.paper, papers.units)
}

/// As many of the next drawings as an upright page holds, in rows; their titles.
fn packed(papers: &PaperJob<'_>, rest: &mut &[(String, Drawing)]) -> (Drawing, Vec<String>) {
    let [width, height] = window(papers.paper, false);
    let mut page = Drawing::new(width, height);
    let mut titles = Vec::new();
    let (mut x, mut y, mut row) = (0.0, 0.0, 0.0_f64);
    while let Some((title, next)) = rest.first() {
        if x > 0.0 && x + next.width > width {
            (x, y, row) = (0.0, y + row + 4.0, 0.0);
        }
        if y + next.height > height || next.width > width {
            break;
        }
        page.insert(next, [x, y]);
        titles.push(title.clone());
        x += next.width + 4.0;
        row = row.max(next.height);
        *rest = &rest[1..];
    }
    (page, titles)
}

/// A template with its title above and its notes below; `None` for an empty one.
fn drawing(template: &Template) -> Option<(String, Drawing)> {
    let [low, high] = template.bounds()?;
    let size = high - low;
    let width = (size.x + 2.0 * AROUND).max(NARROWEST);
    let letters = ((width - 2.0 * AROUND) / LETTER) as usize;
    let title = wrapped(&template.title, (letters as f64 * 0.72) as usize);
    let notes: Vec<String> = template.notes.iter().flat_map(|n| wrapped(n, letters)).collect();
    let top = TITLE + 5.0 * (title.len() as f64 - 1.0).max(0.0);
    let bottom = top + size.y + 2.0 * AROUND;
    let mut d = Drawing::new(width, bottom + 3.0 + LINE * notes.len() as f64);
    for (k, line) in title.iter().enumerate() {
        d.text([AROUND, 3.0 + 5.0 * k as f64], 3.9, Anchor::Left, line).weight = Weight::Bold;
    }
    let at = |p: Vec2| [p.x - low.x + AROUND, high.y - p.y + AROUND + top];
    for path in &template.paths {
        draw(&mut d, &path.shape, pen(path.layer), &at);
    }
    for text in &template.texts {
        let anchor = match text.align {
            Align::Left => Anchor::Left,
            Align::Middle => Anchor::Middle,
            Align::Right => Anchor::Right,
        };
        // Their place is on the base line; ours in the middle of the letters.
        let middle = text.at + Vec2::from_angle(text.angle).perp() * (0.5 * text.height);
        // Capitals of the typeface are 0.72 of its size high.
        let written = d.text(at(middle), text.height / 0.72, anchor, &text.text);
        written.turn = -text.angle;
    }
    for (k, note) in notes.iter().enumerate() {
        d.text([AROUND, bottom + 2.0 + LINE * k as f64], TYPE, Anchor::Left, note);
    }
    Some((template.title.clone(), d))
}

fn pen(layer: Layer) -> Stroke {
    match layer {
        Layer::Cut => Stroke::black(0.45),
        Layer::Mark => Stroke::black(0.25).dashed(&[30, 10, 6, 10]),
        Layer::Fold => Stroke::black(0.3).dashed(&[20, 15]),
        Layer::Dimension | Layer::Text => Stroke { width: 0.18, ink: Ink::GREY, dash: Dash::Solid },
    }
}

fn draw(d: &mut Drawing, shape: &Shape, pen: Stroke, at: &dyn Fn(Vec2) -> [f64; 2]) {
    for leg in shape.legs() {
        match leg {
            Shape::Line { from, to } => d.line(at(from), at(to), pen),
            Shape::Circle { centre, radius } => d.circle(at(centre), radius, Some(pen), None),
            Shape::Arc { centre, radius, from, sweep } => {
                let mut steps = polyline(&[at(centre + Vec2::from_angle(from) * radius)]);
                steps.extend(arc(at(centre), radius, -from, -(from + sweep)));
                d.path(steps, Some(pen), None);
            }
            Shape::Polyline { .. } => {}
        }
    }
}

/// Words in lines of at most so many letters; a longer word has a line of its own.
fn wrapped(words: &str, letters: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= letters => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_string()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn notes_keep_all_their_words() {
        let note = "word ".repeat(60);
        let lines = wrapped(&note, 50);
        assert!(lines.iter().all(|l| l.chars().count() <= 50) && lines.len() > 3);
        assert_eq!(lines.join(" "), note.trim());
    }

    #[test]
    fn an_arc_keeps_its_place_when_y_is_turned_over() {
        let mut d = Drawing::new(10.0, 10.0);
        let arc = Shape::Arc { centre: Vec2::new(1.0, 2.0), radius: 3.0, from: 0.5, sweep: 1.0 };
        draw(&mut d, &arc, Stroke::black(0.1), &|p| [p.x, -p.y]);
        let [low, high] = d.marks[0].extent();
        let (a, b) = (Vec2::from_angle(0.5) * 3.0, Vec2::from_angle(1.5) * 3.0);
        assert!((high[0] - (1.0 + a.x)).abs() < 0.05 && (low[1] + (2.0 + b.y)).abs() < 0.05, "{low:?} {high:?}");
    }
}
