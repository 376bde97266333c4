//! Undo, redo, revisions and comparison.

use app::view::line::{LineView, bare_line};
use axum::Json as JsonResponse;
use axum::extract::State;
use geom::Centreline;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::names::optional_name;
use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Json, Path, Query};
use crate::job_view::{JobView, RevisionView};
use crate::loaded::LoadedRevision;
use crate::shop::SharedShop;
use crate::work::{Lane, StopSignal};

/// The version of the job that the client has.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AtVersion {
    /// Version of the job.
    pub version: i64,
}

/// The revisions of a job.
#[derive(Serialize, ToSchema)]
pub struct RevisionList {
    /// The newest first.
    revisions: Vec<RevisionView>,
}

/// A name for a revision.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RevisionName {
    /// The name; empty removes it.
    #[schema(max_length = 80)]
    name: String,
}

/// Undoes the last change.
#[utoipa::path(post, path = "/jobs/{id}/undo", tag = "history", params(("id" = String, Path, description = "The job")),
    request_body = AtVersion, responses((status = 200, body = JobView), Refusals))]
pub async fn undo(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(at): Json<AtVersion>,
) -> ApiResult<JsonResponse<JobView>> {
    let job = shop.store.undo(&id, at.version).await?;
    Ok(JsonResponse(shop.view(job).await?))
}

/// Redoes the last undone change.
#[utoipa::path(post, path = "/jobs/{id}/redo", tag = "history", params(("id" = String, Path, description = "The job")),
    request_body = AtVersion, responses((status = 200, body = JobView), Refusals))]
pub async fn redo(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(at): Json<AtVersion>,
) -> ApiResult<JsonResponse<JobView>> {
    let job = shop.store.redo(&id, at.version).await?;
    Ok(JsonResponse(shop.view(job).await?))
}

/// Every revision of a job.
#[utoipa::path(get, path = "/jobs/{id}/revisions", tag = "history",
    params(("id" = String, Path, description = "The job")), responses((status = 200, body = RevisionList), Refusals))]
pub async fn revisions(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
) -> ApiResult<JsonResponse<RevisionList>> {
    let job = shop.store.job(&id).await?;
    let all = shop.store.revisions(&id).await?;
    Ok(JsonResponse(RevisionList { revisions: all.iter().map(|r| RevisionView::new(r, &job.head.id)).collect() }))
}

/// Names a revision.
#[utoipa::path(patch, path = "/jobs/{id}/revisions/{revision}", tag = "history",
    params(("id" = String, Path, description = "The job"), ("revision" = String, Path, description = "The revision")),
    request_body = RevisionName, responses((status = 200, body = RevisionView), Refusals))]
pub async fn name_revision(
    State(shop): State<SharedShop>,
    Path((id, revision)): Path<(String, String)>,
    Json(given): Json<RevisionName>,
) -> ApiResult<JsonResponse<RevisionView>> {
    let name = optional_name(&given.name)?;
    let job = shop.store.job(&id).await?;
    shop.store.name_revision(&id, &revision, &name).await?;
    let named = shop.store.revision(&id, &revision).await?;
    Ok(JsonResponse(RevisionView::new(&named, &job.head.id)))
}

/// Restores an earlier revision by adding a new one with its documents.
#[utoipa::path(post, path = "/jobs/{id}/revisions/{revision}/restore", tag = "history",
    params(("id" = String, Path, description = "The job"), ("revision" = String, Path, description = "The revision")),
    request_body = AtVersion, responses((status = 200, body = JobView), Refusals))]
pub async fn restore_revision(
    State(shop): State<SharedShop>,
    Path((id, revision)): Path<(String, String)>,
    Json(at): Json<AtVersion>,
) -> ApiResult<JsonResponse<JobView>> {
    let job = shop.store.restore_revision(&id, at.version, &revision).await?;
    Ok(JsonResponse(shop.view(job).await?))
}

/// The two revisions to compare.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct CompareQuery {
    /// Id of the first revision.
    a: String,
    /// Id of the second revision.
    b: String,
}

/// Two revisions side by side.
#[derive(Serialize, ToSchema)]
pub struct Comparison {
    /// The first revision.
    a: Compared,
    /// The second revision.
    b: Compared,
    /// Names of the documents that are different.
    differ: Vec<String>,
}

