//! Signing in and out.

use std::time::Duration;

use axum::Json as JsonResponse;
use axum::extract::{Extension, State};
use axum::http::{HeaderMap, header};
use axum::response::{AppendHeaders, IntoResponse};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::connections::Caller;
use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::Json;
use crate::guard::{signed_in, token};
use crate::lockout::LoginSource;
use crate::session::{COOKIE, is_password};
use crate::shop::SharedShop;
use crate::work::{Lane, StopSignal};

/// Longest password, bytes.
const LONGEST: usize = 4000;

/// Delay of the response to a wrong password after many others.
const SLOWLY: Duration = Duration::from_millis(250);

/// Credentials.
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
    /// Whether signed in.
    signed_in: bool,
}

fn cookie(shop: &SharedShop, value: &str, seconds: u32) -> String {
    let secure = if shop.settings.tls_name.is_some() { "; Secure" } else { "" };
    format!("{COOKIE}={value}; Path=/; HttpOnly; SameSite=Strict{secure}; Max-Age={seconds}")
}

/// Signs in.
#[utoipa::path(post, path = "/session", tag = "shop", request_body = SignIn,
    responses((status = 200, body = SignedIn), Refusals))]
pub async fn sign_in(
    State(shop): State<SharedShop>,
    Extension(caller): Extension<Caller>,
    headers: HeaderMap,
    Json(given): Json<SignIn>,
) -> ApiResult<impl IntoResponse> {
    let Some(hash) = shop.settings.password.clone() else {
        return Err(ApiError::refused("no password is set: signing in is not needed"));
    };
    if given.password.len() > LONGEST {
        return Err(ApiError::unprocessable("the password is too long").expected("at most 1000 characters"));
    }
    let who = LoginSource::new(caller.address, &headers);
    // Wrong attempts never lock out someone at this computer or already signed in; they only delay the next response.
    let wait = shop.lockout.must_wait(who);
    let trusted = who.is_here() || signed_in(&shop, &headers);
    if let Some(seconds) = wait.filter(|_| !trusted) {
        return Err(ApiError::too_many(seconds));
    }
    shop.lockout.record_attempt(who);
    let slowly = wait.is_some();
    let check = move |_: &StopSignal| {
        let right = is_password(&given.password, &hash);
        if !right && slowly {
            std::thread::sleep(SLOWLY);
        }
        right
    };
    if !shop.work.run(Lane::SignIn, check).await? {
        return Err(wait.map_or_else(|| ApiError::unauthorised("wrong password"), ApiError::too_many));
    }
    shop.lockout.was_right(who);
    let set = AppendHeaders([(header::SET_COOKIE, cookie(&shop, &shop.sessions.begin(), 30 * 24 * 3600))]);
    Ok((set, JsonResponse(SignedIn { signed_in: true })))
}

/// Signs out.
#[utoipa::path(delete, path = "/session", tag = "shop", responses((status = 200, body = SignedIn), Refusals))]
pub async fn sign_out(State(shop): State<SharedShop>, headers: HeaderMap) -> ApiResult<impl IntoResponse> {
    if let Some(token) = token(&headers) {
        shop.sessions.end(&token);
    }
    let set = AppendHeaders([(header::SET_COOKIE, cookie(&shop, "", 0))]);
    Ok((set, JsonResponse(SignedIn { signed_in: shop.settings.password.is_none() })))
}
