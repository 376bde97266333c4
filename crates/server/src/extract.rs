//! Extractors like those of axum, with our error responses.

use axum::body::Bytes;
use axum::extract::rejection::{BytesRejection, JsonRejection, PathRejection, QueryRejection};
use axum::extract::{FromRequest, FromRequestParts, Request};
use axum::http::request::Parts;
use axum::http::{StatusCode, header};
use axum::response::IntoResponse as _;
use serde::de::DeserializeOwned;
use tokio::sync::OwnedSemaphorePermit;

use crate::errors::ApiError;
use crate::settings::{LONGEST_BODY, LONGEST_MESH};
use crate::shop::SharedShop;

/// A JSON body: an object. (Serde would also accept a list as the fields in order.)
pub struct Json<T>(pub T);

/// Parameters in the path.
pub struct Path<T>(pub T);

/// Query parameters.
pub struct Query<T>(pub T);

/// A body of plain bytes, with the memory reserved for it.
pub struct Upload {
    /// The bytes.
    pub bytes: Bytes,
    /// Released when dropped; a short body reserves none.
    pub room: Option<OwnedSemaphorePermit>,
}

impl<T: DeserializeOwned> FromRequest<SharedShop> for Json<T> {
    type Rejection = ApiError;

    async fn from_request(request: Request, state: &SharedShop) -> Result<Self, ApiError> {
        let kind = request.headers().get(header::CONTENT_TYPE).and_then(|k| k.to_str().ok()).unwrap_or_default();
        if !kind.split(';').next().is_some_and(|k| k.trim().eq_ignore_ascii_case("application/json")) {
            let error = ApiError::unsupported_media_type("the body is not declared as JSON");
            return Err(error.expected("content-type: application/json"));
        }
        let Upload { bytes: body, room: _held } = read(request, state, LONGEST_BODY).await?;
        let object = body.trim_ascii_start().first() == Some(&b'{');
        match axum::Json::<T>::from_bytes(&body) {
            Ok(axum::Json(value)) if object => Ok(Json(value)),
            Ok(_) => Err(ApiError::unprocessable("the body is not a JSON object")),
            Err(JsonRejection::JsonDataError(e)) => Err(ApiError::unprocessable(inner(&e))),
            Err(other) => Err(ApiError::malformed(inner(&other))),
        }
    }
}

/// Serde's message without axum's prefix.
fn inner(error: &dyn std::error::Error) -> String {
    error.source().map_or_else(|| error.to_string(), ToString::to_string)
}

fn of_bytes(why: &BytesRejection) -> ApiError {
    if why.status() == StatusCode::PAYLOAD_TOO_LARGE {
        return ApiError::too_large("the body is too long");
    }
    ApiError::malformed("the body ended early")
}

impl<S: Send + Sync, T: DeserializeOwned + Send> FromRequestParts<S> for Path<T> {
    type Rejection = ApiError;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, ApiError> {
        // No id or name contains NUL, and PostgreSQL rejects it.
        if parts.uri.path().contains("%00") {
            return Err(ApiError::missing("such address"));
        }
        let read = axum::extract::Path::<T>::from_request_parts(parts, state).await;
        read.map(|axum::extract::Path(value)| Path(value)).map_err(|why| match why {
            PathRejection::FailedToDeserializePathParams(_) => ApiError::missing("such address"),
            other => {
                let status = other.into_response().status();
                ApiError::malformed(format!("invalid address ({status})"))
            }
        })
    }
}

impl<S: Send + Sync, T: DeserializeOwned> FromRequestParts<S> for Query<T> {
    type Rejection = ApiError;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, ApiError> {
        if parts.uri.query().is_some_and(|query| query.contains("%00")) {
            return Err(ApiError::malformed("the query contains a NUL character"));
        }
        let read = axum::extract::Query::<T>::from_request_parts(parts, state).await;
        read.map(|axum::extract::Query(value)| Query(value)).map_err(|why| match why {
            QueryRejection::FailedToDeserializeQueryString(e) => ApiError::malformed(inner(&e)),
            other => ApiError::malformed(other.body_text()),
        })
    }
}

impl FromRequest<SharedShop> for Upload {
    type Rejection = ApiError;

    async fn from_request(request: Request, state: &SharedShop) -> Result<Self, ApiError> {
        read(request, state, LONGEST_MESH).await
    }
}

/// Bodies up to this length need no reservation, bytes: edits never wait behind uploads.
const SHORT: usize = 64 << 10;

/// Reads a body of at most `longest` bytes, once there is memory for it.
async fn read(request: Request, shop: &SharedShop, longest: usize) -> Result<Upload, ApiError> {
    let length = request.headers().get(header::CONTENT_LENGTH).and_then(|l| l.to_str().ok()?.parse::<usize>().ok());
    // A body of unknown length may have the full length.
    let length = length.unwrap_or(longest).min(longest);
    let room = if length > SHORT { Some(shop.room.of_body(length).await?) } else { None };
    let bytes = Bytes::from_request(request, shop).await.map_err(|why| of_bytes(&why))?;
    Ok(Upload { bytes, room })
}
