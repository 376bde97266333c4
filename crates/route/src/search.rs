//! The search for routes.

pub mod assign;
pub mod evaluate;
pub mod path;
pub mod pick;
pub mod pool;
pub mod repair;
pub mod score;
pub mod solver;
pub mod state;
