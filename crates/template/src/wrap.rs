//! Wrap templates: the line of a cut, unrolled from the tube it is to be marked on.
//!
//! A cut around a tube of outside radius R is a curve s(phi): how far along the tube it lies at the
//! angle phi around it. On paper of thickness t wrapped around the tube it becomes the curve with
//! x = (R + t / 2) phi, y = s(phi): the paper's middle is neither stretched nor pressed together.

use std::f64::consts::TAU;

use crate::Vec2;
use crate::drawing::{Align, Drawing, Layer, Shape, Text};

/// Stretches a turn is divided into. Half a degree on a tube of 100 mm is 0.44 mm of paper; the chord
/// then leaves a curve of radius 10 mm by 0.0024 mm.
pub const STEPS: usize = 720;

/// The paper and where its seam lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wrapping {
    /// Outside radius of the tube, mm.
    pub radius: f64,
    /// Thickness of the paper, mm.
    pub paper: f64,
}

impl Wrapping {
    /// Paper of 0.1 mm (80 g/m2 office paper; common practice, no source) on a tube of `od` mm.
    pub fn of(od: f64) -> Self {
        Wrapping { radius: 0.5 * od, paper: 0.1 }
    }

    /// Length of the strip that goes just around, mm.
    pub fn around(&self) -> f64 {
        TAU * (self.radius + 0.5 * self.paper)
    }

    /// The place on paper of the angle `phi` and the length `s` along the tube.
    pub fn place(&self, phi: f64, s: f64) -> Vec2 {
        Vec2::new((self.radius + 0.5 * self.paper) * phi, s)
    }
}

/// A curve around a tube sampled at `STEPS + 1` angles from 0 to a full turn.
pub fn curve(s: impl Fn(f64) -> f64) -> Vec<f64> {
    (0..=STEPS).map(|i| s(TAU * i as f64 / STEPS as f64)).collect()
}

/// A template with one cut line above a straight edge.
///
/// `s` are the heights of the cut at equal angles from 0 to a full turn, mm, counted along the tube
/// from a square line around it; the paper's straight edge lies `edge` mm below that line's zero (so
/// that the lowest point of the cut has paper under it). Lines at every quarter turn carry the names
/// `quarters`.
pub fn template(drawing: &mut Drawing, wrapping: Wrapping, s: &[f64], edge: f64, quarters: [&str; 4]) {
    let last = s.len().saturating_sub(1).max(1) as f64;
    let at = |i: usize| wrapping.place(TAU * i as f64 / last, s[i]);
    drawing.add(Layer::Cut, Shape::through((0..s.len()).map(at), false));
    let top = s.iter().copied().fold(edge, f64::max);
    let width = wrapping.around();
    drawing.line(Layer::Mark, Vec2::new(0.0, edge), Vec2::new(width, edge));
    for (q, name) in (0..5).zip(quarters.iter().chain([&quarters[0]])) {
        let x = 0.25 * width * f64::from(q);
        let i = (0.25 * last * f64::from(q)).round() as usize;
        let high = s.get(i).copied().unwrap_or(top);
        drawing.line(Layer::Mark, Vec2::new(x, edge), Vec2::new(x, high));
        let align = [Align::Left, Align::Middle, Align::Middle, Align::Middle, Align::Right][q as usize];
        let text = format!("{} {name}", 90 * q);
        drawing.texts.push(Text {
            layer: Layer::Text,
            at: Vec2::new(x, edge - 4.0),
            height: 2.5,
            angle: 0.0,
            align,
            text,
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_strip_of_a_44_45_tube_is_139_644_and_half_the_papers_thickness_more() {
        let bare = Wrapping { radius: 22.225, paper: 0.0 };
        assert!((bare.around() - 139.644).abs() < 1e-3);
        assert!((Wrapping::of(44.45).around() - bare.around() - 0.1 * std::f64::consts::PI).abs() < 1e-9);
    }

    #[test]
    fn the_template_of_a_square_cut_is_a_rectangle() {
        let mut drawing = Drawing::new("square", "square cut");
        template(&mut drawing, Wrapping::of(40.0), &curve(|_| 50.0), 0.0, ["a", "b", "c", "d"]);
        let [low, high] = drawing.bounds().unwrap();
        assert!((high.y - 50.0).abs() < 1e-12 && low.x.abs() < 1e-12);
        assert!((drawing.length(Layer::Cut) - Wrapping::of(40.0).around()).abs() < 1e-9);
    }
}
