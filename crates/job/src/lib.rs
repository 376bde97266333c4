//! The job: what was measured and wanted, with every value checked.
//!
//! `model` holds checked values only. Everything is in millimetres and radians.

pub mod firing;
pub mod model;
pub mod problem;
pub mod routes;
pub mod source;
pub mod suggest;
