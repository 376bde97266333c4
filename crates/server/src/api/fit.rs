//! The build of a job: forecast before the saw, correction as measured.

use app::fit_accept::day_text;
use app::fit_job::fit_job;
use app::fit_pool::{PoolView, pool_builds};
use app::fit_recut::recut;
use app::fit_report::FitReport;
use app::open_job::Planned;
use app::view::fit::{FitView, fit as fit_view};
use axum::Json as JsonResponse;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use job::Problems;
use job::model::Units;
use store::DocumentUpdate;

use super::history::AtVersion;
use super::names::LONGEST_NAME;
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

/// The planned job of a revision and what is known of its build.
fn worked_out(loaded: &LoadedRevision) -> ApiResult<(Planned<'_>, FitReport)> {
    let planned = loaded.texts.planned().ok_or_else(ApiError::no_plan)?;
    let report = fit_job(planned).map_err(|problems| refused(&problems, loaded))?;
    Ok((planned, report))
}

/// How far each run comes out off its inlet, or as measured what to change.
#[utoipa::path(get, path = "/jobs/{id}/fit", tag = "jobs", params(("id" = String, Path, description = "The job")),
    responses((status = 200, body = FitView), Refusals))]
pub async fn fit(State(shop): State<SharedShop>, Path(id): Path<String>) -> ApiResult<JsonResponse<FitView>> {
    let job = shop.store.job(&id).await?;
    let loaded = shop.loaded(&job).await?;
    let work = move |_: &StopSignal| {
        let (planned, report) = worked_out(&loaded)?;
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
        let (planned, report) = worked_out(&loaded)?;
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

/// Makes a job of what is left to be cut of a build, as corrected: trial pieces, with what is left of the items as remnants.
#[utoipa::path(post, path = "/jobs/{id}/fit/recut", tag = "jobs",
    params(("id" = String, Path, description = "The job")), request_body = AtVersion,
    responses((status = 201, body = JobView), Refusals))]
pub async fn recut_fit(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(seen): Json<AtVersion>,
) -> ApiResult<impl IntoResponse> {
    let job = shop.job_at(&id, seen.version).await?;
    let loaded = shop.loaded(&job).await?;
    let work = move |_: &StopSignal| {
        let (planned, report) = worked_out(&loaded)?;
        recut(planned, &report).filter(|rest| !rest.pieces.is_empty()).ok_or_else(|| {
            ApiError::refused("no piece of the primaries' tube is left to be cut").hint("cut other tubes by hand")
        })
    };
    let rest = shop.work.run(Lane::Search, work).await??;
    let name: String = format!("{} (the rest)", job.name).chars().take(LONGEST_NAME).collect();
    let documents =
        vec![("job.toml".to_string(), rest.job.into_bytes()), ("routes.toml".to_string(), rest.routes.into_bytes())];
    let made = shop.store.create(&name, documents, &format!("The rest of {}", job.name)).await?;
    Ok((StatusCode::CREATED, JsonResponse(shop.view(made).await?)))
}
