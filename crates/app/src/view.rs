//! What the page shows of a job: plain values in millimetres and degrees, nothing left to compute.

pub mod assembly;
pub mod bay;
pub mod codes;
pub mod finding;
pub mod fit;
pub mod line;
pub mod photos;
pub mod picture;
pub mod plan;
pub mod problem;
pub mod quote;
pub mod routes;
pub mod sizes;
pub mod survey;

use geom::Vec3;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::summary::rounded;

/// A point in mm, or a direction: x, y, z.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[schema(value_type = (f64, f64, f64))]
pub struct Xyz(pub [f64; 3]);

impl From<Xyz> for Vec3 {
    fn from(xyz: Xyz) -> Self {
        Vec3::from_array(xyz.0)
    }
}

/// A point or direction, rounded to a micrometre.
pub(crate) fn xyz(v: Vec3) -> Xyz {
    Xyz([rounded(v.x), rounded(v.y), rounded(v.z)])
}
