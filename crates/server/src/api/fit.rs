//! The build of a job: forecast before the saw, correction as measured.

use app::fit_accept::day_text;
use app::fit_job::fit_job;
use app::fit_pool::{PoolView, pool_builds};
use app::view::fit::{FitView, fit as fit_view};
use axum::Json as JsonResponse;
use axum::extract::State;
use job::Problems;
use job::model::Units;
use store::DocumentUpdate;

use super::history::AtVersion;
use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Json, Path};
use crate::job_view::JobView;
use crate::loaded::LoadedRevision;
use crate::shop::SharedShop;
use crate::work::{Lane, StopSignal};

/// A day, ms.
const DAY_MS: i64 = 86_400_000;

fn refused(problems: &Problems, loaded: &LoadedRevision) -> ApiError {
    ApiError::of_problems("the build cannot be worked out", problems, &loaded.texts.text)
}

/// How far each run comes out off its inlet, or as measured what to change.
#[utoipa::path(get, path = "/jobs/{id}/fit", tag = "jobs", params(("id" = String, Path, description = "The job")),
    responses((status = 200, body = FitView), Refusals))]
pub async fn fit(State(shop): State<SharedShop>, Path(id): Path<String>) -> ApiResult<JsonResponse<FitView>> {
    let job = shop.store.job(&id).await?;
    let loaded = shop.loaded(&job).await?;
    let work = move |_: &StopSignal| {
        let planned = loaded.texts.planned().ok_or_else(ApiError::no_plan)?;
        let report = fit_job(planned).map_err(|problems| refused(&problems, &loaded))?;
        ApiResult::Ok(fit_view(planned, &report))
    };
    Ok(JsonResponse(shop.work.run(Lane::Search, work).await??))
}

/// Most builds that are pooled, the last changed first.
const MOST_POOLED: usize = 50;

/// What all builds of the shop that were measured say of its own errors, in this job's unit: to be put under `[shop]` of
/// fit.toml. Builds that cannot be worked out are left out.
#[utoipa::path(get, path = "/jobs/{id}/fit/shop", tag = "jobs", params(("id" = String, Path, description = "The job")),
    responses((status = 200, body = PoolView), Refusals))]
pub async fn pooled_fits(State(shop): State<SharedShop>, Path(id): Path<String>) -> ApiResult<JsonResponse<PoolView>> {
    let own = shop.store.job(&id).await?;
    let mut loaded = vec![shop.loaded(&own).await?];
    for job in shop.store.jobs(false).await?.iter().filter(|job| job.id != id) {
        if loaded.len() < MOST_POOLED && shop.store.documents(&job.head.id).await?.contains_key("fit.toml") {
            loaded.push(shop.loaded(job).await?);
        }
    }
    let work = move |stop: &StopSignal| {
        let units = loaded[0].texts.shown().map_or(Units::Mm, |job| job.units);
        let planned = loaded.iter().filter(|l| l.texts.fit.is_some()).filter_map(|l| l.texts.planned());
        let reports: Vec<_> = planned.take_while(|_| !stop.is_set()).filter_map(|p| fit_job(p).ok()).collect();
        PoolView::of(&pool_builds(&reports), units)
    };
    Ok(JsonResponse(shop.work.run(Lane::Search, work).await?))
}

/// Accepts the correction: adds it to fit.toml and writes asbuilt.toml.
#[utoipa::path(post, path = "/jobs/{id}/fit/accept", tag = "jobs",
    params(("id" = String, Path, description = "The job")), request_body = AtVersion,
    responses((status = 200, body = JobView), Refusals))]
pub async fn accept_fit(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(seen): Json<AtVersion>,
) -> ApiResult<JsonResponse<JobView>> {
    let job = shop.job_at(&id, seen.version).await?;
    let loaded = shop.loaded(&job).await?;
    let today = day_text(shop.store.now().div_euclid(DAY_MS));
    let work = move |_: &StopSignal| {
        let planned = loaded.texts.planned().ok_or_else(ApiError::no_plan)?;
        let report = fit_job(planned).map_err(|problems| refused(&problems, &loaded))?;
        let lines = report.corrected(&today);
        if lines.is_empty() {
            return Err(ApiError::refused("nothing is to be changed").hint("measure the open end first"));
        }
        let old = planned.open.fit.as_ref().map(|f| String::from_utf8_lossy(&f.bytes).into_owned());
        let built = job::routes_text(&report.as_built(planned.routes), planned.opened.job.units);
        ApiResult::Ok((app::fit_accept::with_lines(old, &lines), built))
    };
    let (fit, built) = shop.work.run(Lane::Search, work).await??;
    let changes = vec![
        DocumentUpdate::Put("fit.toml".into(), fit.into_bytes()),
        DocumentUpdate::Put("asbuilt.toml".into(), built.into_bytes()),
    ];
    Ok(JsonResponse(shop.commit(&id, seen.version, "Accept correction", changes).await?))
}
