//! Flanges and collector templates at 1:1, on as many pages as they need.

use template::{Align, Drawing as Template, Layer, Shape, Vec2, break_lines};

use crate::PaperJob;
use crate::paper::Paper;
use crate::sheet::{
    Anchor, Block, Column, Dash, Drawing, Ink, Sheet, SheetKind, Side, Stroke, Table, TextStyle, Weight, arc, polyline,
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

/// Width that it is given where that makes it so much flatter, mm and share: an upright page's.
const WIDEST: f64 = 160.0;
const FLATTER: f64 = 0.8;

pub(super) fn sheets(papers: &PaperJob<'_>) -> Vec<Sheet> {
    let drawn: Vec<Drawn<'_>> =
        alike(papers.templates).iter().filter_map(|(t, n)| Drawn::of(t, *n, papers.paper)).collect();
    let large = drawn.iter().filter(|d| fits([d.whole.width, d.whole.height], papers.paper).is_none());
    let large: Vec<&Drawn<'_>> = large.collect();
    let mut out: Vec<Sheet> = in_words(&large, papers.large_templates).into_iter().collect();
    for wide in [false, true] {
        let small = drawn.iter().filter(|d| fits([d.whole.width, d.whole.height], papers.paper) == Some(wide));
        for (page, titles) in packed(papers, small.collect(), wide) {
            let title = if titles.len() == 1 { titles[0].clone() } else { "Flanges and templates".into() };
            out.extend(paged(papers, &title, &page));
        }
    }
    for drawn in large.into_iter().filter(|_| papers.large_templates) {
        if !papers.go_on(out.len()) {
            break;
        }
        out.extend(paged(papers, &drawn.template.title, &drawn.lines));
    }
    out
}

/// Templates with the number of pieces to make of each: those that differ in their title alone are one.
fn alike(templates: &[Template]) -> Vec<(&Template, usize)> {
    let mut out: Vec<(&Template, usize)> = Vec::new();
    for template in templates {
        let same = |t: &Template| t.paths == template.paths && t.notes == template.notes && t.table == template.table;
        match out.iter_mut().find(|(t, _)| same(t)) {
            Some((_, count)) => *count += 1,
            None => out.push((template, 1)),
        }
    }
    out
}

fn paged(papers: &PaperJob<'_>, title: &str, drawing: &Drawing) -> Vec<Sheet> {
    let full = FullSize { kind: SheetKind::Templates, title: title.into(), about: "full size".into(), drawing };
    tiled(&full, papers.paper, papers.units)
}

/// Notes and tables of the drawings that are too large for one page: they go on a separate sheet, before those at
/// full size.
fn in_words(large: &[&Drawn<'_>], drawn_too: bool) -> Option<Sheet> {
    large.first()?;
    let mut sheet = Sheet::new(SheetKind::Templates, "Flanges and templates", "notes on those larger than a page");
    if !drawn_too {
        let get = "At full size: print the full set, or have them cut from the DXF that is named.";
        sheet.blocks.push(Block::Text(TextStyle::Strong, get.into()));
    }
    for drawn in large {
        let template = drawn.template;
        sheet.blocks.push(Block::Heading(template.title.clone()));
        let file = (!drawn_too).then(|| format!("{}.dxf", template.name));
        sheet.blocks.push(Block::Points(template.notes.iter().cloned().chain(drawn.times()).chain(file).collect()));
        let [heads, rows @ ..] = &template.table[..] else { continue };
        let side = |i: usize| if i < 2 { Side::Left } else { Side::Right };
        let column = |(i, head): (usize, &String)| Column { side: side(i), ..Column::left(head.clone()) };
        let mut table = Table::new(heads.iter().enumerate().map(column).collect());
        rows.iter().for_each(|row| table.row(row.clone()));
        sheet.blocks.push(Block::Table(table));
    }
    Some(sheet)
}

/// A row of drawings on a page: its top, its height, and how far it is filled, mm.
struct Row {
    top: f64,
    height: f64,
    filled: f64,
}

/// A page of small drawings with their titles.
struct SmallPage {
    drawing: Drawing,
    titles: Vec<String>,
    rows: Vec<Row>,
}

/// Room between drawings on a page, mm.
const BETWEEN: f64 = 4.0;

/// Small drawings on as few pages, upright or `wide`, as rows of them make: the highest first, each in the first row with room for it.
fn packed(papers: &PaperJob<'_>, mut small: Vec<&Drawn<'_>>, wide: bool) -> Vec<(Drawing, Vec<String>)> {
    let [width, height] = window(papers.paper, wide);
    small.sort_by(|a, b| b.whole.height.total_cmp(&a.whole.height));
    let mut pages: Vec<SmallPage> = Vec::new();
    for next in small {
        let size = [next.whole.width, next.whole.height];
        let placed = pages.iter_mut().find_map(|page| Some((page.place(size, [width, height])?, page)));
        let (at, page) = match placed {
            Some(found) => found,
            None => {
                let rows = vec![Row { top: 0.0, height: size[1], filled: size[0] + BETWEEN }];
                pages.push(SmallPage { drawing: Drawing::new(width, height), titles: Vec::new(), rows });
                ([0.0, 0.0], pages.last_mut().expect("a page was just added"))
            }
        };
        page.drawing.insert(&next.whole, at);
        page.titles.push(next.template.title.clone());
    }
    pages.into_iter().map(|page| (page.drawing, page.titles)).collect()
}

impl SmallPage {
    /// Takes a place for a drawing of that size: at the end of a row, or in a row of its own below.
    fn place(&mut self, size: [f64; 2], room: [f64; 2]) -> Option<[f64; 2]> {
        let row = self.rows.iter_mut().find(|r| r.filled + size[0] <= room[0] && size[1] <= r.height);
        if let Some(row) = row {
            let at = [row.filled, row.top];
            row.filled += size[0] + BETWEEN;
            return Some(at);
        }
        let top = self.rows.last().map_or(0.0, |r| r.top + r.height + BETWEEN);
        let fits = top + size[1] <= room[1] && size[0] <= room[0];
        fits.then(|| {
            self.rows.push(Row { top, height: size[1], filled: size[0] + BETWEEN });
            [0.0, top]
        })
    }
}

/// A template on paper: with title, notes and table, and its lines alone.
struct Drawn<'a> {
    template: &'a Template,
    /// Pieces that are made by it.
    count: usize,
    whole: Drawing,
    lines: Drawing,
}

impl<'a> Drawn<'a> {
    /// `None` for an empty one; `count` pieces are made by it.
    fn of(template: &'a Template, count: usize, paper: Paper) -> Option<Self> {
        let lines = lines(template)?;
        let narrow = written(template, count, &lines, lines.width.max(NARROWEST));
        // Long notes under a small drawing make it high: beside one another they take less of a page.
        let wide = written(template, count, &lines, lines.width.max(WIDEST));
        let upright = fits([wide.width, wide.height], paper) == Some(false);
        let whole = if upright && wide.height < FLATTER * narrow.height { wide } else { narrow };
        Some(Drawn { template, count, whole, lines })
    }

    fn times(&self) -> Option<String> {
        times(self.count)
    }
}

/// A template with title, notes and table, `width` mm wide.
fn written(template: &Template, count: usize, lines: &Drawing, width: f64) -> Drawing {
    let letters = ((width - 2.0 * AROUND) / LETTER) as usize;
    let title = break_lines(&template.title, (letters as f64 * 0.72) as usize);
    let times = times(count);
    let notes: Vec<String> = template.notes.iter().chain(&times).flat_map(|n| break_lines(n, letters)).collect();
    let top = TITLE + 5.0 * (title.len() as f64 - 1.0).max(0.0);
    let bottom = top + lines.height + 2.0;
    let rows = (notes.len() + template.table.len()) as f64;
    let mut d = Drawing::new(width, bottom + 3.0 + LINE * rows);
    for (k, line) in title.iter().enumerate() {
        d.text([AROUND, 3.0 + 5.0 * k as f64], 3.9, Anchor::Left, line).weight = Weight::Bold;
    }
    d.insert(lines, [0.0, top]);
    let row = |k: usize| bottom + LINE * k as f64;
    for (k, note) in notes.iter().enumerate() {
        d.text([AROUND, row(k)], TYPE, Anchor::Left, note);
    }
    table(&mut d, template, row(notes.len()) + 0.5);
    d.with_room()
}

/// How many pieces are made by a drawing, when it is not one.
fn times(count: usize) -> Option<String> {
    (count > 1).then(|| format!("{count} of these: make {count} alike."))
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
