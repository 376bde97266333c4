//! Exports in open formats.

use app::archive::pack;
use app::export_job::{ExportError, exported};
use app::export_work::{ExportSettings, Format, Made, Work};
use app::view::codes::FormatCode;
use axum::extract::State;
use axum::response::IntoResponse;
use serde::Deserialize;
use utoipa::IntoParams;

use super::jobs::file_headers;
use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Path, Query};
use crate::shop::SharedShop;
use crate::work::{Lane, StopSignal};

/// What to export.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct ExportRequest {
    /// Only this tube or piece: `primary 1`, `1A`.
    #[param(max_length = 80)]
    of: Option<String>,
}

/// A job in a format: a file, or a ZIP when there are several.
#[utoipa::path(get, path = "/jobs/{id}/exports/{format}", tag = "papers",
    params(("id" = String, Path, description = "The job"),
        ("format" = FormatCode, Path, description = "The format"),
        ExportRequest),
    responses((status = 200, body = Vec<u8>, content_type = "application/octet-stream"), Refusals))]
pub async fn export(
    State(shop): State<SharedShop>,
    Path((id, format)): Path<(String, String)>,
    Query(request): Query<ExportRequest>,
) -> ApiResult<impl IntoResponse> {
    let names = || Format::ALL.map(Format::name).join(", ");
    let format = Format::ALL.into_iter().find(|f| f.name() == format);
    let format = format.ok_or_else(|| ApiError::missing("such format").expected(names()))?;
    let job = shop.store.job(&id).await?;
    let loaded = shop.loaded(&job).await?;
    let work = move |stop: &StopSignal| {
        let texts = &loaded.texts;
        let pair = texts.opened.as_ref().zip(texts.routes.as_ref());
        let (opened, routes) = pair.ok_or_else(|| ApiError::refused("the job has no routes yet"))?;
        let plan = texts.fresh_plan();
        let (job_model, units) = (&opened.job, opened.job.units);
        let work = Work { job: job_model, units, routes, plan, rates: &texts.rates, beside: &texts.beside };
        let settings = ExportSettings { formats: vec![format], of: request.of, ..ExportSettings::default() };
        let made = exported(&work, &settings, stop.flag()).map_err(|e| match e {
            ExportError::NoPlan(_) => ApiError::refused(e.to_string()),
            ExportError::Stopped => ApiError::busy("the export was stopped", 5),
            other => ApiError::unprocessable(other.to_string()),
        })?;
        one_file(made, &format!("{}-{}.zip", job.name, format.name()))
    };
    let (name, bytes) = shop.work.run(Lane::Make, work).await??;
    Ok((file_headers("application/octet-stream", &name), bytes))
}

fn one_file(mut made: Made, zip: &str) -> ApiResult<(String, Vec<u8>)> {
    match made.files.len() {
        0 => Err(ApiError::refused("nothing to export in this format").hint("see the warnings of the papers")),
        1 => {
            let (name, bytes) = made.files.remove(0);
            Ok((name.rsplit('/').next().unwrap_or(&name).to_string(), bytes))
        }
        _ => {
            let files = made.files.iter().map(|(n, b)| (n.as_str(), b.as_slice()));
            Ok((zip.to_string(), pack(files).map_err(|e| ApiError::fault(&e))?))
        }
    }
}
