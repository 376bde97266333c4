//! One-dimensional unsteady gas dynamics of pipes, junctions, valves and cylinders. SI units throughout.
//!
//! What it answers: what pressure waves do in the pipes of an engine, and what they do to its breathing. The Euler
//! equations for a pipe of changing area, with friction and heat to the wall,
//!   (rho A)_t + (rho u A)_x = 0,
//!   (rho u A)_t + ((rho u^2 + p) A)_x = p A_x - k rho u |u| A,
//!   (E A)_t + (u (E + p) A)_x = -q A,
//! and an advected fraction of burned gas, by a second-order Godunov method in characteristic variables.
//!
//! | file | holds |
//! | --- | --- |
//! | [`arithmetic`], [`species`], [`medium`] | products, sums and a root; heat capacities, the equation of state |
//! | [`flux`], [`field`] | the face between two cells, the passes over all cells |
//! | [`losses`] | friction, bends, heat to the wall |
//! | [`ends`], [`junction`] | closed, open, nozzle, valve; pipes that meet |
//! | [`vessel`], [`network`] | a volume; pipes with their ends, one step |
//! | [`cylinder`], [`engine`], [`cycle`] | a cylinder; an engine as a network; cycles until they repeat |
//! | [`trace`] | what is kept of a cycle: pressures at valves, wave picture, means along pipes |
//!
//! Invariants: nothing here reads a file, a clock or the environment; sums run in a fixed order, so that the answer is the
//! same to the last bit on any machine with fused products and sums, and for any number of threads around it.

pub mod arithmetic;
pub mod cycle;
pub mod cylinder;
pub mod ends;
pub mod engine;
pub mod field;
pub mod flux;
pub mod junction;
pub mod losses;
pub mod medium;
pub mod network;
pub mod species;
pub mod trace;
pub mod vessel;
