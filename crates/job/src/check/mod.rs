//! Checks that need the whole job. An error cannot be right; a warning looks wrong.

use crate::file::job_file::Draft;
use crate::file::read::Reader;

/// All checks of a job whose tables were read.
pub fn whole(_reader: &mut Reader<'_>, _draft: &Draft) {}
