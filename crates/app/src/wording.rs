//! Findings in words: the one place where what the stages found becomes a sentence, with lengths in the reader's unit.

mod cut;
mod drawing;
mod plan;
mod routes;
mod strength;

pub use cut::cut;
pub use drawing::{bending, drawing, export, omission};
pub use plan::{plan_fault, quote_basis, quote_source};
pub use routes::{centreline, change, edit, impossibility, laid, miss_of_run, shortfall};
pub use strength::{gas_source, must_move, share, strength};

#[cfg(test)]
mod tests;
