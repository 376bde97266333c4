//! The page's files, embedded in the program compressed and sent so to every browser.

use axum::extract::Request;
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::response::{IntoResponse, Response};
use rust_embed::{Embed, EmbeddedFile};

use crate::errors::ApiError;
use crate::examples::unpacked;

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
    match packed(name).filter(|_| !name.is_empty()) {
        Some(file) => answer(name, &file, if name.starts_with("assets/") { FOREVER } else { "no-cache" }, request.headers()),
        None if view => match packed("index.html") {
            Some(file) => answer("index.html", &file, "no-cache", request.headers()),
            None => "Tubewright is running, but was built without its page; install Node 20 with npm and build again. Its API is under /api.\n".into_response(),
        },
        None => (StatusCode::NOT_FOUND, "File not found.\n").into_response(),
    }
}

/// A file of the page, compressed.
fn packed(name: &str) -> Option<EmbeddedFile> {
    PageFiles::get(&format!("{name}.gz"))
}

fn answer(name: &str, file: &EmbeddedFile, keep: &'static str, asked: &HeaderMap) -> Response {
    let hash: String = file.metadata.sha256_hash().iter().take(16).map(|b| format!("{b:02x}")).collect();
    let tag = format!("\"{hash}\"");
    if asked.get(header::IF_NONE_MATCH).is_some_and(|seen| seen.as_bytes() == tag.as_bytes()) {
        return (StatusCode::NOT_MODIFIED, [(header::ETAG, tag), (header::CACHE_CONTROL, keep.into())]).into_response();
    }
    let mime = mime_guess::from_path(name).first_or_octet_stream();
    let kind = match mime.essence_str() {
        text if text.starts_with("text/") || text == "application/javascript" => format!("{text}; charset=utf-8"),
        other => other.to_string(),
    };
    let headers = [(header::CONTENT_TYPE, kind), (header::ETAG, tag), (header::CACHE_CONTROL, keep.to_string())];
    let vary = (header::VARY, "accept-encoding");
    let takes_gzip =
        asked.get(header::ACCEPT_ENCODING).and_then(|v| v.to_str().ok()).is_some_and(|v| v.contains("gzip"));
    if takes_gzip {
        return (headers, [vary, (header::CONTENT_ENCODING, "gzip")], file.data.clone().into_owned()).into_response();
    }
    match unpacked(&file.data) {
        Ok(plain) => (headers, [vary], plain).into_response(),
        Err(_) => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}
