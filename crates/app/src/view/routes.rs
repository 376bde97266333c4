//! Routes with their figures, and what they miss.

use cutplan::CutPlan;
use job::model::{Job, LengthTarget};
use job::routes::{Routes, RunId};
use route::clearance::{Clearance, Other};
use route::judge::{Judged, judge};
use route::laid::{Laid, lay};
use serde::Serialize;
use utoipa::ToSchema;

use super::finding::UnmetView;
use super::line::{ElementView, LineView, elements, lines};
use super::{Xyz, xyz};
use crate::strength_share::share_missed;
use crate::summary::{RunFigures, length_spread, rounded, run_lines_with};

/// All runs of a job.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RoutesView {
    /// Whether all requirements are met.
    pub met: bool,
    /// Requirements missed.
    pub unmet: Vec<UnmetView>,
    /// Longest primary less the shortest, mm.
    pub length_spread_mm: f64,
    /// Target length of the primaries; null: only equal length.
    pub target_mm: Option<f64>,
    /// Tolerance of the target length; null: none.
    pub tolerance_mm: Option<f64>,
    /// The runs: primaries, secondaries, tails.
    pub runs: Vec<RunView>,
    /// Collectors that stand elsewhere than drawn.
    pub collectors: Vec<StandsView>,
}

/// A collector that was moved.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct StandsView {
    /// Name of the collector.
    pub name: String,
    /// Centre of the inlet plane.
    pub at: Xyz,
    /// Direction of flow.
    pub axis: Xyz,
    /// Across it, the roll of the inlets.
    pub up: Xyz,
}

/// A run.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RunView {
    /// Name of the run: `primary 1`.
    pub run: String,
    /// Index among the runs, from 0; it decides the colour.
    pub number: usize,
    /// Outside diameter of its tube, mm.
    pub od: f64,
    /// Kept as it is when the rest is routed.
    pub locked: bool,
    /// Start, intersection points and end, mm.
    pub points: Vec<Xyz>,
    /// CLR at each intersection point, mm.
    pub radii: Vec<f64>,
    /// What is measured on it.
    #[serde(flatten)]
    pub figures: RunFigures,
    /// Centreline of the run.
    pub line: LineView,
    /// Straights and bends.
    pub elements: Vec<ElementView>,
    /// Target length of this kind of run.
    pub target_mm: Option<f64>,
    /// Tolerance of the target length; null: none.
    pub tolerance_mm: Option<f64>,
}

/// Target length of a run.
fn wanted<'a>(job: &'a Job, run: &RunId) -> &'a LengthTarget {
    match run {
        RunId::Primary { .. } => &job.primary.length,
        RunId::Secondary { .. } => &job.secondary.length,
        RunId::Tail { .. } => &job.tail.length,
    }
}

fn finite(value: f64) -> Option<f64> {
    value.is_finite().then(|| rounded(value))
}

/// The routes of a job that has ports and collectors; `plan` counts the joints.
pub fn routes(job: &Job, found: &Routes, plan: Option<&CutPlan>) -> RoutesView {
    judged_routes(job, found, plan, &judge(job, found))
}

/// [`routes`] that have been judged.
pub fn judged_routes(job: &Job, found: &Routes, plan: Option<&CutPlan>, judged: &Judged) -> RoutesView {
    view(job, found, plan, judged, &lay(job, found).unwrap_or_default())
}

/// The least that is missing to each keep-out: gap and need, mm, over all runs.
pub fn keepout_gaps(clearance: &Clearance, name: &str) -> Option<(f64, f64)> {
    let all = clearance.runs.iter().flat_map(|r| &r.keepouts);
    let of_it = all.filter(|a| matches!(&a.to, Other::Keepout(n) if n == name));
    of_it.min_by(|a, b| b.short().total_cmp(&a.short())).map(|a| (a.gap, a.need))
}

fn view(job: &Job, found: &Routes, plan: Option<&CutPlan>, judged: &Judged, laid: &[Laid]) -> RoutesView {
    let figures = run_lines_with(job, found, plan, judged.clearance.as_ref());
    let spread = length_spread(&figures);
    let all = lines(job, laid);
    let mut runs = Vec::new();
    for (number, ((route, laid), line)) in found.runs.iter().zip(laid).zip(all).enumerate() {
        let Some(figure) = figures.iter().find(|f| f.name == route.run.to_string()) else { continue };
        let wanted = wanted(job, &route.run);
        runs.push(RunView {
            run: figure.name.clone(),
            number,
            od: 2.0 * laid.radius,
            locked: route.locked,
            points: route.points.iter().map(|p| xyz(*p)).collect(),
            radii: route.radii.iter().map(|r| rounded(*r)).collect(),
            figures: figure.figures.clone(),
            line,
            elements: elements(&laid.line),
            target_mm: wanted.target.map(rounded),
            tolerance_mm: finite(wanted.tolerance),
        });
    }
    let unmet: Vec<UnmetView> = judged.misses.iter().map(|m| UnmetView::at(m, job.units)).collect();
    let unmet: Vec<UnmetView> = unmet.into_iter().chain(share_missed(job, found, job.units)).collect();
    RoutesView {
        met: unmet.is_empty(),
        unmet,
        length_spread_mm: spread,
        target_mm: job.primary.length.target.map(rounded),
        tolerance_mm: finite(job.primary.length.tolerance),
        runs,
        collectors: found.collectors.iter().map(stands).collect(),
    }
}

fn stands(place: &job::routes::CollectorPlace) -> StandsView {
    StandsView {
        name: place.name.clone(),
        at: xyz(place.frame.origin),
        axis: xyz(place.frame.forward),
        up: xyz(place.frame.up),
    }
}
