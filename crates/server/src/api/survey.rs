//! The survey of a job: what its readings come to, and its places in the job.

use std::collections::BTreeMap;
use std::convert::Infallible;
use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use app::archive::is_photo;
use app::survey_job::photo_files::{PhotoFiles, SearchedPhoto, unreadable};
use app::survey_job::write::{Written, WrittenValue, write};
use app::survey_job::{SURVEY_FILE, SurveyReport, survey_job};
use app::view::photos::photos as photos_view;
use app::view::survey::{SurveyView, survey as survey_view};
use axum::Json as JsonResponse;
use axum::extract::State;
use axum::response::sse::{Event, Sse};
use job::file::survey_file;
use job::survey::SurveyFile;
use job::{Problem, Problems, no_mesh_files};
use serde::{Deserialize, Serialize};
use store::{DocumentUpdate, Hash, JobRecord, Store, hash_of};
use tokio::runtime::Handle;
use tokio_stream::Stream;
use utoipa::ToSchema;

use crate::errors::{ApiError, ApiResult, Refusals};
use crate::events::{EventName, EventSender, Started, StreamEvent, event_stream};
use crate::extract::{Json, Path};
use crate::job_view::JobView;
use crate::loaded::LoadedRevision;
use crate::photo_cache::{PhotoCache, SurveyResult};
use crate::shop::{SharedShop, Shop};
use crate::stored::{StoredDocuments, Texts};
use crate::work::{Lane, StopSignal};

/// Name of the document that keeps what was written into the job.
const KEPT: &str = "survey.json";

/// Which version to write into.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SurveyWrite {
    /// The version that was seen.
    version: i64,
    /// Whether numbers typed since the last time are replaced too.
    #[serde(default)]
    overwrite: bool,
}

/// The job with the places of its survey.
#[derive(Serialize, ToSchema)]
pub struct SurveyWritten {
    /// The job.
    job: JobView,
    /// Values that changed, and those that were left as they were typed.
    changes: Vec<WrittenValue>,
}

/// `better`, while photos are looked through.
#[derive(Serialize, ToSchema)]
pub struct PhotoProgress {
    /// Photos that were looked through.
    done: usize,
    /// Photos in all.
    of: usize,
}

/// `done`, after the survey was adjusted.
#[derive(Serialize, ToSchema)]
pub struct SurveyAdjusted {
    /// The survey.
    survey: SurveyView,
}

/// The photos of a job in the store.
struct StoredPhotos {
    hashes: BTreeMap<String, Hash>,
    store: Store,
    runtime: Handle,
    cache: Arc<PhotoCache>,
    done: AtomicUsize,
    /// Where progress is reported.
    events: Option<EventSender>,
}

impl PhotoFiles for StoredPhotos {
    fn names(&self) -> io::Result<Vec<String>> {
        Ok(self.hashes.keys().cloned().collect())
    }

    fn bytes(&self, name: &str, _: u64) -> io::Result<Vec<u8>> {
        let hash = self.hashes.get(name).ok_or(io::ErrorKind::NotFound)?;
        self.runtime.block_on(self.store.content(hash)).map_err(io::Error::other)
    }

    fn searched(&self, name: &str) -> Result<Arc<SearchedPhoto>, Box<Problem>> {
        let hash = self.hashes.get(name).cloned().unwrap_or_default();
        let key = (name.to_string(), hash);
        let photo = match self.cache.get(&key) {
            Some(known) => Ok(known),
            None => match self.bytes(name, 0) {
                Ok(bytes) => self.cache.search(key, &bytes),
                Err(error) => Err(unreadable(name, &error)),
            },
        };
        let done = self.done.fetch_add(1, Ordering::Relaxed) + 1;
        if let Some(events) = &self.events {
            events.send(EventName::Better, &PhotoProgress { done, of: self.hashes.len() });
        }
        photo.map(|photo| photo.searched.clone())
    }
}

/// A job with the text of its survey and its photos.
struct SurveyInput {
    name: String,
    text: Option<String>,
    loaded: Arc<LoadedRevision>,
    photos: StoredPhotos,
    /// Hash of everything that the answer depends on.
    key: Hash,
}

impl SurveyInput {
    async fn new(shop: &Shop, job: &JobRecord) -> ApiResult<SurveyInput> {
        let text = shop.own_text(job, SURVEY_FILE).await?;
        let loaded = shop.loaded(job).await?;
        let hashes: BTreeMap<String, Hash> =
            loaded.documents.iter().filter(|(n, _)| is_photo(n)).map(|(n, h)| (n.clone(), h.clone())).collect();
        let mut of = text.clone().unwrap_or_default();
        hashes.iter().for_each(|(name, hash)| of.extend(["\0", name, "\0", hash]));
        let photos = StoredPhotos {
            hashes,
            store: shop.store.clone(),
            runtime: Handle::current(),
            cache: shop.photos.clone(),
            done: AtomicUsize::new(0),
            events: None,
        };
        Ok(SurveyInput { name: job.name.clone(), text, loaded, photos, key: hash_of(of.as_bytes()) })
    }

    /// What survey.toml says, when it can be read.
    fn file(&self) -> Option<SurveyFile> {
        survey_file::read(SURVEY_FILE, self.text.as_ref()?.as_bytes()).0
    }

    /// What is known already, or takes no time: a survey without photos.
    fn known(&self, file: Option<&SurveyFile>) -> Option<SurveyResult> {
        let quick = file.is_none_or(|f| f.photos.is_none()) || self.photos.hashes.is_empty();
        self.photos.cache.answer(&self.key).or_else(|| quick.then(|| Arc::new(self.report(&AtomicBool::new(false)))))
    }

