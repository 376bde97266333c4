//! Dark four-sided patches of a photo: what may be the black square of a marker.

use glam::DVec2;

use super::grey::Grey;

/// Smallest side of a patch, pixels of the shrunk photo.
const LEAST_SIDE: usize = 9;
/// Largest, as a part of the photo's smaller side.
const LARGEST_PART: f64 = 0.7;
/// Least part of its quadrangle that the hull of a patch fills.
const LEAST_FILLED: f64 = 0.86;

/// The patches, corners in one turning direction (clockwise as seen, y down), in pixels of `grey`.
pub fn quads(grey: &Grey, half: usize, margin: i64) -> Vec<[DVec2; 4]> {
    let dark = grey.darker_than_around(half, margin);
    patches(&dark, grey.width, grey.height).iter().filter_map(|patch| quad(patch, grey)).collect()
}

/// Leftmost and rightmost pixel of each row of a patch.
struct Patch {
    top: usize,
    rows: Vec<(usize, usize)>,
}

/// Connected dark parts (by their four neighbours), through runs of each row joined by union-find.
fn patches(dark: &[bool], w: usize, h: usize) -> Vec<Patch> {
    let mut runs: Vec<(usize, usize, usize)> = Vec::new();
    let mut parent: Vec<usize> = Vec::new();
    let (mut before, mut here) = (0, 0);
    for y in 0..h {
        let line = &dark[y * w..(y + 1) * w];
        let mut x = 0;
        let mut above = before;
        let end_above = here;
        before = runs.len();
        while x < w {
            if !line[x] {
                x += 1;
                continue;
            }
            let from = x;
            while x < w && line[x] {
                x += 1;
            }
            let me = runs.len();
            runs.push((y, from, x - 1));
            parent.push(me);
            while above < end_above && runs[above].2 < from {
                above += 1;
            }
            let mut touching = above;
            while touching < end_above && runs[touching].1 < x {
                let (a, b) = (root(&mut parent, touching), root(&mut parent, me));
                parent[a.max(b)] = a.min(b);
                touching += 1;
            }
        }
        here = runs.len();
    }
    gather(&runs, &mut parent)
}

fn root(parent: &mut [usize], mut i: usize) -> usize {
    while parent[i] != i {
        parent[i] = parent[parent[i]];
        i = parent[i];
    }
    i
}

fn gather(runs: &[(usize, usize, usize)], parent: &mut [usize]) -> Vec<Patch> {
    let mut number = vec![usize::MAX; runs.len()];
    let mut patches: Vec<Patch> = Vec::new();
    for (i, (y, from, to)) in runs.iter().enumerate() {
        let r = root(parent, i);
        if number[r] == usize::MAX {
            number[r] = patches.len();
            patches.push(Patch { top: *y, rows: Vec::new() });
        }
        let patch = &mut patches[number[r]];
        match patch.rows.get_mut(y - patch.top) {
            Some(row) => *row = (row.0.min(*from), row.1.max(*to)),
            None => patch.rows.push((*from, *to)),
        }
    }
    patches
}

fn quad(patch: &Patch, grey: &Grey) -> Option<[DVec2; 4]> {
    let height = patch.rows.len();
    let (left, right) = patch.rows.iter().fold((usize::MAX, 0), |(l, r), row| (l.min(row.0), r.max(row.1)));
    let width = right + 1 - left;
    let largest = (LARGEST_PART * grey.width.min(grey.height) as f64) as usize;
    if width.max(height) < LEAST_SIDE || width.min(height) < LEAST_SIDE / 2 || width.max(height) > largest {
        return None;
    }
    let at_rim = left == 0 || patch.top == 0 || right + 1 == grey.width || patch.top + height == grey.height;
    if at_rim {
        return None;
    }
    let hull = hull(patch);
    let corners = farthest(&hull)?;
    // Pixels have a size: the hull runs through their centres, the quadrangle is half a pixel wider all round.
    let filled = area(&hull) / area(&corners).max(1e-9);
    if area(&corners) < (LEAST_SIDE * LEAST_SIDE) as f64 * 0.4 || filled < LEAST_FILLED {
        return None;
    }
    sharpened(&hull, corners)
}

fn cross(a: DVec2, b: DVec2, c: DVec2) -> f64 {
    (b - a).perp_dot(c - a)
}

