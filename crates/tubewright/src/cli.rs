//! One file for each command.

pub mod build;
pub mod check;
pub mod cut;
pub mod export;
pub mod fit;
pub mod gas;
pub mod new;
pub mod opened;
pub mod price;
pub mod route;
pub mod schema;
pub mod serve;
pub mod sheets;
pub mod size;
pub mod strength;
pub mod survey;
