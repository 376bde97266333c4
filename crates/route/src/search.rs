//! The search for routes.

pub mod assign;
pub mod drive;
pub mod evaluate;
pub mod field;
pub mod finish;
pub mod improve;
pub mod path;
pub mod pick;
pub mod polish;
pub mod pool;
pub mod quadratic;
pub mod repair;
pub mod score;
pub mod settings;
pub mod solve;
pub mod solver;
pub mod state;
