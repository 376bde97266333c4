//! The local server: the page and its API.
//!
//! One file in `api` for each resource. The work is done by `app` and the stages, as for the command line; this crate decides
//! who may call, parses requests, stores documents and builds responses.

mod address;
mod api;
mod connections;
mod errors;
mod events;
mod examples;
mod extract;
mod guard;
mod job_view;
mod loaded;
mod lockout;
mod memory;
mod mesh_cache;
mod page;
mod photo_cache;
mod plain_text;
mod revision_cache;
mod session;
mod settings;
mod shop;
mod signals;
mod start;
mod stored;
mod work;

pub use api::openapi;
pub use session::{SHORTEST as SHORTEST_PASSWORD, hash_password};
pub use settings::ServerSettings;
pub use signals::shutdown_signal;
pub use start::{PASSWORD, ServeError, Server, default_file, log_to_stderr};
