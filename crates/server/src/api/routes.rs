//! Edited routes: trial and save.

use app::trial::{ChangedRun, RunEdit, TrialError, changed};
use app::view::routes::{RoutesView, routes};
use axum::Json as JsonResponse;
use axum::extract::State;
use job::model::Units;
use job::routes_text;
use serde::{Deserialize, Serialize};
use store::DocumentUpdate;
use utoipa::ToSchema;

use super::documents::label_text;
use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Json, Path};
use crate::job_view::JobView;
use crate::loaded::LoadedRevision;
use crate::shop::SharedShop;
use crate::work::{Lane, StopSignal};

/// Edits to try.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TrialRequest {
    /// Runs that differ from the job's.
    #[serde(default)]
    #[schema(max_items = 200)]
    runs: Vec<ChangedRun>,
    /// One edit, applied after that.
    #[serde(default)]
    edit: Option<RunEdit>,
}

/// Edits to save.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RoutesChange {
    /// Version of the job that the client has.
    version: i64,
    /// Short description of the change: `Move a point of primary 3`.
    #[schema(max_length = 120)]
    label: String,
    /// Runs that differ from the job's.
    #[serde(default)]
    #[schema(max_items = 200)]
    runs: Vec<ChangedRun>,
    /// One edit, applied after that.
    #[serde(default)]
    edit: Option<RunEdit>,
}

/// Result of a trial.
#[derive(Serialize, ToSchema)]
pub struct TrialResult {
    /// The routes and their figures; null when a run would not be a valid tube.
    routes: Option<RoutesView>,
    /// Why there are no routes.
    refusal: Option<String>,
}

/// The job's routes with those runs replaced and the edit applied.
fn with(loaded: &LoadedRevision, runs: &[ChangedRun], edit: Option<&RunEdit>) -> ApiResult<job::routes::Routes> {
    let found = loaded.texts.routes.as_ref().ok_or_else(|| ApiError::refused("the job has no routes yet"))?;
    let units = loaded.texts.opened.as_ref().map_or_else(Units::default, |o| o.job.units);
    changed(found, runs, edit, units).map_err(|e| ApiError::unprocessable(e.to_string()))
}

/// Figures of edited routes; nothing is saved.
#[utoipa::path(post, path = "/jobs/{id}/trial", tag = "routes", params(("id" = String, Path, description = "The job")),
    request_body = TrialRequest, responses((status = 200, body = TrialResult), Refusals))]
pub async fn trial(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(trial): Json<TrialRequest>,
) -> ApiResult<JsonResponse<TrialResult>> {
    let job = shop.store.job(&id).await?;
    let loaded = shop.loaded(&job).await?;
    let figures = move |_: &StopSignal| {
        let found = with(&loaded, &trial.runs, None)?;
        let opened = loaded.texts.opened.as_ref().filter(|_| loaded.texts.routable());
        let opened = opened.ok_or_else(|| ApiError::refused("the job has no ports and collectors yet"))?;
        let (figures, refusal) = match changed(&found, &[], trial.edit.as_ref(), opened.job.units) {
            Ok(tried) => (Some(routes(&opened.job, &tried, None)), None),
            // A dragged handle passes through such places.
            Err(e @ TrialError::NoTube { .. }) => (None, Some(e.to_string())),
            Err(e) => return Err(ApiError::unprocessable(e.to_string())),
        };
        Ok(JsonResponse(TrialResult { routes: figures, refusal }))
    };
    shop.work.run(Lane::Read, figures).await?
}

/// Saves edited routes.
#[utoipa::path(put, path = "/jobs/{id}/routes", tag = "routes", params(("id" = String, Path, description = "The job")),
    request_body = RoutesChange, responses((status = 200, body = JobView), Refusals))]
pub async fn put_routes(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(change): Json<RoutesChange>,
) -> ApiResult<JsonResponse<JobView>> {
    let label = label_text(&change.label)?;
    let job = shop.job_at(&id, change.version).await?;
    let loaded = shop.loaded(&job).await?;
    let found = with(&loaded, &change.runs, change.edit.as_ref())?;
    let opened = loaded.texts.opened.as_ref().ok_or_else(|| ApiError::refused("the job has no routes yet"))?;
    let text = routes_text(&found, opened.job.units);
    let changes = vec![DocumentUpdate::Put("routes.toml".into(), text.into_bytes())];
    Ok(JsonResponse(shop.commit(&id, change.version, &label, changes).await?))
}
