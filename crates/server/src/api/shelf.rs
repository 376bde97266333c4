//! Stock on hand.

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

/// Most items of one kind added at a time.
const MOST: u32 = 100;

/// Stock on hand.
#[derive(Serialize, ToSchema)]
pub struct ShelfView {
    /// The oldest first.
    items: Vec<ShelfItemView>,
}

/// An item of stock on hand.
#[derive(Serialize, ToSchema)]
pub struct ShelfItemView {
    /// Id of the shelf item.
    id: String,
    /// Label written on the item.
    label: String,
    /// What it is; null when a newer program added it.
    thing: Option<ShelfThing>,
    /// When it was added, milliseconds since 1970.
    made: i64,
    /// The booking whose offcut it is; null when it was added by hand.
    booking: Option<String>,
}

/// An item to add to stock on hand.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewShelfItem {
    /// Label written on the item; default a description of it.
    #[schema(max_length = 120)]
    label: Option<String>,
    /// Size, material and shape of the item.
    thing: ShelfThing,
    /// Number of equal items.
    #[serde(default = "one")]
    #[schema(minimum = 1, maximum = 100)]
    count: u32,
}

fn one() -> u32 {
    1
}

/// A removed item.
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

/// Lists stock on hand.
#[utoipa::path(get, path = "/shelf", tag = "shop", responses((status = 200, body = ShelfView), Refusals))]
pub async fn shelf(State(shop): State<SharedShop>) -> ApiResult<JsonResponse<ShelfView>> {
    Ok(JsonResponse(ShelfView { items: shop.store.shelf().await?.into_iter().map(view).collect() }))
}

/// Adds an item to stock on hand; the response is the whole list.
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
        return Err(ApiError::unprocessable("cannot add this item")
            .expected("a label of at most 120 characters, a count from 1 to 100"));
    }
    let what = serde_json::to_string(&new.thing).map_err(|e| ApiError::fault(&e))?;
    shop.store.add_to_shelf(&label, &what, new.count).await?;
    let items = shop.store.shelf().await?.into_iter().map(view).collect();
    Ok((StatusCode::CREATED, JsonResponse(ShelfView { items })))
}

/// Removes an item from stock on hand for good.
#[utoipa::path(delete, path = "/shelf/{id}", tag = "shop", params(("id" = String, Path, description = "The thing")),
    responses((status = 200, body = ShelfItemRemoved), Refusals))]
pub async fn remove_from_shelf(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
) -> ApiResult<JsonResponse<ShelfItemRemoved>> {
    shop.store.remove_from_shelf(&id).await?;
    Ok(JsonResponse(ShelfItemRemoved { item: id }))
}
