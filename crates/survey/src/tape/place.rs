//! Where one point may be when all others are held: the places that three of its distances allow.

use glam::{DMat3, DVec3};

use super::network::{Network, Reading, ReadingKind};

/// Most that one reading counts, in squares of standard deviations: about what it costs to throw it out.
const CAP: f64 = 13.0;
/// Variance that the neighbours' own places add to a reading, mm².
const NEIGHBOURS: f64 = 1.0;
/// Distances of a point that are combined; eight give 56 triples.
const MOST_DISTANCES: usize = 9;
/// Places that are refined.
const MOST_PLACES: usize = 5;
/// Places nearer than this are one, mm.
const APART: f64 = 6.0;

/// How badly the readings of point `p` agree with `x`, each counted up to a limit.
pub fn local_cost(network: &Network, x: &[DVec3], p: usize) -> f64 {
    network.of_point[p].iter().map(|i| capped(network, x, *i)).sum()
}

fn capped(network: &Network, x: &[DVec3], i: usize) -> f64 {
    let reading = &network.readings[i];
    let r = reading.residual(x);
    (r * r * reading.sd * reading.sd / loose_variance(reading, x)).min(CAP)
}

/// Variance of a reading when the places of the neighbours are not exact either, mm² or rad².
fn loose_variance(reading: &Reading, x: &[DVec3]) -> f64 {
    let neighbours = match reading.kind {
        ReadingKind::Incline([a, b]) => NEIGHBOURS / x[a].distance_squared(x[b]).max(1.0),
        _ => NEIGHBOURS,
    };
    reading.sd * reading.sd + neighbours
}

/// The places of one point, best first, with their costs.
pub struct Places {
    /// Place and cost.
    pub all: Vec<(DVec3, f64)>,
}

impl Places {
    /// The places of point `p` with the others held at `x`.
    pub fn of(network: &Network, x: &[DVec3], p: usize) -> Places {
        let mut scratch = x.to_vec();
        let mut rough: Vec<(DVec3, f64)> = Vec::new();
        for place in candidates(network, x, p) {
            scratch[p] = place;
            rough.push((place, local_cost(network, &scratch, p)));
        }
        rough.sort_by(|a, b| a.1.total_cmp(&b.1));
        let mut all: Vec<(DVec3, f64)> = Vec::new();
        for (place, _) in apart(rough).into_iter().take(MOST_PLACES) {
            scratch[p] = place;
            refine(network, &mut scratch, p);
            all.push((scratch[p], local_cost(network, &scratch, p)));
        }
        all.sort_by(|a, b| a.1.total_cmp(&b.1));
        Places { all: apart(all) }
    }

    /// The best place.
    pub fn best(&self) -> Option<(DVec3, f64)> {
        self.all.first().copied()
    }
}

/// Drops places that lie close to a better one.
fn apart(sorted: Vec<(DVec3, f64)>) -> Vec<(DVec3, f64)> {
    let mut kept: Vec<(DVec3, f64)> = Vec::new();
    for one in sorted {
        if kept.iter().all(|k| k.0.distance(one.0) > APART) {
            kept.push(one);
        }
    }
    kept
}

fn candidates(network: &Network, x: &[DVec3], p: usize) -> Vec<DVec3> {
    let mut spheres: Vec<(DVec3, f64)> = Vec::new();
    let mut neighbours: Vec<DVec3> = Vec::new();
    for i in &network.of_point[p] {
        let reading = &network.readings[*i];
        neighbours.extend(reading.points().iter().filter(|q| **q != p).map(|q| x[*q]));
        if let ReadingKind::Distance([a, b]) = reading.kind {
            spheres.push((x[if a == p { b } else { a }], reading.value));
        }
    }
    spheres.truncate(MOST_DISTANCES);
    let mut found = vec![x[p]];
    found.extend(mirrored(&neighbours, x[p]));
    for i in 0..spheres.len() {
        for j in 0..i {
            for k in 0..j {
                found.extend(trilaterate([spheres[i], spheres[j], spheres[k]]).into_iter().flatten());
            }
        }
    }
    found
}

/// `place` on the other side of the best plane of `around`.
fn mirrored(around: &[DVec3], place: DVec3) -> Option<DVec3> {
    if around.len() < 3 {
        return None;
    }
    let middle = around.iter().sum::<DVec3>() / around.len() as f64;
    let mut spread = crate::matrix::Symmetric::zero(3);
    for q in around {
        let d = *q - middle;
        spread.add_outer(&[(0, d.x), (1, d.y), (2, d.z)], 1.0);
    }
    let normal = DVec3::from_slice(&spread.eigen().1[0]);
    Some(place - normal * (2.0 * (place - middle).dot(normal)))
}

/// The two points at given distances from three; both in the plane when the spheres do not quite meet.
fn trilaterate([a, b, c]: [(DVec3, f64); 3]) -> Option<[DVec3; 2]> {
    let along = b.0 - a.0;
    let d = along.length();
    let ex = along.try_normalize()?;
    let side = c.0 - a.0;
    let i = ex.dot(side);
    let ey = (side - ex * i).try_normalize()?;
    let j = ey.dot(side);
    if d < 20.0 || j.abs() < 20.0 {
        return None;
    }
    let x = (a.1 * a.1 - b.1 * b.1 + d * d) / (2.0 * d);
    let y = (a.1 * a.1 - c.1 * c.1 + i * i + j * j - 2.0 * i * x) / (2.0 * j);
    let z = (a.1 * a.1 - x * x - y * y).max(0.0).sqrt();
    if x.abs() > 2.0 * a.1 + 100.0 || y.abs() > 2.0 * a.1 + 100.0 {
        return None;
    }
    let foot = a.0 + ex * x + ey * y;
    let up = ex.cross(ey) * z;
    Some([foot + up, foot - up])
}

/// Moves point `p` to the robust minimum near it.
fn refine(network: &Network, x: &mut [DVec3], p: usize) {
    for _ in 0..8 {
        let mut normal = DMat3::from_diagonal(DVec3::splat(1e-4));
        let mut right = DVec3::ZERO;
        for i in &network.of_point[p] {
            let reading = &network.readings[*i];
            let variance = loose_variance(reading, x);
            let error = reading.value - reading.computed(x);
            let weight = (1.0 + error * error / (9.0 * variance)).powi(-2) / variance;
            let mut g = DVec3::ZERO;
            for (unknown, d) in reading.derivatives(x) {
                if unknown / 3 == p {
                    g[unknown % 3] += d;
                }
            }
            normal += DMat3::from_cols(g * g.x, g * g.y, g * g.z) * weight;
            right += g * (weight * error);
        }
        let step = (normal.inverse() * right).clamp_length_max(60.0);
        if !step.is_finite() {
            return;
        }
        x[p] += step;
        if step.length() < 0.01 {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_distances_allow_two_places() {
        let (a, b, c) = (DVec3::ZERO, DVec3::new(300.0, 0.0, 0.0), DVec3::new(50.0, 200.0, 0.0));
        let p = DVec3::new(120.0, 80.0, 210.0);
        let [up, down] = trilaterate([a, b, c].map(|q| (q, q.distance(p)))).unwrap();
        let below = DVec3::new(p.x, p.y, -p.z);
        assert!(
            (up.distance(p) < 1e-9 && down.distance(below) < 1e-9)
                || (down.distance(p) < 1e-9 && up.distance(below) < 1e-9)
        );
    }
}
