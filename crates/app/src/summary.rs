//! The answer of a build as a file: `summary.json`, and what `route --json` prints.

use cutplan::CutPlan;
use job::model::Job;
use job::routes::{Routes, RunId};
use route::clearance::{Clearance, Other, RunClearance, clearance};
use serde::Serialize;
use utoipa::ToSchema;

/// A run in `summary.json`.
#[derive(Debug, Clone, Serialize)]
pub struct RunLine {
    /// The run's name: `primary 1`.
    pub name: String,
    /// What was measured on it.
    #[serde(flatten)]
    pub figures: RunFigures,
}

/// Kind of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum RunKind {
    /// From a port into a collector.
    Primary,
    /// From a collector into another.
    Secondary,
    /// From the last collector to the tail.
    Tail,
}

impl From<&RunId> for RunKind {
    fn from(run: &RunId) -> Self {
        match run {
            RunId::Primary { .. } => RunKind::Primary,
            RunId::Secondary { .. } => RunKind::Secondary,
            RunId::Tail { .. } => RunKind::Tail,
        }
    }
}

/// What is measured on a run.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RunFigures {
    /// Kind of the run.
    pub kind: RunKind,
    /// Cylinder of a primary.
    pub cylinder: Option<u32>,
    /// The collector it leaves, of a secondary or tail.
    pub from: Option<String>,
    /// The collector it enters; empty for a tail.
    pub collector: String,
    /// Inlet of the collector, from 1; 0 for a tail.
    pub inlet: usize,
    /// Length of the centreline, mm.
    pub length_mm: f64,
    /// That and the length of the port in the head, mm.
    pub tuned_length_mm: f64,
    /// Number of bends.
    pub bends: usize,
    /// Total bend angle, degrees.
    pub turn_deg: f64,
    /// Welds between its pieces; null without a cut plan.
    pub joints: Option<usize>,
    /// Clearance to the nearest tube, mm; null: there is none.
    pub gap_to_tubes_mm: Option<f64>,
    /// The nearest tube.
    pub nearest_tube: Option<String>,
    /// Distance of that place along the run, mm.
    pub gap_to_tubes_at_mm: Option<f64>,
    /// Clearance to the nearest obstacle or tool path, mm; null: there is none.
    pub gap_to_keepouts_mm: Option<f64>,
    /// The nearest obstacle.
    pub nearest_keepout: Option<String>,
    /// Distance of that place along the run, mm.
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
            let (cylinder, from) = match &route.run {
                RunId::Primary { cylinder } => (Some(*cylinder), None),
                RunId::Secondary { from } | RunId::Tail { from } => (None, Some(from.clone())),
            };
            let port = job.ports.iter().find(|p| Some(p.cylinder) == cylinder);
            let parted = 1 + job.parts.partings_of(&route.run);
            let joints = plan.map(|p| p.pieces.iter().filter(|q| q.run == route.run).count().saturating_sub(parted));
            let mut figures = RunFigures {
                kind: RunKind::from(&route.run),
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
                fill_gaps(&mut figures, gap);
            }
            Some(RunLine { name: route.run.to_string(), figures })
        })
        .collect()
}

fn fill_gaps(figures: &mut RunFigures, gap: &RunClearance) {
    if let Some(tube) = gap.tubes.as_ref().or(gap.at_inlets.as_ref()) {
        figures.gap_to_tubes_mm = Some(rounded(tube.gap));
        figures.gap_to_tubes_at_mm = Some(rounded(tube.at));
        figures.nearest_tube = Some(match &tube.to {
            Other::Run { run, .. } => run.to_string(),
            other => other.to_string(),
        });
    }
    if let Some(near) = gap.keepouts.first() {
        figures.gap_to_keepouts_mm = Some(rounded(near.gap));
        figures.gap_to_keepouts_at_mm = Some(rounded(near.at));
        figures.nearest_keepout = Some(near.to.to_string());
    }
}

/// Largest difference of two primaries' lengths, mm.
pub fn length_spread(lines: &[RunLine]) -> f64 {
    let lengths = || lines.iter().map(|l| &l.figures).filter(|f| f.kind == RunKind::Primary).map(|f| f.length_mm);
    let (low, high) = lengths().fold((f64::INFINITY, 0.0_f64), |(l, h), x| (l.min(x), h.max(x)));
    if low.is_finite() { rounded(high - low) } else { 0.0 }
}

/// To a micrometre or a thousandth of a degree: what stands in files.
pub fn rounded(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0 + 0.0
}

/// To four figures.
pub(crate) fn figure(v: f64) -> f64 {
    if v == 0.0 || !v.is_finite() {
        return v;
    }
    let scale = 10_f64.powi(3 - v.abs().log10().floor() as i32);
    (v * scale).round() / scale
}
