//! Natural frequencies: K x = (2 pi f)^2 M x for the lowest f.
//!
//! Block Krylov vectors of K^-1 M, made orthonormal in M twice over, and the Rayleigh-Ritz values of the whole basis
//! (B. N. Parlett, "The Symmetric Eigenvalue Problem", ch. 11 and 13, from memory). A block finds frequencies that come in
//! pairs, as those of a straight round tube do, where single vectors would find one of each pair. K is factorised and not
//! M: M may be singular, and K only when something is loose.

use std::f64::consts::PI;

use crate::frame::{FrameError, Six, System, dot};
use crate::skyline::{Factors, Sparse};

/// Vectors of a block.
const BLOCK: usize = 6;

/// The wanted values stand when a block more moves each by less than this part.
const SETTLED: f64 = 1e-9;

/// What is left of a vector after the others are taken out of it, below which it adds nothing.
const NOTHING: f64 = 1e-9;

/// A mode.
#[derive(Debug, Clone, PartialEq)]
pub struct Mode {
    /// Frequency, Hz.
    pub frequency: f64,
    /// For each tube, places from its start, m, and their translation and turn, scaled to one unit of modal mass (1 kg).
    pub tubes: Vec<Vec<(f64, Six)>>,
    /// The unknowns of that shape.
    pub(crate) shape: Vec<f64>,
}

/// The first `count` modes, fewer when the frame has not so many.
///
/// # Errors
/// [`FrameError::LooseTube`], [`FrameError::LooseBody`].
pub fn modes(system: &System, count: usize) -> Result<Vec<Mode>, FrameError> {
    let start = (0..BLOCK).map(|k| scattered(system.mass.size(), k)).collect();
    Ok(modes_from(system, &system.factors()?, count, start, SETTLED))
}

/// The same with the factors of the stiffness, from a first block of vectors; `settled`: the part by which a frequency may still
/// move.
pub(crate) fn modes_from(
    system: &System,
    factors: &Factors,
    count: usize,
    mut block: Vec<Vec<f64>>,
    settled: f64,
) -> Vec<Mode> {
    let mut krylov = Krylov { factors, mass: &system.mass, basis: Vec::new(), images: Vec::new() };
    let mut before: Vec<f64> = Vec::new();
    loop {
        let fresh = krylov.grow(block);
        let (values, vectors) = krylov.ritz();
        let wanted = count.min(values.len());
        let stands = before.len() >= count && (0..wanted).all(|k| (values[k] - before[k]).abs() <= settled * values[k]);
        if fresh == 0 || stands {
            let mode = |k: usize| {
                let shape = krylov.combine(&vectors[k]);
                let tubes = system.motion_of_tubes(&shape);
                Mode { frequency: 1.0 / (2.0 * PI * values[k].sqrt()), tubes, shape }
            };
            return (0..wanted).filter(|k| values[*k] > 0.0).map(mode).collect();
        }
        before = values;
        block = krylov.images[krylov.images.len() - fresh..].to_vec();
    }
}

/// Numbers from -1 to 1 that have no pattern; the same at every call.
fn scattered(size: usize, block: usize) -> Vec<f64> {
    let mut state = 0x9e37_79b9_7f4a_7c15_u64 ^ (block as u64 + 1).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let mut next = || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    };
    (0..size).map(|_| next()).collect()
}

struct Krylov<'a> {
    factors: &'a Factors,
    mass: &'a Sparse,
    /// Orthonormal in M.
    basis: Vec<Vec<f64>>,
    /// K^-1 M of each.
    images: Vec<Vec<f64>>,
}

