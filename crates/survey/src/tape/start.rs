//! Starting coordinates from distances alone.
//!
//! Distances that were not read are completed along the shortest path, shrunk at random because a path is longer than the
//! straight line, and classical scaling (Torgerson, *Multidimensional scaling: I*, Psychometrika 17, 1952) gives places.

use glam::{DMat3, DQuat, DVec3};

use super::network::{Network, ReadingKind};
use crate::matrix::Symmetric;

/// Random numbers of a start.
pub type Random = oorandom::Rand64;

/// Places of all points, rough; another draw of `random` gives others.
pub fn places(network: &Network, random: &mut Random) -> Vec<DVec3> {
    let n = network.points;
    let known = known_distances(network);
    let mut far = completed(&known, n);
    for i in 0..n {
        for j in 0..i {
            if !known[i * n + j].is_finite() {
                let shrunk = far[i * n + j] * (0.55 + 0.45 * random.rand_float());
                far[i * n + j] = shrunk;
                far[j * n + i] = shrunk;
            }
        }
    }
    let mut x = scaled(&far, n);
    for p in &mut x {
        // A little off the plane: points that start exactly in one never leave it.
        *p += DVec3::new(random.rand_float(), random.rand_float(), random.rand_float()) * 2.0 - DVec3::ONE;
    }
    x
}

fn known_distances(network: &Network) -> Vec<f64> {
    let n = network.points;
    let mut known = vec![f64::INFINITY; n * n];
    for i in 0..n {
        known[i * n + i] = 0.0;
    }
    for reading in &network.readings {
        if let ReadingKind::Distance([a, b]) = reading.kind {
            let value = reading.value.abs().min(known[a * n + b]);
            known[a * n + b] = value;
            known[b * n + a] = value;
        }
    }
    known
}

/// Shortest paths between all (Floyd and Warshall); parts that do not hang together are put a typical length apart.
fn completed(known: &[f64], n: usize) -> Vec<f64> {
    let mut far = known.to_vec();
    for k in 0..n {
        for i in 0..n {
            for j in 0..n {
                far[i * n + j] = far[i * n + j].min(far[i * n + k] + far[k * n + j]);
            }
        }
    }
    let longest = far.iter().copied().filter(|d| d.is_finite()).fold(100.0, f64::max);
    far.iter().map(|d| if d.is_finite() { *d } else { longest }).collect()
}

fn scaled(far: &[f64], n: usize) -> Vec<DVec3> {
    let square = |i: usize, j: usize| far[i * n + j] * far[i * n + j];
    let means: Vec<f64> = (0..n).map(|i| (0..n).map(|j| square(i, j)).sum::<f64>() / n as f64).collect();
    let mean = means.iter().sum::<f64>() / n as f64;
    let mut b = Symmetric::zero(n);
    for i in 0..n {
        for j in 0..n {
            *b.at_mut(i, j) = -0.5 * (square(i, j) - means[i] - means[j] + mean);
        }
    }
    let (values, vectors) = b.eigen();
    let axis = |k: usize, i: usize| {
        if k < n { vectors[n - 1 - k][i] * values[n - 1 - k].max(0.0).sqrt() } else { 0.0 }
    };
    (0..n).map(|i| DVec3::new(axis(0, i), axis(1, i), axis(2, i))).collect()
}

/// Turns `x` so that heights and inclines agree with z up as well as they can.
pub fn stand_up(network: &Network, x: &mut [DVec3]) {
    let mut normal = DMat3::ZERO;
    let mut right = DVec3::ZERO;
    for reading in &network.readings {
        let (pair, rise) = match reading.kind {
            ReadingKind::Height(pair) => (pair, reading.value),
            ReadingKind::Incline(pair) => (pair, reading.value.sin() * (x[pair[1]] - x[pair[0]]).length()),
            _ => continue,
        };
        let d = x[pair[1]] - x[pair[0]];
        // One reading that is far off must not tip the whole: heights beyond the distance say nothing.
        if rise.abs() <= 1.2 * d.length() {
            normal += DMat3::from_cols(d * d.x, d * d.y, d * d.z);
            right += d * rise;
        }
    }
    let scale = normal.x_axis.x + normal.y_axis.y + normal.z_axis.z;
    if scale <= 0.0 {
        return;
    }
    let up = (normal + DMat3::from_diagonal(DVec3::splat(1e-6 * scale))).inverse() * right;
    if let Some(up) = up.try_normalize() {
        let turn = DQuat::from_rotation_arc(up, DVec3::Z);
        for p in x {
            *p = turn * *p;
        }
    }
}
