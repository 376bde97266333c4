//! Sheets as values of the layout engine: texts stay texts, paths become shapes.

use typst::foundations::{Array, Content, Dict, IntoValue, NativeElement, Packed, Smart, Str, Value, dict};
use typst::layout::{Abs, Axes, Length, Rel};
use typst::visualize::{
    CloseMode, Color, CurveClose, CurveComponent, CurveCubic, CurveElem, CurveLine, CurveMove, DashLength, DashPattern,
    LineCap, LineJoin, Paint,
};

use super::Frame;
use super::fonts::Fonts;
use crate::paper::{BOTTOM, SIDE, TOP};
use crate::sheet::{
    Anchor, Block, Dash, Drawing, Ink, Look, Mark, Point, Rise, Sheet, Side, Step, Stroke, Table, Text, Weight,
};

/// A word longer than this may be broken anywhere, so that no name runs over its neighbour or off the page.
const LONGEST_WORD: usize = 24;

/// Everything the template is given.
pub(super) fn inputs(sheets: &[Sheet], frame: &Frame, fonts: &Fonts) -> Dict {
    let [width, height] = frame.paper.size();
    dict! {
        "job" => cell(&frame.job),
        "flag" => text(&frame.flag),
        "footer-left" => text(&frame.left),
        "footer-middle" => text(&frame.middle),
        "fonts" => list(fonts.families().iter().map(|f| text(f))),
        "paper" => dict! {
            "width" => width, "height" => height, "side" => SIDE, "top" => TOP, "bottom" => BOTTOM,
        },
        "sheets" => list(sheets.iter().map(|s| Value::Dict(dict! {
            "title" => cell(&s.title),
            "about" => cell(&s.about),
            "wide" => s.wide,
            "blocks" => blocks(&s.blocks),
        }))),
    }
}

fn text(text: &str) -> Value {
    Value::Str(Str::from(text))
}

/// Text that is set in lines: long words may be broken.
fn cell(words: &str) -> Value {
    let longest = words.split_whitespace().map(|w| w.chars().count()).max().unwrap_or(0);
    if longest <= LONGEST_WORD {
        return text(words);
    }
    let mut broken = String::new();
    let mut run = 0;
    for c in words.chars() {
        run = if c.is_whitespace() { 0 } else { run + 1 };
        broken.push(c);
        if run >= LONGEST_WORD / 2 {
            broken.push('\u{200b}');
            run = 0;
        }
    }
    text(&broken)
}

fn list(items: impl Iterator<Item = Value>) -> Value {
    Value::Array(items.collect::<Array>())
}

fn texts(items: &[String]) -> Value {
    list(items.iter().map(|t| cell(t)))
}

fn blocks(blocks: &[Block]) -> Value {
    list(blocks.iter().map(|b| Value::Dict(block(b))))
}

fn block(block: &Block) -> Dict {
    match block {
        Block::Heading(words) => dict! { "kind" => "heading", "text" => cell(words) },
        Block::Text(look, words) => dict! { "kind" => "text", "look" => look_word(*look), "text" => cell(words) },
        Block::Notice { title, points, grave } => {
            dict! { "kind" => "notice", "title" => cell(title), "points" => texts(points), "grave" => *grave }
        }
        Block::Steps(items) => dict! { "kind" => "steps", "items" => texts(items) },
        Block::Points(items) => dict! { "kind" => "points", "items" => texts(items) },
        Block::Table(t) => table(t),
        Block::Drawing(d) => dict! { "kind" => "drawing", "drawing" => Value::Dict(drawing(d)) },
        Block::Beside(columns) => dict! {
            "kind" => "beside",
            "columns" => list(columns.iter().map(|(share, b)| {
                Value::Dict(dict! { "share" => *share, "blocks" => blocks(b) })
            })),
        },
        Block::Blanks(items) => dict! { "kind" => "blanks", "items" => texts(items) },
        Block::Room(height) => dict! { "kind" => "room", "height" => *height },
    }
}

