//! Flaws of single photos, seen before anything is adjusted: blur, and markers cut off by the edge.
//!
//! Blur is measured across the sides of the black square. A step of height h blurred by a Gaussian of standard deviation s has
//! the steepest slope h / (s sqrt(2 pi)); of two directions the one that is blurred more counts, as a hand moves in one.

use std::f64::consts::PI;

use glam::DVec2;

use super::detect::Found;
use super::dots::DOTS;
use super::grey::Grey;
use super::homography::Homography;

/// Lines across each side of the square, and how far along it from its middle the outermost lie, in half sides.
const LINES: usize = 7;
const ALONG: f64 = 0.7;
/// How far a line reaches on either side of the edge, in half sides: the black border is 0.25 wide.
const ACROSS: f64 = 0.22;
/// Steps between samples, pixels.
const STEP: f64 = 0.5;
/// A photo is called blurred above so many times what the photos have in the middle, and above so many pixels.
const BLURRED_TIMES: f64 = 2.0;
const BLURRED_ABOVE: f64 = 1.5;
/// Dots of a marker that are enough for it to be seen whole: three of the four, with its square, give its plane.
const WHOLE: usize = 3;

/// A photo that is blurred.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blurred {
    /// Its number.
    pub photo: usize,
    /// Standard deviation of its blur, pixels.
    pub blur: f64,
    /// The same of the photo in the middle, pixels.
    pub usual: f64,
}

/// A photo that cuts markers off.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutOff {
    /// Its number.
    pub photo: usize,
    /// Numbers of the markers.
    pub tags: Vec<u32>,
}

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

fn middle(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}

/// Photos that are blurred far more than the others.
pub fn blurred(found: &[&Found]) -> Vec<Blurred> {
    let blur = |photo: &&Found| middle(photo.sightings.iter().filter_map(|s| s.blur).collect());
    let blurs: Vec<Option<f64>> = found.iter().map(blur).collect();
    let Some(usual) = middle(blurs.iter().flatten().copied().collect()) else { return Vec::new() };
    let most = (BLURRED_TIMES * usual).max(BLURRED_ABOVE);
    let one =
        |(photo, blur): (usize, &Option<f64>)| blur.filter(|b| *b > most).map(|blur| Blurred { photo, blur, usual });
    blurs.iter().enumerate().filter_map(one).collect()
}

/// Photos of these widths and heights, pixels, that cut markers off which fewer than `good` photos show whole.
pub fn cut_off(found: &[(&Found, [usize; 2])], good: usize) -> Vec<CutOff> {
    let whole = |tag: u32| {
        let shows = |f: &&Found| f.sightings.iter().any(|s| s.tag == tag && s.dots.iter().flatten().count() >= WHOLE);
        found.iter().filter(|(f, _)| shows(f)).count()
    };
    let mut out = Vec::new();
    for (photo, (of, size)) in found.iter().enumerate() {
        let beyond = |p: DVec2| p.min_element() < 0.0 || p.x >= size[0] as f64 || p.y >= size[1] as f64;
        let outside = |map: &Homography| DOTS.iter().filter(|d| beyond(map.map(**d))).count();
        let cut = of.sightings.iter().filter(|s| 4 - outside(&s.map) < WHOLE && whole(s.tag) < good);
        let tags: Vec<u32> = cut.map(|s| s.tag).collect();
        if !tags.is_empty() {
            out.push(CutOff { photo, tags });
        }
    }
    out
}
