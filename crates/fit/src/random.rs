//! Normal random numbers from a seed, the same on every machine.

use oorandom::Rand64;

/// A source of normal random numbers.
#[derive(Debug)]
pub struct Normals {
    random: Rand64,
    spare: Option<f64>,
}

impl Normals {
    /// From a seed.
    pub fn new(seed: u64) -> Normals {
        Normals { random: Rand64::new(u128::from(seed)), spare: None }
    }

    /// The next one: mean 0, standard deviation 1. Polar method of Marsaglia.
    pub fn next(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        loop {
            let [u, v] = [0, 1].map(|_| 2.0 * self.random.rand_float() - 1.0);
            let s = u * u + v * v;
            if s > 0.0 && s < 1.0 {
                let factor = (-2.0 * s.ln() / s).sqrt();
                self.spare = Some(v * factor);
                return u * factor;
            }
        }
    }
}
