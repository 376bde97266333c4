//! Drawings at full size: flanges, wrap templates of cuts, flat patterns of sheet.
//!
//! A maker takes plain measures in mm and rad and returns a [`Drawing`], which is neutral: no page, no
//! file format. What writes it (PDF, DXF, SVG) decides nothing any more. All coordinates are mm at 1:1,
//! x to the right, y up.
//!
//! The crate reads no file and no clock and prints nothing.

pub mod adapter;
pub mod cope;
mod drawing;
mod error;
pub mod fixture;
pub mod flange;
pub mod header;
mod hull;
mod lines;
pub mod merge;
pub mod mitre;
pub mod sheet;
mod slip;
pub mod wrap;

pub use drawing::{Align, Drawing, Layer, Path, Shape, Text, Vertex};
pub use error::{DrawingError, FacePlace, Omission};
pub use glam::DVec2 as Vec2;
pub use lines::break_lines;
