//! One file for each command.

pub mod build;
pub mod check;
pub mod cut;
pub mod export;
pub mod new;
pub mod papers;
pub mod price;
pub mod route;
mod routed;
pub mod schema;
pub mod serve;
pub mod size;
