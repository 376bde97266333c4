//! Whether the server and its store are well.

use axum::Json;
use axum::extract::State;
use serde::Serialize;
use utoipa::ToSchema;

use crate::errors::{ApiResult, Refusals};
use crate::shop::SharedShop;

/// How the server is.
#[derive(Serialize, ToSchema)]
pub struct Health {
    /// True.
    ok: bool,
    /// Version of the program.
    version: &'static str,
}

/// Whether the server answers and its store can be written; a refusal names the part that is unwell.
#[utoipa::path(get, path = "/health", tag = "shop", responses((status = 200, body = Health), Refusals))]
pub async fn health(State(shop): State<SharedShop>) -> ApiResult<Json<Health>> {
    shop.store.probe().await?;
    Ok(Json(Health { ok: true, version: env!("CARGO_PKG_VERSION") }))
}
