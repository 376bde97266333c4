//! What a shop's builds say of its errors, as figures to put into `[shop]` of fit.toml: proposed, never applied.

use std::fmt::Write as _;

use fit::{PoolRun, Pooled, Source, State, pool};
use job::model::Units;
use serde_json::{Value, json};

use crate::fit_job::FitReport;
use crate::summary::rounded;

/// What was found over some builds.
#[derive(Debug)]
pub struct PoolReport {
    /// Bias and spread of each source of which enough was seen.
    pub found: Vec<Pooled>,
    /// Runs with readings.
    pub builds: usize,
    /// Units of the proposal.
    pub units: Units,
}

/// Pools the builds of some jobs.
pub fn pool_builds(reports: &[FitReport]) -> PoolReport {
    let measured: Vec<(&FitReport, &crate::fit_job::RunFit, Vec<State>)> = reports
        .iter()
        .flat_map(|report| report.runs.iter().map(move |run| (report, run)))
        .filter(|(_, run)| !run.build.readings.is_empty())
        .map(|(report, run)| (report, run, run.build.states()))
        .collect();
    let runs: Vec<PoolRun<'_>> = measured
        .iter()
        .map(|(report, run, states)| PoolRun {
            run: &run.build.run,
            planned: &run.build.planned,
            states,
            readings: &run.build.readings,
            shop: run.shop,
            items: &report.items,
        })
        .collect();
    let units = reports.first().map_or(Units::Mm, |r| r.units);
    PoolReport { found: pool(&runs), builds: runs.len(), units }
}

/// The key of a source in `[shop]`.
fn key(source: Source) -> &'static str {
    match source {
        Source::BendAngle => "bend_angle",
        Source::TangentLine => "tangent_line",
        other => other.word(),
    }
}

/// Figure, unit: degrees, ratio or the job's length.
fn shown(source: Source, value: f64, units: Units) -> (f64, &'static str) {
    match source {
        Source::Clocking | Source::BendAngle | Source::Squareness | Source::Pull => (value.to_degrees(), "degrees"),
        Source::Clr => (value, "as a ratio"),
        _ => (value / units.in_mm(), job::show::unit(units)),
    }
}

impl PoolReport {
    /// For people: lines for `[shop]`.
    pub fn text(&self) -> String {
        let mut out = format!("[shop]   # proposed from {} tubes as measured; nothing is changed\n", self.builds);
        for p in &self.found {
            let ((sd, unit), (bias, _)) = (shown(p.source, p.sd, self.units), shown(p.source, p.bias, self.units));
            let which = p.item.as_ref().map_or(String::new(), |i| format!(" of {i}"));
            let off = if p.bias == 0.0 { String::new() } else { format!(", on average {bias:+.3}") };
            let _ = writeln!(out, "{} = {sd:.3}   # {unit}{which}{off}; {:.0} seen", key(p.source), p.seen);
        }
        if self.found.is_empty() {
            out.push_str("# too little was measured: no error was seen three times\n");
        }
        out
    }

    /// As one JSON object: mm, degrees, ratios.
    pub fn to_json(&self) -> Value {
        let one = |p: &Pooled| {
            let ((sd, unit), (bias, _)) = (shown(p.source, p.sd, Units::Mm), shown(p.source, p.bias, Units::Mm));
            json!({
                "key": key(p.source), "item": p.item, "sd": rounded(sd), "bias": rounded(bias), "unit": unit,
                "seen": rounded(p.seen),
            })
        };
        json!({"format": 1, "builds": self.builds, "shop": self.found.iter().map(one).collect::<Vec<_>>()})
    }
}
