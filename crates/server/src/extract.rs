//! Reading calls: as axum does it, refusing in our words and our shape.

use axum::extract::rejection::{BytesRejection, JsonRejection, PathRejection, QueryRejection};
use axum::extract::{FromRequest, FromRequestParts, Request};
use axum::http::StatusCode;
use axum::http::request::Parts;
use axum::response::IntoResponse as _;
use serde::de::DeserializeOwned;

use crate::errors::ApiError;

/// A JSON body.
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
        let read = axum::Json::<T>::from_request(request, state).await;
        read.map(|axum::Json(value)| Json(value)).map_err(|why| match why {
            JsonRejection::MissingJsonContentType(_) => {
                ApiError::kind_of_body("the body is not said to be JSON").expected("content-type: application/json")
            }
            JsonRejection::JsonDataError(e) => ApiError::senseless(inner(&e)),
            JsonRejection::JsonSyntaxError(e) => ApiError::malformed(inner(&e)),
            JsonRejection::BytesRejection(e) => of_bytes(&e),
            other => ApiError::malformed(other.body_text()),
        })
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
