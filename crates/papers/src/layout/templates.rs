//! Flanges and collector templates at 1:1, on as many pages as they need.

use template::{Align, Drawing as Template, Layer, Shape, Vec2, break_lines};

use super::go_on;
use crate::PaperJob;
use crate::sheet::{
    Anchor, Block, Column, Dash, Drawing, Ink, Sheet, SheetKind, Side, Stroke, Table, Weight, arc, polyline,
};
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
    let drawn: Vec<Drawn<'_>> = papers.templates.iter().filter_map(Drawn::of).collect();
    let large = drawn.iter().filter(|d| fits([d.whole.width, d.whole.height], papers.paper).is_none());
    let mut out: Vec<Sheet> = in_words(&large.map(|d| d.template).collect::<Vec<_>>()).into_iter().collect();
    let mut rest = drawn.as_slice();
    while let Some(first) = rest.first().filter(|_| go_on(papers, &out)) {
        match fits([first.whole.width, first.whole.height], papers.paper) {
            Some(false) => {
                let (page, titles) = packed(papers, &mut rest);
                let title = if titles.len() == 1 { titles[0].clone() } else { "Flanges and templates".into() };
                out.extend(paged(papers, &title, &page));
                continue;
            }
            Some(true) => out.extend(paged(papers, &first.template.title, &first.whole)),
            None => out.extend(paged(papers, &first.template.title, &first.lines)),
        }
        rest = &rest[1..];
    }
    out
}

fn paged(papers: &PaperJob<'_>, title: &str, drawing: &Drawing) -> Vec<Sheet> {
    let full = FullSize { kind: SheetKind::Templates, title: title.into(), about: "full size".into(), drawing };
    tiled(&full, papers.paper, papers.units)
}

/// Notes and tables of the drawings that are too large for one page: they go on a separate sheet, before those at
/// full size.
fn in_words(large: &[&Template]) -> Option<Sheet> {
    large.first()?;
    let mut sheet = Sheet::new(SheetKind::Templates, "Flanges and templates", "notes on templates of several pages");
    for template in large {
        sheet.blocks.push(Block::Heading(template.title.clone()));
        sheet.blocks.push(Block::Points(template.notes.clone()));
        let [heads, rows @ ..] = &template.table[..] else { continue };
        let side = |i: usize| if i < 2 { Side::Left } else { Side::Right };
        let column = |(i, head): (usize, &String)| Column { side: side(i), ..Column::left(head.clone()) };
        let mut table = Table::new(heads.iter().enumerate().map(column).collect());
        rows.iter().for_each(|row| table.row(row.clone()));
        sheet.blocks.push(Block::Table(table));
    }
    Some(sheet)
}

/// As many of the next drawings as an upright page holds, in rows; their titles.
fn packed(papers: &PaperJob<'_>, rest: &mut &[Drawn<'_>]) -> (Drawing, Vec<String>) {
    let [width, height] = window(papers.paper, false);
    let mut page = Drawing::new(width, height);
    let mut titles = Vec::new();
    let (mut x, mut y, mut row) = (0.0, 0.0, 0.0_f64);
    while let Some(next) = rest.first() {
        let whole = &next.whole;
        if x > 0.0 && x + whole.width > width {
            (x, y, row) = (0.0, y + row + 4.0, 0.0);
        }
        if y + whole.height > height || whole.width > width {
            break;
        }
        page.insert(whole, [x, y]);
        titles.push(next.template.title.clone());
        x += whole.width + 4.0;
        row = row.max(whole.height);
        *rest = &rest[1..];
    }
    (page, titles)
}

/// A template on paper: with title, notes and table, and its lines alone.
struct Drawn<'a> {
    template: &'a Template,
    whole: Drawing,
    lines: Drawing,
}

impl<'a> Drawn<'a> {
    /// `None` for an empty one.
    fn of(template: &'a Template) -> Option<Self> {
        let lines = lines(template)?;
        let width = lines.width.max(NARROWEST);
        let letters = ((width - 2.0 * AROUND) / LETTER) as usize;
        let title = break_lines(&template.title, (letters as f64 * 0.72) as usize);
        let notes: Vec<String> = template.notes.iter().flat_map(|n| break_lines(n, letters)).collect();
        let top = TITLE + 5.0 * (title.len() as f64 - 1.0).max(0.0);
        let bottom = top + lines.height + 2.0;
        let rows = (notes.len() + template.table.len()) as f64;
        let mut d = Drawing::new(width, bottom + 3.0 + LINE * rows);
        for (k, line) in title.iter().enumerate() {
            d.text([AROUND, 3.0 + 5.0 * k as f64], 3.9, Anchor::Left, line).weight = Weight::Bold;
        }
        d.insert(&lines, [0.0, top]);
        let row = |k: usize| bottom + LINE * k as f64;
        for (k, note) in notes.iter().enumerate() {
            d.text([AROUND, row(k)], TYPE, Anchor::Left, note);
        }
        table(&mut d, template, row(notes.len()) + 0.5);
        Some(Drawn { template, whole: d.with_room(), lines })
    }
}

/// The table of a drawing below its notes, its columns as wide as their cells; heads are bold, figures keep to the right.
fn table(d: &mut Drawing, template: &Template, top: f64) {
    let columns = template.table.iter().map(Vec::len).max().unwrap_or(0);
    let widest =
        |c: usize| template.table.iter().filter_map(|r| r.get(c)).map(|s| s.chars().count()).max().unwrap_or(0);
    let mut x = AROUND;
    for c in 0..columns {
        let width = LETTER * 1.1 * widest(c) as f64;
        for (k, cell) in template.table.iter().enumerate().filter_map(|(k, row)| Some((k, row.get(c)?))) {
            let (at, anchor) = if c < 2 { (x, Anchor::Left) } else { (x + width, Anchor::Right) };
            let text = d.text([at, top + LINE * k as f64], TYPE, anchor, cell.clone());
            text.weight = if k == 0 || c == 0 { Weight::Bold } else { Weight::Plain };
        }
        x += width + 4.0;
    }
}

/// The lines of a template and the words among them; `None` for an empty one.
fn lines(template: &Template) -> Option<Drawing> {
    let [low, high] = template.bounds()?;
    let size = high - low;
    let mut d = Drawing::new(size.x + 2.0 * AROUND, size.y + 2.0 * AROUND);
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
        // Capitals of the typeface are 0.72 of its size high.
        let written = d.text(at(middle), text.height / 0.72, anchor, &text.text);
        written.turn = -text.angle;
    }
    Some(d)
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn notes_keep_all_their_words() {
        let note = "word ".repeat(60);
        let lines = break_lines(&note, 50);
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
