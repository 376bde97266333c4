//! Names of jobs, revisions and shops: checked and cleaned.

use crate::errors::{ApiError, ApiResult};
use crate::plain_text::clean;

/// Longest name of a job or revision, characters.
pub const LONGEST_NAME: usize = 80;

/// A job's name, cleaned.
///
/// # Errors
/// 422 when it is empty or too long.
pub fn job_name(name: &str) -> ApiResult<String> {
    let name = clean(name);
    if name.is_empty() || name.chars().count() > LONGEST_NAME {
        return Err(ApiError::unprocessable("not a valid job name").expected("1 to 80 characters"));
    }
    Ok(name)
}

/// A name that may be empty, such as a shop's or a revision's, cleaned.
///
/// # Errors
/// 422 when it is too long, or has characters but none of them is visible.
pub fn optional_name(name: &str) -> ApiResult<String> {
    let shown = clean(name);
    if shown.chars().count() > LONGEST_NAME {
        return Err(ApiError::unprocessable("the name is too long").expected("at most 80 characters"));
    }
    if shown.is_empty() && !name.trim().is_empty() {
        return Err(ApiError::unprocessable("the name has no visible characters").expected("letters or digits"));
    }
    Ok(shown)
}
