//! One file for each thing a user can do. Knows no terminal and no network.

pub mod check_job;
