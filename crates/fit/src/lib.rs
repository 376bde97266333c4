//! How far off a run will come out, where it is as measured, and the smallest change that brings it to its inlet.
//!
//! A run is a chain of joints and pieces ([`chain`], [`run`]). Every error of making is a small twist where it acts
//! ([`sources`]); their sum at the inlet is the forecast ([`mod@forecast`]), with every printed chance counted on builds that are
//! simulated exactly ([`builds`]). Readings of what is built give the most probable errors ([`reading`], [`mod@estimate`]), and
//! bounded least squares the smallest change of what is not welded yet ([`mod@correction`]). Lengths in mm, angles in rad.
//!
//! Sources: rigid chains and twists, Murray, Li, Sastry 1994; vector loops, Chase, Gao, Magleby 1995; maximum a posteriori
//! estimates, Tarantola 2005; data snooping, Baarda 1968; bounded least squares, Stark, Parker 1995 (all from memory).

pub mod as_built;
pub mod builds;
mod by_hand;
pub mod chain;
pub mod correction;
pub mod estimate;
pub mod forecast;
mod linear;
pub mod pool;
mod random;
pub mod reading;
pub mod remedy;
pub mod run;
pub mod shop;
pub mod sources;

pub use builds::{Builds, Chance, Limit};
pub use chain::{Chain, Miss, Slot};
pub use correction::{Bounds, Correction, CutOpen, Freedom, Keep, Limits, correct, correct_keeping, cut_open};
pub use estimate::{Estimate, Fault, Suspect, estimate};
pub use forecast::{Figure, Forecast, Sensitivity, forecast, joint_spread};
pub use pool::{PoolRun, Pooled, pool};
pub use reading::{At, Reading, ReadingKind};
pub use remedy::{Remedy, RemedyKind, Reserve, SLIP, remedies, reserve};
pub use run::{End, Joining, Part, Run};
pub use shop::{Shop, Source};
pub use sources::{Place, State, Term};
