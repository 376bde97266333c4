//! First sizes by the rules, and what the firing order says.

use job::model::Job;
use job::size::{Gaps, Rule, size};
use serde::Serialize;
use utoipa::ToSchema;

use super::codes::SizedCode;
use crate::summary::rounded;

/// First sizes of a job: starting points to draw with.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SizesView {
    /// Results of the rules.
    pub rules: Vec<RuleView>,
    /// Pairs for a 4-2-1 or the like, from the firing order.
    pub pairs: Vec<GapsView>,
    /// Two groups for a twin entry or two collectors.
    pub groups: Vec<GapsView>,
    /// Collector by collector, in the order around its inlets.
    pub collectors: Vec<CollectorOrderView>,
    /// Keys of job.toml that are not given, and what cannot be said without them.
    pub missing: Vec<MissingView>,
}

/// Result of one rule.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RuleView {
    /// The dimension it sizes.
    pub of: SizedCode,
    /// The collector, where it sizes one.
    pub collector: Option<String>,
    /// Name of the rule.
    pub rule: String,
    /// Least value.
    pub low_mm: f64,
    /// Greatest value; `low_mm` when the rule gives one.
    pub high_mm: f64,
    /// The stocked tube nearest to the middle, for diameters.
    pub nearest: Option<String>,
    /// Published source of the rule.
    pub source: String,
    /// Range in which it holds.
    pub range: String,
}

/// Cylinders that go together.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct GapsView {
    /// The cylinders.
    pub cylinders: Vec<u32>,
    /// Degrees of crank between their firings, once round the cycle.
    pub gaps_deg: Vec<f64>,
}

/// The order around a collector.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CollectorOrderView {
    /// Name of the collector.
    pub collector: String,
    /// Cylinders in the order around the inlets.
    pub around: GapsView,
}

/// A key that is not given.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct MissingView {
    /// The key.
    pub key: String,
    /// Purpose of the value.
    pub needed_for: String,
}

/// First sizes of a job.
pub fn sizes(job: &Job) -> SizesView {
    let found = size(job);
    let gaps = |g: &Gaps| GapsView { cylinders: g.cylinders.clone(), gaps_deg: g.gaps_deg.clone() };
    let firing = found.firing.as_ref();
    let missing = found.missing.iter();
    SizesView {
        rules: found.rules.iter().map(rule).collect(),
        pairs: firing.map_or(Vec::new(), |f| f.pairs.iter().map(gaps).collect()),
        groups: firing.map_or(Vec::new(), |f| f.groups.iter().map(gaps).collect()),
        collectors: firing.map_or(Vec::new(), |f| {
            let order = f.collectors.iter();
            order.map(|c| CollectorOrderView { collector: c.collector.clone(), around: gaps(&c.around) }).collect()
        }),
        missing: missing.map(|m| MissingView { key: m.key.into(), needed_for: m.needed_for.into() }).collect(),
    }
}

fn rule(rule: &Rule) -> RuleView {
    RuleView {
        of: rule.of.into(),
        collector: rule.collector.clone(),
        rule: rule.rule.into(),
        low_mm: rounded(rule.mm[0]),
        high_mm: rounded(rule.mm[1]),
        nearest: rule.nearest.as_ref().map(|t| t.name.clone()),
        source: rule.source.into(),
        range: rule.range.into(),
    }
}
