//! Triangle meshes.

use crate::{Aabb, Nearest, Vec3};

/// A triangle mesh in mm.
#[derive(Debug, Clone)]
pub struct Mesh {
    /// Corners.
    pub vertices: Vec<Vec3>,
    /// Three corners each.
    pub triangles: Vec<[u32; 3]>,
}

impl Mesh {
    /// Distance of `p` from the surface and its gradient; see [`crate::Solid::nearest`].
    pub fn nearest(&self, p: Vec3, limit: f64) -> Nearest {
        let mut best = Nearest { distance: limit, normal: Vec3::Z };
        for t in &self.triangles {
            let [a, b, c] = t.map(|i| self.vertices[i as usize]);
            let away = p - closest_on_triangle(p, a, b, c);
            let distance = away.length();
            if distance < best.distance {
                let normal = if distance > 0.0 { away / distance } else { (b - a).cross(c - a).normalize_or(Vec3::Z) };
                best = Nearest { distance, normal };
            }
        }
        best
    }

    /// The least box along the axes around it.
    pub fn bounds(&self) -> Aabb {
        Aabb::around(self.vertices.iter().copied())
    }
}

/// The point of triangle `a b c` closest to `p`, by the regions of its corners, edges and face
/// (Ericson, Real-Time Collision Detection, 2005, section 5.1.5; from memory).
fn closest_on_triangle(p: Vec3, a: Vec3, b: Vec3, c: Vec3) -> Vec3 {
    let (ab, ac, ap) = (b - a, c - a, p - a);
    let (d1, d2) = (ab.dot(ap), ac.dot(ap));
    if d1 <= 0.0 && d2 <= 0.0 {
        return a;
    }
    let bp = p - b;
    let (d3, d4) = (ab.dot(bp), ac.dot(bp));
    if d3 >= 0.0 && d4 <= d3 {
        return b;
    }
    let vc = d1 * d4 - d3 * d2;
    if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 {
        return a + ab * (d1 / (d1 - d3));
    }
    let cp = p - c;
    let (d5, d6) = (ab.dot(cp), ac.dot(cp));
    if d6 >= 0.0 && d5 <= d6 {
        return c;
    }
    let vb = d5 * d2 - d1 * d6;
    if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 {
        return a + ac * (d2 / (d2 - d6));
    }
    let va = d3 * d6 - d5 * d4;
    if va <= 0.0 && d4 >= d3 && d5 >= d6 {
        return b + (c - b) * ((d4 - d3) / ((d4 - d3) + (d5 - d6)));
    }
    let denominator = va + vb + vc;
    a + ab * (vb / denominator) + ac * (vc / denominator)
}
