//! Flanges and collector templates at 1:1, on as many pages as they need.

use template::{Align, Drawing as Template, Layer, Shape, Vec2};

use crate::PaperJob;
use crate::sheet::{Anchor, Dash, Drawing, Ink, Kind, Sheet, Stroke, arc, polyline};
use crate::tile::{FullSize, tiled};

/// Room around a drawing, mm.
const AROUND: f64 = 5.0;

/// Height of a line of notes, mm, and how many letters go on one.
const LINE: f64 = 4.2;
const LETTERS: usize = 92;

pub(super) fn sheets(papers: &PaperJob<'_>) -> Vec<Sheet> {
    papers.templates.iter().flat_map(|t| sheets_of(papers, t)).collect()
}

fn sheets_of(papers: &PaperJob<'_>, template: &Template) -> Vec<Sheet> {
    let Some([low, high]) = template.bounds() else { return Vec::new() };
    let notes: Vec<String> = template.notes.iter().flat_map(|n| wrapped(n)).collect();
    let under = LINE * notes.len() as f64 + if notes.is_empty() { 0.0 } else { 3.0 };
    let size = high - low;
    let mut d = Drawing::new(size.x + 2.0 * AROUND, size.y + 2.0 * AROUND + under);
    let at = |p: Vec2| [p.x - low.x + AROUND, high.y - p.y + AROUND];
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
        let written = d.text(at(middle), text.height / 0.72, anchor, &text.text);
        written.turn = -text.angle;
    }
    for (k, note) in notes.iter().enumerate() {
        let y = size.y + 2.0 * AROUND + 3.0 + LINE * k as f64;
        d.text([AROUND, y], 2.9, Anchor::Left, note);
    }
    d.width = d.width.max(if notes.is_empty() { 0.0 } else { 165.0 });
    let full =
        FullSize { kind: Kind::Templates, title: template.title.clone(), about: "full size".into(), drawing: &d };
    tiled(&full, papers.paper, papers.units)
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

/// A note in lines of at most [`LETTERS`] letters.
fn wrapped(note: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in note.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= LETTERS => {
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
        let lines = wrapped(&note);
        assert!(lines.iter().all(|l| l.chars().count() <= LETTERS) && lines.len() > 3);
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
