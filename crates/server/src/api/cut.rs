//! The cut plan, worked out and kept.

use app::cut_job::cut_job;
use app::papers_job::plan_text;
use app::shelf::{Offered, ShelfThing, offer, usable};
use axum::Json as Answer;
use axum::extract::State;
use cutplan::CutSettings;
use serde::Deserialize;
use store::Change;
use utoipa::ToSchema;

use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Json, Path};
use crate::job_view::JobView;
use crate::shop::{SharedShop, Shop};

/// How to cut.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CutWish {
    /// The version that was seen.
    version: i64,
    /// Whether the shop's shelf is used.
    #[serde(default = "yes")]
    shelf: bool,
}

fn yes() -> bool {
    true
}

/// What is on the shelf now.
pub async fn shelf_now(shop: &Shop) -> ApiResult<Vec<Offered>> {
    let items = shop.store.shelf().await?;
    let offered = |item: store::ShelfItem| {
        let thing: ShelfThing = serde_json::from_str(&item.what).ok()?;
        Some(Offered { id: item.id, label: item.label, thing })
    };
    Ok(items.into_iter().filter_map(offered).collect())
}

/// Plans the cuts of the job's routes from its stock and the shop's shelf, and keeps the plan.
#[utoipa::path(post, path = "/jobs/{id}/cut", tag = "cut", params(("id" = String, Path, description = "The job")),
    request_body = CutWish, responses((status = 200, body = JobView), Refusals))]
pub async fn cut(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(wish): Json<CutWish>,
) -> ApiResult<Answer<JobView>> {
    let job = shop.job_at(&id, wish.version).await?;
    let desk = shop.desk(&job).await?;
    let shelf = if wish.shelf { shelf_now(&shop).await? } else { Vec::new() };
    let work = move || -> ApiResult<Vec<Change>> {
        let texts = &desk.texts;
        let unfit = |found: &job::Problems| ApiError::of_problems("the job can't be cut yet", found, &texts.text);
        let opened = texts.opened.as_ref().ok_or_else(|| unfit(&texts.problems))?;
        let routes = texts.routes.as_ref();
        let routes = routes.ok_or_else(|| ApiError::refused("the job has no routes yet").hint("route it first"))?;
        // Without the shelf of the plan before: what stands on it now takes its place.
        let mut fresh = opened.clone();
        fresh.job.stock.remnants.truncate(fresh.job.stock.remnants.len().saturating_sub(texts.shelf.len()));
        let shelf = usable(&fresh.job, shelf);
        offer(&mut fresh.job, &shelf);
        fresh.require_cutting().map_err(|p| unfit(&p))?;
        let report = cut_job(&fresh.job, routes, &CutSettings::default(), &mut |_| ());
        let report = report.map_err(|e| ApiError::senseless(format!("the runs can't be cut from this stock: {e}")))?;
        let plan = plan_text(&report.plan).map_err(|e| ApiError::fault(&e))?;
        let shelf = if shelf.is_empty() {
            Change::Drop("shelf.json".into())
        } else {
            let text = serde_json::to_string_pretty(&shelf).map_err(|e| ApiError::fault(&e))?;
            Change::Put("shelf.json".into(), text.into_bytes())
        };
        Ok(vec![Change::Put("cutplan.json".into(), plan.into_bytes()), shelf])
    };
    let changes = shop.heavy(work).await??;
    Ok(Answer(shop.commit(&id, wish.version, "Cut", changes).await?))
}
