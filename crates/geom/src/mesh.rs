//! Triangle meshes.

use crate::Vec3;

/// A triangle mesh in mm.
#[derive(Debug, Clone)]
pub struct Mesh {
    /// Corners.
    pub vertices: Vec<Vec3>,
    /// Three corners each.
    pub triangles: Vec<[u32; 3]>,
}
