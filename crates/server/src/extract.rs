//! Reading calls: as axum does it, refusing in our words and our shape.

use axum::extract::rejection::{BytesRejection, JsonRejection, PathRejection, QueryRejection};
use axum::extract::{FromRequest, FromRequestParts, Request};
use axum::http::request::Parts;
use axum::http::{StatusCode, header};
use axum::response::IntoResponse as _;
use serde::de::DeserializeOwned;

use crate::errors::ApiError;

/// A JSON body: an object. (A list would be read as the fields of one in their order.)
pub struct Json<T>(pub T);

/// Parts of the address.
pub struct Path<T>(pub T);

/// What stands behind the question mark.
pub struct Query<T>(pub T);

/// A body of plain bytes.
pub struct Bytes(pub axum::body::Bytes);

impl<S: Send + Sync, T: DeserializeOwned> FromRequest<S> for Json<T> {
    type Rejection = ApiError;

    async fn from_request(request: Request, state: &S) -> Result<Self, ApiError> {
        let kind = request.headers().get(header::CONTENT_TYPE).and_then(|k| k.to_str().ok()).unwrap_or_default();
        if !kind.split(';').next().is_some_and(|k| k.trim().eq_ignore_ascii_case("application/json")) {
            let error = ApiError::kind_of_body("the body is not said to be JSON");
            return Err(error.expected("content-type: application/json"));
        }
        let Bytes(body) = Bytes::from_request(request, state).await?;
        let object = body.trim_ascii_start().first() == Some(&b'{');
        match axum::Json::<T>::from_bytes(&body) {
            Ok(axum::Json(value)) if object => Ok(Json(value)),
            Ok(_) => Err(ApiError::senseless("the body is no JSON object")),
            Err(JsonRejection::JsonDataError(e)) => Err(ApiError::senseless(inner(&e))),
            Err(other) => Err(ApiError::malformed(inner(&other))),
        }
    }
}

/// What serde says, without axum's words before it.
fn inner(error: &dyn std::error::Error) -> String {
    error.source().map_or_else(|| error.to_string(), ToString::to_string)
}

fn of_bytes(why: &BytesRejection) -> ApiError {
    if why.status() == StatusCode::PAYLOAD_TOO_LARGE {
        return ApiError::too_large("the body is longer than is read here");
    }
    ApiError::malformed("the body could not be read to its end")
}

impl<S: Send + Sync, T: DeserializeOwned + Send> FromRequestParts<S> for Path<T> {
    type Rejection = ApiError;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, ApiError> {
        // No id or name holds NUL, and PostgreSQL takes it for a fault.
        if parts.uri.path().contains("%00") {
            return Err(ApiError::missing("such address"));
        }
        let read = axum::extract::Path::<T>::from_request_parts(parts, state).await;
        read.map(|axum::extract::Path(value)| Path(value)).map_err(|why| match why {
            PathRejection::FailedToDeserializePathParams(_) => ApiError::missing("such address"),
            other => {
                let status = other.into_response().status();
                ApiError::malformed(format!("the address cannot be read ({status})"))
            }
        })
    }
}

impl<S: Send + Sync, T: DeserializeOwned> FromRequestParts<S> for Query<T> {
    type Rejection = ApiError;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, ApiError> {
        if parts.uri.query().is_some_and(|query| query.contains("%00")) {
            return Err(ApiError::malformed("the query holds a NUL character"));
        }
        let read = axum::extract::Query::<T>::from_request_parts(parts, state).await;
        read.map(|axum::extract::Query(value)| Query(value)).map_err(|why| match why {
            QueryRejection::FailedToDeserializeQueryString(e) => ApiError::malformed(inner(&e)),
            other => ApiError::malformed(other.body_text()),
        })
    }
}

impl<S: Send + Sync> FromRequest<S> for Bytes {
    type Rejection = ApiError;

    async fn from_request(request: Request, state: &S) -> Result<Self, ApiError> {
        let read = axum::body::Bytes::from_request(request, state).await;
        read.map(Bytes).map_err(|why| of_bytes(&why))
    }
}