impl Krylov<'_> {
    /// Takes in what a block adds; gives how many vectors that is.
    fn grow(&mut self, block: Vec<Vec<f64>>) -> usize {
        let before = self.basis.len();
        for mut vector in block {
            let whole = norm(&vector, self.mass);
            if whole.is_nan() || whole <= 0.0 {
                continue;
            }
            for _ in 0..2 {
                let heavy = self.mass.times(&vector);
                let shares: Vec<f64> = self.basis.iter().map(|b| dot(b, &heavy)).collect();
                for (share, b) in shares.iter().zip(&self.basis) {
                    vector.iter_mut().zip(b).for_each(|(v, b)| *v -= share * b);
                }
            }
            let left = norm(&vector, self.mass);
            if left > NOTHING * whole {
                vector.iter_mut().for_each(|v| *v /= left);
                self.images.push(self.factors.solve(&self.mass.times(&vector)));
                self.basis.push(vector);
            }
        }
        self.basis.len() - before
    }

    /// 1 / (2 pi f)^2 from the greatest on, and the shares of the basis in each.
    fn ritz(&self) -> (Vec<f64>, Vec<Vec<f64>>) {
        let heavy: Vec<Vec<f64>> = self.images.iter().map(|v| self.mass.times(v)).collect();
        // Symmetric but for rounding: the mean of both halves.
        let share = |i: usize, j: usize| 0.5 * (dot(&self.basis[i], &heavy[j]) + dot(&self.basis[j], &heavy[i]));
        let size = self.basis.len();
        let a: Vec<Vec<f64>> = (0..size).map(|i| (0..size).map(|j| share(i, j)).collect()).collect();
        eigen(a)
    }

    fn combine(&self, shares: &[f64]) -> Vec<f64> {
        let mut out = vec![0.0; self.mass.size()];
        for (share, b) in shares.iter().zip(&self.basis) {
            out.iter_mut().zip(b).for_each(|(sum, v)| *sum += share * v);
        }
        out
    }
}

fn norm(v: &[f64], mass: &Sparse) -> f64 {
    dot(v, &mass.times(v)).sqrt()
}

/// Rotations of Jacobi until nothing is left beside the diagonal: eigenvalues from the greatest on, and their vectors.
pub(crate) fn eigen(mut a: Vec<Vec<f64>>) -> (Vec<f64>, Vec<Vec<f64>>) {
    let n = a.len();
    let mut vectors: Vec<Vec<f64>> = (0..n).map(|i| (0..n).map(|j| f64::from(u8::from(i == j))).collect()).collect();
    let scale: f64 = (0..n).map(|i| a[i][i].abs()).fold(0.0, f64::max);
    for _sweep in 0..60 {
        let mut largest = 0.0_f64;
        for p in 0..n {
            for q in p + 1..n {
                largest = largest.max(a[p][q].abs());
                if a[p][q].abs() > 1e-16 * scale {
                    rotate(&mut a, &mut vectors, p, q);
                }
            }
        }
        if largest <= 1e-15 * scale {
            break;
        }
    }
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|i, j| a[*j][*j].total_cmp(&a[*i][*i]));
    (order.iter().map(|i| a[*i][*i]).collect(), order.iter().map(|i| vectors[*i].clone()).collect())
}

/// One rotation in the plane of p and q. `vectors` holds the eigenvectors as rows.
fn rotate(a: &mut [Vec<f64>], vectors: &mut [Vec<f64>], p: usize, q: usize) {
    let theta = (a[q][q] - a[p][p]) / (2.0 * a[p][q]);
    let t = theta.signum() / (theta.abs() + (theta * theta + 1.0).sqrt());
    let t = if theta == 0.0 { 1.0 } else { t };
    let c = 1.0 / (t * t + 1.0).sqrt();
    let s = t * c;
    for row in a.iter_mut() {
        let (x, y) = (row[p], row[q]);
        (row[p], row[q]) = (c * x - s * y, s * x + c * y);
    }
    turn_rows(a, [p, q], c, s);
    turn_rows(vectors, [p, q], c, s);
}

fn turn_rows(rows: &mut [Vec<f64>], [p, q]: [usize; 2], c: f64, s: f64) {
    let (before, from) = rows.split_at_mut(q);
    for (x, y) in before[p].iter_mut().zip(&mut from[0]) {
        (*x, *y) = (c * *x - s * *y, s * *x + c * *y);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_matrix_of_two_has_the_eigenvalues_worked_by_hand() {
        let (values, vectors) = eigen(vec![vec![2.0, 1.0], vec![1.0, 2.0]]);
        assert!((values[0] - 3.0).abs() < 1e-14 && (values[1] - 1.0).abs() < 1e-14);
        assert!((vectors[0][0] - vectors[0][1]).abs() < 1e-14);
    }
}
