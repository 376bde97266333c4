//! What an engine's shake does in each mode.
//!
//! Shaken at its supports with an acceleration a along x, y or z at the frequency of a mode, a frame answers in the shape of
//! that mode with the amplitude Q G a / w^2: w = 2 pi f, Q = [`QUALITY`], and G = phi' M r the mode's share in the rigid motion
//! r. Stresses follow from the forces of the shape. For a mode of 1 kg the effective mass along a direction is G^2, kg.
//! Elementary dynamics of one degree of freedom; held by a test against a mass on a light tube.

use std::f64::consts::PI;

use crate::frame::{Frame, StretchForces, System};
use crate::matrix::{apply, dot};
use crate::modes::Mode;
use crate::stress::worst_range;

/// Resonance over the quasi-static answer: 2 % of critical damping of welded steel with joints (common practice, no source; 15
/// to 50).
pub const QUALITY: f64 = 25.0;

/// Acceleration of gravity, m/s2.
const G: f64 = 9.806_65;

/// What a mode means.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shake {
    /// Share in a rigid motion along x, y and z, kg^0.5; its square is the effective mass, kg.
    pub shares: [f64; 3],
    /// Greatest stress amplitude, Pa, for 1 g along the worst direction at resonance.
    pub stress_per_g: f64,
    /// Tube and place, m, of that stress.
    pub at: (usize, f64),
}

impl System {
    /// Shares of a shape in rigid motions along x, y and z, kg^0.5.
    pub(crate) fn shares(&self, shape: &[f64]) -> [f64; 3] {
        let mut sums = [0.0; 3];
        for member in &self.members {
            let heavy = apply(&member.matrices.mass, &self.moved(member, shape, true));
            for (axis, sum) in sums.iter_mut().enumerate() {
                *sum += heavy[axis] + heavy[6 + axis];
            }
        }
        for (motion, mass) in &self.weights {
            let heavy = apply(mass, &motion.of_unknowns(shape));
            for (axis, sum) in sums.iter_mut().enumerate() {
                *sum += heavy[axis];
            }
        }
        sums
    }

    /// What a mode of this frame means; `end_weld`: stress factor at both ends of every tube.
    pub fn shake(&self, frame: &Frame, mode: &Mode, end_weld: f64) -> Shake {
        self.shake_of(frame, &mode.shape, mode.frequency, end_weld)
    }

    fn shake_of(&self, frame: &Frame, shape: &[f64], frequency: f64, end_weld: f64) -> Shake {
        shaken(frame, &self.stretches(shape, true), self.shares(shape), (frequency, end_weld))
    }
}

/// What a mode means whose shape makes these forces and has these shares.
pub(crate) fn shaken(
    frame: &Frame,
    forces: &[Vec<StretchForces>],
    shares: [f64; 3],
    (frequency, end_weld): (f64, f64),
) -> Shake {
    let amplitude = QUALITY * dot(&shares, &shares).sqrt() * G / (2.0 * PI * frequency).powi(2);
    let mut worst = Shake { shares, stress_per_g: 0.0, at: (0, 0.0) };
    for (tube, stretches) in forces.iter().enumerate() {
        let found = worst_range(&frame.tubes[tube].section, stretches, end_weld);
        if amplitude * found.range > worst.stress_per_g {
            worst = Shake { stress_per_g: amplitude * found.range, at: (tube, found.at), ..worst };
        }
    }
    worst
}
