//! The arrays of a field: what is known of every cell and face, and what its pipe is like there.

use crate::flux::Flux;

/// A face value below this part of its cell's is not trusted.
pub(super) const LEAST_PART: f64 = 0.1;

pub(super) type Lane = Vec<f64>;

/// Conserved quantities per volume.
#[derive(Debug, Clone, Default)]
pub(super) struct Conserved {
    pub(super) mass: Lane,
    pub(super) momentum: Lane,
    pub(super) energy: Lane,
    pub(super) burned: Lane,
}

/// Primitives and what the equation of state gives with them; density is the conserved one.
#[derive(Debug, Clone, Default)]
pub(super) struct Cells {
    pub(super) u: Lane,
    pub(super) p: Lane,
    pub(super) b: Lane,
    /// Speed of sound.
    pub(super) c: Lane,
    pub(super) t: Lane,
    /// 1 / (gamma - 1) of small changes: cv / R.
    pub(super) k: Lane,
    /// e - cv T: the energy that the local straight line leaves at T = 0.
    pub(super) e0: Lane,
    /// Change of that by the burned fraction.
    pub(super) e_b: Lane,
    /// 1 / (rho c^2).
    pub(super) soft: Lane,
}

/// Flux through the face at an end of a pipe, along the pipe.
#[derive(Debug, Clone, Copy)]
pub(super) struct EndFlux {
    pub(super) face: usize,
    pub(super) flux: Flux,
}

#[derive(Debug, Clone, Default)]
pub(super) struct Shape {
    /// 1/m; 0 in ghosts.
    pub(super) inv_dx: Lane,
    /// Area of the face on the left, m2.
    pub(super) area: Lane,
    /// 1/m3; 0 in ghosts.
    pub(super) inv_volume: Lane,
    /// Growth of area over volume, 1/m.
    pub(super) growth: Lane,
    /// Friction over 2 D and losses over 2, 1/m; without Reynolds number.
    pub(super) fixed: Lane,
    /// 1 / (2 D) where friction comes from the Reynolds number, 1/m.
    pub(super) by_reynolds: Lane,
    /// Fully rough friction factor.
    pub(super) rough: Lane,
    pub(super) diameter: Lane,
    /// 4 St / D of a friction factor of 1, times the heat factor, 1/m; 0 without heat.
    pub(super) heat: Lane,
    pub(super) wall_k: Lane,
}
