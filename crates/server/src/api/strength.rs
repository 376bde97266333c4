//! What the hot header of a job does.

use app::strength_answer::StrengthAnswer;
use app::strength_job::strength_job;
use axum::Json as JsonResponse;
use axum::extract::State;

use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::Path;
use crate::shop::SharedShop;
use crate::work::{Lane, StopSignal};

/// Heat, growth, stress and vibration of the header as routed, and the single changes that help.
#[utoipa::path(get, path = "/jobs/{id}/strength", tag = "jobs", params(("id" = String, Path, description = "The job")),
    responses((status = 200, body = StrengthAnswer), Refusals))]
pub async fn strength(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
) -> ApiResult<JsonResponse<StrengthAnswer>> {
    let job = shop.store.job(&id).await?;
    let loaded = shop.loaded(&job).await?;
    let work = move |_: &StopSignal| {
        let texts = &loaded.texts;
        let answer = texts
            .require_job()
            .and_then(|opened| strength_job(&opened.job, texts.require_routes()?, &texts.rates, None));
        answer.map_err(|problems| ApiError::of_problems("the header cannot be computed", &problems, &texts.text))
    };
    Ok(JsonResponse(shop.work.run(Lane::Search, work).await??))
}
