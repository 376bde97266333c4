//! Clearance and the automatic router: from a job to its routes.

pub mod approach;
pub mod bodies;
pub mod clearance;
pub mod edit;
pub mod finding;
pub mod fixture;
pub mod goes_on;
pub mod jig;
pub mod judge;
pub mod laid;
pub mod nearest;
pub mod obstacle;
pub mod problem;
pub mod proof;
pub mod recount;
pub mod relax;
mod router;
pub mod search;
pub mod sensors;
pub mod tools;
pub mod torch;

pub use router::{RouteSettings, Routed, route};
