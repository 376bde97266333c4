//! Jobs: list, create, show, rename, copy, export and import.

use app::archive;
use app::survey_job::photo_files::sized;
use axum::Json as JsonResponse;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::IntoResponse;
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize};
use store::JobRecord;
use utoipa::{IntoParams, ToSchema};

use super::documents::sound_text;
use super::meshes::InspectedMesh;
use super::names::{LONGEST_NAME, job_name};
use super::starter::{StarterRequest, example_documents, starter_text};
use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Json, Path, Query, Upload};
use crate::job_view::{JobSummary, JobView, SummaryFigures};
use crate::plain_text::clean;
use crate::shop::{SharedShop, is_text};
use crate::work::{Lane, StopSignal};

/// Which jobs to list.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct JobFilter {
    /// List archived jobs instead of the others.
    #[serde(default)]
    archived: bool,
}

/// All jobs.
#[derive(Serialize, ToSchema)]
pub struct JobList {
    /// The job changed last first.
    jobs: Vec<JobSummary>,
}

/// Source of a new job: one of the three.
#[derive(ToSchema)]
#[serde(untagged)]
pub enum NewJob {
    /// A copy of an example.
    Example(FromExample),
    /// A starter job for an engine.
    Starter(FromStarter),
    /// A job.toml.
    Text(FromText),
}

impl<'de> Deserialize<'de> for NewJob {
    /// Chooses by the keys, so that an error names the wrong value rather than all three variants.
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let fields = serde_json::Map::deserialize(deserializer)?;
        let has = |key: &str| fields.contains_key(key);
        let (example, starter, text) = (has("example"), has("starter"), has("toml"));
        let fields = serde_json::Value::Object(fields);
        match (example, starter, text) {
            (true, false, false) => FromExample::deserialize(fields).map(NewJob::Example),
            (false, true, false) => FromStarter::deserialize(fields).map(NewJob::Starter),
            (false, false, true) => FromText::deserialize(fields).map(NewJob::Text),
            _ => return Err(D::Error::custom("expected one of the fields `example`, `starter` and `toml`")),
        }
        .map_err(D::Error::custom)
    }
}

/// A copy of an example.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FromExample {
    /// The example's name.
    example: String,
}

/// A starter job.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FromStarter {
    /// Specification of the engine.
    starter: StarterRequest,
}

/// A job.toml.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FromText {
    /// The text.
    toml: String,
    /// Name of the job; default the one in the text.
    #[schema(max_length = 80)]
    name: Option<String>,
}

/// Changes of a job.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct JobChange {
    /// Version of the job that the client has.
    version: i64,
    /// New name of the job.
    #[schema(min_length = 1, max_length = 80)]
    name: Option<String>,
    /// Whether the job is archived.
    archived: Option<bool>,
}

/// The name in a job.toml.
fn name_in(text: &str) -> Option<String> {
    let tree = app::tree::TomlTree::of(text)?;
    let name = clean(tree.get("name")?.text()?);
    Some(name.chars().take(LONGEST_NAME).collect()).filter(|n: &String| !n.is_empty())
}

/// All jobs of the shop.
#[utoipa::path(get, path = "/jobs", tag = "jobs", params(JobFilter), responses((status = 200, body = JobList), Refusals))]
pub async fn jobs(State(shop): State<SharedShop>, Query(filter): Query<JobFilter>) -> ApiResult<JsonResponse<JobList>> {
    let mut list = JobList { jobs: Vec::new() };
    for job in shop.store.jobs(filter.archived).await? {
        let card = match shop.card(&job).await {
            Err(why) if !why.is_busy() => {
                tracing::warn!(job = job.id, "cannot read a job: {why:?}");
                JobSummary::new(&job, SummaryFigures::broken())
            }
            read => read?,
        };
        list.jobs.push(card);
    }
    Ok(JsonResponse(list))
}

/// Creates a job.
#[utoipa::path(post, path = "/jobs", tag = "jobs", request_body = NewJob,
    responses((status = 201, body = JobView), Refusals))]
