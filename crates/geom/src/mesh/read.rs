//! From the bytes of a mesh file to triangles.
//!
//! The readers trust nothing: a damaged file gives an error that says where, what was expected and
//! what to do, never a panic, and no count in a file makes them ask for more memory than the file
//! could fill.

use super::{MeshError, RawMesh, glb, obj, ply, stl};

/// Formats of mesh files.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeshFormat {
    /// STL, as text or binary.
    Stl,
    /// Wavefront OBJ.
    Obj,
    /// PLY, as text or binary of either byte order.
    Ply,
    /// glTF 2.0 in its binary form.
    Glb,
}

impl MeshFormat {
    /// The format that files with this extension (without dot, any case) are in.
    ///
    /// # Example
    /// ```
    /// # use geom::mesh::MeshFormat;
    /// assert_eq!(MeshFormat::from_extension("STL"), Some(MeshFormat::Stl));
    /// assert_eq!(MeshFormat::from_extension("txt"), None);
    /// ```
    pub fn from_extension(extension: &str) -> Option<Self> {
        match extension.to_ascii_lowercase().as_str() {
            "stl" => Some(MeshFormat::Stl),
            "obj" => Some(MeshFormat::Obj),
            "ply" => Some(MeshFormat::Ply),
            "glb" => Some(MeshFormat::Glb),
            _ => None,
        }
    }
}

/// Reads the triangles of a mesh file, in the file's own unit.
///
/// # Errors
/// [`MeshError`] for the first thing that is wrong, with its place in the file.
pub fn read(bytes: &[u8], format: MeshFormat) -> Result<RawMesh, MeshError> {
    let mesh = match format {
        MeshFormat::Stl => stl::read(bytes),
        MeshFormat::Obj => obj::read(bytes),
        MeshFormat::Ply => ply::read(bytes),
        MeshFormat::Glb => glb::read(bytes),
    }?;
    if mesh.triangles.is_empty() { Err(MeshError::Empty) } else { Ok(mesh) }
}
