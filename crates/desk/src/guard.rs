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
use std::net::SocketAddr;
use std::sync::Arc;

/// The hosts that the page may be asked for under.
#[derive(Debug, Clone)]
pub struct Hosts(Vec<String>);

impl Hosts {
    /// This machine under each of its names, and `others` (the address on the
    /// local network).
    #[must_use]
    pub fn new(port: u16, others: &[SocketAddr]) -> Self {
        let mut hosts = vec![format!("127.0.0.1:{port}"), format!("localhost:{port}")];
        hosts.extend(others.iter().map(SocketAddr::to_string));
        Self(hosts)
    }

    fn allow(&self, path: &str, headers: &HeaderMap) -> bool {
        let text = |name: header::HeaderName| headers.get(name).map(HeaderValue::to_str);
        let host = match text(header::HOST) {
            Some(Ok(host)) => self.0.iter().any(|ours| ours.eq_ignore_ascii_case(host)),
            _ => false,
        };
        let origin = match text(header::ORIGIN) {
            None => true,
            Some(Ok(origin)) => origin
                .strip_prefix("http://")
                .is_some_and(|from| self.0.iter().any(|ours| ours.eq_ignore_ascii_case(from))),
            Some(Err(_)) => false,
        };
        let site = match headers.get("sec-fetch-site").map(HeaderValue::as_bytes) {
            None | Some(b"same-origin" | b"none") => true,
            // A link from elsewhere may lead to the front page, which is empty without a key.
            Some(_) => {
                path == "/"
                    && headers.get("sec-fetch-mode").map(HeaderValue::as_bytes) == Some(b"navigate")
            }
        };
        host && origin && site
    }
}

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

#[cfg(test)]
mod tests {
    use super::*;

    fn allowed(pairs: &[(&'static str, &'static str)]) -> bool {
        allowed_at("/", pairs)
    }

    fn allowed_at(path: &str, pairs: &[(&'static str, &'static str)]) -> bool {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.insert(*name, HeaderValue::from_static(value));
        }
        Hosts::new(4000, &[]).allow(path, &headers)
    }

    #[test]
    fn only_our_own_host_and_origin_are_let_in() {
        assert!(allowed(&[("host", "127.0.0.1:4000")]));
        assert!(allowed(&[
            ("host", "LOCALHOST:4000"),
            ("origin", "http://localhost:4000")
        ]));
        assert!(!allowed(&[]));
        assert!(!allowed(&[("host", "127.0.0.1")]));
        assert!(!allowed(&[("host", "127.0.0.1:4001")]));
        assert!(!allowed(&[("host", "stump.example:4000")]));
        assert!(!allowed(&[
            ("host", "127.0.0.1:4000"),
            ("origin", "http://stump.example")
        ]));
        assert!(!allowed(&[("host", "127.0.0.1:4000"), ("origin", "null")]));
        assert!(!allowed(&[
            ("host", "127.0.0.1:4000"),
            ("sec-fetch-site", "cross-site")
        ]));
    }

    #[test]
    fn a_link_from_elsewhere_leads_to_the_front_page_alone() {
        let link = [
            ("host", "127.0.0.1:4000"),
            ("sec-fetch-site", "cross-site"),
            ("sec-fetch-mode", "navigate"),
        ];
        assert!(allowed_at("/", &link));
        for path in ["/api/folder", "/made/0123/oak.pdf", "/desk.js"] {
            assert!(!allowed_at(path, &link), "{path}");
        }
    }
}
