//! The answer to how far a point is from a thing.

use crate::Vec3;

/// How far a point is from a solid, and the way out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// Signed distance from the surface, mm; negative inside.
    pub distance: f64,
    /// Unit gradient of the distance: away from the surface outside, towards it inside.
    ///
    /// Where there is none (the centre of a ball, an edge seen from inside) it is one of those
    /// that are best.
    pub normal: Vec3,
}
