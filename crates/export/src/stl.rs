//! Binary STL: 80 bytes of head, a count, 50 bytes a triangle; millimetres, little-endian.

use crate::ExportError;
use crate::mesh::Triangles;

/// Meshes as one binary STL.
///
/// # Errors
/// [`ExportError::TooLarge`] above the 4 294 967 295 triangles that the format can count.
pub fn stl(meshes: &[Triangles]) -> Result<Vec<u8>, ExportError> {
    let count: usize = meshes.iter().map(|m| m.triangles.len()).sum();
    let count = u32::try_from(count).map_err(|_| ExportError::TooLarge { what: "the mesh".into(), format: "STL" })?;
    // A head that begins with `solid` would be taken for text.
    let mut bytes = b"binary STL, millimetres".to_vec();
    bytes.resize(80, b' ');
    bytes.extend(count.to_le_bytes());
    for mesh in meshes {
        for triangle in &mesh.triangles {
            let corners = triangle.map(|i| mesh.points[i as usize]);
            let normal = (corners[1] - corners[0]).cross(corners[2] - corners[0]).normalize_or_zero();
            for v in std::iter::once(normal).chain(corners) {
                for value in [v.x, v.y, v.z] {
                    bytes.extend((value as f32).to_le_bytes());
                }
            }
            bytes.extend([0, 0]);
        }
    }
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::Vec3;

    #[test]
    fn one_triangle_takes_134_bytes() {
        let points = vec![Vec3::ZERO, Vec3::X, Vec3::Y];
        let bytes = stl(&[Triangles { points, triangles: vec![[0, 1, 2]] }]).unwrap();
        assert_eq!(bytes.len(), 134);
        assert_eq!(&bytes[80..84], &1u32.to_le_bytes());
        assert_eq!(&bytes[92..96], &1f32.to_le_bytes());
    }
}
