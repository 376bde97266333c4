//! One file for each command.

pub mod build;
pub mod check;
pub mod cut;
pub mod export;
pub mod new;
pub mod opened;
pub mod papers;
pub mod price;
pub mod route;
pub mod schema;
pub mod serve;
pub mod size;
pub mod survey;
