//! SVG 1.1 of a drawing: millimetres on paper, a group for each layer.

use std::fmt::Write as _;

use job::model::Units;
use template::{Align, Drawing, Layer, Shape, Text, Vec2};

use crate::threemf::escaped;

/// Free paper around the drawing, mm.
const MARGIN: f64 = 5.0;
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

/// A drawing as SVG at full size.
pub fn svg(drawing: &Drawing, units: Units) -> String {
    let (bar, bar_name) = bar(drawing, units);
    let texts: Vec<Text> = drawing.texts.iter().cloned().chain([bar_name]).chain(words(drawing, units)).collect();
    let [mut low, mut high] = drawing.bounds().unwrap_or([Vec2::ZERO, Vec2::ZERO]);
    if let Some([_, right]) = bar.bounds() {
        high.x = high.x.max(right.x);
    }
    for text in &texts {
        // Letters are about 0.62 as wide as high on average (common practice, no source).
        let width = 0.62 / 0.7 * text.height * text.text.chars().count() as f64;
        let left = match text.align {
            Align::Left => 0.0,
            Align::Middle => 0.5,
            Align::Right => 1.0,
        };
        low = low.min(text.at - Vec2::new(left * width, 0.3 * text.height));
        high = high.max(text.at + Vec2::new((1.0 - left) * width, text.height));
    }
    low -= Vec2::splat(MARGIN);
    high += Vec2::splat(MARGIN);
    let size = high - low;
    let (w, h) = (short(size.x), short(size.y));
    let mut out = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" \
         width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\">\n<title>{}</title>\n",
        escaped(&drawing.title)
    );
    // On paper y runs down.
    let place = |p: Vec2| Vec2::new(p.x - low.x, high.y - p.y);
    for layer in Layer::ALL {
        let (id, style) = (layer.name().to_lowercase(), style(layer));
        // Writing to a String cannot fail.
        let _ = writeln!(out, "<g id=\"{id}\" {style}>");
        for path in drawing.paths.iter().filter(|p| p.layer == layer) {
            let _ = writeln!(out, "{}", shape(&path.shape, &place));
        }
        if layer == Layer::Mark {
            let _ = writeln!(out, "{}", shape(&bar, &place));
        }
        for t in texts.iter().filter(|t| t.layer == layer) {
            let _ = writeln!(out, "{}", text(t, place(t.at)));
        }
        out.push_str("</g>\n");
    }
    out.push_str("</svg>\n");
    out
}

/// Thin lines in colours that a black-and-white print still shows by their dashes.
fn style(layer: Layer) -> &'static str {
    match layer {
        Layer::Cut => "fill=\"none\" stroke=\"#000000\" stroke-width=\"0.2\"",
        Layer::Mark => "fill=\"none\" stroke=\"#0a7a3c\" stroke-width=\"0.15\"",
        Layer::Fold => "fill=\"none\" stroke=\"#1f4fa3\" stroke-width=\"0.15\" stroke-dasharray=\"3 1.5\"",
        Layer::Dimension => "fill=\"#666666\" stroke=\"#666666\" stroke-width=\"0.1\"",
        Layer::Text => "fill=\"#333333\" stroke=\"none\"",
    }
}

/// To a tenth of a micrometre.
fn short(value: f64) -> String {
    format!("{}", (value * 1e4).round() / 1e4 + 0.0)
}

fn shape(shape: &Shape, place: &impl Fn(Vec2) -> Vec2) -> String {
    if let Shape::Circle { centre, radius } = shape {
        let c = place(*centre);
        return format!("<circle cx=\"{}\" cy=\"{}\" r=\"{}\"/>", short(c.x), short(c.y), short(*radius));
    }
    let mut data = String::new();
    for (i, leg) in shape.legs().iter().enumerate() {
        let (from, step) = match leg {
            Shape::Arc { centre, radius, from, sweep } => {
                let end = place(centre + Vec2::from_angle(from + sweep) * *radius);
                let large = u8::from(sweep.abs() > std::f64::consts::PI);
                // y runs down: what turned left turns right.
                let right = u8::from(*sweep < 0.0);
                let r = short(*radius);
                let step = format!("A{r} {r} 0 {large} {right} {} {}", short(end.x), short(end.y));
                (place(centre + Vec2::from_angle(*from) * *radius), step)
            }
            Shape::Line { from, to } => {
                let end = place(*to);
                (place(*from), format!("L{} {}", short(end.x), short(end.y)))
            }
            Shape::Circle { .. } | Shape::Polyline { .. } => continue,
        };
        if i == 0 {
            data.push_str(&format!("M{} {}", short(from.x), short(from.y)));
        }
        data.push_str(&step);
    }
    if shape.is_closed() {
        data.push('Z');
    }
    format!("<path d=\"{data}\"/>")
}

fn text(text: &Text, at: Vec2) -> String {
    let anchor = match text.align {
        Align::Left => "start",
        Align::Middle => "middle",
        Align::Right => "end",
    };
    let (x, y) = (short(at.x), short(at.y));
    let turn = if text.angle == 0.0 {
        String::new()
    } else {
        format!(" transform=\"rotate({} {x} {y})\"", -text.angle.to_degrees())
    };
    // Capitals are 0.7 of the size of a sans-serif face.
    let size = short(text.height / 0.7);
    let words = escaped(&text.text);
    format!(
        "<text x=\"{x}\" y=\"{y}\" font-family=\"sans-serif\" font-size=\"{size}\" stroke=\"none\" text-anchor=\"{anchor}\"{turn}>{words}</text>"
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use template::Vertex;

    #[test]
    fn a_square_is_drawn_at_full_size_and_names_are_escaped() {
        let mut drawing = Drawing::new("x", "<script>&\"");
        let v = Vec2::new;
        drawing.add(Layer::Cut, Shape::through([v(0.0, 0.0), v(100.0, 0.0), v(100.0, 100.0), v(0.0, 100.0)], true));
        let text = svg(&drawing, Units::Mm);
        assert!(text.contains("&lt;script&gt;&amp;&quot;") && !text.contains("<script>"));
        assert!(text.contains("L105 105") && text.contains("Z\""), "{text}");
    }

    #[test]
    fn an_arc_that_turns_left_turns_left_on_paper() {
        // From (0,0) to (10,0) counter-clockwise: below the chord, on paper too.
        let vertices = vec![Vertex { at: Vec2::ZERO, bulge: 1.0 }, Vertex { at: Vec2::new(10.0, 0.0), bulge: 0.0 }];
        let path = shape(&Shape::Polyline { vertices, closed: false }, &|p| Vec2::new(p.x, -p.y));
        assert_eq!(path, "<path d=\"M0 0A5 5 0 0 0 10 0\"/>");
    }
}
