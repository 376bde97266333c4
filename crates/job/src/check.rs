//! Checks that need the whole job. An error cannot be right; a warning looks wrong.

mod bay;
mod collectors;
mod engine;
mod finding;
mod parts;
mod reach;
mod scale;
mod stock;
mod strength;

use crate::file::job_file::Draft;
use crate::file::read::Reader;

/// All checks of a job whose tables were read.
pub fn whole(reader: &mut Reader<'_>, draft: &Draft) {
    engine::check(reader, draft);
    collectors::check(reader, draft);
    bay::check(reader, draft);
    reach::check(reader, draft);
    scale::check(reader, draft);
    stock::check(reader, draft);
    parts::check(reader, draft);
    strength::check(reader, draft);
}
