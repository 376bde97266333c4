//! Wrap templates: the line of a cut, unrolled from the tube it is to be marked on.
//!
//! A cut around a tube of outside radius R is a curve s(phi): how far along the tube it lies at the
//! angle phi around it. On paper of thickness t wrapped around the tube it becomes the curve with
//! x = (R + t / 2) phi, y = s(phi): the paper's middle is neither stretched nor pressed together.

use std::f64::consts::TAU;

use job::model::Units;
use job::show;

use crate::Vec2;
use crate::drawing::{Align, Drawing, Layer, Shape, Text};

/// Stretches a turn is divided into. Half a degree on a tube of 100 mm is 0.44 mm of paper; the chord
/// then leaves a curve of radius 10 mm by 0.0024 mm.
pub const STEPS: usize = 720;

/// How a template is used, its lengths in `units`.
pub fn how(units: Units) -> String {
    format!(
        "Print at full size, check the bar, cut along the line, wrap round the tube printed side out, straight edge square to \
         the tube, and mark along the curve. Half the paper's thickness ({}) is added to the tube's radius.",
        show::exact_with_unit(0.5 * PAPER, units)
    )
}

/// The paper and where its seam lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wrapping {
    /// Outside radius of the tube, mm.
    pub radius: f64,
    /// Thickness of the paper, mm.
    pub paper: f64,
}

/// Thickness of 80 g/m2 office paper, mm (common practice, no source).
pub const PAPER: f64 = 0.1;

impl Wrapping {
    /// Office paper on a tube of `od` mm.
    pub fn of(od: f64) -> Self {
        Wrapping { radius: 0.5 * od, paper: PAPER }
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

/// A template with one cut line and a straight edge at the height `edge`, which is square around the tube.
///
/// `s` are the heights of the cut at equal angles from 0 to a full turn, mm along the tube. Lines at every quarter
/// turn carry the names `quarters`.
pub fn template(drawing: &mut Drawing, wrapping: Wrapping, s: &[f64], edge: f64, quarters: [&str; 4]) {
    cut_line(drawing, wrapping, s);
    drawing.line(Layer::Mark, wrapping.place(0.0, edge), wrapping.place(TAU, edge));
    let level = vec![edge; s.len()];
    let below = s.iter().all(|h| *h >= edge);
    let (low, high) = if below { (&level[..], s) } else { (s, &level[..]) };
    quarter_lines(drawing, wrapping, low, high, quarters);
}

/// A template of what lies between two cut lines.
pub fn between(drawing: &mut Drawing, wrapping: Wrapping, low: &[f64], high: &[f64], quarters: [&str; 4]) {
    cut_line(drawing, wrapping, low);
    cut_line(drawing, wrapping, high);
    quarter_lines(drawing, wrapping, low, high, quarters);
}

fn cut_line(drawing: &mut Drawing, wrapping: Wrapping, s: &[f64]) {
    let last = s.len().saturating_sub(1).max(1) as f64;
    let at = |i: usize| wrapping.place(TAU * i as f64 / last, s[i]);
    drawing.add(Layer::Cut, Shape::through((0..s.len()).map(at), false));
}

/// Lines along the tube at every quarter turn, the seam's two among them, and their names below the drawing.
fn quarter_lines(drawing: &mut Drawing, wrapping: Wrapping, low: &[f64], high: &[f64], quarters: [&str; 4]) {
    let last = low.len().saturating_sub(1);
    let floor = low.iter().copied().fold(f64::INFINITY, f64::min);
    for (q, name) in (0..5).zip(quarters.iter().chain([&quarters[0]])) {
        let i = last * q / 4;
        let phi = TAU * q as f64 / 4.0;
        let layer = if q % 4 == 0 { Layer::Cut } else { Layer::Mark };
        drawing.line(layer, wrapping.place(phi, low[i]), wrapping.place(phi, high[i]));
        let align = [Align::Left, Align::Middle, Align::Middle, Align::Middle, Align::Right][q];
        let text = format!("{} {name}", 90 * q);
        // On a thin tube neighbours would run into one another: every other one stands lower.
        let at = wrapping.place(phi, floor - if q % 2 == 0 { 5.0 } else { 9.0 });
        drawing.texts.push(Text { layer: Layer::Text, at, height: 2.5, angle: 0.0, align, text });
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
        // The cut and the two edges of the seam.
        assert!((drawing.length(Layer::Cut) - Wrapping::of(40.0).around() - 100.0).abs() < 1e-9);
    }
}
