//! The data digits of a plan: they stand at the foot of its sheets, and a record of the build names them.

use cutplan::quote::Quote;
use job::model::Units;
use sha2::{Digest, Sha256};

use crate::open_job::Planned;
use crate::quote_file::QuoteFile;

/// Digits of the hash that stand on every page: enough to tell any two of a shop's papers apart.
const HASH_DIGITS: usize = 12;

/// The data digits at the foot of a plan's sheets.
///
/// # Errors
/// When a number is not finite.
pub fn data_digits(planned: Planned<'_>) -> Result<String, serde_json::Error> {
    let priced = quote_text(planned.quote().as_ref(), planned.opened.job.units)?;
    Ok(content_hash(&planned.open.routes_text, planned.plan_text, priced.as_deref()))
}

/// Hash of what papers are made from: the first digits of the SHA-256 of `routes.toml`, `cutplan.json` and
/// `quote.json` (when priced) as they are written, one after the other.
pub(crate) fn content_hash(routes: &str, plan: &str, quote: Option<&str>) -> String {
    let mut hash = Sha256::new();
    for text in [Some(routes), Some(plan), quote].into_iter().flatten() {
        hash.update(text);
    }
    let digits: String = hash.finalize().iter().map(|b| format!("{b:02x}")).collect();
    digits[..HASH_DIGITS].to_string()
}

/// The text of `quote.json`; `units` are the job's.
///
/// # Errors
/// When a number is not finite.
pub(crate) fn quote_text(quote: Option<&Quote>, units: Units) -> Result<Option<String>, serde_json::Error> {
    quote.map(|q| QuoteFile::of(q, units).to_json()).transpose()
}
