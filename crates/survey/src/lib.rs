//! Coordinates of hard points from tape readings and from photos of printed markers.
//!
//! Pure numbers: lengths in mm, angles in rad, photos as grey pixels. [`tape`] adjusts a free network of readings without
//! starting coordinates, [`photo`] finds markers in photos and adjusts them.

pub mod matrix;
pub mod photo;
pub mod tape;

pub use glam::{DMat3, DQuat, DVec2, DVec3};
