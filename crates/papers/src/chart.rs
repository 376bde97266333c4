//! A chart: two scales with round steps, curves and bands between them.

use crate::sheet::{Anchor, Drawing, Ink, PenStep, Point, Stroke, polyline};

/// Where a chart stands in its drawing and what it runs from and to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Chart {
    /// Left and lower end, mm.
    pub(crate) low: Point,
    /// Right and upper end, mm.
    pub(crate) high: Point,
    /// From and to along it.
    pub(crate) x: [f64; 2],
    /// From and to up it.
    pub(crate) y: [f64; 2],
}

/// Height of the numbers of a scale, mm.
const NUMBERS: f64 = 2.4;
/// Height of the name of a scale, mm.
const NAME: f64 = 2.6;

impl Chart {
    /// Place of a pair of values, mm.
    pub(crate) fn at(&self, x: f64, y: f64) -> Point {
        let part = |v: f64, [from, to]: [f64; 2]| (v - from) / (to - from);
        let between = |k: usize, part: f64| self.low[k] + (self.high[k] - self.low[k]) * part;
        [between(0, part(x, self.x)), between(1, part(y, self.y))]
    }

    /// Pale lines and numbers every `step` up the left side, and the scale's name.
    pub(crate) fn scale_up(&self, d: &mut Drawing, step: f64, name: &str) {
        for value in ticks(self.y, step) {
            let [_, y] = self.at(self.x[0], value);
            d.line([self.low[0], y], [self.high[0], y], Stroke::of(0.15, Ink::PALE));
            d.text([self.low[0] - 1.5, y], NUMBERS, Anchor::Right, number(value, step));
        }
        d.text([0.0, self.high[1] - 4.0], NAME, Anchor::Left, name);
    }

    /// Numbers every `step` up the right side, on the lines of another scale, and the scale's name.
    pub(crate) fn scale_right(&self, d: &mut Drawing, step: f64, name: &str, ink: Ink) {
        for value in ticks(self.y, step) {
            let [x, y] = self.at(self.x[1], value);
            d.text([x + 1.5, y], NUMBERS, Anchor::Left, number(value, step)).ink = ink;
        }
        d.text([self.high[0] + 1.5, self.high[1] - 4.0], NAME, Anchor::Middle, name).ink = ink;
    }

    /// Pale lines and numbers every `step` along the lower side, and the scale's name.
    pub(crate) fn scale_along(&self, d: &mut Drawing, step: f64, name: &str) {
        for value in ticks(self.x, step) {
            let [x, _] = self.at(value, self.y[0]);
            d.line([x, self.high[1]], [x, self.low[1]], Stroke::of(0.15, Ink::PALE));
            d.text([x, self.low[1] + 1.5], NUMBERS, Anchor::Top, number(value, step));
        }
        d.text([0.5 * (self.low[0] + self.high[0]), self.low[1] + 7.0], NAME, Anchor::Middle, name);
    }

    /// Its left and lower side.
    pub(crate) fn sides(&self, d: &mut Drawing) {
        let corner = [self.low[0], self.low[1]];
        d.lines(&[[self.low[0], self.high[1]], corner, [self.high[0], self.low[1]]], Stroke::black(0.35));
    }

    /// A curve through pairs of values.
    pub(crate) fn curve(&self, d: &mut Drawing, x: &[f64], y: &[f64], stroke: Stroke) {
        let places: Vec<Point> = x.iter().zip(y).map(|(x, y)| self.at(*x, *y)).collect();
        if places.len() > 1 {
            d.lines(&places, stroke);
        }
    }

    /// What lies between two curves.
    pub(crate) fn between(&self, d: &mut Drawing, x: &[f64], [low, high]: [&[f64]; 2], ink: Ink) {
        let mut places: Vec<Point> = x.iter().zip(high).map(|(x, y)| self.at(*x, *y)).collect();
        places.extend(x.iter().zip(low).rev().map(|(x, y)| self.at(*x, *y)));
        if places.len() > 3 {
            let mut steps = polyline(&places);
            steps.push(PenStep::Close);
            d.path(steps, None, Some(ink));
        }
    }
}

/// Multiples of `step` within a range.
fn ticks([from, to]: [f64; 2], step: f64) -> impl Iterator<Item = f64> {
    let slack = 1e-9 * step;
    let first = ((from - slack) / step).ceil() as i64;
    let last = ((to + slack) / step).floor() as i64;
    (first..=last).map(move |k| k as f64 * step)
}

fn number(value: f64, step: f64) -> String {
    let decimals = (-step.log10().floor()).clamp(0.0, 4.0) as usize;
    format!("{value:.decimals$}")
}

/// A round step that divides a range into four to ten.
pub(crate) fn step(range: f64) -> f64 {
    let power = 10f64.powf((range / 10.0).log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|k| k * power).find(|s| range / s <= 10.0).unwrap_or(10.0 * power)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_have_round_steps() {
        assert_eq!([8200.0, 450.0, 1000.0].map(step), [1000.0, 50.0, 100.0]);
    }

    #[test]
    fn ticks_lie_within_the_range() {
        assert_eq!(ticks([0.3, 1.0], 0.25).collect::<Vec<_>>(), [0.5, 0.75, 1.0]);
        assert_eq!(number(0.5, 0.25), "0.5");
        assert_eq!(number(750.0, 50.0), "750");
    }
}
