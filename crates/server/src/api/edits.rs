//! Edits of job.toml by place.

use app::edit_job::{Edit, edit_text};
use axum::Json as JsonResponse;
use axum::extract::State;
use serde::Deserialize;
use store::DocumentUpdate;
use utoipa::ToSchema;

use super::documents::{label_text, sound_text};
use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Json, Path};
use crate::job_view::JobView;
use crate::shop::SharedShop;

/// Most edits of one call.
const MOST: usize = 1000;

/// Edits.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Edits {
    /// The version that was seen.
    version: i64,
    /// Short description of the change: `Move port 3`.
    #[schema(max_length = 120)]
    label: String,
    /// The edits, applied in order.
    #[schema(min_items = 1, max_items = 1000)]
    edits: Vec<Edit>,
}

/// Edits job.toml. An edit that causes problems is saved too; the response lists them.
#[utoipa::path(post, path = "/jobs/{id}/edits", tag = "jobs", params(("id" = String, Path, description = "The job")),
    request_body = Edits, responses((status = 200, body = JobView), Refusals))]
pub async fn edit(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(edits): Json<Edits>,
) -> ApiResult<JsonResponse<JobView>> {
    let label = label_text(&edits.label)?;
    if edits.edits.is_empty() || edits.edits.len() > MOST {
        return Err(ApiError::unprocessable("no edits, or too many").expected("1 to 1000 edits"));
    }
    let job = shop.job_at(&id, edits.version).await?;
    let loaded = shop.loaded(&job).await?;
    let text = edit_text(&loaded.texts.text, &edits.edits).map_err(|e| ApiError::unprocessable(e.to_string()))?;
    let text = sound_text(text)?;
    let changes = vec![DocumentUpdate::Put("job.toml".into(), text.into_bytes())];
    Ok(JsonResponse(shop.commit(&id, edits.version, &label, changes).await?))
}
