//! The search for routes.
//!
//! [`outcome`] is the way in. A search ([`search_run`]) fills a [`pool`] with routes of each run alone, picks one for each
//! ([`pick`], `assign`), repairs the picks ([`repair`], by `least_squares`) and walks on from the best (`annealing`).
//! What seems to hold is polished ([`sequential_quadratic`]) and checked to the letter ([`verify`]). All of them move a
//! [`state`], whose requirements and gradients [`evaluate`] counts. Public are those parts that benches and tests of
//! gradients call by themselves.

pub(crate) mod annealing;
pub(crate) mod assign;
pub mod evaluate;
pub(crate) mod field;
pub(crate) mod least_squares;
pub mod outcome;
pub mod path;
pub mod pick;
pub mod pool;
pub(crate) mod quadratic_program;
pub mod repair;
pub(crate) mod score;
pub mod search_run;
pub mod sequential_quadratic;
pub(crate) mod settings;
pub mod state;
pub mod verify;
