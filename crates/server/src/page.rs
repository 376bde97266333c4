//! The page's files, embedded in the program.

use axum::extract::Request;
use axum::http::{HeaderValue, Method, StatusCode, header};
use axum::response::{IntoResponse, Response};
use rust_embed::{Embed, EmbeddedFile};

use crate::errors::ApiError;

#[derive(Embed)]
#[folder = "$OUT_DIR/page"]
struct PageFiles;

/// For files whose name changes with their contents: browsers cache them forever.
const FOREVER: &str = "public, max-age=31536000, immutable";

/// A file of the page. An address without an extension is one of the page's own views.
pub async fn page(request: Request) -> Response {
    let path = request.uri().path();
    if path.starts_with("/api/") {
        return ApiError::missing("such address").into_response();
    }
    if !matches!(*request.method(), Method::GET | Method::HEAD) {
        return ApiError::method().into_response();
    }
    let name = path.trim_start_matches('/');
    let view = !name.rsplit('/').next().unwrap_or_default().contains('.');
    let seen = request.headers().get(header::IF_NONE_MATCH);
    match PageFiles::get(name).filter(|_| !name.is_empty()) {
        Some(file) => answer(file, if name.starts_with("assets/") { FOREVER } else { "no-cache" }, seen),
        None if view => match PageFiles::get("index.html") {
            Some(file) => answer(file, "no-cache", seen),
            None => "Tubewright is running, but was built without its page; install Node 20 with npm and build again. Its API is under /api.\n".into_response(),
        },
        None => (StatusCode::NOT_FOUND, "File not found.\n").into_response(),
    }
}

fn answer(file: EmbeddedFile, keep: &'static str, seen: Option<&HeaderValue>) -> Response {
    let hash: String = file.metadata.sha256_hash().iter().take(16).map(|b| format!("{b:02x}")).collect();
    let tag = format!("\"{hash}\"");
    if seen.is_some_and(|s| s.as_bytes() == tag.as_bytes()) {
        return (StatusCode::NOT_MODIFIED, [(header::ETAG, tag), (header::CACHE_CONTROL, keep.into())]).into_response();
    }
    let kind = match file.metadata.mimetype() {
        text if text.starts_with("text/") || text == "application/javascript" => format!("{text}; charset=utf-8"),
        other => other.to_string(),
    };
    let headers = [(header::CONTENT_TYPE, kind), (header::ETAG, tag), (header::CACHE_CONTROL, keep.to_string())];
    (headers, file.data.into_owned()).into_response()
}
