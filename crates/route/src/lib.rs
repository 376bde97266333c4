//! Clearance and the automatic router: from a job to its routes.

pub mod inlets;
pub mod problem;
pub mod search;
pub mod tools;
