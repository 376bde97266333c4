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
//! | [`modes`], [`shake`] | natural frequencies and mode shapes (small eigenvalue problems in `eigen`), and the stress that an engine's shake makes in each |
//! | [`help`] | every single change solved: brackets as updates of a few ranks, slip joints by a new factorisation |
//! | [`heat`] | gas and metal temperature along one tube |
//! | [`flange_weld`], [`near`] | what the heat does to the weld at a cold flange, and to what stands near |
//!
//! Weak points: linear elastic, small displacements, no ovalling beyond the flexibility factor of bends, no transient.
//!
//! Invariants: nothing here reads a file, a clock or the environment; sums run in a fixed order.

mod eigen;
pub mod element;
pub mod flange_weld;
pub mod frame;
pub mod heat;
pub mod help;
pub mod material;
pub mod matrix;
pub mod modes;
pub mod near;
pub mod section;
pub mod shake;
pub mod skyline;
pub mod stress;
pub mod table;
