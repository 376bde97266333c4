//! The job: its files, its catalogue, what was measured and wanted, with every value checked.
//!
//! [`open()`] reads a job from its [`Documents`] (a [`Folder`], or a store) into a [`model::Job`] and says everything that is
//! wrong with it; [`open_routes`] and [`write_routes`] do the same for its routes. `model` holds checked values only,
//! in millimetres and radians.

pub mod bender;
pub mod body;
pub mod body_solids;
pub mod catalogue;
pub mod check;
pub mod details;
mod documents;
pub mod face;
pub mod file;
pub mod firing;
pub mod fit;
pub mod heat;
pub mod inlets;
pub mod mesh_file;
pub mod model;
mod money;
mod monitor;
mod open;
mod open_extras;
pub mod palette;
pub mod parts;
pub mod problem;
pub mod quantity;
pub mod rates;
pub mod routes;
pub mod schema;
pub mod show;
pub mod size;
pub mod source;
pub mod starter;
pub mod suggest;
pub mod survey;
pub mod write;

pub use documents::{Document, Documents, Folder};
pub use file::job_file::Given;
pub use mesh_file::{MeshFiles, no_mesh_files};
pub use monitor::{Monitor, NEVER, Pace, StepsAhead, UNCOUNTED};
pub use open::{
    Opened, Reading, ShopRates, open, open_routes, read, read_documents, read_job, routes_text, write_routes,
};
pub use open_extras::{JobExtras, read_extras};
pub use problem::{Place, Problem, Problems, Severity};
pub use write::write_atomic;
