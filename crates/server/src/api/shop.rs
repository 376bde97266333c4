//! The shop, and its file of stock and prices.

use app::edit_job::Edit;
use app::view::codes::UnitsCode;
use app::view::problem::{ProblemView, problems};
use app::view::quote::{RateView, rates};
use axum::Json as JsonResponse;
use axum::extract::State;
use axum::http::HeaderMap;
use job::file::stock_file;
use job::model::Units;
use job::problem::Problems;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::names::optional_name;
use super::quote::edited;
use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::Json;
use crate::guard::signed_in;
use crate::settings::{LONGEST_BODY, LONGEST_MESH, MOST_TRIANGLES};
use crate::shop::{STOCK, SharedShop};

/// The shop.
#[derive(Serialize, ToSchema)]
pub struct ShopView {
    /// Name of the shop; may be empty.
    name: String,
    /// The unit last chosen.
    units: UnitsCode,
    /// Whether a password is needed.
    needs_password: bool,
    /// Whether this client is signed in or need not be.
    signed_in: bool,
    /// Upload limits.
    limits: Limits,
}

/// Upload limits.
#[derive(Serialize, ToSchema)]
pub struct Limits {
    /// Largest JSON body, MB.
    body_mb: usize,
    /// Largest mesh or archive, MB.
    mesh_mb: usize,
    /// Most triangles of a mesh.
    triangles: usize,
}

/// Changes of the shop.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ShopChange {
    /// New name of the shop.
    #[schema(max_length = 80)]
    name: Option<String>,
    /// The unit chosen.
    units: Option<UnitsCode>,
}

async fn view(shop: &SharedShop, headers: &HeaderMap) -> ApiResult<ShopView> {
    let text = async |name: &str| ApiResult::Ok(shop.store.shop_text(name).await?.map(|k| k.text));
    Ok(ShopView {
        name: text("name").await?.unwrap_or_default(),
        units: text("units").await?.and_then(|word| word.parse().ok()).unwrap_or(Units::Mm).into(),
        needs_password: shop.settings.password.is_some(),
        signed_in: signed_in(shop, headers),
        limits: Limits { body_mb: LONGEST_BODY >> 20, mesh_mb: LONGEST_MESH >> 20, triangles: MOST_TRIANGLES },
    })
}

/// The shop; no sign-in needed.
#[utoipa::path(get, path = "/shop", tag = "shop", responses((status = 200, body = ShopView), Refusals))]
pub async fn shop(State(shop): State<SharedShop>, headers: HeaderMap) -> ApiResult<JsonResponse<ShopView>> {
    Ok(JsonResponse(view(&shop, &headers).await?))
}

/// Changes the shop's name or unit.
#[utoipa::path(patch, path = "/shop", tag = "shop", request_body = ShopChange,
    responses((status = 200, body = ShopView), Refusals))]
pub async fn change_shop(
    State(shop): State<SharedShop>,
    headers: HeaderMap,
    Json(change): Json<ShopChange>,
) -> ApiResult<JsonResponse<ShopView>> {
    let name = change.name.as_deref().map(optional_name).transpose()?;
    let texts = [("name", name.as_deref()), ("units", change.units.map(|units| Units::from(units).word()))];
    let texts: Vec<(&str, &str)> = texts.into_iter().filter_map(|(name, text)| Some((name, text?))).collect();
    shop.store.put_shop_texts(&texts).await?;
    Ok(JsonResponse(view(&shop, &headers).await?))
}

/// The shop's file.
#[derive(Serialize, ToSchema)]
pub struct StockView {
    /// Text of stock.toml: stock, saw, costs, prices, times; may be empty.
    text: String,
    /// Increases with every change; 0: never written.
    version: i64,
    /// Problems of the text.
    problems: Vec<ProblemView>,
    /// Rates for quotes: the shop's, and the defaults for the rest.
    rates: Vec<RateView>,
    /// Currency of its quotes, ISO 4217.
    currency: String,
}

/// A new text of the shop's file.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StockChange {
    /// Version of the file that the client has.
    version: i64,
    /// The text.
    text: String,
}

/// Edits of the shop's file.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StockEdits {
    /// Version of the file that the client has.
    version: i64,
    /// Edits by place: `["price", "labour_per_hour"]`, `["time", "cut_bend"]`.
    #[schema(min_items = 1, max_items = 200)]
    edits: Vec<Edit>,
}

fn stock_view(text: String, version: i64) -> StockView {
    let read = stock_file::read(STOCK, text.as_bytes(), None);
    // An empty file is not a mistake: the shop has none yet.
    let found = if text.trim().is_empty() { Problems::default() } else { Problems(read.problems) };
    StockView {
        problems: problems(&found, ""),
        rates: rates(&read.rates),
        currency: read.rates.currency,
        text,
        version,
    }
}

/// The shop's file of stock and prices.
#[utoipa::path(get, path = "/stock", tag = "shop", responses((status = 200, body = StockView), Refusals))]
pub async fn stock(State(shop): State<SharedShop>) -> ApiResult<JsonResponse<StockView>> {
    let kept = shop.store.shop_text(STOCK).await?;
    Ok(JsonResponse(kept.map_or_else(|| stock_view(String::new(), 0), |k| stock_view(k.text, k.version))))
}

/// Saves the shop's file, problems included; the response lists them.
#[utoipa::path(put, path = "/stock", tag = "shop", request_body = StockChange,
    responses((status = 200, body = StockView), Refusals))]
pub async fn put_stock(
    State(shop): State<SharedShop>,
    Json(change): Json<StockChange>,
) -> ApiResult<JsonResponse<StockView>> {
    keep_stock(&shop, change.version, change.text).await
}

/// Edits the shop's file by path; creates it when there is none.
#[utoipa::path(patch, path = "/stock", tag = "shop", request_body = StockEdits,
    responses((status = 200, body = StockView), Refusals))]
pub async fn edit_stock(
    State(shop): State<SharedShop>,
    Json(change): Json<StockEdits>,
) -> ApiResult<JsonResponse<StockView>> {
    let old = shop.store.shop_text(STOCK).await?.map(|k| k.text).filter(|t| !t.trim().is_empty());
    let text = edited(old.as_deref(), &change.edits)?;
    keep_stock(&shop, change.version, text).await
}

async fn keep_stock(shop: &SharedShop, version: i64, text: String) -> ApiResult<JsonResponse<StockView>> {
    let text = super::documents::sound_text(text)?;
    if !shop.store.update_shop_text(STOCK, version, &text).await? {
        let now = shop.store.shop_text(STOCK).await?.map_or(0, |k| k.version);
        return Err(ApiError::conflict(now, "the shop's file was changed".into(), 0));
    }
    let version = shop.store.shop_text(STOCK).await?.map_or(0, |k| k.version);
    Ok(JsonResponse(stock_view(text, version)))
}
