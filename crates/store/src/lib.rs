//! The shop's store: jobs, their revisions, the shelf and the shop's own files, in SQLite or PostgreSQL.
//!
//! A job is a set of documents. A revision is a snapshot of it: each name with the SHA-256 of what it held; what it
//! held is kept once, whatever the number of revisions. Nothing is ever written over: a change makes a new revision whose
//! parent is the old one, and moves the job's head to it, all in one transaction. Every move of the head raises the
//! job's version; who writes names the version he has seen, and is refused when it is no longer the job's.
//!
//! What the documents mean is not known here. Times are milliseconds since 1970 (UTC), lengths of bytes.

mod bookings;
mod contents;
mod database;
mod error;
mod history;
mod jobs;
mod schema;
mod shop;
mod upkeep;

pub use bookings::{Booking, ShelfItem};
pub use contents::{Hash, hash_of};
pub use database::{Place, Store};
pub use error::StoreError;
pub use history::{Change, Commit, Revision};
pub use jobs::Job;
pub use shop::Kept;
pub use upkeep::{backup, restore};
