//! A search for routes, with its progress as events.
//!
//! The search runs in its own thread; its progress goes through a channel into the response. When the client disconnects, the
//! receiver is dropped and the search stops. The best result is saved as a revision, unless someone else has changed the job
//! in the meantime: then it is only returned, and the client decides.

use std::convert::Infallible;
use std::sync::Arc;

use app::alternatives::{Alternative, BestAt, Figures, choose};
use app::route_job::{Found, RouteReport, route_job};
use app::view::finding::{RelaxationView, UnmetView};
use app::view::routes::{RoutesView, routes};
use axum::Json as JsonResponse;
use axum::extract::State;
use axum::response::sse::{Event, Sse};
use job::{Monitor, Opened, Pace, routes_text};
use route::RouteSettings;
use serde::{Deserialize, Serialize};
use store::{Commit, DocumentUpdate, JobRecord, StoreError};
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};
use tokio::task::JoinHandle;
use tokio_stream::Stream;
use utoipa::ToSchema;

use crate::errors::{ApiError, ApiResult, CurrentView, Refusals};
use crate::events::{EventName, EventSender, Started, StreamEvent, event_stream};
use crate::extract::{Json, Path};
use crate::job_view::JobView;
use crate::loaded::LoadedRevision;
use crate::shop::{SharedShop, Shop};
use crate::work::{Lane, StopSignal};

/// Highest search effort, hundreds of steps.
const MOST_EFFORT: usize = 200;

/// Most alternatives.
const MOST_ALTERNATIVES: usize = 8;

/// Name of the note that stores the alternatives of a search with its revision.
const NOTE: &str = "alternatives";

/// Name of the note that stores the tested changes of a search with its revision.
const ADVICE: &str = "relaxations";

/// The routes of a job.
const ROUTES: &str = "routes.toml";

/// The closest attempt of a search that did not meet every requirement, kept beside the routes.
const ATTEMPT: &str = "attempt.toml";

/// How to search.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SearchRequest {
    /// Version of the job that the client has.
    version: i64,
    /// The same job, settings and seed give the same routes.
    #[serde(default = "one")]
    seed: u64,
    /// Search effort, hundreds of steps; 0 stops at the first solution.
    #[schema(maximum = 200)]
    #[serde(default = "effort")]
    effort: usize,
    /// Number of alternatives to offer; 0 and 1: only the best.
    #[serde(default)]
    #[schema(maximum = 8)]
    alternatives: usize,
    /// Whether to start from the saved routes; locked runs are kept in any case.
    #[serde(default)]
    resume: bool,
}

fn one() -> u64 {
    1
}

fn effort() -> usize {
    RouteSettings::default().effort
}

/// `better`: a better solution.
#[derive(Serialize, ToSchema)]
pub struct Better {
    /// Seconds passed.
    seconds: f64,
    /// Number of bends.
    bends: usize,
    /// Total bend angle, degrees.
    turn_deg: f64,
    /// The routes.
    routes: RoutesView,
}

/// `done`: the search has ended, by itself or because it was stopped.
#[derive(Serialize, ToSchema)]
pub struct SearchDone {
    /// Whether all requirements are met.
    met: bool,
    /// What the closest attempt misses.
    unmet: Vec<UnmetView>,
    /// Changes of the job that were tested, the most effective first.
    relaxations: Vec<RelaxationView>,
    /// Alternatives, best first.
    alternatives: Vec<AlternativeView>,
    /// Seconds it took.
    seconds: f64,
    /// The job with the best routes saved, or with the closest attempt saved beside its routes; null when nothing was found or someone else has changed the job.
    job: Option<JobView>,
    /// The job's present version when someone else has changed it.
    conflict: Option<CurrentView>,
    /// The best routes when they could not be saved.
    routes: Option<RoutesView>,
}

/// An alternative.
#[derive(Serialize, ToSchema)]
pub struct AlternativeView {
    /// From 1.
    number: usize,
    /// What it is best for; may be empty.
    best_at: Vec<BestAt>,
    /// Figures of the alternative.
    figures: FiguresView,
    /// Routes of the alternative.
    routes: RoutesView,
}

/// Figures of an alternative.
#[derive(Serialize, ToSchema)]
pub struct FiguresView {
    /// Welds between pieces.
    joints: u32,
    /// Stock, joints and cuts, money.
    cost: f64,
    /// Longest primary less the shortest, mm.
    spread_mm: f64,
    /// Least clearance beyond what is needed, mm.
    room_mm: f64,
    /// Total bend angle, degrees.
    turn_deg: f64,
    /// Greatest share of its allowable stress range that a tube reaches when hot; null when it cannot be computed.
    share_of_allowable: Option<f64>,
    /// The quote's total, money.
    total: Option<f64>,
    /// Weight of the bare tubes, kg.
    weight_kg: Option<f64>,
}

/// What a search stored with a revision.
#[derive(Serialize, ToSchema)]
pub struct AlternativeList {
    /// The alternatives, best first.
    #[schema(value_type = Vec<AlternativeView>)]
    alternatives: Vec<serde_json::Value>,
    /// Changes of the job that were tested, the most effective first.
    #[schema(value_type = Vec<RelaxationView>)]
    relaxations: Vec<serde_json::Value>,
}

