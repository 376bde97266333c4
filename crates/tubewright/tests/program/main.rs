//! The program run as a user runs it.
#![allow(clippy::unwrap_used)]

#[cfg(unix)]
mod build_set;
mod commands;
mod export;
mod fit;
mod gas;
#[cfg(unix)]
mod hard_to_break;
mod papers;
mod price;
mod strength;
mod survey;
mod user;
