//! Strength of a header: heat along its tubes, growth, forces, stresses and vibration. SI units throughout (m, N, kg, K, W).
//!
//! What it answers: how hot the metal of each tube gets, where a hot header moves to, which forces it puts on its flanges
//! and supports, and at which frequencies it shakes. A header is a frame: one force-based element for each straight and
//! each true arc, joined by rigid bodies (collectors, turbos), slip joints and springs to ground (brackets).
//!
//! | file | holds |
//! | --- | --- |
//! | [`table`], [`material`], [`section`] | figures over temperature; what a tube is made of; its cross-section |
//! | [`element`] | flexibility, stiffness, thermal growth and mass of one straight or arc |
//! | [`frame`] | tubes, bodies, slip joints and brackets as one system of equations, and its static solution |
//! | [`skyline`] | the factorised stiffness matrix |
//! | [`stress`] | stress range and cycles of a stretch of tube |
//! | [`modes`] | natural frequencies and mode shapes |
//! | [`heat`] | gas and metal temperature along one tube |
//!
//! Weak points: linear elastic, small displacements, no ovalling beyond the flexibility factor of bends, no transient.
//!
//! Invariants: nothing here reads a file, a clock or the environment; sums run in a fixed order.

pub mod element;
pub mod frame;
pub mod heat;
pub mod material;
pub mod matrix;
pub mod modes;
pub mod section;
pub mod skyline;
pub mod stress;
pub mod table;
