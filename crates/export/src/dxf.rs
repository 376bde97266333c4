//! DXF of release 12 (AC1009): lines, circles, arcs, polylines with bulges and texts on named layers, 1:1.
//!
//! Release 12 is what every laser and plasma table reads. The file is plain ASCII: what is not stands as `\U+XXXX`; a
//! character beyond the basic plane, which that notation cannot say, as U+25A1 (a square). Lengths are in the drawing's
//! unit, said in `$INSUNITS` (1 inches, 4 millimetres) and in a text.

use std::fmt::Write as _;

use job::model::Units;
use template::{Align, Drawing, Layer, Shape, Text, Vec2};

use crate::legend::{bar, words};

/// Colours of the layers by the format's own index, in the order of [`Layer::ALL`]: white, green, blue, grey, grey.
const COLOURS: [u32; 5] = [7, 3, 5, 8, 8];

/// A drawing as DXF in the given unit.
pub fn dxf(drawing: &Drawing, units: Units) -> String {
    let mut file = DxfWriter { out: String::new(), scale: 1.0 / units.in_mm() };
    file.head(drawing, units);
    file.tables();
    file.text_group(0, "SECTION");
    file.text_group(2, "ENTITIES");
    for path in &drawing.paths {
        file.shape(path.layer, &path.shape);
    }
    let (bar, bar_name) = bar(drawing, units);
    file.shape(Layer::Dimension, &bar);
    for text in drawing.texts.iter().chain([&bar_name]).chain(&words(drawing, units)) {
        file.text(text);
    }
    file.text_group(0, "ENDSEC");
    file.text_group(0, "EOF");
    file.out
}

struct DxfWriter {
    out: String,
    scale: f64,
}

impl DxfWriter {
    fn text_group(&mut self, code: i32, value: &str) {
        // Writing to a String cannot fail.
        let _ = write!(self.out, "{code:>3}\r\n{value}\r\n");
    }

    fn number(&mut self, code: i32, value: f64) {
        // Adding 0 makes -0 plain 0.
        self.text_group(code, &format!("{:?}", (value * 1e9).round() / 1e9 + 0.0));
    }

    fn length(&mut self, code: i32, value: f64) {
        self.number(code, value * self.scale);
    }

    fn point(&mut self, code: i32, at: Vec2) {
        self.length(code, at.x);
        self.length(code + 10, at.y);
        self.number(code + 20, 0.0);
    }

    fn head(&mut self, drawing: &Drawing, units: Units) {
        let [low, high] = drawing.bounds().unwrap_or([Vec2::ZERO, Vec2::ZERO]);
        self.text_group(0, "SECTION");
        self.text_group(2, "HEADER");
        self.text_group(9, "$ACADVER");
        self.text_group(1, "AC1009");
        self.text_group(9, "$DWGCODEPAGE");
        self.text_group(3, "ANSI_1252");
        self.text_group(9, "$INSUNITS");
        self.text_group(70, if units == Units::Inch { "1" } else { "4" });
        self.text_group(9, "$EXTMIN");
        self.point(10, low);
        self.text_group(9, "$EXTMAX");
        self.point(10, high);
        self.text_group(0, "ENDSEC");
    }

    fn tables(&mut self) {
        self.text_group(0, "SECTION");
        self.text_group(2, "TABLES");
        self.table("LTYPE", 1);
        for (code, value) in
            [(0, "LTYPE"), (2, "CONTINUOUS"), (70, "0"), (3, "Solid line"), (72, "65"), (73, "0"), (40, "0.0")]
        {
            self.text_group(code, value);
        }
        self.text_group(0, "ENDTAB");
        self.table("LAYER", Layer::ALL.len() + 1);
        for (name, colour) in std::iter::once(("0", 7)).chain(Layer::ALL.map(Layer::name).into_iter().zip(COLOURS)) {
            self.text_group(0, "LAYER");
            self.text_group(2, name);
            self.text_group(70, "0");
            self.text_group(62, &colour.to_string());
            self.text_group(6, "CONTINUOUS");
        }
        self.text_group(0, "ENDTAB");
        self.table("STYLE", 1);
        for (code, value) in [
            (0, "STYLE"),
            (2, "STANDARD"),
            (70, "0"),
            (40, "0.0"),
            (41, "1.0"),
            (50, "0.0"),
            (71, "0"),
            (42, "2.5"),
            (3, "txt"),
            (4, ""),
        ] {
            self.text_group(code, value);
        }
        self.text_group(0, "ENDTAB");
        self.text_group(0, "ENDSEC");
    }

