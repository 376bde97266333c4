//! Simulated builds: the exact chain with every error drawn at random.

use crate::chain::Miss;
use crate::random::Normals;
use crate::run::Run;
use crate::sources::{Term, with_errors};

/// How many builds stand behind a chance: 2000 tell a chance of a half to one part in ninety.
pub const BUILDS: usize = 2000;

/// Seed of all simulations.
pub const SEED: u64 = 20_260_503;

/// When an end goes in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// Greatest distance, mm.
    pub within: f64,
    /// Greatest angle, rad.
    pub angle: f64,
    /// How far the end slides along its inlet either way, mm; 0: it is butted.
    pub slip: f64,
}

impl Limit {
    /// The same for an end that is butted.
    pub fn butted(self) -> Limit {
        Limit { slip: 0.0, ..self }
    }

    /// The same for an end that slides by at least so much.
    pub fn sliding(self, slip: f64) -> Limit {
        Limit { slip: self.slip.max(slip), ..self }
    }

    /// Distance from the inlet that is left when the end slides as near as it can, mm.
    pub fn left(&self, miss: &Miss) -> f64 {
        (miss.parts[0].abs() - self.slip).max(0.0).hypot(miss.across())
    }

    /// Whether an end that misses its inlet so goes in.
    pub fn holds(&self, miss: &Miss) -> bool {
        self.left(miss) <= self.within && miss.angle <= self.angle
    }
}

/// A share of builds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chance {
    /// From 0 to 1.
    pub share: f64,
    /// The builds it was counted on.
    pub builds: usize,
}

/// How simulated builds came out.
#[derive(Debug, Clone, PartialEq)]
pub struct Builds {
    /// Each one's miss at the inlet.
    pub misses: Vec<Miss>,
    /// Each one's length of the centreline, mm.
    pub lengths: Vec<f64>,
}

impl Builds {
    /// `count` builds of a run with those errors about some figures.
    pub fn of(run: &Run, figures: &[f64], terms: &[Term], count: usize, seed: u64) -> Builds {
        let mut normals = Normals::new(seed);
        let (mut misses, mut lengths) = (Vec::with_capacity(count), Vec::with_capacity(count));
        let mut errors = vec![0.0; terms.len()];
        for _ in 0..count {
            for (error, term) in errors.iter_mut().zip(terms) {
                *error = term.mean + term.sd * normals.next();
            }
            let built = with_errors(figures, terms, &errors);
            misses.push(run.chain.miss(&built));
            lengths.push(run.chain.length(&built));
        }
        Builds { misses, lengths }
    }

    /// The share of them for which something holds.
    pub fn chance(&self, holds: impl Fn(&Miss) -> bool) -> Chance {
        let count = self.misses.iter().filter(|m| holds(m)).count();
        Chance { share: count as f64 / self.misses.len().max(1) as f64, builds: self.misses.len() }
    }

    /// Mean of one part of the miss.
    pub fn mean(&self, part: usize) -> f64 {
        self.misses.iter().map(|m| m.parts[part]).sum::<f64>() / self.misses.len().max(1) as f64
    }

    /// Standard deviation of one part of the miss.
    pub fn sd(&self, part: usize) -> f64 {
        let mean = self.mean(part);
        let sum: f64 = self.misses.iter().map(|m| (m.parts[part] - mean).powi(2)).sum();
        (sum / self.misses.len().saturating_sub(1).max(1) as f64).sqrt()
    }
}
