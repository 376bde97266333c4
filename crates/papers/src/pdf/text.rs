//! Texts: shaped, broken into lines and drawn as glyphs. Lengths in mm.
//!
//! Lines are set at a fixed pitch, whatever fonts their scripts need: rows of a table stay even, and a name in
//! another script moves nothing.

use std::borrow::Cow;
use std::rc::Rc;

use krilla::text::{GlyphId, KrillaGlyph};
use parley::style::{FontFamily, FontFamilyName, FontFeatures, FontWeight, OverflowWrap, StyleProperty};
use parley::{Alignment, AlignmentOptions, FontContext, FontData, Layout, LayoutContext, PositionedLayoutItem, Run};
use unicode_segmentation::UnicodeSegmentation;

use super::fonts::Fonts;
use crate::sheet::{Ink, Side};

/// Size of plain type and of the heads of tables, points.
pub(super) const PLAIN_POINTS: f64 = 9.5;
pub(super) const HEAD_POINTS: f64 = 8.0;

/// Size of plain type, mm.
pub(super) const PLAIN: f64 = points_mm(PLAIN_POINTS);

/// Height of capital letters of the built-in Latin font, for a size of 1.
const CAPITALS: f64 = 0.727;

/// Room between a baseline and the capitals of the next line, for a size of 1.
const LEADING: f64 = 0.55;

/// What rounding of widths may take, mm: without it the last word of a cell that is as wide as its text goes to a
/// line of its own.
const SLACK: f64 = 0.004;

/// Bytes after which a text is cut, with an ellipsis: some twenty pages without a line break. The shaper counts the
/// bytes of a run of glyphs in 16 bits.
const LONGEST: usize = 60_000;

/// Characters that one letter with its marks may have; the rest is left out. The shaper counts them in 8 bits, and no
/// script has more than a dozen.
const MOST_MARKS: usize = 64;

/// Length of so many points (1/72 in), mm.
pub(super) const fn points_mm(points: f64) -> f64 {
    points * 25.4 / 72.0
}

/// Typeface, size and ink of a text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Style {
    /// Size of the type, mm.
    pub size: f64,
    /// Bold or regular.
    pub bold: bool,
    /// Ink.
    pub ink: Ink,
}

impl Style {
    /// Regular, black, of that size in points.
    pub fn regular(points: f64) -> Self {
        Style { size: points_mm(points), bold: false, ink: Ink::BLACK }
    }

    /// Bold, black, of that size in points.
    pub fn bold(points: f64) -> Self {
        Style { bold: true, ..Style::regular(points) }
    }

    /// Plain type.
    pub fn plain() -> Self {
        Style::regular(PLAIN_POINTS)
    }

    /// The same style in another ink.
    #[must_use]
    pub fn inked(self, ink: Ink) -> Self {
        Style { ink, ..self }
    }

    /// Height of a line above its baseline, mm.
    pub fn rise(self) -> f64 {
        CAPITALS * self.size
    }
}

/// Shapes texts with a set of fonts.
pub(super) struct Typesetter {
    fonts: FontContext,
    layouts: LayoutContext<()>,
    families: Vec<FontFamilyName<'static>>,
}

impl Typesetter {
    /// One that looks for every character in the fonts in their order.
    pub fn new(fonts: &Fonts) -> Self {
        let families = fonts.families().iter().map(|f| FontFamilyName::Named(Cow::Owned(f.clone()))).collect();
        Typesetter { fonts: fonts.context(), layouts: LayoutContext::new(), families }
    }

    /// A text on one line, or one for each line break in it.
    pub fn words(&mut self, text: &str, style: Style) -> Words {
        let text = clean(text);
        let mut builder = self.layouts.ranged_builder(&mut self.fonts, &text, 1.0, false);
        builder.push_default(StyleProperty::FontFamily(FontFamily::List(Cow::Borrowed(&self.families))));
        builder.push_default(StyleProperty::FontSize(style.size as f32));
        builder.push_default(StyleProperty::FontWeight(if style.bold { FontWeight::BOLD } else { FontWeight::NORMAL }));
        builder.push_default(StyleProperty::FontFeatures(FontFeatures::Source(Cow::Borrowed("\"tnum\""))));
        builder.push_default(StyleProperty::OverflowWrap(OverflowWrap::Anywhere));
        let mut layout = builder.build(&text);
        layout.break_all_lines(None);
        Words { text, style, layout }
    }

