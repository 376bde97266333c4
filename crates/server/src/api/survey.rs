//! The survey of a job: what its readings come to, and its places in the job.

use std::io;
use std::sync::Arc;

use app::survey_job::photo_files::PhotoFiles;
use app::survey_job::write::{Written, WrittenValue, write};
use app::survey_job::{SURVEY_FILE, SurveyReport, survey_job};
use app::view::survey::{SurveyView, survey as survey_view};
use axum::Json as JsonResponse;
use axum::extract::State;
use job::{Problems, no_mesh_files};
use serde::{Deserialize, Serialize};
use store::{DocumentUpdate, JobRecord};
use utoipa::ToSchema;

use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Json, Path};
use crate::job_view::JobView;
use crate::loaded::LoadedRevision;
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

/// A job has no photos in the store.
struct NoPhotos;

impl PhotoFiles for NoPhotos {
    fn names(&self) -> io::Result<Vec<String>> {
        Ok(Vec::new())
    }

    fn bytes(&self, _: &str, _: u64) -> io::Result<Vec<u8>> {
        Err(io::ErrorKind::NotFound.into())
    }
}

/// A job with the text of its survey.
struct SurveyInput {
    name: String,
    text: Option<String>,
    loaded: Arc<LoadedRevision>,
}

impl SurveyInput {
    async fn new(shop: &Shop, job: &JobRecord) -> ApiResult<SurveyInput> {
        let text = shop.own_text(job, SURVEY_FILE).await?;
        Ok(SurveyInput { name: job.name.clone(), text, loaded: shop.loaded(job).await? })
    }

    fn report(&self) -> Result<SurveyReport, Problems> {
        let text = self.text.iter().map(|text| (SURVEY_FILE.to_string(), text.clone().into_bytes()));
        let (texts, shops) = (text.collect::<Texts>(), Texts::new());
        let stored =
            StoredDocuments { name: &self.name, texts: &texts, lost: &[], shops: &shops, meshes: &no_mesh_files };
        survey_job(&stored, &NoPhotos)
    }
}

/// What the readings of survey.toml come to. A survey with mistakes lists them.
#[utoipa::path(get, path = "/jobs/{id}/survey", tag = "jobs", params(("id" = String, Path, description = "The job")),
    responses((status = 200, body = SurveyView), Refusals))]
pub async fn survey(State(shop): State<SharedShop>, Path(id): Path<String>) -> ApiResult<JsonResponse<SurveyView>> {
    let job = shop.store.job(&id).await?;
    let input = SurveyInput::new(&shop, &job).await?;
    let work = move |_: &StopSignal| {
        let units = input.loaded.texts.shown().map(|job| job.units).unwrap_or_default();
        survey_view(input.text.as_deref(), input.report().as_ref(), units)
    };
    Ok(JsonResponse(shop.work.run(Lane::Read, work).await?))
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
    let work = move |_: &StopSignal| {
        let text = &input.loaded.texts.text;
        let written = input.report().and_then(|report| write(&report, text, before.as_ref(), wanted.overwrite));
        written.map_err(|problems| ApiError::of_problems("the survey cannot be written into the job", &problems, text))
    };
    let Written { job_text, kept, changes } = shop.work.run(Lane::Read, work).await??;
    let documents = vec![
        DocumentUpdate::Put("job.toml".into(), job_text.into_bytes()),
        DocumentUpdate::Put(KEPT.into(), format!("{kept:#}\n").into_bytes()),
    ];
    let job = shop.commit(&id, wanted.version, "Places from the survey", documents).await?;
    Ok(JsonResponse(SurveyWritten { job, changes }))
}