/// Progress of the search.
enum SearchEvent {
    Better(Box<Better>),
    Done(Box<RouteReport>, Vec<Alternative>),
}

/// Routes every tube. The response is a stream of the events `begun`, `better` and `pace` (any number) and `done`, or
/// `failed`.
#[utoipa::path(post, path = "/jobs/{id}/searches", tag = "routes", params(("id" = String, Path, description = "The job")),
    request_body = SearchRequest, responses((status = 200, body = StreamEvent, content_type = "text/event-stream"), Refusals))]
pub async fn search(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(request): Json<SearchRequest>,
) -> ApiResult<Sse<impl Stream<Item = Result<Event, Infallible>>>> {
    if request.effort > MOST_EFFORT || request.alternatives > MOST_ALTERNATIVES {
        return Err(ApiError::unprocessable("effort or alternatives out of range")
            .expected("effort up to 200, alternatives up to 8"));
    }
    let job = shop.job_at(&id, request.version).await?;
    let loaded = shop.loaded(&job).await?;
    let opened = loaded.texts.opened.as_ref();
    let unfit =
        |found: &job::Problems| ApiError::of_problems("the job cannot be routed yet", found, &loaded.texts.text);
    opened.ok_or_else(|| unfit(&loaded.texts.problems()))?.require_routing().map_err(|p| unfit(&p))?;
    let task = shop.work.begin(Lane::Search, Some(&id))?;
    let (name, stop) = (task.name(), task.stop());
    let (say, heard) = unbounded_channel();
    let (events, answer) = event_stream(stop.clone());
    events.send(EventName::Begun, &Started { search: name.clone() });
    tracing::info!(job = id, search = name, seed = request.seed, "search begun");
    let shared = loaded.clone();
    let pace = Arc::new(Pace::new());
    let counted = pace.clone();
    let searched = tokio::spawn(task.run(move |stop| run(&shared, &request, (stop, &counted), &say)));
    let following = SearchFollower { shop, job, loaded, events: events.clone(), stop };
    tokio::spawn(async move {
        events.paced(&pace, following.follow(heard, searched)).await;
        tracing::info!(job = id, search = name, "search ended");
    });
    Ok(answer)
}

/// Threads of a search: all cores but one, which answers the page.
fn threads() -> usize {
    std::thread::available_parallelism().map_or(1, |n| n.get().saturating_sub(1)).max(1)
}

/// The search itself.
fn run(
    loaded: &LoadedRevision,
    request: &SearchRequest,
    (stop, pace): (&StopSignal, &Pace),
    say: &UnboundedSender<SearchEvent>,
) {
    let Some(opened) = &loaded.texts.opened else { return };
    let job = &opened.job;
    let last = loaded.texts.routes.as_ref().map(|found| found.to_start_from(request.resume));
    let settings = RouteSettings {
        seed: request.seed,
        effort: request.effort,
        threads: threads(),
        varied: request.alternatives > 1,
    };
    let mut monitor = Monitor::new(stop.flag(), |found: &Found| {
        let answer = &found.answer;
        let better = Better {
            seconds: found.seconds,
            bends: answer.bends,
            turn_deg: answer.turn.to_degrees(),
            routes: routes(job, &answer.routes, None),
        };
        // The client has disconnected.
        if say.send(SearchEvent::Better(Box::new(better))).is_err() {
            stop.leave();
        }
    })
    .paced(pace);
    let report = route_job(job, last.as_ref(), settings, job.units, &mut monitor);
    let wanted = request.alternatives > 1 && report.routed.met && !stop.is_set();
    let alternatives = if wanted {
        choose(job, &report.routed.answers, request.alternatives, &loaded.texts.rates)
    } else {
        Vec::new()
    };
    let _ = say.send(SearchEvent::Done(Box::new(report), alternatives));
}

/// Forwards the progress of a search to its client, while connected.
struct SearchFollower {
    shop: SharedShop,
    job: JobRecord,
    loaded: Arc<LoadedRevision>,
    events: EventSender,
    stop: Arc<StopSignal>,
}

impl SearchFollower {
    /// Forwards the progress to the end and saves the best result, even when the client has disconnected.
    async fn follow(self, mut heard: UnboundedReceiver<SearchEvent>, searched: JoinHandle<ApiResult<()>>) {
        while let Some(said) = heard.recv().await {
            match said {
                SearchEvent::Better(better) => {
                    if !self.events.send(EventName::Better, &*better) {
                        self.stop.leave();
                    }
                }
                SearchEvent::Done(report, alternatives) => {
                    match done(&self.shop, &self.job, &self.loaded, *report, alternatives).await {
                        Ok(done) => {
                            self.events.send(EventName::Done, &done);
                        }
                        Err(error) => self.events.failed(error),
                    }
                }
            }
        }
        match searched.await {
            Ok(Ok(())) => {}
            Ok(Err(error)) => self.events.failed(error),
            Err(why) => self.events.failed(ApiError::fault(&why)),
        }
    }
}

