//! The shop's store: jobs, their revisions, the shelf and the shop's own files, in SQLite or PostgreSQL.
//!
//! A job is a set of documents. A revision is a snapshot of it: each name with the SHA-256 of what it held; what it
//! held is kept once, whatever the number of revisions. Nothing is ever written over: a change makes a new revision whose
//! parent is the old one, and moves the job's head to it, all in one transaction. Every move of the head raises the
//! job's version; who writes names the version he has seen, and is refused when it is no longer the job's.
//!
//! Every write runs to its end in a task of its own (`write`), every read is bounded in time (`database`), and every row
//! has a seal, a hash that a check recounts (`seals`); a closed SQLite file has a sum (`checksum`).
//!
//! What the documents mean is not known here. Times are milliseconds since 1970 (UTC), lengths of bytes.

mod backup;
mod bookings;
mod checksum;
mod compact;
mod connection;
mod contents;
mod database;
mod error;
mod history;
mod jobs;
mod location;
mod maintenance;
mod open;
mod private_files;
mod revision;
mod schema;
mod seals;
mod shop;
mod write;
mod writers;

pub use backup::{backup, restore};
pub use bookings::{Booking, ShelfItem};
pub use compact::{Cleared, RetentionRule};
pub use contents::{Hash, hash_of};
pub use database::{Clock, Store};
pub use error::{Failure, StoreError};
pub use history::{Commit, DocumentUpdate};
pub use jobs::JobRecord;
pub use location::Location;
pub use maintenance::damage_while_closed;
pub use revision::Revision;
pub use shop::ShopText;
