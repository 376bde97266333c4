//! Bookings: a cut plan reserves stock on hand and returns its offcuts.

use app::shelf::{left, taken};
use axum::Json as JsonResponse;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use serde::Serialize;
use store::Booking;
use utoipa::ToSchema;

use super::history::AtVersion;
use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Json, Path};
use crate::job_view::JobView;
use crate::shop::SharedShop;

/// A booking.
#[derive(Serialize, ToSchema)]
pub struct BookingView {
    /// Id of the booking.
    id: String,
    /// Job of the booking.
    job: String,
    /// Hash of the plan that was booked.
    plan: String,
    /// When it was made, milliseconds since 1970.
    made: i64,
    /// Whether it is of the job's present plan.
    current: bool,
}

/// A new booking.
#[derive(Serialize, ToSchema)]
pub struct Booked {
    /// The job.
    job: JobView,
    /// The booking.
    booking: BookingView,
}

/// The bookings of a job.
#[derive(Serialize, ToSchema)]
pub struct BookingList {
    /// The oldest first.
    bookings: Vec<BookingView>,
}

/// A cancelled booking.
#[derive(Serialize, ToSchema)]
pub struct BookingCancelled {
    /// Id of the cancelled booking.
    booking: String,
}

fn view(booking: Booking, plan: Option<&str>) -> BookingView {
    let current = plan == Some(booking.plan.as_str());
    BookingView { id: booking.id, job: booking.job, plan: booking.plan, made: booking.made, current }
}

/// Reserves the stock of the job's cut plan: removes what it uses from stock on hand and adds its offcuts, all or nothing.
#[utoipa::path(post, path = "/jobs/{id}/bookings", tag = "cut", params(("id" = String, Path, description = "The job")),
    request_body = AtVersion, responses((status = 201, body = Booked), Refusals))]
pub async fn book(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(at): Json<AtVersion>,
) -> ApiResult<impl IntoResponse> {
    let job = shop.job_at(&id, at.version).await?;
    let loaded = shop.loaded(&job).await?;
    let nothing =
        || ApiError::refused("there is no cut plan of these routes and this stock").hint("plan the cuts first");
    let plan = loaded.plan_hash().ok_or_else(nothing)?.to_string();
    let (opened, found) = loaded.texts.opened.as_ref().zip(loaded.texts.fresh_plan()).ok_or_else(nothing)?;
    let takes = taken(&opened.job, found, &loaded.texts.shelf);
    let mut leaves = Vec::new();
    for (label, thing) in left(&opened.job, found) {
        leaves.push((label, serde_json::to_string(&thing).map_err(|e| ApiError::fault(&e))?));
    }
    let booking = shop.store.book(&id, &plan, &takes, &leaves).await?;
    let booked = Booked { job: shop.view(job).await?, booking: view(booking, Some(&plan)) };
    Ok((StatusCode::CREATED, JsonResponse(booked)))
}

/// The bookings of a job.
#[utoipa::path(get, path = "/jobs/{id}/bookings", tag = "cut", params(("id" = String, Path, description = "The job")),
    responses((status = 200, body = BookingList), Refusals))]
pub async fn bookings(State(shop): State<SharedShop>, Path(id): Path<String>) -> ApiResult<JsonResponse<BookingList>> {
    let job = shop.store.job(&id).await?;
    let documents = shop.store.documents(&job.head.id).await?;
    let plan = documents.get("cutplan.json").map(String::as_str);
    let bookings = shop.store.bookings(&id).await?.into_iter().map(|b| view(b, plan)).collect();
    Ok(JsonResponse(BookingList { bookings }))
}

/// Cancels a booking; refused when one of its offcuts has been used since.
#[utoipa::path(delete, path = "/bookings/{id}", tag = "cut", params(("id" = String, Path, description = "The booking")),
    responses((status = 200, body = BookingCancelled), Refusals))]
pub async fn unbook(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
) -> ApiResult<JsonResponse<BookingCancelled>> {
    shop.store.unbook(&id).await?;
    Ok(JsonResponse(BookingCancelled { booking: id }))
}
