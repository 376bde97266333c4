//! Sources of new jobs: examples, and a starter job for an engine.

use app::view::codes::{LayoutCode, UnitsCode};
use axum::Json as JsonResponse;
use job::starter::{PITCH, Starter, starter};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::names::job_name;
use crate::errors::{ApiError, ApiResult, Refusals};
use crate::examples::{EXAMPLES, Example};

/// The examples.
#[derive(Serialize, ToSchema)]
pub struct ExampleList {
    /// All examples.
    examples: Vec<ExampleView>,
}

/// An example.
#[derive(Serialize, ToSchema)]
pub struct ExampleView {
    /// Name of the example.
    name: &'static str,
    /// Title of the example.
    title: &'static str,
    /// What it shows.
    about: &'static str,
}

/// Specification of a starter job.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StarterRequest {
    /// The job's name.
    #[schema(min_length = 1, max_length = 80)]
    pub name: String,
    /// How the cylinders are arranged.
    layout: LayoutCode,
    /// Cylinders of the engine.
    #[schema(minimum = 1, maximum = 16)]
    cylinders: u32,
    /// Unit of the figures.
    #[serde(default = "mm")]
    units: UnitsCode,
    /// Make a short turbo manifold instead of a long header.
    #[serde(default)]
    turbo: bool,
    /// Distance between the centres of neighbouring ports, mm.
    #[schema(minimum = 50, maximum = 300)]
    bore_spacing: Option<f64>,
}

fn mm() -> UnitsCode {
    UnitsCode::Mm
}

/// Examples to start a job from.
#[utoipa::path(get, path = "/examples", tag = "jobs", responses((status = 200, body = ExampleList), Refusals))]
pub async fn examples() -> JsonResponse<ExampleList> {
    let view = |e: &crate::examples::Example| ExampleView { name: e.name, title: e.title, about: e.about };
    JsonResponse(ExampleList { examples: EXAMPLES.iter().map(view).collect() })
}

/// The documents of an example.
pub fn example_documents(name: &str) -> Option<Vec<(String, Vec<u8>)>> {
    EXAMPLES.iter().find(|e| e.name == name).map(Example::texts)
}

/// The text of a starter job.
///
/// # Errors
/// 422 when there is none for that engine.
pub fn starter_text(request: &StarterRequest) -> ApiResult<String> {
    let (layout, units) = (request.layout.into(), request.units.into());
    let name = job_name(&request.name)?;
    let pitch = request.bore_spacing.unwrap_or(PITCH);
    let text = starter(&Starter { name, layout, cylinders: request.cylinders, units, turbo: request.turbo, pitch });
    text.map_err(ApiError::unprocessable)
}