pub async fn create_job(State(shop): State<SharedShop>, Json(new): Json<NewJob>) -> ApiResult<impl IntoResponse> {
    let (name, documents, label) = match new {
        NewJob::Example(from) => {
            let documents =
                example_documents(&from.example).ok_or_else(|| ApiError::unprocessable("there is no such example"))?;
            (from.example.clone(), documents, format!("Copy of example {}", from.example))
        }
        NewJob::Starter(from) => {
            let text = starter_text(&from.starter)?;
            (from.starter.name.clone(), vec![("job.toml".to_string(), text.into_bytes())], "Starter job".into())
        }
        NewJob::Text(from) => {
            let text = sound_text(from.toml)?;
            let name = from.name.or_else(|| name_in(&text)).unwrap_or_else(|| "job".into());
            (name, vec![("job.toml".to_string(), text.into_bytes())], "New job".into())
        }
    };
    let job = shop.store.create(&job_name(&name)?, documents, &label).await?;
    Ok((StatusCode::CREATED, JsonResponse(shop.view(job).await?)))
}

/// A job as its page shows it.
#[utoipa::path(get, path = "/jobs/{id}", tag = "jobs", params(("id" = String, Path, description = "The job")),
    responses((status = 200, body = JobView), Refusals))]
pub async fn job(State(shop): State<SharedShop>, Path(id): Path<String>) -> ApiResult<JsonResponse<JobView>> {
    let job = shop.store.job(&id).await?;
    Ok(JsonResponse(shop.view(job).await?))
}

/// Renames, archives or restores a job.
#[utoipa::path(patch, path = "/jobs/{id}", tag = "jobs", params(("id" = String, Path, description = "The job")),
    request_body = JobChange, responses((status = 200, body = JobView), Refusals))]
pub async fn describe_job(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(change): Json<JobChange>,
) -> ApiResult<JsonResponse<JobView>> {
    let name = change.name.as_deref().map(job_name).transpose()?;
    let job = shop.store.describe(&id, change.version, name.as_deref(), change.archived).await?;
    Ok(JsonResponse(shop.view(job).await?))
}

/// A job that is to be deleted.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct Deletion {
    /// Version of the job that the client has.
    version: i64,
}

/// The job that has been deleted.
#[derive(Serialize, ToSchema)]
pub struct JobDeleted {
    /// Id of the job.
    job: String,
}

/// Deletes an archived job for good, with its history. Offcuts that it put on the shelf stay there.
#[utoipa::path(delete, path = "/jobs/{id}", tag = "jobs",
    params(("id" = String, Path, description = "The job"), Deletion),
    responses((status = 200, body = JobDeleted), Refusals))]
pub async fn delete_job(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Query(deletion): Query<Deletion>,
) -> ApiResult<JsonResponse<JobDeleted>> {
    shop.store.delete(&id, deletion.version).await?;
    Ok(JsonResponse(JobDeleted { job: id }))
}

/// Copies the current state of a job, without its history.
#[utoipa::path(post, path = "/jobs/{id}/copy", tag = "jobs", params(("id" = String, Path, description = "The job")),
    responses((status = 201, body = JobView), Refusals))]
pub async fn copy_job(State(shop): State<SharedShop>, Path(id): Path<String>) -> ApiResult<impl IntoResponse> {
    let job = shop.store.job(&id).await?;
    let documents = documents(&shop, &job).await?;
    let name: String = format!("{} (copy)", job.name).chars().take(LONGEST_NAME).collect();
    let copy = shop.store.create(&name, documents, &format!("Copy of {}", job.name)).await?;
    Ok((StatusCode::CREATED, JsonResponse(shop.view(copy).await?)))
}

/// All documents of a job's head with their contents.
async fn documents(shop: &SharedShop, job: &JobRecord) -> ApiResult<Vec<(String, Vec<u8>)>> {
    let mut documents = Vec::new();
    for (name, hash) in shop.store.documents(&job.head.id).await? {
        documents.push((name, shop.store.content(&hash).await?));
    }
    Ok(documents)
}

