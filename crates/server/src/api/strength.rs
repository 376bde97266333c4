//! What the hot header of a job does.

use app::strength_answer::StrengthAnswer;
use app::strength_job::strength_job;
use app::strength_trial::{PartMove, PartTrial, strength_trial};
use axum::Json as JsonResponse;
use axum::extract::State;

use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Json, Path};
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
        let answer = texts.require_job().and_then(|opened| {
            let (routes, gas) = (texts.require_routes()?, loaded.gas_at_peak());
            strength_job(&opened.job, routes, &texts.rates, gas, texts.fresh_plan())
        });
        answer.map_err(|problems| ApiError::of_problems("the header cannot be computed", &problems, &texts.text))
    };
    Ok(JsonResponse(shop.work.run(Lane::Search, work).await??))
}

/// The same with one part of the job at another place of its run: for a part that is being dragged. Nothing is saved.
#[utoipa::path(post, path = "/jobs/{id}/strength/part", tag = "jobs", params(("id" = String, Path, description = "The job")),
    request_body = PartMove, responses((status = 200, body = PartTrial), Refusals))]
pub async fn part(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(moved): Json<PartMove>,
) -> ApiResult<JsonResponse<PartTrial>> {
    if !(0.0..=20_000.0).contains(&moved.at_mm) {
        return Err(ApiError::unprocessable("at_mm out of range").expected("0 to 20000 mm"));
    }
    let job = shop.store.job(&id).await?;
    let loaded = shop.loaded(&job).await?;
    let work = move |_: &StopSignal| {
        let texts = &loaded.texts;
        let refused =
            |problems: &job::Problems| ApiError::of_problems("the header cannot be computed", problems, &texts.text);
        let opened = texts.require_job().map_err(|p| refused(&p))?;
        let routes = texts.require_routes().map_err(|p| refused(&p))?;
        let none = || ApiError::unprocessable("there is no such part on a run").expected("a part of the job, from 0");
        strength_trial(&opened.job, routes, loaded.gas_at_peak(), &moved).ok_or_else(none)?.map_err(|p| refused(&p))
    };
    Ok(JsonResponse(shop.work.run(Lane::Read, work).await??))
}
