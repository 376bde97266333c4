//! One file for each thing a user can do. Knows no terminal and no network.

pub mod alternatives;
pub mod archive;
pub mod build;
pub mod check_job;
pub mod cut_job;
pub mod edit_job;
pub mod export_job;
mod file_set;
pub mod fixture_job;
mod fonts;
pub mod gas_job;
pub mod gas_model;
pub mod gas_worth;
pub mod open_job;
pub mod papers_job;
pub mod price_job;
pub mod quote_file;
pub mod report;
pub mod route_job;
pub mod saved_plan;
pub mod shelf;
pub mod size_job;
pub mod summary;
pub mod tree;
pub mod trial;
pub mod view;
pub mod wording;
