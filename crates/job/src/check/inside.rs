//! Whether a place lies inside a keep-out.
//!
//! Distances to box, cylinder, capsule and sphere are exact, negative inside (elementary geometry).
//! Inside a mesh is decided by counting crossings of three rays, the majority of which holds even
//! where a scan has small holes.

use geom::{Mesh, Vec3};

use crate::model::Shape;

/// Signed distance from a place to the surface of a solid, mm, negative inside.
///
/// For a mesh it is -1 inside and +infinity outside: only the side is known.
pub fn signed_distance(shape: &Shape, p: Vec3) -> f64 {
    match shape {
        Shape::Box { center, size, axes } => {
            let d = p - *center;
            let over = Vec3::new(d.dot(axes[0]).abs(), d.dot(axes[1]).abs(), d.dot(axes[2]).abs()) - *size * 0.5;
            over.max(Vec3::ZERO).length() + over.max_element().min(0.0)
        }
        Shape::Cylinder { from, to, radius } => {
            let axis = *to - *from;
            let length = axis.length();
            let unit = axis / length;
            let along = (p - *from).dot(unit) - 0.5 * length;
            let across = (p - *from).reject_from_normalized(unit).length();
            let (a, b) = (across - radius, along.abs() - 0.5 * length);
            a.max(0.0).hypot(b.max(0.0)) + a.max(b).min(0.0)
        }
        Shape::Capsule { from, to, radius } => {
            let axis = *to - *from;
            let t = ((p - *from).dot(axis) / axis.length_squared()).clamp(0.0, 1.0);
            (p - (*from + axis * t)).length() - radius
        }
        Shape::Sphere { center, radius } => (p - *center).length() - radius,
        Shape::Mesh(mesh) => {
            if inside_mesh(mesh, p) {
                -1.0
            } else {
                f64::INFINITY
            }
        }
    }
}

fn inside_mesh(mesh: &Mesh, p: Vec3) -> bool {
    let (low, high) =
        mesh.vertices.iter().fold((Vec3::INFINITY, Vec3::NEG_INFINITY), |(l, h), v| (l.min(*v), h.max(*v)));
    if p.cmplt(low).any() || p.cmpgt(high).any() {
        return false;
    }
    let odd = |axis: usize| crossings(mesh, p, axis) % 2 == 1;
    let (first, second) = (odd(0), odd(1));
    if first == second { first } else { odd(2) }
}

/// Crossings of the ray from `p` along +axis with the triangles.
///
/// A ray through an edge meets it in exactly one of its two triangles, because the side tests take the
/// lower end of each edge and leave out the upper.
fn crossings(mesh: &Mesh, p: Vec3, axis: usize) -> usize {
    let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
    let mut count = 0;
    for t in &mesh.triangles {
        let corner = |i: usize| mesh.vertices.get(t[i] as usize).copied();
        let (Some(a), Some(b), Some(c)) = (corner(0), corner(1), corner(2)) else { continue };
        let (a, b, c) = (a - p, b - p, c - p);
        if a[axis] < 0.0 && b[axis] < 0.0 && c[axis] < 0.0 {
            continue;
        }
        let mut odd = false;
        for (s, e) in [(a, b), (b, c), (c, a)] {
            if (s[v] > 0.0) != (e[v] > 0.0) && s[u] - s[v] * (e[u] - s[u]) / (e[v] - s[v]) > 0.0 {
                odd = !odd;
            }
        }
        if !odd {
            continue;
        }
        let normal = (b - a).cross(c - a);
        if normal[axis] != 0.0 && a.dot(normal) / normal[axis] > 0.0 {
            count += 1;
        }
    }
    count
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_of_solids_by_hand() {
        let cube = Shape::Box { center: Vec3::ZERO, size: Vec3::splat(2.0), axes: [Vec3::X, Vec3::Y, Vec3::Z] };
        assert_eq!(signed_distance(&cube, Vec3::ZERO), -1.0);
        assert_eq!(signed_distance(&cube, Vec3::new(4.0, 5.0, 0.0)), 5.0);
        let can = Shape::Cylinder { from: Vec3::ZERO, to: Vec3::X * 10.0, radius: 2.0 };
        assert_eq!(signed_distance(&can, Vec3::X * 5.0), -2.0);
        assert_eq!(signed_distance(&can, Vec3::new(13.0, 6.0, 0.0)), 5.0);
    }

    #[test]
    fn a_place_in_a_tetrahedron_is_inside_whichever_way_its_faces_turn() {
        let vertices = vec![Vec3::ZERO, Vec3::X * 10.0, Vec3::Y * 10.0, Vec3::Z * 10.0];
        let mesh = Mesh { vertices, triangles: vec![[0, 1, 2], [0, 3, 1], [0, 2, 3], [1, 3, 2]] };
        assert!(inside_mesh(&mesh, Vec3::splat(1.0)));
        assert!(!inside_mesh(&mesh, Vec3::splat(4.0)));
        assert!(!inside_mesh(&mesh, Vec3::splat(-1.0)));
    }
}
