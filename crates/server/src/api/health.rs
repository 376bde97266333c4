//! Health of the server and its store.

use axum::Json;
use axum::extract::State;
use serde::Serialize;
use utoipa::ToSchema;

use crate::errors::{ApiResult, Refusals};
use crate::shop::SharedShop;

/// Health of the server.
#[derive(Serialize, ToSchema)]
pub struct Health {
    /// Always true; a problem is an error response.
    ok: bool,
    /// Version of the program.
    version: &'static str,
}

/// Checks that the server responds and its store can be written; an error names the failing part.
#[utoipa::path(get, path = "/health", tag = "shop", responses((status = 200, body = Health), Refusals))]
pub async fn health(State(shop): State<SharedShop>) -> ApiResult<Json<Health>> {
    shop.store.probe().await?;
    Ok(Json(Health { ok: true, version: env!("CARGO_PKG_VERSION") }))
}
