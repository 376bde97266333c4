//! The shop's store: jobs, their revisions, the shelf and the shop's own files, in SQLite or PostgreSQL.
//!
//! A job is a set of documents. A revision is a snapshot of it: each document's name and SHA-256; equal contents are stored
//! once, whatever the number of revisions. Nothing is ever overwritten: a change adds a new revision whose parent is the old
//! one, and moves the job's head to it, all in one transaction. Every move of the head increments the job's version; a writer
//! passes the version it has, and is refused when the job has another by now.
//!
//! Every write runs to its end in its own task (`write`), every read has a time limit (`database`), and every row has a
//! seal, a hash that a check recomputes (`seals`); a closed SQLite file has a checksum (`checksum`).
//!
//! The store does not interpret documents. Times are milliseconds since 1970 (UTC), sizes are bytes.

mod backup;
mod bookings;
mod checksum;
mod compact;
mod connection;
mod contents;
mod database;
mod error;
mod group;
mod hash;
mod history;
mod jobs;
mod location;
mod maintenance;
mod open;
mod private_files;
mod removal;
mod revision;
mod schema;
mod seals;
mod shop;
mod write;
mod writers;

pub use backup::{backup, restore};
pub use bookings::{Booking, ShelfItem};
pub use compact::{Cleared, RetentionRule};
pub use database::{Clock, Store};
pub use error::{Failure, StoreError};
pub use hash::{Hash, hash_of};
pub use history::{Commit, DocumentUpdate, DocumentsWithTexts};
pub use jobs::JobRecord;
pub use location::Location;
pub use maintenance::damage_while_closed;
pub use revision::Revision;
pub use shop::ShopText;