/// Saves the result and describes it.
async fn done(
    shop: &SharedShop,
    job: &JobRecord,
    loaded: &Arc<LoadedRevision>,
    report: RouteReport,
    alternatives: Vec<Alternative>,
) -> ApiResult<SearchDone> {
    let opened: &Opened = loaded.texts.opened.as_ref().ok_or_else(|| ApiError::fault(&"a search without a job"))?;
    let best = report.routes().cloned();
    let mut out = SearchDone {
        met: report.routed.met,
        unmet: report.unmet.clone(),
        relaxations: report.relaxations.clone(),
        alternatives: alternative_views(shop, loaded, &alternatives).await?,
        seconds: report.seconds,
        job: None,
        conflict: None,
        routes: None,
    };
    let Some(best) = best else { return Ok(out) };
    let label = if out.met { "Route" } else { "Closest attempt" };
    let text = routes_text(&best, opened.job.units).into_bytes();
    let mut changes = vec![DocumentUpdate::Put(if out.met { ROUTES } else { ATTEMPT }.into(), text)];
    if out.met && loaded.documents.contains_key(ATTEMPT) {
        changes.push(DocumentUpdate::Remove(ATTEMPT.into()));
    }
    match shop.store.commit(&job.id, Commit { version: job.version, label, changes }).await {
        Ok(kept) => {
            note(shop, &kept.head.id, NOTE, &out.alternatives).await?;
            note(shop, &kept.head.id, ADVICE, &out.relaxations).await?;
            out.job = Some(shop.view(kept).await?);
        }
        Err(StoreError::Conflict { version, last }) => {
            out.conflict = Some(CurrentView { version, label: last.label, made: last.made });
            out.routes = Some(routes(&opened.job, &best, None));
        }
        Err(other) => return Err(other.into()),
    }
    Ok(out)
}

/// Stores a list with a revision, when it is not empty.
async fn note<T: Serialize>(shop: &Shop, revision: &str, name: &str, list: &[T]) -> ApiResult<()> {
    if list.is_empty() {
        return Ok(());
    }
    let text = serde_json::to_string(list).map_err(|e| ApiError::fault(&e))?;
    Ok(shop.store.set_note(revision, name, &text).await?)
}

async fn alternative_views(
    shop: &Shop,
    loaded: &Arc<LoadedRevision>,
    alternatives: &[Alternative],
) -> ApiResult<Vec<AlternativeView>> {
    let (loaded, list) = (loaded.clone(), alternatives.to_vec());
    let work = move |_: &StopSignal| {
        let Some(opened) = &loaded.texts.opened else { return Vec::new() };
        let view = |(i, a): (usize, &Alternative)| AlternativeView {
            number: i + 1,
            best_at: a.best_at.clone(),
            figures: figures(&a.figures),
            routes: routes(&opened.job, &a.routes, None),
        };
        list.iter().enumerate().map(view).collect()
    };
    shop.work.run(Lane::Read, work).await
}

fn figures(of: &Figures) -> FiguresView {
    FiguresView {
        joints: of.joints,
        cost: of.cost,
        spread_mm: of.spread_mm,
        room_mm: of.room_mm,
        turn_deg: of.turn_deg,
        share_of_allowable: of.share_of_allowable,
        total: of.total,
        weight_kg: of.weight_kg,
    }
}

/// A stopped search.
#[derive(Serialize, ToSchema)]
pub struct Stopped {
    /// Name of the stopped search.
    search: String,
}

/// Stops a search: it ends soon, with its best result.
#[utoipa::path(post, path = "/jobs/{id}/searches/{search}/stop", tag = "routes",
    params(("id" = String, Path, description = "The job"), ("search" = String, Path, description = "From the event `begun`")),
    responses((status = 200, body = Stopped), Refusals))]
pub async fn stop_search(
    State(shop): State<SharedShop>,
    Path((id, search)): Path<(String, String)>,
) -> ApiResult<JsonResponse<Stopped>> {
    if shop.work.stop(&id, &search) {
        Ok(JsonResponse(Stopped { search }))
    } else {
        Err(ApiError::missing("such search running"))
    }
}

/// The alternatives and tested changes of the search that made the job's head, as in the event `done`; none when it was made
/// otherwise.
#[utoipa::path(get, path = "/jobs/{id}/alternatives", tag = "routes",
    params(("id" = String, Path, description = "The job")), responses((status = 200, body = AlternativeList), Refusals))]
pub async fn alternatives(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
) -> ApiResult<JsonResponse<AlternativeList>> {
    let job = shop.store.job(&id).await?;
    let read = async |name: &str| -> ApiResult<Vec<serde_json::Value>> {
        let note = shop.store.note(&job.head.id, name).await?;
        Ok(note.and_then(|text| serde_json::from_str(&text).ok()).unwrap_or_default())
    };
    Ok(JsonResponse(AlternativeList { alternatives: read(NOTE).await?, relaxations: read(ADVICE).await? }))
}
