//! The quote, and the job's own rates.

use app::edit_job::{Edit, edit_text};
use app::view::quote::{QuoteView, quote as quote_view};
use axum::Json as JsonResponse;
use axum::extract::State;
use serde::Deserialize;
use store::DocumentUpdate;
use utoipa::ToSchema;

use super::documents::sound_text;
use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Json, Path};
use crate::job_view::JobView;
use crate::shop::SharedShop;
use crate::work::{Lane, StopSignal};

/// Name of the job's own rates.
const RATES: &str = "rates.toml";

/// First lines of a new rates or stock file.
const HEAD: &str = "format = 1\nunits = \"mm\"\n";

/// A change of the job's own rates.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RatesChange {
    /// The version that was seen.
    version: i64,
    /// Edits by place: `["price", "labour_per_hour"]`, `["time", "cut_bend"]`, `["extra", 0]`.
    #[schema(min_items = 1, max_items = 200)]
    edits: Vec<Edit>,
}

/// The itemised quote, with its rates.
#[utoipa::path(get, path = "/jobs/{id}/quote", tag = "price", params(("id" = String, Path, description = "The job")),
    responses((status = 200, body = QuoteView), Refusals))]
pub async fn quote(State(shop): State<SharedShop>, Path(id): Path<String>) -> ApiResult<JsonResponse<QuoteView>> {
    let job = shop.store.job(&id).await?;
    let loaded = shop.loaded(&job).await?;
    let work = move |_: &StopSignal| {
        loaded.texts.quote().map(|q| quote_view(q, &loaded.texts.rates, &loaded.texts.own_extras))
    };
    let found = shop.work.run(Lane::Read, work).await?;
    found.map(JsonResponse).ok_or_else(ApiError::no_plan)
}

/// Changes the job's own rates, which override the shop's.
#[utoipa::path(put, path = "/jobs/{id}/rates", tag = "price", params(("id" = String, Path, description = "The job")),
    request_body = RatesChange, responses((status = 200, body = JobView), Refusals))]
pub async fn put_rates(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(change): Json<RatesChange>,
) -> ApiResult<JsonResponse<JobView>> {
    let job = shop.job_at(&id, change.version).await?;
    let old = shop.own_text(&job, RATES).await?;
    let text = edited(old.as_deref(), &change.edits)?;
    let changes = vec![DocumentUpdate::Put(RATES.into(), sound_text(text)?.into_bytes())];
    Ok(JsonResponse(shop.commit(&id, change.version, "Change rates", changes).await?))
}

/// A rates or stock file with `edits` applied; a new file when there is none.
pub(super) fn edited(old: Option<&str>, edits: &[Edit]) -> ApiResult<String> {
    if edits.is_empty() || edits.len() > 200 {
        return Err(ApiError::unprocessable("no edits, or too many").expected("1 to 200 edits"));
    }
    edit_text(old.unwrap_or(HEAD), edits).map_err(|e| ApiError::unprocessable(e.to_string()))
}