/// Convex hull of the row ends (Andrew's monotone chain, along y).
fn hull(patch: &Patch) -> Vec<DVec2> {
    let point = |x: usize, i: usize| DVec2::new(x as f64, (patch.top + i) as f64);
    let chain = |points: &mut dyn Iterator<Item = DVec2>, sign: f64| {
        let mut kept: Vec<DVec2> = Vec::new();
        for p in points {
            while kept.len() >= 2 && sign * cross(kept[kept.len() - 2], kept[kept.len() - 1], p) <= 0.0 {
                kept.pop();
            }
            kept.push(p);
        }
        kept
    };
    let right = chain(&mut patch.rows.iter().enumerate().map(|(i, r)| point(r.1, i)), 1.0);
    let left = chain(&mut patch.rows.iter().enumerate().map(|(i, r)| point(r.0, i)), -1.0);
    right.into_iter().chain(left.into_iter().rev()).collect()
}

fn area(polygon: &[DVec2]) -> f64 {
    let next = polygon.iter().cycle().skip(1);
    (polygon.iter().zip(next).map(|(a, b)| a.perp_dot(*b)).sum::<f64>() / 2.0).abs()
}

/// Four corners: the point farthest from the middle, the one farthest from that, and the farthest on either side.
fn farthest(hull: &[DVec2]) -> Option<[DVec2; 4]> {
    let middle = hull.iter().sum::<DVec2>() / hull.len() as f64;
    let far = |from: DVec2| hull.iter().copied().max_by(|a, b| a.distance(from).total_cmp(&b.distance(from)));
    let a = far(middle)?;
    let c = far(a)?;
    let b = hull.iter().copied().max_by(|p, q| cross(a, c, *p).total_cmp(&cross(a, c, *q)))?;
    let d = hull.iter().copied().min_by(|p, q| cross(a, c, *p).total_cmp(&cross(a, c, *q)))?;
    // y down: this order is clockwise as seen.
    Some([a, d, c, b])
}

/// Corners where lines through the four sides of the hull meet.
fn sharpened(hull: &[DVec2], corners: [DVec2; 4]) -> Option<[DVec2; 4]> {
    let dense: Vec<DVec2> = hull
        .iter()
        .zip(hull.iter().cycle().skip(1))
        .flat_map(|(a, b)| {
            let steps = a.distance(*b).ceil().max(1.0);
            (0..steps as usize).map(move |i| a.lerp(*b, i as f64 / steps))
        })
        .collect();
    let mut lines = Vec::with_capacity(4);
    for i in 0..4 {
        let (a, b) = (corners[i], corners[(i + 1) % 4]);
        let length = a.distance(b);
        if length < 4.0 {
            return None;
        }
        let along = (b - a) / length;
        let near = |p: &&DVec2| {
            let t = (**p - a).dot(along) / length;
            (0.15..0.85).contains(&t) && (**p - a).perp_dot(along).abs() < (0.08 * length).max(1.6)
        };
        lines.push(line(dense.iter().filter(near)).unwrap_or((a, along)));
    }
    let middle = corners.iter().sum::<DVec2>() / 4.0;
    let mut sharp = corners;
    for i in 0..4 {
        let meet = meeting(lines[(i + 3) % 4], lines[i])
            .filter(|p| p.distance(corners[i]) < 0.35 * corners[i].distance(middle) + 2.0)?;
        // The sides of the square run half a pixel outside the centres of its last pixels.
        sharp[i] = meet + (meet - middle).normalize_or_zero() * 0.7;
    }
    Some(sharp)
}

/// Point and direction of the best line through points.
fn line<'a>(points: impl Iterator<Item = &'a DVec2> + Clone) -> Option<(DVec2, DVec2)> {
    let count = points.clone().count();
    if count < 3 {
        return None;
    }
    let middle = points.clone().sum::<DVec2>() / count as f64;
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for p in points {
        let d = *p - middle;
        xx += d.x * d.x;
        xy += d.x * d.y;
        yy += d.y * d.y;
    }
    let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
    Some((middle, DVec2::from_angle(angle)))
}

fn meeting((p, u): (DVec2, DVec2), (q, v): (DVec2, DVec2)) -> Option<DVec2> {
    let d = u.perp_dot(v);
    (d.abs() > 0.05).then(|| p + u * ((q - p).perp_dot(v) / d))
}
