//! Draws on a page of the PDF: items, drawings, paths and texts.
//!
//! Places come in mm and are turned into points (1/72 in) here and nowhere else. Nothing is ever scaled. What cannot
//! be drawn, an empty path or one that is not finite, is passed over.

use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Point as Place, Transform};
use krilla::num::NormalizedF32;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Stroke as Pen, StrokeDash};
use krilla::surface::Surface;

use super::chunk::Placed;
use super::error::PdfError;
use super::fonts::Faces;
use super::text::{Style, Typesetter, Words};
use crate::sheet::{Anchor, Dash, Drawing, Ink, Mark, PenStep, Point, Stroke, Text, Weight};

/// Room of white around a text that is laid over lines, mm.
const AROUND: f64 = 0.5;

/// Points in one mm.
const POINTS: f64 = 72.0 / 25.4;

/// mm as points.
pub(super) fn points(mm: f64) -> f32 {
    (mm * POINTS) as f32
}

/// A text of a drawing where it goes.
struct Label {
    words: Words,
    /// From its place on the page.
    turn: Transform,
    /// Upper left corner of its lines, from that place, mm.
    corner: Point,
}

/// A page being drawn.
pub(super) struct Canvas<'c, 's> {
    /// The page to draw on.
    pub surface: &'c mut Surface<'s>,
    /// Shapes the texts of drawings.
    pub typesetter: &'c mut Typesetter,
    /// The fonts of the file.
    pub faces: &'c mut Faces,
}

impl Canvas<'_, '_> {
    /// Draws an item of a page.
    ///
    /// # Errors
    /// [`PdfError`] for a font that can't be embedded.
    pub fn item(&mut self, item: &Placed<'_>) -> Result<(), PdfError> {
        match item {
            Placed::Line(words, line, at) => self.line(words, *line, *at)?,
            Placed::Rule { from, length, stroke } => {
                self.path(
                    &[PenStep::Move(*from), PenStep::Line([from[0] + length, from[1]])],
                    Some(*stroke),
                    None,
                    [0.0; 2],
                );
            }
            Placed::Area { corner, size, fill, stroke } => {
                self.path(&rectangle(*corner, *size), *stroke, Some(*fill), [0.0; 2]);
            }
            Placed::Drawing(drawing, at) => self.drawing(drawing, *at)?,
        }
        Ok(())
    }

    fn drawing(&mut self, drawing: &Drawing, at: Point) -> Result<(), PdfError> {
        let window =
            drawing.window.then(|| outline(&rectangle([0.0; 2], [drawing.width, drawing.height]), at)).flatten();
        if let Some(window) = &window {
            self.surface.push_clip_path(window, &FillRule::NonZero);
        }
        let mut over = Vec::new();
        for mark in &drawing.marks {
            match mark {
                Mark::Path { steps, stroke, fill } => self.path(steps, *stroke, *fill, at),
                Mark::Text(text) => over.extend(self.text(text, at)?),
                Mark::Inset(corner, inner) => self.drawing(inner, [at[0] + corner[0], at[1] + corner[1]])?,
            }
        }
        // Texts after all white: none hides its neighbour.
        over.iter().try_for_each(|label| self.label(label))?;
        if window.is_some() {
            self.surface.pop();
        }
        Ok(())
    }

    fn path(&mut self, steps: &[PenStep], stroke: Option<Stroke>, fill: Option<Ink>, at: Point) {
        let Some(path) = outline(steps, at) else { return };
        self.surface.set_fill(fill.map(paint));
        self.surface.set_stroke(stroke.map(pen));
        if fill.is_some() || stroke.is_some() {
            self.surface.draw_path(&path);
        }
    }

