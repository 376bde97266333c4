//! Signing in and out.

use axum::Json as Answer;
use axum::extract::State;
use axum::http::{HeaderMap, header};
use axum::response::{AppendHeaders, IntoResponse};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::Json;
use crate::guard::token;
use crate::session::{COOKIE, is_password};
use crate::shop::SharedShop;

/// What is known to the one who signs in.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SignIn {
    /// The shop's password.
    #[schema(max_length = 1000)]
    password: String,
}

/// Whether the caller is signed in.
#[derive(Serialize, ToSchema)]
pub struct SignedIn {
    /// Whether he is.
    signed_in: bool,
}

fn cookie(shop: &SharedShop, value: &str, seconds: u32) -> String {
    let secure = if shop.settings.tls_name.is_some() { "; Secure" } else { "" };
    format!("{COOKIE}={value}; Path=/; HttpOnly; SameSite=Strict{secure}; Max-Age={seconds}")
}

/// Signs in.
#[utoipa::path(post, path = "/session", tag = "shop", request_body = SignIn,
    responses((status = 200, body = SignedIn), Refusals))]
pub async fn sign_in(State(shop): State<SharedShop>, Json(given): Json<SignIn>) -> ApiResult<impl IntoResponse> {
    let Some(hash) = shop.settings.password.clone() else {
        return Err(ApiError::refused("no password was set: there is nothing to sign in to"));
    };
    if given.password.len() > 4000 {
        return Err(ApiError::senseless("the password is too long").expected("at most 1000 characters"));
    }
    if let Some(seconds) = shop.sessions.must_wait() {
        return Err(ApiError::too_many(seconds));
    }
    // Counted as wrong until it is known to be right, so that tries at the same time do not slip through.
    shop.sessions.tried(false);
    let right = shop.heavy(move || is_password(&given.password, &hash)).await?;
    if !right {
        return Err(ApiError::unauthorised("that is not the password"));
    }
    shop.sessions.tried(true);
    let set = AppendHeaders([(header::SET_COOKIE, cookie(&shop, &shop.sessions.begin(), 30 * 24 * 3600))]);
    Ok((set, Answer(SignedIn { signed_in: true })))
}

/// Signs out.
#[utoipa::path(delete, path = "/session", tag = "shop", responses((status = 200, body = SignedIn), Refusals))]
pub async fn sign_out(State(shop): State<SharedShop>, headers: HeaderMap) -> ApiResult<impl IntoResponse> {
    if let Some(token) = token(&headers) {
        shop.sessions.end(&token);
    }
    let set = AppendHeaders([(header::SET_COOKIE, cookie(&shop, "", 0))]);
    Ok((set, Answer(SignedIn { signed_in: shop.settings.password.is_none() })))
}