    /// A text broken into lines of a width, mm.
    pub fn lines(&mut self, text: &str, style: Style, width: f64, side: Side) -> Rc<Words> {
        Rc::new(self.words(text, style).broken(width, side))
    }
}

/// A text as it is shaped: tabs and control characters as spaces, its length and the marks on a letter bounded.
fn clean(text: &str) -> String {
    let plain = |c: char| if c.is_control() && c != '\n' { ' ' } else { c };
    let text = text.replace("\r\n", "\n");
    let mut out: String = text.graphemes(true).flat_map(|letter| letter.chars().take(MOST_MARKS)).map(plain).collect();
    if out.len() > LONGEST {
        out.truncate(out.floor_char_boundary(LONGEST));
        out.push('…');
    }
    out
}

/// A shaped text.
pub(super) struct Words {
    text: String,
    style: Style,
    layout: Layout<()>,
}

/// Glyphs of one font, from a place on the line.
pub(super) struct GlyphRun {
    /// The font that they were shaped with.
    pub font: FontData,
    /// Where they begin, right of the line's left end.
    pub x: f64,
    /// The glyphs.
    pub glyphs: Vec<KrillaGlyph>,
}

impl Words {
    /// The same, broken into lines of a width, that keep to a side.
    #[must_use]
    pub fn broken(mut self, width: f64, side: Side) -> Words {
        let width = (width.max(0.0) + SLACK) as f32;
        let alignment = match side {
            Side::Left => Alignment::Left,
            Side::Right => Alignment::Right,
            Side::Middle => Alignment::Center,
        };
        self.layout.break_all_lines(Some(width));
        self.layout.align(alignment, AlignmentOptions::default());
        self
    }

    /// The text.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The text of one line.
    #[cfg(test)]
    pub fn line_text(&self, line: usize) -> &str {
        self.layout.get(line).map_or("", |l| &self.text[l.text_range()])
    }

    /// Style of the text.
    pub fn style(&self) -> Style {
        self.style
    }

    /// Width of its longest line.
    pub fn width(&self) -> f64 {
        f64::from(self.layout.width())
    }

    /// Number of its lines; none for an empty text.
    pub fn lines(&self) -> usize {
        if self.text.is_empty() { 0 } else { self.layout.len() }
    }

    /// Height from the capitals of the first line to the baseline of the last.
    pub fn height(&self) -> f64 {
        self.lines().checked_sub(1).map_or(0.0, |last| self.baseline(last))
    }

    /// From its top to the baseline of a line.
    pub fn baseline(&self, line: usize) -> f64 {
        self.style.rise() + line as f64 * (self.style.rise() + LEADING * self.style.size)
    }

    /// The glyphs of a line.
    pub fn runs(&self, line: usize) -> Vec<GlyphRun> {
        let items = self.layout.get(line).into_iter().flat_map(|l| l.items().collect::<Vec<_>>());
        items
            .filter_map(|item| match item {
                PositionedLayoutItem::GlyphRun(run) => {
                    let glyphs = glyphs(run.run());
                    Some(GlyphRun { font: run.run().font().clone(), x: f64::from(run.offset()), glyphs })
                }
                PositionedLayoutItem::InlineBox(_) => None,
            })
            .collect()
    }
}

/// The glyphs of a run from left to right, each with the bytes of the text that it stands for.
///
/// A ligature stands for several characters. One of them has its glyphs; those that follow it here, in runs of both
/// directions, have none.
fn glyphs(run: &Run<'_, ()>) -> Vec<KrillaGlyph> {
    let size = run.font_size();
    let mut out: Vec<KrillaGlyph> = Vec::new();
    let mut latest = 0;
    for cluster in run.visual_clusters() {
        let range = cluster.text_range();
        if cluster.is_ligature_continuation() {
            for glyph in &mut out[latest..] {
                let of = &glyph.text_range;
                glyph.text_range = of.start.min(range.start)..of.end.max(range.end);
            }
            continue;
        }
        latest = out.len();
        out.extend(cluster.glyphs().map(|g| {
            // parley's y points down, krilla's up.
            let [advance, x, y] = [g.advance, g.x, -g.y].map(|length| length / size);
            KrillaGlyph::new(GlyphId::new(g.id), advance, x, y, 0.0, range.clone(), None)
        }));
    }
    out
}
