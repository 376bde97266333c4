//! How far a place is from a keep-out, negative inside.

use geom::{Solid, Vec3};

use crate::model::Shape;

/// Signed distance from a place to the surface of a keep-out, mm; see [`geom::Solid`].
pub fn signed_distance(shape: &Shape, p: Vec3) -> f64 {
    let solid = match shape {
        Shape::Box { center, size, axes } => Solid::Box { center: *center, size: *size, axes: *axes },
        Shape::Cylinder { from, to, radius } => Solid::Cylinder { from: *from, to: *to, radius: *radius },
        Shape::Capsule { from, to, radius } => Solid::Capsule { from: *from, to: *to, radius: *radius },
        Shape::Sphere { center, radius } => Solid::Sphere { center: *center, radius: *radius },
        Shape::Mesh(mesh) => Solid::Mesh(mesh.clone()),
    };
    solid.nearest(p, f64::INFINITY).distance
}
