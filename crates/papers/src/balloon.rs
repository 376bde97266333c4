//! Numbers and names beside what they belong to: clear of one another, of the tubes and of each other's leaders.
//!
//! Each label is tried on rings around its place, from near to far, in sixteen directions. A spot must lie on the drawing and clear of
//! labels that stand; among such spots the one with the least cost is taken: its distance, and a fine for every tube, leader or other
//! label's place that it or its leader covers. Labels with the fewest good spots are set first. Where no spot is clear, the least bad is
//! taken, so that no label is ever left out.

use std::f64::consts::TAU;

use crate::sheet::{Drawing, Ink, Point, Stroke, Weight};

/// Distances of the rings, in radii of a label.
const RINGS: [f64; 8] = [1.7, 2.4, 3.2, 4.2, 5.4, 7.0, 9.0, 11.5];

/// Directions on each ring.
const WAYS: usize = 16;

/// Room between two labels, mm.
const APART: f64 = 0.6;

/// Fines, in mm of distance: covering a tube, crossing a leader, covering another label's place.
const ON_TUBE: f64 = 9.0;
const ON_LEADER: f64 = 14.0;
const ON_PLACE: f64 = 12.0;

/// A label and the place it belongs to.
pub(crate) struct Balloon {
    /// What it belongs to, on the drawing, mm.
    pub at: Point,
    /// What it says.
    pub text: String,
    /// How it looks.
    pub look: TextStyle,
}

/// How a label looks.
#[derive(Clone, Copy)]
pub(crate) enum TextStyle {
    /// In a filled ring of that radius, mm.
    Filled(f64, Ink),
    /// In an open ring of that radius, mm.
    Open(f64),
    /// Bold letters of that size, mm, without a ring.
    Name(f64),
}

impl Balloon {
    /// Half of its width and height, mm.
    fn half(&self) -> Point {
        match self.look {
            TextStyle::Filled(radius, _) | TextStyle::Open(radius) => [radius; 2],
            TextStyle::Name(size) => [0.32 * size * self.text.chars().count() as f64 + 0.3, 0.5 * size],
        }
    }

    /// Its box when its middle lies at `p`.
    fn area(&self, p: Point) -> Area {
        let half = self.half();
        [[p[0] - half[0], p[1] - half[1]], [p[0] + half[0], p[1] + half[1]]]
    }
}

/// A box: its upper left and lower right corner, mm.
pub(crate) type Area = [Point; 2];

fn meet(a: &Area, b: &Area, room: f64) -> bool {
    (0..2).all(|k| a[1][k] + room > b[0][k] && b[1][k] + room > a[0][k])
}

fn around(p: Point, by: f64) -> Area {
    [[p[0] - by, p[1] - by], [p[0] + by, p[1] + by]]
}

/// Sets labels on a drawing: within `frame`, around what `covered` says is drawn, and clear of `taken`.
pub(crate) fn set(balloons: &[Balloon], frame: Area, covered: &[Area], taken: &[Area], d: &mut Drawing) {
    let spots = spots(balloons, frame, covered, taken);
    let pen = Stroke::black(0.18);
    for (balloon, spot) in balloons.iter().zip(&spots) {
        d.line(balloon.at, *spot, pen);
        d.circle(balloon.at, 0.45, None, Some(Ink::BLACK));
    }
    for (balloon, spot) in balloons.iter().zip(&spots) {
        match balloon.look {
            TextStyle::Filled(radius, ink) => d.bubble(*spot, radius, &balloon.text, ink, true),
            TextStyle::Open(radius) => d.bubble(*spot, radius, &balloon.text, Ink::BLACK, false),
            TextStyle::Name(size) => {
                let text = d.text(*spot, size, crate::sheet::Anchor::Middle, &balloon.text);
                (text.weight, text.over) = (Weight::Bold, true);
            }
        }
    }
}

