//! The guard: which requests are served, and which headers every answer carries.
//!
//! A page elsewhere on the web can make a browser send requests here, and can
//! point a name of its own at 127.0.0.1. So the host asked for must be one of
//! ours, the origin too, and every call must carry a key that no other page
//! can know. The key is in a header, never in a cookie: browsers send cookies
//! to every port of this machine.

use crate::error::ApiError;
use crate::state::Desk;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Response};
use std::sync::Arc;

/// Lets in only what was asked of our own host by our own page.
pub(crate) async fn host(State(desk): State<Arc<Desk>>, request: Request, next: Next) -> Response {
    let mut response = if desk.hosts.allow(request.uri().path(), request.headers()) {
        next.run(request).await
    } else {
        ApiError::new(
            StatusCode::FORBIDDEN,
            "this request came under another name or from another page",
            "open the address that the terminal shows",
        )
        .into_response()
    };
    put_headers(response.headers_mut());
    response
}

/// Gives every error of a call as JSON, also where the request was not understood
/// before any of our code saw it.
pub(crate) async fn json_errors(response: Response) -> Response {
    let status = response.status();
    let is_json = response
        .headers()
        .get(header::CONTENT_TYPE)
        .is_some_and(|media| media.as_bytes().starts_with(b"application/json"));
    if is_json || !(status.is_client_error() || status.is_server_error()) {
        return response;
    }
    ApiError::new(
        status,
        "the request was not understood",
        "load the page again, and go back to the folder",
    )
    .into_response()
}

/// Lets in only who holds a key.
pub(crate) async fn key(State(desk): State<Arc<Desk>>, request: Request, next: Next) -> Response {
    if bearer(request.headers()).is_some_and(|key| desk.keys.holds(key)) {
        next.run(request).await
    } else {
        no_key()
    }
}

/// The answer to a call without a key that opens.
pub(crate) fn no_key() -> Response {
    ApiError::new(
        StatusCode::UNAUTHORIZED,
        "this browser has no key to this desk",
        "open the newest address that the terminal shows; each one opens one browser",
    )
    .into_response()
}

/// The key that a call carries.
pub(crate) fn bearer(headers: &HeaderMap) -> Option<&str> {
    headers
        .get(header::AUTHORIZATION)?
        .to_str()
        .ok()?
        .strip_prefix("Bearer ")
}

/// The headers of every answer: nothing from elsewhere, and nothing stored. A
/// made sheet brings a policy of its own.
fn put_headers(headers: &mut HeaderMap) {
    const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
        img-src 'self' blob:; font-src 'self'; connect-src 'self'; base-uri 'none'; \
        form-action 'none'; frame-ancestors 'none'";
    for (name, value) in [
        ("content-security-policy", POLICY),
        ("x-content-type-options", "nosniff"),
        ("referrer-policy", "no-referrer"),
        ("cross-origin-opener-policy", "same-origin"),
        ("cross-origin-resource-policy", "same-origin"),
    ] {
        headers
            .entry(name)
            .or_insert(HeaderValue::from_static(value));
    }
    headers
        .entry(header::CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
}
