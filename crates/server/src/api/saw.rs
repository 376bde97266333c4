//! Ticks at the saw: which cuts of a plan are done. They belong to the plan, not to a revision: a new plan starts with none.

use axum::Json as JsonResponse;
use axum::extract::State;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Json, Path};
use crate::shop::SharedShop;

/// Name of the note that stores the ticks.
const NOTE: &str = "saw";

/// The cuts that are done.
#[derive(Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Ticks {
    /// Hash of the plan: `plan.hash` of the job.
    plan: String,
    /// Ids of the cuts: `b1-2`.
    #[schema(max_items = 5000)]
    done: Vec<String>,
}

async fn plan_of(shop: &SharedShop, id: &str) -> ApiResult<String> {
    let job = shop.store.job(id).await?;
    let documents = shop.store.documents(&job.head.id).await?;
    documents.get("cutplan.json").cloned().ok_or_else(|| ApiError::refused("the job has no cut plan yet"))
}

/// Which cuts of the job's plan are done.
#[utoipa::path(get, path = "/jobs/{id}/saw", tag = "cut", params(("id" = String, Path, description = "The job")),
    responses((status = 200, body = Ticks), Refusals))]
pub async fn saw(State(shop): State<SharedShop>, Path(id): Path<String>) -> ApiResult<JsonResponse<Ticks>> {
    let plan = plan_of(&shop, &id).await?;
    let kept = shop.store.note(&format!("{id} {plan}"), NOTE).await?;
    let done = kept.and_then(|text| serde_json::from_str(&text).ok()).unwrap_or_default();
    Ok(JsonResponse(Ticks { plan, done }))
}

/// Saves which cuts of the job's plan are done; refused when the job has another plan by now.
#[utoipa::path(put, path = "/jobs/{id}/saw", tag = "cut", params(("id" = String, Path, description = "The job")),
    request_body = Ticks, responses((status = 200, body = Ticks), Refusals))]
pub async fn put_saw(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(ticks): Json<Ticks>,
) -> ApiResult<JsonResponse<Ticks>> {
    let plan = plan_of(&shop, &id).await?;
    if plan != ticks.plan {
        return Err(ApiError::refused("the cuts have been re-planned: these ticks belong to an earlier plan"));
    }
    if ticks.done.len() > 5000 || ticks.done.iter().any(|d| d.len() > 40 || d.contains('\0')) {
        return Err(ApiError::unprocessable("not the cuts of a plan"));
    }
    let text = serde_json::to_string(&ticks.done).map_err(|e| ApiError::fault(&e))?;
    shop.store.set_note(&format!("{id} {plan}"), NOTE, &text).await?;
    Ok(JsonResponse(ticks))
}
