//! Flaws of single photos, seen before anything is adjusted: blur, and markers cut off by the edge.

use glam::DVec2;

use super::blur::middle;
use super::detect::Found;
use super::dots::DOTS;
use super::homography::Homography;

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