fn look_word(look: Look) -> &'static str {
    match look {
        Look::Plain => "plain",
        Look::Small => "small",
        Look::Strong => "strong",
        Look::Large => "large",
    }
}

fn table(table: &Table) -> Dict {
    let side = |side: Side| match side {
        Side::Left => "left",
        Side::Right => "right",
        Side::Middle => "middle",
    };
    dict! {
        "kind" => "table",
        "rise" => match table.rise {
            Rise::Low => 0.9,
            Rise::Plain => 1.35,
            Rise::Roomy => 2.6,
        },
        "columns" => list(table.columns.iter().map(|c| Value::Dict(dict! {
            "head" => text(&c.head), "side" => side(c.side), "share" => c.share,
        }))),
        "rows" => list(table.rows.iter().map(|row| list(row.iter().map(|c| cell(c))))),
    }
}

fn drawing(drawn: &Drawing) -> Dict {
    dict! {
        "width" => drawn.width,
        "height" => drawn.height,
        "window" => drawn.window,
        "marks" => list(drawn.marks.iter().map(|mark| match mark {
            Mark::Path { steps, stroke, fill } => Value::Content(path(steps, *stroke, *fill)),
            Mark::Text(text) => Value::Dict(written(text)),
            Mark::Inset(at, inner) => Value::Dict(dict! {
                "x" => at[0], "y" => at[1], "inset" => Value::Dict(drawing(inner)),
            }),
        })),
    }
}

fn written(written: &Text) -> Dict {
    let anchor = match written.anchor {
        Anchor::Left => "left",
        Anchor::Middle => "middle",
        Anchor::Right => "right",
        Anchor::Top => "top",
        Anchor::Bottom => "bottom",
    };
    dict! {
        "x" => written.at[0],
        "y" => written.at[1],
        "size" => written.size,
        "anchor" => anchor,
        "turn" => written.turn,
        "bold" => written.weight == Weight::Bold,
        "ink" => color(written.ink).into_value(),
        "over" => written.over,
        "text" => text(&written.text),
    }
}

fn color(ink: Ink) -> Color {
    Color::from_u8(ink.0, ink.1, ink.2, 255)
}

fn length(mm: f64) -> Length {
    Abs::mm(mm).into()
}

fn axes(p: Point) -> Axes<Rel<Length>> {
    Axes::new(Rel::from(length(p[0])), Rel::from(length(p[1])))
}

fn path(steps: &[Step], stroke: Option<Stroke>, fill: Option<Ink>) -> Content {
    let components = steps.iter().map(component).collect();
    let pen = stroke.map(|s| typst::visualize::Stroke {
        paint: Smart::Custom(Paint::Solid(color(s.ink))),
        thickness: Smart::Custom(length(s.width)),
        cap: Smart::Custom(if s.dash == Dash::Solid { LineCap::Round } else { LineCap::Butt }),
        join: Smart::Custom(LineJoin::Round),
        dash: Smart::Custom(dash(s.dash)),
        miter_limit: Smart::Auto,
    });
    CurveElem::new(components)
        .with_fill(fill.map(|ink| Paint::Solid(color(ink))))
        .with_stroke(Smart::Custom(pen))
        .pack()
}

fn dash(dash: Dash) -> Option<DashPattern> {
    let Dash::Pattern(tenths) = dash else { return None };
    let array = tenths.iter().map(|t| DashLength::Length(length(f64::from(*t) / 10.0))).collect();
    Some(DashPattern { array, phase: length(0.0) })
}

fn component(step: &Step) -> CurveComponent {
    match *step {
        Step::Move(p) => CurveComponent::Move(Packed::new(CurveMove::new(axes(p)))),
        Step::Line(p) => CurveComponent::Line(Packed::new(CurveLine::new(axes(p)))),
        Step::Curve(a, b, c) => {
            CurveComponent::Cubic(Packed::new(CurveCubic::new(Some(Smart::Custom(axes(a))), Some(axes(b)), axes(c))))
        }
        Step::Close => CurveComponent::Close(Packed::new(CurveClose::new().with_mode(CloseMode::Straight))),
    }
}