/// A small picture of a job.
#[utoipa::path(get, path = "/jobs/{id}/picture.svg", tag = "jobs",
    params(("id" = String, Path, description = "The job")),
    responses((status = 200, body = String, content_type = "image/svg+xml"), Refusals))]
pub async fn picture(State(shop): State<SharedShop>, Path(id): Path<String>) -> ApiResult<impl IntoResponse> {
    let job = shop.store.job(&id).await?;
    let loaded = shop.loaded(&job).await?;
    let svg = shop.work.run(Lane::Read, move |_| loaded.picture().to_string()).await?;
    let headers = [(header::CONTENT_TYPE, "image/svg+xml"), (header::CACHE_CONTROL, "private, no-cache")];
    Ok((headers, svg))
}

/// A job as one ZIP file.
#[utoipa::path(get, path = "/jobs/{id}/archive", tag = "jobs",
    params(("id" = String, Path, description = "The job")),
    responses((status = 200, body = Vec<u8>, content_type = "application/zip"), Refusals))]
pub async fn archive(State(shop): State<SharedShop>, Path(id): Path<String>) -> ApiResult<impl IntoResponse> {
    let job = shop.store.job(&id).await?;
    let documents = documents(&shop, &job).await?;
    let zip = shop
        .work
        .run(Lane::Make, move |_| archive::pack(documents.iter().map(|(n, b)| (n.as_str(), b.as_slice()))))
        .await?;
    let zip = zip.map_err(|e| ApiError::fault(&e))?;
    Ok((file_headers("application/zip", &format!("{}.zip", job.name)), zip))
}

/// Headers of a file to download.
pub fn file_headers(kind: &str, name: &str) -> [(header::HeaderName, String); 2] {
    let plain: String =
        name.chars().map(|c| if c.is_ascii_alphanumeric() || "-_.".contains(c) { c } else { '-' }).collect();
    [
        (header::CONTENT_TYPE, kind.to_string()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{plain}\"")),
    ]
}

/// Imports a job from a ZIP file.
#[utoipa::path(post, path = "/jobs/import", tag = "jobs",
    request_body(content = Vec<u8>, content_type = "application/octet-stream"),
    responses((status = 201, body = JobView), Refusals))]
pub async fn import_job(State(shop): State<SharedShop>, upload: Upload) -> ApiResult<impl IntoResponse> {
    let wrong = |e: archive::ArchiveError| ApiError::unprocessable(e.to_string());
    let size = archive::Directory::read(&upload.bytes).map_err(wrong)?.unpacked_size();
    let _unpacked = shop.room.of_unpacked(size).await?;
    let cache = shop.meshes.clone();
    let work = move |stop: &StopSignal| {
        let documents = archive::unpack(&upload.bytes).map_err(wrong)?;
        let mut meshes = Vec::new();
        for (name, bytes) in &documents {
            if stop.is_set() {
                return Err(ApiError::busy("the import was stopped", 5));
            }
            if is_text(name) {
                sound_text(String::from_utf8_lossy(bytes).into_owned())?;
            } else if archive::is_photo(name) {
                sized(name, bytes).map_err(|problem| ApiError::of_problem(&problem))?;
            } else {
                meshes.push(InspectedMesh::new(name, bytes, &cache)?);
            }
        }
        Ok((documents, meshes))
    };
    let (documents, meshes) = shop.work.run(Lane::Intake, work).await??;
    for mesh in meshes {
        mesh.keep(&shop);
    }
    let text = documents.iter().find(|d| d.0 == "job.toml").map(|d| String::from_utf8_lossy(&d.1).into_owned());
    let name = text.as_deref().and_then(name_in).unwrap_or_else(|| "imported job".into());
    let job = shop.store.create(&job_name(&name)?, documents, "Import from file").await?;
    Ok((StatusCode::CREATED, JsonResponse(shop.view(job).await?)))
}
