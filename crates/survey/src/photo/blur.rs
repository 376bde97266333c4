//! Blur of a marker's edges.
//!
//! It is measured across the sides of the black square. A step of height h blurred by a Gaussian of standard deviation s has
//! the steepest slope h / (s sqrt(2 pi)); of two directions the one that is blurred more counts, as a hand moves in one.

use std::f64::consts::PI;

use glam::DVec2;

use super::grey::Grey;
use super::homography::Homography;

/// Lines across each side of the square, and how far along it from its middle the outermost lie, in half sides.
const LINES: usize = 7;
const ALONG: f64 = 0.7;
/// How far a line reaches on either side of the edge, in half sides: the black border is 0.25 wide.
const ACROSS: f64 = 0.22;
/// Steps between samples, pixels.
const STEP: f64 = 0.5;

/// Standard deviation of the blur of a marker's edges, pixels; `contrast` is its white less black, grey levels. `None` where too little of
/// it is in the photo.
pub(super) fn blur(grey: &Grey, map: &Homography, contrast: f64) -> Option<f64> {
    let turned = |side: usize, p: DVec2| DVec2::from_angle(0.5 * PI * side as f64).rotate(p);
    let across = |side: usize| -> Vec<f64> {
        let line = |k: usize| {
            let v = ALONG * (2.0 * k as f64 / (LINES - 1) as f64 - 1.0);
            let ends = [1.0 - ACROSS, 1.0 + ACROSS].map(|u| map.map(turned(side, DVec2::new(u, v))));
            Some(contrast / (steepest(grey, ends)? * (2.0 * PI).sqrt()))
        };
        (0..LINES).filter_map(line).collect()
    };
    let of_pair = |first: usize| middle([across(first), across(first + 2)].concat());
    Some(of_pair(0)?.max(of_pair(1)?))
}

/// The steepest slope between two places, grey levels a pixel.
fn steepest(grey: &Grey, [from, to]: [DVec2; 2]) -> Option<f64> {
    let steps = (from.distance(to) / STEP).floor() as usize;
    let towards = (to - from).try_normalize()?;
    let values: Option<Vec<f64>> = (0..=steps).map(|i| grey.sample(from + towards * (STEP * i as f64))).collect();
    let slopes = values?.windows(3).map(|w| (w[2] - w[0]).abs() / (2.0 * STEP)).fold(0.0, f64::max);
    (slopes > 0.0).then_some(slopes)
}

/// The value in the middle of some.
pub(super) fn middle(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}
