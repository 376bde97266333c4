//! Natural frequencies: K x = (2 pi f)^2 M x for the lowest f.
//!
//! Block Krylov vectors of K^-1 M, made orthonormal in M twice over, and the Rayleigh-Ritz values of the whole basis
//! (B. N. Parlett, "The Symmetric Eigenvalue Problem", ch. 11 and 13, from memory). A block finds frequencies that come in
//! pairs, as those of a straight round tube do, where single vectors would find one of each pair. K is factorised and not
//! M: M may be singular, and K only when something is loose.

use std::f64::consts::PI;

use crate::eigen::eigen;
use crate::frame::{FrameError, Six, System};
use crate::matrix::dot;
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
    Ok(modes_with(system, &system.factors()?, count))
}

/// The same with the factors of the stiffness.
pub(crate) fn modes_with(system: &System, factors: &Factors, count: usize) -> Vec<Mode> {
    let start = (0..BLOCK).map(|k| scattered(system.mass.size(), k)).collect();
    modes_from(system, factors, count, start, SETTLED)
}

/// The same from a first block of vectors; `settled`: the part by which a frequency may still
/// move.
pub(crate) fn modes_from(
    system: &System,
    factors: &Factors,
    count: usize,
    mut block: Vec<Vec<f64>>,
    settled: f64,
) -> Vec<Mode> {
    let mut krylov = Krylov {
        factors,
        mass: &system.mass,
        basis: Vec::new(),
        heavy: Vec::new(),
        images: Vec::new(),
        shares: Vec::new(),
    };
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
    /// M times each.
    heavy: Vec<Vec<f64>>,
    /// K^-1 M of each.
    images: Vec<Vec<f64>>,
    /// The images' shares in the basis, below and on the diagonal.
    shares: Vec<Vec<f64>>,
}

impl Krylov<'_> {
    /// Takes in what a block adds; gives how many vectors that is.
    fn grow(&mut self, block: Vec<Vec<f64>>) -> usize {
        let before = self.basis.len();
        for mut vector in block {
            let whole = norm(&vector, &self.mass.times(&vector));
            if whole.is_nan() || whole <= 0.0 {
                continue;
            }
            for _ in 0..2 {
                let shares: Vec<f64> = self.heavy.iter().map(|h| dot(h, &vector)).collect();
                for (share, b) in shares.iter().zip(&self.basis) {
                    vector.iter_mut().zip(b).for_each(|(v, b)| *v -= share * b);
                }
            }
            let mut heavy = self.mass.times(&vector);
            let left = norm(&vector, &heavy);
            if left > NOTHING * whole {
                vector.iter_mut().chain(&mut heavy).for_each(|v| *v /= left);
                self.take(vector, heavy);
            }
        }
        self.basis.len() - before
    }

    /// Takes in a vector and M times it.
    fn take(&mut self, vector: Vec<f64>, heavy: Vec<f64>) {
        let image = self.factors.solve(&heavy);
        self.basis.push(vector);
        self.heavy.push(heavy);
        self.images.push(image);
        let (last, image) = (&self.heavy[self.heavy.len() - 1], &self.images[self.images.len() - 1]);
        // Symmetric but for rounding: the mean of both halves.
        let share = |(h, i): (&Vec<f64>, &Vec<f64>)| 0.5 * (dot(h, image) + dot(last, i));
        self.shares.push(self.heavy.iter().zip(&self.images).map(share).collect());
    }

    /// 1 / (2 pi f)^2 from the greatest on, and the shares of the basis in each.
    fn ritz(&self) -> (Vec<f64>, Vec<Vec<f64>>) {
        let size = self.basis.len();
        let whole = |i: usize| (0..size).map(|j| self.shares[i.max(j)][i.min(j)]).collect();
        eigen((0..size).map(whole).collect())
    }

    fn combine(&self, shares: &[f64]) -> Vec<f64> {
        let mut out = vec![0.0; self.mass.size()];
        for (share, b) in shares.iter().zip(&self.basis) {
            out.iter_mut().zip(b).for_each(|(sum, v)| *sum += share * v);
        }
        out
    }
}

fn norm(v: &[f64], heavy: &[f64]) -> f64 {
    dot(v, heavy).sqrt()
}