    /// A text of a drawing, turned about its place. Where lines would run through it, white is laid under it and the
    /// text itself is handed back, to be drawn later.
    fn text(&mut self, text: &Text, at: Point) -> Result<Option<Label>, PdfError> {
        let place = [at[0] + text.at[0], at[1] + text.at[1]];
        let measures = [text.size, text.turn, place[0], place[1]];
        if text.size <= 0.0 || measures.iter().any(|m| !m.is_finite()) {
            return Ok(None);
        }
        let style = Style { size: text.size, bold: text.weight == Weight::Bold, ink: text.ink };
        let words = self.typesetter.words(&text.text, style);
        let around = if text.over { AROUND } else { 0.0 };
        let size = [words.width() + 2.0 * around, words.height() + 2.0 * around];
        let corner = match text.anchor {
            Anchor::Left => [0.0, -0.5 * size[1]],
            Anchor::Middle => [-0.5 * size[0], -0.5 * size[1]],
            Anchor::Right => [-size[0], -0.5 * size[1]],
            Anchor::Top => [-0.5 * size[0], 0.0],
            Anchor::Bottom => [-0.5 * size[0], -size[1]],
        };
        let turn = turned(text.turn, place);
        let label = Label { words, turn, corner: corner.map(|c| c + around) };
        if !text.over {
            self.label(&label)?;
            return Ok(None);
        }
        self.surface.push_transform(&turn);
        self.path(&rectangle(corner, size), None, Some(Ink::WHITE), [0.0; 2]);
        self.surface.pop();
        Ok(Some(label))
    }

    fn label(&mut self, label: &Label) -> Result<(), PdfError> {
        let Label { words, turn, corner } = label;
        self.surface.push_transform(turn);
        let lines = (0..words.lines())
            .try_for_each(|line| self.line(words, line, [corner[0], corner[1] + words.baseline(line)]));
        self.surface.pop();
        lines
    }

    fn line(&mut self, words: &Words, line: usize, at: Point) -> Result<(), PdfError> {
        self.surface.set_stroke(None);
        self.surface.set_fill(Some(paint(words.style().ink)));
        for run in words.runs(line) {
            let font = self.faces.get(&run.font)?;
            let start = Place::from_xy(points(at[0] + run.x), points(at[1]));
            self.surface.draw_glyphs(start, &run.glyphs, font, words.text(), points(words.style().size), false);
        }
        Ok(())
    }
}

/// Turns clockwise, rad, about a place of the page, mm.
fn turned(turn: f64, place: Point) -> Transform {
    let (sin, cos) = turn.sin_cos();
    Transform::from_row(cos as f32, sin as f32, -sin as f32, cos as f32, points(place[0]), points(place[1]))
}

fn rectangle(corner: Point, size: [f64; 2]) -> [PenStep; 5] {
    let [a, b] = [corner, [corner[0] + size[0], corner[1] + size[1]]];
    [PenStep::Move(a), PenStep::Line([b[0], a[1]]), PenStep::Line(b), PenStep::Line([a[0], b[1]]), PenStep::Close]
}

fn outline(steps: &[PenStep], at: Point) -> Option<Path> {
    let place = |p: Point| (points(at[0] + p[0]), points(at[1] + p[1]));
    let mut builder = PathBuilder::new();
    for step in steps {
        match *step {
            PenStep::Move(p) => {
                let (x, y) = place(p);
                builder.move_to(x, y);
            }
            PenStep::Line(p) => {
                let (x, y) = place(p);
                builder.line_to(x, y);
            }
            PenStep::Curve(a, b, c) => {
                let ((ax, ay), (bx, by), (cx, cy)) = (place(a), place(b), place(c));
                builder.cubic_to(ax, ay, bx, by, cx, cy);
            }
            PenStep::Close => builder.close(),
        }
    }
    builder.finish()
}

fn paint(ink: Ink) -> Fill {
    Fill { paint: rgb::Color::new(ink.0, ink.1, ink.2).into(), opacity: NormalizedF32::ONE, rule: FillRule::NonZero }
}

fn pen(stroke: Stroke) -> Pen {
    let dash = match stroke.dash {
        Dash::Solid => None,
        Dash::Pattern(tenths) => {
            let array = tenths.iter().map(|t| points(f64::from(*t) / 10.0)).collect();
            Some(StrokeDash { array, offset: 0.0 })
        }
    };
    Pen {
        paint: rgb::Color::new(stroke.ink.0, stroke.ink.1, stroke.ink.2).into(),
        width: points(stroke.width),
        line_cap: if dash.is_none() { LineCap::Round } else { LineCap::Butt },
        line_join: LineJoin::Round,
        dash,
        ..Pen::default()
    }
}