    fn table(&mut self, name: &str, entries: usize) {
        self.text_group(0, "TABLE");
        self.text_group(2, name);
        self.text_group(70, &entries.to_string());
    }

    fn entity(&mut self, kind: &str, layer: Layer) {
        self.text_group(0, kind);
        self.text_group(8, layer.name());
    }

    fn shape(&mut self, layer: Layer, shape: &Shape) {
        match shape {
            Shape::Line { from, to } => {
                self.entity("LINE", layer);
                self.point(10, *from);
                self.point(11, *to);
            }
            Shape::Circle { centre, radius } => {
                self.entity("CIRCLE", layer);
                self.point(10, *centre);
                self.length(40, *radius);
            }
            Shape::Arc { centre, radius, from, sweep } => {
                self.entity("ARC", layer);
                self.point(10, *centre);
                self.length(40, *radius);
                // Arcs of the format always turn counter-clockwise.
                let (begin, end) = if *sweep < 0.0 { (from + sweep, *from) } else { (*from, from + sweep) };
                self.number(50, begin.to_degrees().rem_euclid(360.0));
                self.number(51, end.to_degrees().rem_euclid(360.0));
            }
            Shape::Polyline { vertices, closed } => {
                self.entity("POLYLINE", layer);
                self.text_group(66, "1");
                self.point(10, Vec2::ZERO);
                self.text_group(70, if *closed { "1" } else { "0" });
                for vertex in vertices {
                    self.entity("VERTEX", layer);
                    self.point(10, vertex.at);
                    if vertex.bulge != 0.0 {
                        self.number(42, vertex.bulge);
                    }
                }
                self.entity("SEQEND", layer);
            }
        }
    }

    fn text(&mut self, text: &Text) {
        self.entity("TEXT", text.layer);
        self.point(10, text.at);
        self.length(40, text.height);
        self.text_group(1, &plain(&text.text));
        if text.angle != 0.0 {
            self.number(50, text.angle.to_degrees());
        }
        let align = match text.align {
            Align::Left => return,
            Align::Middle => "1",
            Align::Right => "2",
        };
        self.text_group(72, align);
        self.point(11, text.at);
    }
}

/// Longest text of a group in release 12, characters.
const LONGEST: usize = 250;

/// A text without line ends or codes of the format: `%%` and `^` begin one, `\U+` another.
fn plain(text: &str) -> String {
    let mut out = String::new();
    let mut last = ' ';
    for c in text.chars() {
        let part = match (c, u32::from(c)) {
            _ if c.is_control() => " ".to_string(),
            ('%', _) if last == '%' => " %".to_string(),
            ('^', _) => "^ ".to_string(),
            ('\\', _) => "/".to_string(),
            (c, ..0x7F) => c.to_string(),
            (_, code @ ..0x1_0000) => format!("\\U+{code:04X}"),
            _ => "\\U+25A1".to_string(),
        };
        if out.len() + part.len() > LONGEST {
            break;
        }
        out.push_str(&part);
        last = c;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_hold_no_code_of_the_format() {
        assert_eq!(plain("Krümmer 100 %%d\nx^J\\P"), "Kr\\U+00FCmmer 100 % %d x^ J/P");
        assert_eq!(plain("🔥"), "\\U+25A1");
        assert!(plain(&"長".repeat(200)).len() <= LONGEST);
    }

    #[test]
    fn lengths_are_in_the_drawings_unit() {
        let mut drawing = Drawing::new("x", "x");
        drawing.add(Layer::Cut, Shape::Circle { centre: Vec2::ZERO, radius: 25.4 });
        assert!(dxf(&drawing, Units::Inch).contains("\r\n 40\r\n1.0\r\n"));
        assert!(dxf(&drawing, Units::Mm).contains("\r\n 40\r\n25.4\r\n"));
    }
}
