//! The only mapping from errors to HTTP. The client gets what it can act on, the log what we can.

use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use axum::Json;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use job::{Problem, Problems};
use serde::Serialize;
use store::{Failure, StoreError};
use utoipa::{IntoResponses, ToSchema};

use app::view::problem::{ProblemView, problems};

/// Body of every error response.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ErrorBody {
    /// The error.
    pub error: ErrorView,
}

/// Kind of error.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ErrorCode {
    /// The request cannot be parsed.
    Malformed,
    /// Sign in first.
    SignIn,
    /// The request comes from elsewhere.
    Forbidden,
    /// Not found.
    Missing,
    /// The address does not support the method.
    Method,
    /// Not possible in the present state.
    Refused,
    /// Someone else changed the job first.
    Conflict,
    /// The body is too long.
    TooLarge,
    /// The body has the wrong media type.
    UnsupportedMediaType,
    /// A value is out of range or does not fit the others.
    Unprocessable,
    /// The documents have problems.
    Problems,
    /// Too many attempts.
    TooMany,
    /// Too much to do; try again later.
    Busy,
    /// The disk is full.
    DiskFull,
    /// The disk cannot be read or written.
    Disk,
    /// The store is read-only.
    ReadOnly,
    /// The database does not answer.
    DatabaseUnreachable,
    /// Stored data is damaged.
    Damaged,
    /// A bug in Tubewright.
    Fault,
}

/// An error.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ErrorView {
    /// Kind of error.
    pub code: ErrorCode,
    /// What is wrong.
    pub message: String,
    /// What was expected.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub expected: Option<String>,
    /// How to fix it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hint: Option<String>,
    /// Problems of the documents.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub problems: Vec<ProblemView>,
    /// Of a conflict: the job's present version.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub current: Option<CurrentView>,
    /// Of a bug in Tubewright: its id in the log.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub id: Option<String>,
}

/// Present version of a job that someone else changed first.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CurrentView {
    /// Version that the job is at.
    pub version: i64,
    /// Label of the last change.
    pub label: String,
    /// When it was made, milliseconds since 1970.
    pub made: i64,
}

/// An error response.
#[derive(Debug)]
pub struct ApiError {
    status: StatusCode,
    view: Box<ErrorView>,
    retry_after: Option<u32>,
}

/// Result of a handler.
pub type ApiResult<T> = Result<T, ApiError>;

/// Every error status that a call may respond with.
#[derive(IntoResponses)]
#[expect(dead_code, reason = "it only describes")]
pub enum Refusals {
    /// The request is malformed.
    #[response(status = 400)]
    BadRequest(ErrorBody),
    /// Sign in first.
    #[response(status = 401)]
    Unauthorised(ErrorBody),
    /// The request comes from another site.
    #[response(status = 403)]
    Forbidden(ErrorBody),
    /// Not found.
    #[response(status = 404)]
    NotFound(ErrorBody),
    /// Someone else changed it first, or it is not possible in the present state.
    #[response(status = 409)]
    Conflict(ErrorBody),
    /// The body is too long.
    #[response(status = 413)]
    TooLarge(ErrorBody),
    /// The body has the wrong media type.
    #[response(status = 415)]
    UnsupportedType(ErrorBody),
    /// The request is well formed but cannot be processed.
    #[response(status = 422)]
    Unprocessable(ErrorBody),
    /// Too many requests.
    #[response(status = 429)]
    TooMany(ErrorBody),
    /// Timed out or overloaded; try again later.
    #[response(status = 503)]
    Busy(ErrorBody),
}

impl ApiError {
    fn new(status: StatusCode, code: ErrorCode, message: impl Into<String>) -> Self {
        let view = ErrorView {
            code,
            message: message.into(),
            expected: None,
            hint: None,
            problems: Vec::new(),
            current: None,
            id: None,
        };
        ApiError { status, view: Box::new(view), retry_after: None }
    }

    /// 400: the request is malformed.
    pub fn malformed(message: impl Into<String>) -> Self {
        Self::new(StatusCode::BAD_REQUEST, ErrorCode::Malformed, message)
    }

    /// 401.
    pub fn unauthorised(message: impl Into<String>) -> Self {
        Self::new(StatusCode::UNAUTHORIZED, ErrorCode::SignIn, message)
    }

    /// 403.
    pub fn forbidden(message: impl Into<String>) -> Self {
        Self::new(StatusCode::FORBIDDEN, ErrorCode::Forbidden, message)
    }

    /// 404.
    pub fn missing(what: &str) -> Self {
        Self::new(StatusCode::NOT_FOUND, ErrorCode::Missing, format!("there is no {what}"))
    }

    /// 405.
    pub fn method() -> Self {
        Self::new(StatusCode::METHOD_NOT_ALLOWED, ErrorCode::Method, "this address does not support that method")
    }

    /// 409: not possible in the present state.
    pub fn refused(message: impl Into<String>) -> Self {
        Self::new(StatusCode::CONFLICT, ErrorCode::Refused, message)
    }

    /// 409: the cuts are to be planned first.
    pub fn no_plan() -> Self {
        Self::refused("the job has no cut plan of its routes and stock yet").hint("plan the cuts first")
    }

    /// 409: someone else changed it first.
    pub fn conflict(version: i64, label: String, made: i64) -> Self {
        let message = format!("someone else changed the job: it is now at version {version} ({label})");
        let mut error = Self::new(StatusCode::CONFLICT, ErrorCode::Conflict, message);
        error.view.current = Some(CurrentView { version, label, made });
        error.hint("discard yours, save yours as a copy, or resubmit yours on the current version")
    }

