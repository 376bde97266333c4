//! Whole documents.

use app::archive::{LONGEST_TEXT, document_name};
use app::open_job::{LONGEST_TERMS, TEXTS, sound_terms};
use app::tree::TomlTree;
use app::view::problem::{ProblemView, problems_in};
use axum::Json as JsonResponse;
use axum::extract::State;
use job::file::syntax::too_full;
use serde::{Deserialize, Serialize};
use store::DocumentUpdate;
use utoipa::ToSchema;

use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Json, Path};
use crate::job_view::JobView;
use crate::shop::{SharedShop, is_text};

/// A text document.
#[derive(Serialize, ToSchema)]
pub struct DocumentView {
    /// Name of the document.
    name: String,
    /// Text of the document.
    text: String,
    /// The document as a tree, keys in the order of the file, texts as written; null when it is not TOML.
    #[schema(value_type = Option<serde_json::Value>)]
    tree: Option<TomlTree>,
    /// What is wrong with it, each with its place.
    problems: Vec<ProblemView>,
    /// The job's version.
    version: i64,
}

/// A new text of a document.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DocumentChange {
    /// The version that was seen.
    version: i64,
    /// Short description of the change.
    #[schema(max_length = 120)]
    label: String,
    /// The text; null removes the document.
    text: Option<String>,
}

/// The label of a revision, cleaned; `Change` when it is empty.
///
/// # Errors
/// 422 when it is too long.
pub fn label_text(label: &str) -> ApiResult<String> {
    let label = crate::plain_text::clean(label);
    match label.chars().count() {
        0 => Ok("Change".into()),
        1..=120 => Ok(label),
        _ => Err(ApiError::unprocessable("the label is too long").expected("at most 120 characters")),
    }
}

/// A text that can be stored: PostgreSQL cannot store NUL characters.
///
/// # Errors
/// 413, 422.
pub fn sound_text(text: String) -> ApiResult<String> {
    if text.len() > LONGEST_TEXT {
        return Err(ApiError::too_large("the text is longer than 4 MB"));
    }
    if text.contains('\0') {
        return Err(ApiError::unprocessable("the text contains a NUL character"));
    }
    if too_full(text.as_bytes()).is_some() {
        let error = ApiError::unprocessable("the text has more brackets, commas and points than any job needs");
        return Err(error.expected("a few thousand obstacles at most").hint("large shapes belong in mesh files"));
    }
    Ok(text)
}

fn text_name(name: &str) -> ApiResult<()> {
    if is_text(name) {
        return Ok(());
    }
    let names: Vec<&str> = TEXTS.iter().map(|t| t.0).collect();
    let why = match document_name(name) {
        Ok(()) => "a mesh is not a text document",
        Err(_) => "a job has no document of that name",
    };
    Err(ApiError::unprocessable(why).expected(names.join(", ")))
}

/// A text document of a job.
#[utoipa::path(get, path = "/jobs/{id}/documents/{name}", tag = "jobs",
    params(("id" = String, Path, description = "The job"),
        ("name" = String, Path, description = "`job.toml`, `rates.toml` ...",
            pattern = "^(job|survey|routes|attempt|fit|asbuilt|flange|templates|bender|rates)\\.toml$|^(survey|cutplan|shelf)\\.json$|^terms\\.txt$")),
    responses((status = 200, body = DocumentView), Refusals))]
pub async fn document(
    State(shop): State<SharedShop>,
    Path((id, name)): Path<(String, String)>,
) -> ApiResult<JsonResponse<DocumentView>> {
    text_name(&name)?;
    let job = shop.store.job(&id).await?;
    let documents = shop.store.documents(&job.head.id).await?;
    let hash = documents.get(&name).ok_or_else(|| ApiError::missing("such document of the job"))?;
    let text = String::from_utf8_lossy(&shop.store.content(hash).await?).into_owned();
    let tree = name.ends_with(".toml").then(|| TomlTree::of(&text)).flatten();
    let mut found = shop.loaded(&job).await?.texts.problems();
    found.0.retain(|p| p.place.file == name);
    let problems = problems_in(&found, &name, &text);
    Ok(JsonResponse(DocumentView { name, text, tree, problems, version: job.version }))
}

/// Writes a text document of a job; it is kept with its mistakes, which are listed.
#[utoipa::path(put, path = "/jobs/{id}/documents/{name}", tag = "jobs",
    params(("id" = String, Path, description = "The job"),
        ("name" = String, Path, description = "`job.toml`, `rates.toml` ...",
            pattern = "^(job|survey|routes|attempt|fit|asbuilt|flange|templates|bender|rates)\\.toml$|^(survey|cutplan|shelf)\\.json$|^terms\\.txt$")),
    request_body = DocumentChange, responses((status = 200, body = JobView), Refusals))]
pub async fn put_document(
    State(shop): State<SharedShop>,
    Path((id, name)): Path<(String, String)>,
    Json(change): Json<DocumentChange>,
) -> ApiResult<JsonResponse<JobView>> {
    text_name(&name)?;
    let label = label_text(&change.label)?;
    if name == "terms.txt"
        && let Some(Err(why)) = change.text.as_deref().map(sound_terms)
    {
        return Err(ApiError::unprocessable(why).expected(format!("at most {LONGEST_TERMS} characters")));
    }
    let change_of = match change.text {
        Some(text) => DocumentUpdate::Put(name, sound_text(text)?.into_bytes()),
        None if name == "job.toml" => {
            return Err(ApiError::unprocessable("a job has a job.toml; archive the job instead"));
        }
        None => DocumentUpdate::Remove(name),
    };
    Ok(JsonResponse(shop.commit(&id, change.version, &label, vec![change_of]).await?))
}
