//! What a limit of the stress needs of the engine.

use super::finding::Finding;
use crate::file::job_file::Draft;
use crate::file::read::Reader;

/// A limit can only be held where the heat of the gas can be computed.
pub fn check(reader: &mut Reader<'_>, draft: &Draft) {
    let Some(table) = draft.root.table("strength").filter(|t| t.given("highest_share")) else { return };
    let engine = draft.root.table("engine");
    let missing: Vec<&str> =
        ["bore", "stroke", "peak_power_rpm"].into_iter().filter(|key| !engine.is_some_and(|e| e.given(key))).collect();
    if missing.is_empty() {
        return;
    }
    Finding {
        code: "missing-engine",
        span: table.span_of("highest_share"),
        about: table.about.clone(),
        message: format!("the heat of the gas, and so `highest_share`, needs {} of the engine", missing.join(", ")),
        expected: "`bore`, `stroke` and `peak_power_rpm` in [engine]".into(),
        hint: "add them, or delete `highest_share`".into(),
    }
    .error(reader);
}