    /// 413.
    pub fn too_large(message: impl Into<String>) -> Self {
        Self::new(StatusCode::PAYLOAD_TOO_LARGE, ErrorCode::TooLarge, message)
    }

    /// 415.
    pub fn unsupported_media_type(message: impl Into<String>) -> Self {
        Self::new(StatusCode::UNSUPPORTED_MEDIA_TYPE, ErrorCode::UnsupportedMediaType, message)
    }

    /// 422.
    pub fn unprocessable(message: impl Into<String>) -> Self {
        Self::new(StatusCode::UNPROCESSABLE_ENTITY, ErrorCode::Unprocessable, message)
    }

    /// 422: a file that cannot be used.
    pub fn of_problem(problem: &Problem) -> Self {
        let error = Self::new(StatusCode::UNPROCESSABLE_ENTITY, ErrorCode::Unprocessable, problem.message.clone());
        error.expected(problem.expected.clone()).hint(problem.hint.clone())
    }

    /// 422: the documents have problems.
    pub fn of_problems(message: impl Into<String>, found: &Problems, text: &str) -> Self {
        let mut error = Self::new(StatusCode::UNPROCESSABLE_ENTITY, ErrorCode::Problems, message);
        error.view.problems = problems(found, text);
        error
    }

    /// 429.
    pub fn too_many(seconds: u32) -> Self {
        let mut error =
            Self::new(StatusCode::TOO_MANY_REQUESTS, ErrorCode::TooMany, "too many attempts; wait a little");
        error.retry_after = Some(seconds);
        error
    }

    /// 503.
    pub fn busy(message: impl Into<String>, seconds: u32) -> Self {
        let mut error = Self::new(StatusCode::SERVICE_UNAVAILABLE, ErrorCode::Busy, message);
        error.retry_after = Some(seconds);
        error
    }

    /// Whether trying again later may help.
    pub fn is_busy(&self) -> bool {
        self.status == StatusCode::SERVICE_UNAVAILABLE
    }

    /// 503: disk or database is unavailable; 500 when stored data is damaged, since waiting does not help then.
    fn unavailable(failure: Failure, message: String) -> Self {
        let (code, seconds) = match failure {
            Failure::Busy => return Self::busy(message, 1),
            Failure::DiskFull => (ErrorCode::DiskFull, 10),
            Failure::Disk => (ErrorCode::Disk, 10),
            Failure::ReadOnly => (ErrorCode::ReadOnly, 10),
            Failure::Unreachable => (ErrorCode::DatabaseUnreachable, 2),
            Failure::Damaged => {
                tracing::error!("{message}");
                return Self::new(StatusCode::INTERNAL_SERVER_ERROR, ErrorCode::Damaged, message);
            }
        };
        log_rarely(&message);
        let mut error = Self::new(StatusCode::SERVICE_UNAVAILABLE, code, message);
        error.retry_after = Some(seconds);
        error
    }

    /// 500: a bug in Tubewright. The log has the details, the client their id.
    pub fn fault(what: &dyn std::fmt::Display) -> Self {
        let id = fault_id();
        tracing::error!(fault = id, "{what}");
        let mut error = Self::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            ErrorCode::Fault,
            "bug in Tubewright, not in your job; nothing was changed",
        );
        error.view.id = Some(id);
        error
    }

    /// The body without a status, for events.
    pub fn body(self) -> ErrorBody {
        ErrorBody { error: *self.view }
    }

    /// With what was expected.
    pub fn expected(mut self, expected: impl Into<String>) -> Self {
        self.view.expected = Some(expected.into());
        self
    }

    /// With how to fix it.
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.view.hint = Some(hint.into());
        self
    }
}

/// Logs a failure, the same one at most once in ten seconds: every call meets it while it lasts.
fn log_rarely(message: &str) {
    static LAST: Mutex<Option<(String, Instant)>> = Mutex::new(None);
    let mut last = LAST.lock().unwrap_or_else(PoisonError::into_inner);
    if last.as_ref().is_none_or(|(said, at)| said != message || at.elapsed() > Duration::from_secs(10)) {
        tracing::warn!("{message}");
        *last = Some((message.to_string(), Instant::now()));
    }
}

/// A unique id of a bug report.
fn fault_id() -> String {
    let mut bytes = [0_u8; 6];
    match getrandom::fill(&mut bytes) {
        Ok(()) => bytes.iter().map(|b| format!("{b:02x}")).collect(),
        Err(_) => "unnamed".into(),
    }
}

impl IntoResponse for ApiError {
    fn into_response(self) -> Response {
        let mut response = (self.status, Json(ErrorBody { error: *self.view })).into_response();
        if let Some(seconds) = self.retry_after {
            response.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from(seconds));
        }
        response
    }
}

impl From<StoreError> for ApiError {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::Missing(what) => ApiError::missing(what),
            StoreError::Conflict { version, last } => ApiError::conflict(version, last.label, last.made),
            StoreError::Refused(why) => ApiError::refused(why),
            StoreError::Invalid(why) => ApiError::unprocessable(why),
            StoreError::Unavailable { failure, message } => ApiError::unavailable(failure, message),
            StoreError::Database(why) => ApiError::fault(&format!("database: {why}")),
        }
    }
}

impl From<tokio::task::JoinError> for ApiError {
    fn from(error: tokio::task::JoinError) -> Self {
        ApiError::fault(&error)
    }
}
