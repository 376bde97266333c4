//! Quartered dots and crossings: places to a few hundredths of a pixel.
//!
//! Two opposite quadrants of a dot are black. Blur and the photo's gamma move every edge, but turned by half a turn the dot
//! looks the same, so its middle stays where it is. The middle is where all gradients are square to the line from
//! it (Förstner and Gülch 1987, with the window kept inside the dot).
//!
//! Inside the square the same pattern stands wherever four cells of the code meet with two opposite ones black: a crossing. A marker has
//! about three. They add to what the dots say of the plate, and a hand or a hose that hides a dot leaves them in view.

use glam::{DMat2, DVec2};

use super::decode::marker_cells;
use super::grey::Grey;

/// Distance of the dots from the marker's middle along both axes, in half sides.
pub const OFFSET: f64 = 1.66;
/// What is around the middle of a mark, in half sides.
#[derive(Debug, Clone, Copy)]
pub struct Pattern {
    /// Radius of the window in which gradients count.
    window: f64,
    /// Radius of the ring that is tested.
    ring: f64,
}

/// A quartered dot has a radius of 0.30.
pub const DOT: Pattern = Pattern { window: 0.21, ring: 0.15 };
/// Cells are 0.25 wide; their other edges, blurred, must stay outside the window.
pub const CROSSING: Pattern = Pattern { window: 0.19, ring: 0.13 };
/// Points of the ring.
const RING_POINTS: usize = 24;

/// The dots in the marker's own plane, in the order of [`super::decode::SQUARE`].
pub const DOTS: [DVec2; 4] = [
    DVec2::new(-OFFSET, -OFFSET),
    DVec2::new(OFFSET, -OFFSET),
    DVec2::new(OFFSET, OFFSET),
    DVec2::new(-OFFSET, OFFSET),
];

/// A quartered dot or a crossing in a photo.
#[derive(Debug, Clone, Copy)]
pub struct Mark {
    /// Its middle, pixels.
    pub at: DVec2,
    /// Pixels of a half side there: root of the area that a square of one half side covers.
    pub size: f64,
    /// How far opposite points around it differ, as a part of the contrast: much where something hides a part of it.
    pub unlike: f64,
}

/// What a half side along x and along y is in pixels near a dot, and the contrast of white and black.
#[derive(Debug, Clone, Copy)]
pub struct Surroundings {
    /// Pixels of a half side along the marker's axes.
    pub axes: DMat2,
    /// White less black, grey levels.
    pub contrast: f64,
    /// What is looked for.
    pub pattern: Pattern,
}

/// The crossings of a marker in its own plane, in half sides, row by row.
pub fn crossings(tag: u32) -> Vec<DVec2> {
    let cells = marker_cells(tag);
    let mut list = Vec::new();
    for y in 1..8 {
        for x in 1..8 {
            let [a, b, c, d] = [cells[y - 1][x - 1], cells[y - 1][x], cells[y][x - 1], cells[y][x]];
            if a == d && b == c && a != b {
                list.push(DVec2::new(x as f64, y as f64) / 4.0 - 1.0);
            }
        }
    }
    list
}

/// Looks around `predicted` and refines the best place; `None` when nothing there looks like a dot.
pub fn find(grey: &Grey, predicted: DVec2, here: Surroundings, reach: f64) -> Option<Mark> {
    let mut best: Option<(DVec2, f64)> = None;
    let steps = (reach / 0.06).round().max(1.0) as i32;
    for i in -steps..=steps {
        for j in -steps..=steps {
            let offset = DVec2::new(f64::from(i), f64::from(j)) * (reach / f64::from(steps));
            let at = predicted + here.axes * offset;
            // Farther from where it should be counts a little less.
            let likeness = likeness(grey, at, here)? - 0.2 * offset.length();
            if best.is_none_or(|b| likeness > b.1) {
                best = Some((at, likeness));
            }
        }
    }
    let at = refined(grey, best?.0, here)?;
    // A perfect one has 0.64.
    let mark = Mark { at, size: here.axes.determinant().abs().sqrt(), unlike: unlike(grey, at, here)? };
    (likeness(grey, at, here)? > 0.33).then_some(mark)
}

/// How far opposite points of the window's rim differ, as a part of the contrast: the mean.
fn unlike(grey: &Grey, at: DVec2, here: Surroundings) -> Option<f64> {
    let mut sum = 0.0;
    for k in 0..RING_POINTS {
        let angle = std::f64::consts::PI * k as f64 / RING_POINTS as f64;
        let arm = here.axes * (DVec2::from_angle(angle) * here.pattern.window);
        sum += (grey.sample(at + arm)? - grey.sample(at - arm)?).abs();
    }
    Some(sum / (RING_POINTS as f64 * here.contrast))
}

