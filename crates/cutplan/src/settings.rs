//! How hard the plan is searched for.

/// Settings of [`crate::plan()`]. Effort is counted in steps, never in seconds: the same input gives
/// the same plan on every machine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CutSettings {
    /// Seed of the search.
    pub seed: u64,
    /// Budget of search and proof in steps. A step is about a microsecond of work on a current
    /// machine; what closes sooner ends sooner. The default lets twelve runs close their proof
    /// where legs are long, most of them in a twentieth of it.
    pub steps: u64,
    /// Least length of a straight offcut, or of the arc of a bent one, that is listed as worth
    /// keeping, mm. 40 mm: common practice, no source.
    pub least_offcut: f64,
}

impl Default for CutSettings {
    fn default() -> Self {
        CutSettings { seed: 1, steps: 7_000_000, least_offcut: 40.0 }
    }
}
