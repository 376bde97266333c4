//! Geometry of tubes: centrelines of straights and true arcs, exact lengths and distances.
//!
//! Everything is in millimetres and radians. Nothing here reads a file, a clock or the
//! environment, and nothing prints.

mod aabb;
mod centreline;
mod distance;
mod distance_self;
mod distance_solid;
mod element;
mod frame;
pub mod mesh;
mod nearest;
mod solid;
mod tolerance;
mod tube;

pub use aabb::Aabb;
pub use centreline::{Bend, Centreline, CentrelineError, LraStep};
pub use distance::{Closest, distance_centrelines, distance_elements, distance_elements_below, distance_point_element};
pub use distance_self::distance_self;
pub use distance_solid::{Approach, distance_element_solid};
pub use element::{Arc, Element, Straight};
pub use frame::{Frame, any_perpendicular, rotate_about, signed_angle};
pub use glam::DVec3 as Vec3;
pub use mesh::{Mesh, MeshError, MeshFormat, MeshPlace, MeshReport, RawMesh};
pub use nearest::Nearest;
pub use solid::Solid;
pub use tolerance::{ANGLE_EPS, LENGTH_EPS};
pub use tube::{BendWall, bend_wall, bore_volume, metal_volume, outside_volume, tube_mass};
