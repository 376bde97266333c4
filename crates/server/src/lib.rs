//! The local server: the page and the calls behind it.
//!
//! One file in `api` for each resource. What a call does is done by `app` and the stages, exactly as the command line
//! does it; here stands who may call, what is read from a call, where it is kept, and what is answered.

mod api;
mod cache;
mod desk;
mod errors;
mod examples;
mod extract;
mod guard;
mod job_view;
mod page;
mod plain_text;
mod searches;
mod session;
mod settings;
mod shop;
mod start;
mod told;

pub use api::openapi;
pub use session::{SHORTEST as SHORTEST_PASSWORD, hash_password};
pub use settings::Settings;
pub use start::{PASSWORD, ServeError, Server, asked_to_end, default_file, fill_if_empty, log_to_stderr};
