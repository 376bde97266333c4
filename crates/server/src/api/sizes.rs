//! First sizes.

use app::view::sizes::{SizesView, sizes as sizes_view};
use axum::Json as JsonResponse;
use axum::extract::State;

use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::Path;
use crate::shop::SharedShop;

/// First diameters and lengths by published rules, and what the firing order says.
#[utoipa::path(get, path = "/jobs/{id}/sizes", tag = "jobs", params(("id" = String, Path, description = "The job")),
    responses((status = 200, body = SizesView), Refusals))]
pub async fn sizes(State(shop): State<SharedShop>, Path(id): Path<String>) -> ApiResult<JsonResponse<SizesView>> {
    let job = shop.store.job(&id).await?;
    let loaded = shop.loaded(&job).await?;
    let opened = loaded.texts.opened.as_ref();
    let opened = opened.ok_or_else(|| ApiError::refused("job.toml has errors").hint("fix the problems listed"))?;
    Ok(JsonResponse(sizes_view(&opened.job)))
}