/// One of two revisions.
#[derive(Serialize, ToSchema)]
pub struct Compared {
    /// The revision.
    revision: RevisionView,
    /// Whether all requirements are met.
    met: bool,
    /// Number of requirements missed.
    unmet_count: usize,
    /// Longest primary less the shortest, mm.
    length_spread_mm: Option<f64>,
    /// Welds between pieces; null: not cut.
    joints: Option<u32>,
    /// Stock, joints and cuts, money; null: not cut.
    cost: Option<f64>,
    /// The quote's total; null: not priced.
    total: Option<f64>,
    /// Currency of the quote.
    currency: Option<String>,
    /// Runs of the revision.
    runs: Vec<ComparedRun>,
}

/// A run of one of two revisions.
#[derive(Serialize, ToSchema)]
pub struct ComparedRun {
    /// Name of the run.
    run: String,
    /// Index among the runs, from 0.
    number: usize,
    /// Outside diameter, mm.
    od: f64,
    /// Length of the centreline, mm.
    length_mm: f64,
    /// Number of bends.
    bends: usize,
    /// Total bend angle, degrees.
    turn_deg: f64,
    /// Welds between its pieces.
    joints: Option<usize>,
    /// Clearance to the nearest tube, mm.
    gap_to_tubes_mm: Option<f64>,
    /// Clearance to the nearest obstacle, mm.
    gap_to_keepouts_mm: Option<f64>,
    /// Centreline of the run.
    line: LineView,
}

fn compared(loaded: &LoadedRevision, revision: RevisionView) -> Compared {
    let (routes, plan, quote) = (loaded.routes(), loaded.texts.fresh_plan(), loaded.quote());
    let line = |run: &str| {
        let route = loaded.texts.routes.as_ref()?.runs.iter().find(|r| r.run.to_string() == run)?;
        route.centreline().ok()
    };
    let runs = routes.into_iter().flat_map(|r| &r.runs);
    Compared {
        revision,
        met: routes.is_some_and(|r| r.met),
        unmet_count: routes.map_or(0, |r| r.unmet.len()),
        length_spread_mm: routes.map(|r| r.length_spread_mm),
        joints: plan.map(|p| p.joints),
        cost: plan.map(|p| p.cost.units()),
        total: quote.map(|q| q.total),
        currency: quote.map(|q| q.currency.clone()),
        runs: runs
            .filter_map(|r| {
                let line: Centreline = line(&r.run)?;
                Some(ComparedRun {
                    run: r.run.clone(),
                    number: r.number,
                    od: r.od,
                    length_mm: r.figures.length_mm,
                    bends: r.figures.bends,
                    turn_deg: r.figures.turn_deg,
                    joints: r.figures.joints,
                    gap_to_tubes_mm: r.figures.gap_to_tubes_mm,
                    gap_to_keepouts_mm: r.figures.gap_to_keepouts_mm,
                    line: bare_line(&line),
                })
            })
            .collect(),
    }
}

/// Two revisions of a job side by side.
#[utoipa::path(get, path = "/jobs/{id}/compare", tag = "history",
    params(("id" = String, Path, description = "The job"), CompareQuery), responses((status = 200, body = Comparison), Refusals))]
pub async fn compare(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Query(two): Query<CompareQuery>,
) -> ApiResult<JsonResponse<Comparison>> {
    let job = shop.store.job(&id).await?;
    let mut sides = Vec::new();
    for revision in [&two.a, &two.b] {
        let revision = shop.store.revision(&id, revision).await?;
        let loaded = shop.loaded_at(&job.name, &revision.id).await?;
        sides.push((loaded, RevisionView::new(&revision, &job.head.id)));
    }
    let work = move |_: &StopSignal| {
        let b = sides.pop()?;
        let a = sides.pop()?;
        let names = a.0.documents.keys().chain(b.0.documents.keys().filter(|n| !a.0.documents.contains_key(*n)));
        let differ = names.filter(|n| a.0.documents.get(*n) != b.0.documents.get(*n)).cloned().collect();
        Some(Comparison { a: compared(&a.0, a.1), b: compared(&b.0, b.1), differ })
    };
    let both = shop.work.run(Lane::Read, work).await?;
    both.map(JsonResponse).ok_or_else(|| ApiError::fault(&"two revisions were requested"))
}
