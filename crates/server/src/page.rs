//! The page's own files.

use axum::extract::Request;
use axum::response::{IntoResponse, Response};

use crate::errors::ApiError;

/// What is answered where no call is: a file of the page.
pub async fn page(request: Request) -> Response {
    if request.uri().path().starts_with("/api/") {
        return ApiError::missing("such address").into_response();
    }
    "Tubewright is running, but this build holds no page.\n".into_response()
}
