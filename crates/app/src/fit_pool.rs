//! What a shop's builds say of its errors, as figures to put into `[shop]` of fit.toml: proposed, never applied.

use std::fmt::Write as _;

use fit::{PoolRun, Pooled, Source, State, pool};
use job::model::Units;
use serde::Serialize;
use serde_json::{Value, json};
use utoipa::ToSchema;

use crate::fit_report::{FitReport, RunFit};
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
    let measured: Vec<(&FitReport, &RunFit, Vec<State>)> = reports
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
        let view = PoolView::of(self, Units::Mm);
        json!({"format": 1, "builds": view.builds, "shop": view.shop})
    }
}

/// The shop's own errors, from its builds.
#[derive(Debug, Serialize, ToSchema)]
pub struct PoolView {
    /// Runs with readings.
    pub builds: usize,
    /// What was seen often enough.
    pub shop: Vec<PoolLine>,
}

/// What was found of one source of error.
#[derive(Debug, Serialize, ToSchema)]
pub struct PoolLine {
    /// Its key in `[shop]` of fit.toml.
    pub key: &'static str,
    /// Of a CLR: the bends it is of.
    pub item: Option<String>,
    /// Standard deviation.
    pub sd: f64,
    /// Mean error; 0 of sources without a sign.
    pub bias: f64,
    /// Unit of both: mm or in, degrees, a ratio.
    pub unit: &'static str,
    /// How many errors were seen.
    pub seen: f64,
}

impl PoolView {
    /// A report with lengths in `units`.
    pub fn of(report: &PoolReport, units: Units) -> PoolView {
        let line = |p: &Pooled| {
            let ((sd, unit), (bias, _)) = (shown(p.source, p.sd, units), shown(p.source, p.bias, units));
            let [sd, bias, seen] = [sd, bias, p.seen].map(rounded);
            PoolLine { key: key(p.source), item: p.item.clone(), sd, bias, unit, seen }
        };
        PoolView { builds: report.builds, shop: report.found.iter().map(line).collect() }
    }
}
