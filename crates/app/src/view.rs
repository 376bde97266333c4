//! What the page shows of a job: plain values in millimetres and degrees, nothing left to compute.

pub mod bay;
pub mod finding;
pub mod line;
pub mod picture;
pub mod plan;
pub mod problem;
pub mod quote;
pub mod routes;
pub mod sizes;

use geom::Vec3;

use crate::summary::rounded;

/// A place or direction as three numbers, rounded to a micrometre.
pub(crate) fn triple(v: Vec3) -> [f64; 3] {
    [rounded(v.x), rounded(v.y), rounded(v.z)]
}
