//! The order of assembly on the vehicle.

use app::view::assembly::{AssemblyView, assembly_view};
use app::wording;
use axum::Json as JsonResponse;
use axum::extract::State;

use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::Path;
use crate::shop::SharedShop;
use crate::work::{Lane, StopSignal};

/// The order in which the runs go in, and where each is tacked.
#[utoipa::path(get, path = "/jobs/{id}/assembly", tag = "cut", params(("id" = String, Path, description = "The job")),
    responses((status = 200, body = AssemblyView), Refusals))]
pub async fn assembly(State(shop): State<SharedShop>, Path(id): Path<String>) -> ApiResult<JsonResponse<AssemblyView>> {
    let job = shop.store.job(&id).await?;
    let loaded = shop.loaded(&job).await?;
    let work = move |_: &StopSignal| {
        let planned = loaded.texts.planned().ok_or_else(ApiError::no_plan)?;
        let refuse = |error| ApiError::unprocessable(wording::cut(&error, planned.opened.job.units));
        assembly_view(planned).map_err(refuse)
    };
    Ok(JsonResponse(shop.work.run(Lane::Make, work).await??))
}
