//! The program run as a user runs it.
#![allow(clippy::unwrap_used)]

#[cfg(unix)]
mod build_set;
mod commands;
mod export;
#[cfg(unix)]
mod hard_to_break;
mod papers;
mod price;
mod survey;
mod user;
