//! Finds the markers of a photo: dark quadrangles, their numbers, their four dots.

use std::collections::BTreeMap;

use glam::{DMat2, DVec2};

use super::blur::blur;
use super::decode::{Decoded, SQUARE, decode};
use super::dots::{CROSSING, DOT, DOTS, Mark, Surroundings, crossings, find};
use super::grey::Grey;
use super::homography::Homography;
use super::quads::quads;

/// Pixels above which a photo is looked through at half size, and above which at a third.
const HALF: usize = 1_500_000;
const THIRD: usize = 18_000_000;
/// Half windows of the local mean and how much darker black must be: small markers, and large ones.
const WINDOWS: [(usize, i64); 2] = [(10, 6), (24, 6)];

/// Side of a cell, pixels, from which crossings are looked for.
const LEAST_CELL: f64 = 4.0;

/// A mark is hidden in part above so many times what [`Mark::unlike`] is in the middle of the photo's marks, and above so much.
const HIDDEN_TIMES: f64 = 2.5;
const HIDDEN_ABOVE: f64 = 0.05;

/// A marker in a photo.
#[derive(Debug, Clone)]
pub struct Sighting {
    /// Its number.
    pub tag: u32,
    /// Corners of its square, pixels, upper left first, clockwise as seen; good to a pixel or two.
    pub corners: [DVec2; 4],
    /// Its four dots in the same order; `None` where covered, cut off or blurred away.
    pub dots: [Option<Mark>; 4],
    /// Its crossings in the order of [`crossings`].
    pub crossings: Vec<Option<Mark>>,
    /// Map of the marker's plane onto the photo from all that was found.
    pub map: Homography,
    /// Standard deviation of the blur of its edges, pixels; `None` where too little of them is in the photo.
    pub blur: Option<f64>,
}

/// What was found in a photo.
#[derive(Debug, Clone, Default)]
pub struct Found {
    /// Markers, by number.
    pub sightings: Vec<Sighting>,
    /// Numbers seen more than once: none of them can be trusted.
    pub twice: Vec<u32>,
}

/// Looks through a photo.
pub fn detect(grey: &Grey) -> Found {
    let mut found = Found::default();
    for (tag, list) in codes(grey) {
        match &list[..] {
            [one] => found.sightings.extend(sighting(grey, one)),
            _ => found.twice.push(tag),
        }
    }
    drop_hidden(&mut found.sightings);
    found
}

/// Drops marks that something hides in part: opposite points around them differ far more than in the photo's other marks.
fn drop_hidden(sightings: &mut [Sighting]) {
    let marks = |s: &Sighting| s.dots.iter().chain(&s.crossings).flatten().map(|m| m.unlike).collect::<Vec<f64>>();
    let mut all: Vec<f64> = sightings.iter().flat_map(marks).collect();
    all.sort_by(f64::total_cmp);
    let Some(middle) = all.get(all.len() / 2) else { return };
    let most = (HIDDEN_TIMES * middle).max(HIDDEN_ABOVE);
    for mark in sightings.iter_mut().flat_map(|s| s.dots.iter_mut().chain(&mut s.crossings)) {
        *mark = mark.filter(|m| m.unlike <= most);
    }
}

/// Every code that can be read, by its number; one may be there several times.
pub fn codes(grey: &Grey) -> BTreeMap<u32, Vec<Decoded>> {
    let count = grey.width * grey.height;
    let by = if count > THIRD {
        3
    } else if count > HALF {
        2
    } else {
        1
    };
    let small = if by == 1 { grey.clone() } else { grey.shrunk(by) };
    let full = |p: DVec2| p * by as f64 + DVec2::splat((by as f64 - 1.0) / 2.0);
    let mut read: BTreeMap<u32, Vec<Decoded>> = BTreeMap::new();
    for (half, margin) in WINDOWS {
        for quad in quads(&small, half, margin) {
            let Some(decoded) = decode(grey, quad.map(full)) else { continue };
            let same = read.entry(decoded.tag).or_default();
            let middle = |d: &Decoded| d.corners.iter().sum::<DVec2>() / 4.0;
            let size = decoded.corners[0].distance(decoded.corners[2]);
            match same.iter_mut().find(|d| middle(d).distance(middle(&decoded)) < 0.5 * size) {
                Some(twin) if decoded.wrong < twin.wrong => *twin = decoded,
                Some(_) => {}
                None => same.push(decoded),
            }
        }
    }
    read
}

/// Looks for the dots of a marker: predicted from its corners, refined, predicted again from those that were found.
fn sighting(grey: &Grey, decoded: &Decoded) -> Option<Sighting> {
    let corners: Vec<(DVec2, DVec2)> = SQUARE.into_iter().zip(decoded.corners).collect();
    let mut map = Homography::of(&corners)?;
    let contrast = decoded.levels[0] - decoded.levels[1];
    let mut dots: [Option<Mark>; 4] = [None; 4];
    for (round, reach) in [0.26, 0.16].into_iter().enumerate() {
        for (dot, place) in dots.iter_mut().zip(DOTS) {
            let [x, y] = map.local(place);
            let here = Surroundings { axes: DMat2::from_cols(x, y), contrast, pattern: DOT };
            *dot = find(grey, map.map(place), here, reach);
        }
        let seen = DOTS.into_iter().zip(dots).filter_map(|(place, dot)| Some((place, dot?.at)));
        let mut pairs: Vec<(DVec2, DVec2)> = seen.collect();
        if pairs.len() < 4 {
            // The corners help out; each dot counts for several of them.
            pairs = pairs.iter().flat_map(|p| std::iter::repeat_n(*p, 6)).chain(corners.clone()).collect();
        }
        map = Homography::of(&pairs)?;
        if round == 1 {
            drop_outliers(&mut dots, &corners);
        }
    }
    let blur = blur(grey, &map, contrast);
    let crossings = crossings(decoded.tag).into_iter().map(|place| crossing(grey, &map, place, contrast)).collect();
    Some(Sighting { tag: decoded.tag, corners: decoded.corners, dots, crossings, map, blur })
}

/// Looks for a crossing at its place in the marker's plane.
fn crossing(grey: &Grey, map: &Homography, place: DVec2, contrast: f64) -> Option<Mark> {
    let [x, y] = map.local(place);
    let axes = DMat2::from_cols(x, y);
    // Cells of a few pixels run into each other.
    if axes.determinant().abs().sqrt() * 0.25 < LEAST_CELL {
        return None;
    }
    let here = Surroundings { axes, contrast, pattern: CROSSING };
    find(grey, map.map(place), here, 0.06)
}

/// Drops dots when those that were found do not agree with the corners of the square.
fn drop_outliers(dots: &mut [Option<Mark>; 4], corners: &[(DVec2, DVec2)]) {
    let Some(map) = Homography::of(corners) else { return };
    let size = corners[0].1.distance(corners[2].1);
    for (dot, place) in dots.iter_mut().zip(DOTS) {
        if dot.is_some_and(|dot| dot.at.distance(map.map(place)) > 0.12 * size + 3.0) {
            *dot = None;
        }
    }
}
