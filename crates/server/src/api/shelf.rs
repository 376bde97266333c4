//! The shop's shelf.

use app::shelf::{ShelfThing, describe};
use axum::Json as JsonResponse;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use job::model::Units;
use serde::{Deserialize, Serialize};
use store::ShelfItem;
use utoipa::ToSchema;

use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Json, Path};
use crate::plain_text::clean;
use crate::shop::SharedShop;

/// Most of one kind put on the shelf at a time.
const MOST: u32 = 100;

/// The shelf.
#[derive(Serialize, ToSchema)]
pub struct ShelfView {
    /// In the order in which it was put there.
    items: Vec<ShelfItemView>,
}

/// A thing on the shelf.
#[derive(Serialize, ToSchema)]
pub struct ShelfItemView {
    /// Id of the shelf item.
    id: String,
    /// What is written on it.
    label: String,
    /// What it is; null: a newer program put it there.
    thing: Option<ShelfThing>,
    /// When it was put there, milliseconds since 1970.
    made: i64,
    /// The booking that left it; null: it was put there by hand.
    booking: Option<String>,
}

/// A thing for the shelf.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewShelfItem {
    /// What is written on it; without it, what it is.
    #[schema(max_length = 120)]
    label: Option<String>,
    /// What it is.
    thing: ShelfThing,
    /// How many.
    #[serde(default = "one")]
    #[schema(minimum = 1, maximum = 100)]
    count: u32,
}

fn one() -> u32 {
    1
}

/// That a thing was taken away.
#[derive(Serialize, ToSchema)]
pub struct ShelfItemRemoved {
    /// Id of the item that was removed.
    item: String,
}

fn view(item: ShelfItem) -> ShelfItemView {
    ShelfItemView {
        thing: serde_json::from_str(&item.what).ok(),
        id: item.id,
        label: item.label,
        made: item.made,
        booking: item.from_booking,
    }
}

/// What is on the shelf.
#[utoipa::path(get, path = "/shelf", tag = "shop", responses((status = 200, body = ShelfView), Refusals))]
pub async fn shelf(State(shop): State<SharedShop>) -> ApiResult<JsonResponse<ShelfView>> {
    Ok(JsonResponse(ShelfView { items: shop.store.shelf().await?.into_iter().map(view).collect() }))
}

/// Puts a thing on the shelf; the answer is the whole shelf.
#[utoipa::path(post, path = "/shelf", tag = "shop", request_body = NewShelfItem,
    responses((status = 201, body = ShelfView), Refusals))]
pub async fn add_to_shelf(
    State(shop): State<SharedShop>,
    Json(new): Json<NewShelfItem>,
) -> ApiResult<impl IntoResponse> {
    new.thing.check().map_err(ApiError::unprocessable)?;
    let label = new.label.as_deref().map(clean).filter(|l| !l.is_empty());
    let label = label.unwrap_or_else(|| describe(&new.thing, Units::Mm));
    if label.chars().count() > 120 || !(1..=MOST).contains(&new.count) {
        return Err(
            ApiError::unprocessable("that can't be put on the shelf").expected("a label of 120 characters, 1 to 100")
        );
    }
    let what = serde_json::to_string(&new.thing).map_err(|e| ApiError::fault(&e))?;
    shop.store.add_to_shelf(&label, &what, new.count).await?;
    let items = shop.store.shelf().await?.into_iter().map(view).collect();
    Ok((StatusCode::CREATED, JsonResponse(ShelfView { items })))
}

/// Takes a thing off the shelf for good.
#[utoipa::path(delete, path = "/shelf/{id}", tag = "shop", params(("id" = String, Path, description = "The thing")),
    responses((status = 200, body = ShelfItemRemoved), Refusals))]
pub async fn remove_from_shelf(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
) -> ApiResult<JsonResponse<ShelfItemRemoved>> {
    shop.store.remove_from_shelf(&id).await?;
    Ok(JsonResponse(ShelfItemRemoved { item: id }))
}
