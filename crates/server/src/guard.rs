//! Access control, and security headers for browsers.
//!
//! A page of another site can make a browser call this server. Three checks prevent that: the `Host` must be one of ours (a
//! foreign name that resolves to this address is not), a call that changes something must not come from another origin, and a
//! client that is not signed in gets no data when a password is set.

use std::net::IpAddr;

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::connections::Caller;
use crate::errors::ApiError;
use crate::session::COOKIE;
use crate::settings::ServerSettings;
use crate::shop::{SharedShop, Shop};

/// What the page may load: its own files, and pictures and sheets that it made itself; no inline script, no other site.
const POLICY: &str = "default-src 'self'; img-src 'self' data: blob:; frame-src 'self' blob:; worker-src 'self' blob:; \
     connect-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'";

/// Largest body that is read before sign-in, bytes.
const LONGEST_UNKNOWN: usize = 8 << 10;

/// Calls that need no sign-in.
const OPEN: [&str; 3] = ["/api/shop", "/api/session", "/api/health"];

/// Checks every call, and adds the security headers to every response.
pub async fn guard(State(shop): State<SharedShop>, request: Request, next: Next) -> Response {
    let mut response = match refuse(&shop, &request) {
        Some(refusal) => refusal.into_response(),
        None => next.run(request).await,
    };
    let headers = response.headers_mut();
    for (name, value) in [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::X_FRAME_OPTIONS, "DENY"),
        (header::REFERRER_POLICY, "no-referrer"),
        (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    if !headers.contains_key(header::CACHE_CONTROL) {
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    response
}

fn refuse(shop: &Shop, request: &Request) -> Option<ApiError> {
    let headers = request.headers();
    let host = headers.get(header::HOST).and_then(|h| h.to_str().ok()).unwrap_or_default();
    if !is_ours(host, &shop.settings) {
        return Some(ApiError::forbidden("this server has no such host name").expected("the address it printed"));
    }
    let writes = !matches!(*request.method(), Method::GET | Method::HEAD | Method::OPTIONS);
    if writes && !same_origin(headers, host) {
        return Some(ApiError::forbidden("the request comes from another site"));
    }
    let path = request.uri().path();
    let open = OPEN.contains(&path) && (path != "/api/shop" || !writes);
    if signed_in(shop, headers) {
        if let Some(caller) = request.extensions().get::<Caller>() {
            caller.signed_in();
        }
        return None;
    }
    if path.starts_with("/api/") && !open {
        return Some(ApiError::unauthorised("sign in first"));
    }
    is_long(headers).then(|| ApiError::too_large("only short bodies are accepted before sign-in"))
}

/// Whether a request has a body longer than a password.
fn is_long(headers: &HeaderMap) -> bool {
    let length = headers.get(header::CONTENT_LENGTH).and_then(|l| l.to_str().ok()?.parse::<usize>().ok());
    headers.contains_key(header::TRANSFER_ENCODING) || length.is_some_and(|length| length > LONGEST_UNKNOWN)
}

/// Whether a `Host` names this server: its address or a name it was given, with its port.
fn is_ours(host: &str, settings: &ServerSettings) -> bool {
    // The proxy forwards the host that the browser named.
    let bare = |name: &str| name.strip_suffix(":443").unwrap_or(name).to_ascii_lowercase();
    if settings.tls_name.as_ref().is_some_and(|name| bare(name) == bare(host)) {
        return true;
    }
    let (name, port) = match host.rsplit_once(':') {
        Some((name, port)) if !port.ends_with(']') => (name, port.parse::<u16>().ok()),
        _ => (host, Some(80)),
    };
    if port != Some(settings.address.port()) {
        return false;
    }
    let name = name.to_ascii_lowercase();
    let bare = name.strip_prefix('[').and_then(|n| n.strip_suffix(']')).unwrap_or(&name);
    let address = bare.parse::<IpAddr>().ok();
    let ours = settings.address.ip();
    // A numeric address cannot be redirected, only names can.
    name == "localhost"
        || settings.names.iter().any(|n| n.eq_ignore_ascii_case(&name))
        || address.is_some_and(|a| a.is_loopback() || a == ours || ours.is_unspecified())
}

/// Whether a call that changes something comes from our own page, or from outside a browser.
fn same_origin(headers: &HeaderMap, host: &str) -> bool {
    let text = |name: HeaderName| headers.get(name).map(|v| v.to_str().unwrap_or("?").to_string());
    if let Some(origin) = text(header::ORIGIN) {
        let of = origin.strip_prefix("http://").or_else(|| origin.strip_prefix("https://"));
        return of.is_some_and(|o| o.eq_ignore_ascii_case(host));
    }
    text(HeaderName::from_static("sec-fetch-site")).is_none_or(|site| site == "same-origin" || site == "none")
}

/// The client's session token.
pub fn token(headers: &HeaderMap) -> Option<String> {
    let cookies = headers.get_all(header::COOKIE).iter().filter_map(|c| c.to_str().ok());
    let mut pairs = cookies.flat_map(|c| c.split(';')).filter_map(|pair| pair.trim().split_once('='));
    pairs.find(|(name, _)| *name == COOKIE).map(|(_, value)| value.to_string())
}

/// Whether the client is signed in or need not be.
pub fn signed_in(shop: &Shop, headers: &HeaderMap) -> bool {
    shop.settings.password.is_none() || token(headers).is_some_and(|t| shop.sessions.holds(&t))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn settings(address: &str) -> ServerSettings {
        ServerSettings {
            address: address.parse().unwrap(),
            names: vec!["shop.lan".into()],
            ..ServerSettings::default()
        }
    }

    #[test]
    fn only_our_own_names_are_ours() {
        let loopback = settings("127.0.0.1:7878");
        for good in ["127.0.0.1:7878", "localhost:7878", "[::1]:7878", "LOCALHOST:7878", "shop.lan:7878"] {
            assert!(is_ours(good, &loopback), "{good}");
        }
        for bad in
            ["", "localhost", "localhost:80", "evil.example:7878", "127.0.0.1.evil.example:7878", "10.0.0.7:7878"]
        {
            assert!(!is_ours(bad, &loopback), "{bad}");
        }
        assert!(is_ours("10.0.0.7:7878", &settings("0.0.0.0:7878")));
        assert!(!is_ours("evil.example:7878", &settings("0.0.0.0:7878")));
        let proxied = ServerSettings { tls_name: Some("shop.lan".into()), ..settings("127.0.0.1:7878") };
        assert!(is_ours("Shop.lan", &proxied) && is_ours("shop.lan:443", &proxied));
        assert!(!is_ours("shop.lan:8443", &proxied) && !is_ours("evil.example", &proxied));
    }

    #[test]
    fn writing_calls_come_from_our_own_page_or_from_none() {
        let with = |name: &'static str, value: &'static str| {
            let mut headers = HeaderMap::new();
            headers.insert(name, HeaderValue::from_static(value));
            same_origin(&headers, "localhost:7878")
        };
        assert!(same_origin(&HeaderMap::new(), "localhost:7878"));
        assert!(with("origin", "http://localhost:7878") && with("sec-fetch-site", "same-origin"));
        assert!(!with("origin", "null") && !with("origin", "http://localhost:7879"));
        assert!(!with("sec-fetch-site", "cross-site") && !with("sec-fetch-site", "same-site"));
    }
}
