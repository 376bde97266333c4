//! One file for each command.

pub mod check;
pub mod new;
pub mod schema;
