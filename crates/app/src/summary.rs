//! The answer of a build as a file: `summary.json`, and what `route --json` prints.

use cutplan::CutPlan;
use job::model::Job;
use job::routes::{Routes, RunId};
use route::clearance::{Clearance, Other, RunClearance, clearance};
use serde::Serialize;

/// One run as routed.
#[derive(Debug, Clone, Serialize)]
pub struct RunLine {
    /// `primary`, `secondary` or `tail`.
    pub kind: &'static str,
    /// The run's name: `primary 1`.
    pub name: String,
    /// Its cylinder, of a primary.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cylinder: Option<u32>,
    /// The collector it leaves, of a secondary or tail.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
    /// The collector it enters; empty for a tail.
    pub collector: String,
    /// Its inlet, from 1; 0 for a tail.
    pub inlet: usize,
    /// Length from the port face to the inlet plane, mm.
    pub length_mm: f64,
    /// That and the length of the port in the head, mm.
    pub tuned_length_mm: f64,
    /// Number of bends.
    pub bends: usize,
    /// Sum of their angles, degrees.
    pub turn_deg: f64,
    /// Welds between its pieces, once it has been cut.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub joints: Option<usize>,
    /// Least gap to another tube, mm; null when there is none.
    pub gap_to_tubes_mm: Option<f64>,
    /// The tube there.
    pub nearest_tube: Option<String>,
    /// Where that is, mm from the start of the run.
    pub gap_to_tubes_at_mm: Option<f64>,
    /// Least gap to a keep-out, mm; null when there is none.
    pub gap_to_keepouts_mm: Option<f64>,
    /// The keep-out there.
    pub nearest_keepout: Option<String>,
    /// Where that is, mm from the start of the run.
    pub gap_to_keepouts_at_mm: Option<f64>,
}

/// The lines of all runs.
pub fn run_lines(job: &Job, routes: &Routes, plan: Option<&CutPlan>) -> Vec<RunLine> {
    run_lines_with(job, routes, plan, clearance(job, routes).ok().as_ref())
}

/// The lines of all runs whose gaps have been measured.
pub fn run_lines_with(job: &Job, routes: &Routes, plan: Option<&CutPlan>, gaps: Option<&Clearance>) -> Vec<RunLine> {
    let gap_of = |run: &RunId| gaps.and_then(|g| g.runs.iter().find(|r| r.run == *run));
    routes
        .runs
        .iter()
        .filter_map(|route| {
            let line = route.centreline().ok()?;
            let (kind, cylinder, from) = match &route.run {
                RunId::Primary { cylinder } => ("primary", Some(*cylinder), None),
                RunId::Secondary { from } => ("secondary", None, Some(from.clone())),
                RunId::Tail { from } => ("tail", None, Some(from.clone())),
            };
            let port = job.ports.iter().find(|p| Some(p.cylinder) == cylinder);
            let joints = plan.map(|p| p.pieces.iter().filter(|q| q.run == route.run).count().saturating_sub(1));
            let mut out = RunLine {
                kind,
                name: route.run.to_string(),
                cylinder,
                from,
                collector: route.collector.clone(),
                inlet: route.inlet,
                length_mm: rounded(line.length()),
                tuned_length_mm: rounded(line.length() + port.map_or(0.0, |p| p.length_in_head)),
                bends: line.bends().count(),
                turn_deg: rounded(line.turn().to_degrees()),
                joints,
                gap_to_tubes_mm: None,
                nearest_tube: None,
                gap_to_tubes_at_mm: None,
                gap_to_keepouts_mm: None,
                nearest_keepout: None,
                gap_to_keepouts_at_mm: None,
            };
            if let Some(gap) = gap_of(&route.run) {
                fill_gaps(&mut out, gap);
            }
            Some(out)
        })
        .collect()
}

fn fill_gaps(line: &mut RunLine, gap: &RunClearance) {
    if let Some(tube) = gap.tubes.as_ref().or(gap.at_inlets.as_ref()) {
        line.gap_to_tubes_mm = Some(rounded(tube.gap));
        line.gap_to_tubes_at_mm = Some(rounded(tube.at));
        line.nearest_tube = Some(match &tube.to {
            Other::Run { run, .. } => run.to_string(),
            other => other.to_string(),
        });
    }
    if let Some(near) = gap.keepouts.first() {
        line.gap_to_keepouts_mm = Some(rounded(near.gap));
        line.gap_to_keepouts_at_mm = Some(rounded(near.at));
        line.nearest_keepout = Some(near.to.to_string());
    }
}

/// Largest difference of two primaries' lengths, mm.
pub fn length_spread(lines: &[RunLine]) -> f64 {
    let lengths = || lines.iter().filter(|l| l.kind == "primary").map(|l| l.length_mm);
    let (low, high) = lengths().fold((f64::INFINITY, 0.0_f64), |(l, h), x| (l.min(x), h.max(x)));
    if low.is_finite() { rounded(high - low) } else { 0.0 }
}

/// To a micrometre or a thousandth of a degree: what stands in files.
pub fn rounded(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0 + 0.0
}
