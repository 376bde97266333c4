//! Edits of job.toml, and of the files beside it, by place.

use std::borrow::Cow;

use app::edit_job::{Edit, edit_text};
use axum::Json as JsonResponse;
use axum::extract::State;
use job::model::Units;
use serde::Deserialize;
use store::DocumentUpdate;
use utoipa::ToSchema;

use super::documents::{label_text, sound_text};
use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Json, Path};
use crate::job_view::JobView;
use crate::loaded::LoadedRevision;
use crate::shop::{SharedShop, is_text};

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
    /// The document; job.toml when none is named. One that is not there yet is made.
    #[serde(default)]
    document: Option<String>,
    /// The edits, applied in order.
    #[schema(min_items = 1, max_items = 1000)]
    edits: Vec<Edit>,
}

/// Edits job.toml or a file beside it. An edit that causes problems is saved too; the response lists them.
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
    let name = edits.document.unwrap_or_else(|| "job.toml".into());
    let old = match name.as_str() {
        "job.toml" => Cow::Borrowed(loaded.texts.text.as_str()),
        other if is_text(other) && other.ends_with(".toml") => {
            Cow::Owned(shop.own_text(&job, other).await?.unwrap_or_else(|| head(&loaded)))
        }
        _ => {
            return Err(
                ApiError::unprocessable("no such document can be edited by place").expected("a .toml of the job")
            );
        }
    };
    let text = edit_text(&old, &edits.edits).map_err(|e| ApiError::unprocessable(e.to_string()))?;
    let text = sound_text(text)?;
    let changes = vec![DocumentUpdate::Put(name, text.into_bytes())];
    Ok(JsonResponse(shop.commit(&id, edits.version, &label, changes).await?))
}

/// First lines of a document of a job, in the job's unit.
fn head(loaded: &LoadedRevision) -> String {
    let inches = loaded.texts.shown().is_some_and(|job| job.units == Units::Inch);
    format!("format = 1\nunits = \"{}\"\n", if inches { "in" } else { "mm" })
}
