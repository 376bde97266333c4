//! What leaves the program for other programs and machines: solids, meshes, drawings and tables in open formats.
//!
//! [`Header`] is what is exported: the runs of a job and their pieces. Each format is a thin writer from it, from a
//! [`template::Drawing`] or from a [`table::Table`] to bytes; nothing is decided here that is not said by
//! routes and cut plan. Lengths in mm.
//!
//! The crate reads no file and no clock and prints nothing: the same input gives the same bytes.

pub mod bending;
pub mod cutlist;
pub mod dxf;
mod elements;
mod emboss;
mod error;
pub mod glb;
mod header;
mod legend;
mod markup;
pub mod mesh;
pub mod name;
pub mod solid;
pub mod step;
pub mod stl;
pub mod svg;
pub mod table;
pub mod threemf;
pub mod trial;
pub mod xlsx;

pub use elements::elements;
pub use error::ExportError;
pub use header::{Header, HeaderPiece, Run};
pub use mesh::Body;