/// Strength of the second harmonic on a ring, less what does not belong to a quartered dot, as a part of the contrast.
fn likeness(grey: &Grey, at: DVec2, here: Surroundings) -> Option<f64> {
    let (mut first, mut second) = (DVec2::ZERO, DVec2::ZERO);
    for k in 0..RING_POINTS {
        let angle = std::f64::consts::TAU * k as f64 / RING_POINTS as f64;
        let value = grey.sample(at + here.axes * (DVec2::from_angle(angle) * here.pattern.ring))?;
        first += DVec2::from_angle(angle) * value;
        second += DVec2::from_angle(2.0 * angle) * value;
    }
    let scale = 2.0 / (RING_POINTS as f64 * here.contrast);
    Some(second.length() * scale - 1.5 * first.length() * scale)
}

/// Moves to where all gradients are square to the line from it; stops at 0.002 px, or when it runs away.
fn refined(grey: &Grey, start: DVec2, here: Surroundings) -> Option<DVec2> {
    let reach = here.axes.x_axis.abs() + here.axes.y_axis.abs();
    let mut at = start;
    for _ in 0..12 {
        let sums = Sums::around(grey, at, here)?;
        // Nothing but one grey has no gradients at all.
        let trace = sums.normal.x_axis.x + sums.normal.y_axis.y;
        if trace <= 0.0 || sums.normal.determinant() < 1e-6 * trace * trace {
            return None;
        }
        let step = sums.normal.inverse() * sums.right;
        at += step;
        if at.distance(start) > (reach * 0.25).max_element().max(2.0) {
            return None;
        }
        if step.length() < 0.002 {
            break;
        }
    }
    Some(at)
}

/// Sums over the window around a place, of gradients g at places p from there with weights w.
struct Sums {
    /// Of w g gᵀ.
    normal: DMat2,
    /// Of w g gᵀ p.
    right: DVec2,
}

impl Sums {
    /// `None` where the window leaves the photo.
    fn around(grey: &Grey, at: DVec2, here: Surroundings) -> Option<Sums> {
        let to_plane = here.axes.inverse();
        let window = here.pattern.window;
        let reach = (here.axes.x_axis.abs() + here.axes.y_axis.abs()) * window;
        let (low, high) = ((at - reach).ceil(), (at + reach).floor());
        let is_inside =
            low.cmpge(DVec2::ONE).all() && high.x + 1.0 < grey.width as f64 && high.y + 1.0 < grey.height as f64;
        if !is_inside {
            return None;
        }
        let mut sums = Sums { normal: DMat2::ZERO, right: DVec2::ZERO };
        for y in low.y as usize..=high.y as usize {
            for x in low.x as usize..=high.x as usize {
                let p = DVec2::new(x as f64, y as f64) - at;
                let rho = (to_plane * p).length() / window;
                if rho >= 1.0 {
                    continue;
                }
                let weight = (1.0 - rho * rho).powi(2);
                let v = |x: usize, y: usize| f64::from(grey.at(x, y));
                let g = DVec2::new(v(x + 1, y) - v(x - 1, y), v(x, y + 1) - v(x, y - 1)) * 0.5;
                let gg = DMat2::from_cols(g * g.x, g * g.y) * weight;
                sums.normal += gg;
                sums.right += gg * p;
            }
        }
        Some(sums)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A marker, 10 pixels a cell, its upper left corner at pixel 30, 30.
    fn drawing(tag: u32) -> Grey {
        let cells = marker_cells(tag);
        let value = |x: usize, y: usize| match (x.checked_sub(30), y.checked_sub(30)) {
            (Some(x), Some(y)) if x < 80 && y < 80 && !cells[y / 10][x / 10] => 20,
            _ => 230,
        };
        Grey::new(140, 140, (0..140 * 140).map(|i| value(i % 140, i / 140)).collect()).unwrap()
    }

    const HERE: Surroundings = Surroundings {
        axes: DMat2::from_cols(DVec2::new(40.0, 0.0), DVec2::new(0.0, 40.0)),
        contrast: 210.0,
        pattern: CROSSING,
    };

    /// Where a place of the marker's plane is in the drawing: edges run between pixels.
    fn drawn(place: DVec2) -> DVec2 {
        (place + 1.0) * 40.0 + 29.5
    }

    #[test]
    fn crossings_are_found_where_they_are_drawn() {
        let mut count = 0;
        for tag in 0..20 {
            let grey = drawing(tag);
            for place in crossings(tag) {
                let mark = find(&grey, drawn(place) + DVec2::new(0.9, -0.6), HERE, 0.06).unwrap();
                assert!(mark.at.distance(drawn(place)) < 0.02, "marker {tag}: {} {}", mark.at, drawn(place));
                assert!(mark.unlike < 0.01 && mark.size == 40.0);
                count += 1;
            }
        }
        assert!(count > 40, "{count}");
    }

    #[test]
    fn something_over_a_part_of_a_crossing_shows_in_its_opposite_points() {
        let mut grey = drawing(0);
        let place = drawn(crossings(0)[0]);
        for y in 0..grey.height {
            for x in 0..grey.width {
                if x as f64 > place.x + 5.0 {
                    grey.pixels[y * grey.width + x] = 120;
                }
            }
        }
        assert!(find(&grey, place, HERE, 0.06).unwrap().unlike > 0.05);
    }
}
