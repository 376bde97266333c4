//! `tubewright schema`: the JSON Schema of job.toml.

use crate::exit::{Failure, Outcome, print};

/// `schema` has no options.
#[derive(Debug, clap::Args)]
pub struct Args {}

/// Prints the schema.
pub fn run(_: &Args) -> Result<Outcome, Failure> {
    print(&job::schema::text());
    Ok(Outcome::Done)
}