/// Where each label's middle lies.
fn spots(balloons: &[Balloon], frame: Area, covered: &[Area], taken: &[Area]) -> Vec<Point> {
    let mut stands: Vec<Area> = taken.to_vec();
    let mut leaders: Vec<[Point; 2]> = Vec::new();
    let mut out: Vec<Option<Point>> = vec![None; balloons.len()];
    // The most crowded places first: they have the least choice.
    let mut order: Vec<usize> = (0..balloons.len()).collect();
    let near = |k: usize| {
        let away = |b: &Balloon| (b.at[0] - balloons[k].at[0]).hypot(b.at[1] - balloons[k].at[1]);
        balloons.iter().filter(|b| away(b) < 12.0).count()
    };
    order.sort_by_key(|k| std::cmp::Reverse(near(*k)));
    for k in order {
        let own = &balloons[k];
        let mut best = (f64::INFINITY, own.at);
        for spot in around_place(own) {
            let (area, leader) = (own.area(spot), [own.at, spot]);
            let inside = (0..2).all(|i| area[0][i] >= frame[0][i] && area[1][i] <= frame[1][i]);
            if !inside {
                continue;
            }
            let hits = stands.iter().filter(|s| meet(&area, s, APART)).count();
            let crossed = stands.iter().skip(taken.len()).filter(|s| crosses(&leader, s)).count()
                + leaders.iter().filter(|l| crosses(l, &area) || cut(l, &leader)).count();
            let tubes = covered.iter().filter(|c| meet(&area, c, 0.3)).count();
            let places = balloons.iter().filter(|b| b.at != own.at && meet(&around(b.at, 0.8), &area, 0.0)).count();
            let away = (spot[0] - own.at[0]).hypot(spot[1] - own.at[1]);
            let cost = away
                + 1000.0 * hits as f64
                + ON_LEADER * crossed as f64
                + if tubes > 0 { ON_TUBE } else { 0.0 }
                + ON_PLACE * places as f64;
            if cost < best.0 {
                best = (cost, spot);
            }
        }
        stands.push(own.area(best.1));
        leaders.push([own.at, best.1]);
        out[k] = Some(best.1);
    }
    out.into_iter().zip(balloons).map(|(spot, b)| spot.unwrap_or(b.at)).collect()
}

/// Spots around a label's place, from near to far.
fn around_place(own: &Balloon) -> impl Iterator<Item = Point> + '_ {
    let half = own.half();
    let unit = half[0].min(half[1]).max(1.2);
    RINGS.into_iter().flat_map(move |ring| {
        (0..WAYS).map(move |way| {
            let (sin, cos) = (TAU * way as f64 / WAYS as f64).sin_cos();
            let away = ring * unit;
            [own.at[0] + cos * (away + half[0] - unit), own.at[1] + sin * (away + half[1] - unit)]
        })
    })
}

/// Whether two lines cross.
fn cut(a: &[Point; 2], b: &[Point; 2]) -> bool {
    let side =
        |l: &[Point; 2], p: Point| (l[1][0] - l[0][0]) * (p[1] - l[0][1]) - (l[1][1] - l[0][1]) * (p[0] - l[0][0]);
    side(a, b[0]) * side(a, b[1]) < 0.0 && side(b, a[0]) * side(b, a[1]) < 0.0
}

/// Whether a line runs through a box: what is left of it after it is cut by the box's four sides.
pub(crate) fn crosses(line: &[Point; 2], area: &Area) -> bool {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for k in 0..2 {
        let (at, way) = (line[0][k], line[1][k] - line[0][k]);
        if way.abs() < 1e-9 {
            if at <= area[0][k] || at >= area[1][k] {
                return false;
            }
            continue;
        }
        let ends = [(area[0][k] - at) / way, (area[1][k] - at) / way];
        from = from.max(ends[0].min(ends[1]));
        to = to.min(ends[0].max(ends[1]));
    }
    from < to
}

#[cfg(test)]
mod tests {
    use super::*;

    fn open(x: f64, y: f64) -> Balloon {
        Balloon { at: [x, y], text: "1".into(), look: TextStyle::Open(2.0) }
    }

    #[test]
    fn labels_of_places_close_together_stand_apart_and_on_the_drawing() {
        let balloons: Vec<Balloon> =
            (0..9).map(|k| open(20.0 + 1.5 * f64::from(k % 3), 20.0 + f64::from(k / 3))).collect();
        let frame = [[0.0, 0.0], [60.0, 60.0]];
        let spots = spots(&balloons, frame, &[], &[]);
        for (i, a) in spots.iter().enumerate() {
            assert!(a.iter().all(|c| (2.0..=58.0).contains(c)), "{a:?}");
            for b in &spots[..i] {
                assert!((a[0] - b[0]).abs() > 4.0 || (a[1] - b[1]).abs() > 4.0, "{a:?} {b:?}");
            }
        }
    }

    #[test]
    fn a_label_stands_beside_a_tube_and_not_on_it() {
        let tube = [[0.0, 26.0], [60.0, 34.0]];
        let spots = spots(&[open(30.0, 30.0)], [[0.0, 0.0], [60.0, 60.0]], &[tube], &[]);
        assert!((spots[0][1] - 30.0).abs() >= 6.0, "{spots:?}");
    }
}
