//! Planning the cuts.

use std::convert::Infallible;
use std::sync::Arc;
use std::time::Instant;

use app::papers_job::plan_text;
use app::reserve_job::cut_with_reserve;
use app::shelf::{ShelfOffer, ShelfThing, remnants, usable};
use app::wording;
use axum::extract::State;
use axum::response::sse::{Event, Sse};
use cutplan::{CutError, CutJob, CutPlan, CutSettings};
use job::routes::Routes;
use job::{Monitor, Pace};
use serde::{Deserialize, Serialize};
use store::{DocumentUpdate, JobRecord};
use tokio_stream::Stream;
use utoipa::ToSchema;

use crate::errors::{ApiError, ApiResult, Refusals};
use crate::events::{EventName, EventSender, Started, StreamEvent, event_stream};
use crate::extract::{Json, Path};
use crate::job_view::JobView;
use crate::loaded::LoadedRevision;
use crate::shop::{SharedShop, Shop};
use crate::work::{Lane, StopSignal, Task};

/// How to plan the cuts.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CutRequest {
    /// The version that was seen.
    version: i64,
    /// Whether stock on hand may be used.
    #[serde(default = "yes")]
    shelf: bool,
}

fn yes() -> bool {
    true
}

/// Stock on hand now.
pub async fn shelf_now(shop: &Shop) -> ApiResult<Vec<ShelfOffer>> {
    let items = shop.store.shelf().await?;
    let offered = |item: store::ShelfItem| {
        let thing: ShelfThing = serde_json::from_str(&item.what).ok()?;
        Some(ShelfOffer { id: item.id, label: item.label, thing })
    };
    Ok(items.into_iter().filter_map(offered).collect())
}

/// `better`, while planning cuts: a cheaper plan or a higher bound.
#[derive(Serialize, ToSchema)]
pub struct BetterPlan {
    /// Seconds passed.
    seconds: f64,
    /// Stock, joints and cuts, money.
    cost: f64,
    /// No plan can cost less, money.
    lower_bound: f64,
}

/// `done`, after planning cuts: the plan is saved.
#[derive(Serialize, ToSchema)]
pub struct CutDone {
    /// The job with its new plan.
    job: JobView,
}

/// A job whose cuts can be planned, with its routes and the stock on hand.
struct CutInput {
    job: job::model::Job,
    routes: Routes,
    shelf: Vec<ShelfOffer>,
}

impl CutInput {
    fn new(loaded: &LoadedRevision, shelf: Vec<ShelfOffer>) -> ApiResult<CutInput> {
        let texts = &loaded.texts;
        let unfit = |found: &job::Problems| ApiError::of_problems("the cuts cannot be planned yet", found, &texts.text);
        let opened = texts.opened.as_ref().ok_or_else(|| unfit(&texts.problems()))?;
        let routes = texts.routes.clone();
        let routes = routes.ok_or_else(|| ApiError::refused("the job has no routes yet").hint("route it first"))?;
        let shelf = usable(&opened.job, shelf);
        opened.require_cutting(&remnants(&shelf)).map_err(|p| unfit(&p))?;
        Ok(CutInput { job: opened.job.clone(), routes, shelf })
    }

    /// The plan and the stock on hand that it was made with, as documents to save.
    fn cut(&self, stop: &StopSignal, pace: &Pace, events: &EventSender) -> ApiResult<Vec<DocumentUpdate>> {
        let begun = Instant::now();
        let mut monitor = Monitor::new(stop.flag(), |plan: &CutPlan| {
            let seconds = begun.elapsed().as_secs_f64();
            let better = BetterPlan { seconds, cost: plan.cost.units(), lower_bound: plan.lower_bound.units() };
            if !events.send(EventName::Better, &better) {
                stop.leave();
            }
        })
        .paced(pace);
        let offered = remnants(&self.shelf);
        let job = CutJob::with_shelf(&self.job, &offered);
        let report = cut_with_reserve(&self.job, &job, &self.routes, &CutSettings::default(), &mut monitor);
        let refused = |e: CutError| {
            let why = wording::cut(&e, self.job.units);
            ApiError::unprocessable(format!("the tubes cannot be cut from this stock: {why}"))
        };
        let report = report.map_err(refused)?;
        let plan = plan_text(&report.plan).map_err(|e| ApiError::fault(&e))?;
        let shelf = if self.shelf.is_empty() {
            DocumentUpdate::Remove("shelf.json".into())
        } else {
            let text = serde_json::to_string_pretty(&self.shelf).map_err(|e| ApiError::fault(&e))?;
            DocumentUpdate::Put("shelf.json".into(), text.into_bytes())
        };
        Ok(vec![DocumentUpdate::Put("cutplan.json".into(), plan.into_bytes()), shelf])
    }
}

/// Plans the cuts of the job's routes from its stock and the stock on hand, and saves the plan. The response is a stream of
/// the events `begun`, `better` (at least one), `pace` and `done`, or `failed`. It can be stopped like a search: the best plan so far
/// is saved. When the client disconnects, planning stops and nothing is saved.
#[utoipa::path(post, path = "/jobs/{id}/cut", tag = "cut", params(("id" = String, Path, description = "The job")),
    request_body = CutRequest, responses((status = 200, body = StreamEvent, content_type = "text/event-stream"), Refusals))]
pub async fn cut(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(request): Json<CutRequest>,
) -> ApiResult<Sse<impl Stream<Item = Result<Event, Infallible>>>> {
    let job = shop.job_at(&id, request.version).await?;
    let loaded = shop.loaded(&job).await?;
    let shelf = if request.shelf { shelf_now(&shop).await? } else { Vec::new() };
    let ready = CutInput::new(&loaded, shelf)?;
    let task = shop.work.begin(Lane::Search, Some(&id))?;
    let (events, answer) = event_stream(task.stop());
    events.send(EventName::Begun, &Started { search: task.name() });
    tokio::spawn(async move {
        match keep(&shop, &job, ready, task, events.clone()).await {
            Ok(Some(job)) => {
                events.send(EventName::Done, &CutDone { job });
            }
            // The client has disconnected.
            Ok(None) => {}
            Err(error) => events.failed(error),
        }
    });
    Ok(answer)
}

/// Plans the cuts and saves the plan, unless the client has disconnected.
async fn keep(
    shop: &Shop,
    job: &JobRecord,
    ready: CutInput,
    task: Task,
    events: EventSender,
) -> ApiResult<Option<JobView>> {
    let stop = task.stop();
    let pace = Arc::new(Pace::new());
    let (counted, sender) = (pace.clone(), events.clone());
    let cut = task.run(move |stop| ready.cut(stop, &counted, &sender));
    let changes = events.paced(&pace, cut).await??;
    if stop.is_left() {
        return Ok(None);
    }
    shop.commit(&job.id, job.version, "Cut", changes).await.map(Some)
}
