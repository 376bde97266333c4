//! Free adjustment of a network of tape readings, with misread numbers found and named.
//!
//! All points are unknown and only the shape is solved for; the job's axes come in afterwards ([`frame`]). Starting
//! coordinates come from the distances alone ([`start`]), each start is fitted robustly ([`fit`]), readings that do not agree
//! are thrown out where that lowers the score ([`snoop`]), and other places of single points are tried ([`search`]).
//! [`survey`] puts it together.

mod component;
pub mod fit;
pub mod frame;
pub mod network;
pub mod next;
mod place;
pub mod rounding;
pub mod search;
pub mod shape;
pub mod snoop;
pub mod start;
pub mod survey;