    /// Works it out, unless it is known; kept unless it was stopped.
    fn answer(&self, stop: &AtomicBool) -> SurveyResult {
        self.photos.cache.answer(&self.key).unwrap_or_else(|| {
            let answer = Arc::new(self.report(stop));
            if !stop.load(Ordering::Relaxed) {
                self.photos.cache.keep_answer(self.key.clone(), answer.clone());
            }
            answer
        })
    }

    fn report(&self, stop: &AtomicBool) -> Result<SurveyReport, Problems> {
        let text = self.text.iter().map(|text| (SURVEY_FILE.to_string(), text.clone().into_bytes()));
        let (texts, shops) = (text.collect::<Texts>(), Texts::new());
        let stored =
            StoredDocuments { name: &self.name, texts: &texts, lost: &[], shops: &shops, meshes: &no_mesh_files };
        survey_job(&stored, &self.photos, stop)
    }

    /// The survey as the page shows it; `result` when it is known.
    fn view(&self, file: Option<&SurveyFile>, result: Option<&SurveyResult>) -> SurveyView {
        let none = Problems(Vec::new());
        let report = result.map_or(Err(&none), |r| r.as_ref().as_ref());
        let mut view = survey_view(self.text.as_deref(), report, self.loaded.texts.shown());
        if !self.photos.hashes.is_empty() {
            let searched = |name: &String, hash: &Hash| self.photos.cache.get(&(name.clone(), hash.clone()));
            let kept = self.photos.hashes.iter();
            let kept = kept.map(|(n, h)| (n.clone(), searched(n, h).map(|p| p.searched.clone()))).collect();
            view.photos = Some(photos_view(&kept, result.is_none(), file, report.ok()));
        }
        view
    }
}

/// What the readings of survey.toml, and its photos, come to. A survey with mistakes lists them. Photos that were not looked
/// through and adjusted yet are `pending`.
#[utoipa::path(get, path = "/jobs/{id}/survey", tag = "jobs", params(("id" = String, Path, description = "The job")),
    responses((status = 200, body = SurveyView), Refusals))]
pub async fn survey(State(shop): State<SharedShop>, Path(id): Path<String>) -> ApiResult<JsonResponse<SurveyView>> {
    let job = shop.store.job(&id).await?;
    let input = SurveyInput::new(&shop, &job).await?;
    let work = move |_: &StopSignal| {
        let file = input.file();
        input.view(file.as_ref(), input.known(file.as_ref()).as_ref())
    };
    Ok(JsonResponse(shop.work.run(Lane::Read, work).await?))
}

/// Looks through the photos of a survey and adjusts them with its readings. The response is a stream of the events `begun`,
/// `better` (a photo was looked through) and `done`, or `failed`. It can be stopped like a search; what was found in photos is kept.
#[utoipa::path(post, path = "/jobs/{id}/survey/adjust", tag = "jobs", params(("id" = String, Path, description = "The job")),
    responses((status = 200, body = StreamEvent, content_type = "text/event-stream"), Refusals))]
pub async fn adjust_survey(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
) -> ApiResult<Sse<impl Stream<Item = Result<Event, Infallible>>>> {
    let job = shop.store.job(&id).await?;
    let mut input = SurveyInput::new(&shop, &job).await?;
    let task = shop.work.begin(Lane::Search, Some(&id))?;
    let (events, answer) = event_stream(task.stop());
    events.send(EventName::Begun, &Started { search: task.name() });
    input.photos.events = Some(events.clone());
    tokio::spawn(async move {
        let work = move |stop: &StopSignal| {
            let result = input.answer(stop.flag());
            let known = Some(&result).filter(|_| !stop.is_set());
            input.view(input.file().as_ref(), known)
        };
        match task.run(work).await {
            Ok(survey) => drop(events.send(EventName::Done, &SurveyAdjusted { survey })),
            Err(error) => events.failed(error),
        }
    });
    Ok(answer)
}

/// Writes the places that `[[is]]` names into job.toml.
#[utoipa::path(post, path = "/jobs/{id}/survey/write", tag = "jobs",
    params(("id" = String, Path, description = "The job")), request_body = SurveyWrite,
    responses((status = 200, body = SurveyWritten), Refusals))]
pub async fn write_survey(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(wanted): Json<SurveyWrite>,
) -> ApiResult<JsonResponse<SurveyWritten>> {
    let job = shop.job_at(&id, wanted.version).await?;
    let input = SurveyInput::new(&shop, &job).await?;
    let before = shop.own_text(&job, KEPT).await?.and_then(|text| serde_json::from_str(&text).ok());
    let lane = if input.photos.hashes.is_empty() { Lane::Read } else { Lane::Search };
    let work = move |stop: &StopSignal| {
        let text = &input.loaded.texts.text;
        let refuse =
            |problems: &Problems| ApiError::of_problems("the survey cannot be written into the job", problems, text);
        let answer = input.answer(stop.flag());
        let report = answer.as_ref().as_ref().map_err(refuse)?;
        write(report, text, before.as_ref(), wanted.overwrite).map_err(|problems| refuse(&problems))
    };
    let Written { job_text, kept, changes } = shop.work.run(lane, work).await??;
    let documents = vec![
        DocumentUpdate::Put("job.toml".into(), job_text.into_bytes()),
        DocumentUpdate::Put(KEPT.into(), format!("{kept:#}\n").into_bytes()),
    ];
    let job = shop.commit(&id, wanted.version, "Places from the survey", documents).await?;
    Ok(JsonResponse(SurveyWritten { job, changes }))
}
