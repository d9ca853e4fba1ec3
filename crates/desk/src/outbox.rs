//! Files that were made a moment ago, each under an address that nobody can
//! guess: a browser opens, prints and downloads them as plain links, which
//! cannot carry the key.

use crate::error::ApiError;
use crate::keys::random_token;
use crate::output::Output;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// How long a file stays.
const STAYS: Duration = Duration::from_secs(15 * 60);
/// Files that stay at most: the oldest goes first.
const MOST_FILES: usize = 12;

/// The policy of a made page: its own styles and the pictures inside it, no
/// script, nothing from elsewhere.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; \
    font-src data:; object-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// The files made last.
#[derive(Debug, Default)]
pub(crate) struct Outbox(Mutex<Vec<(String, Instant, Output)>>);

impl Outbox {
    /// Puts a file in; the token that its address ends in.
    pub(crate) fn put(&self, output: Output) -> Result<String, ApiError> {
        let token = random_token().map_err(|error| ApiError::unfinished(&error.to_string()))?;
        let mut files = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        files.retain(|(_, made, _)| made.elapsed() < STAYS);
        if files.len() >= MOST_FILES {
            files.remove(0);
        }
        files.push((token.clone(), Instant::now(), output));
        Ok(token)
    }

    /// The answer with a file; `download` saves it instead of showing it.
    pub(crate) fn answer(&self, token: &str, download: bool) -> Response {
        let files = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let found = files
            .iter()
            .find(|(known, made, _)| known == token && made.elapsed() < STAYS);
        let Some((_, _, output)) = found else {
            return ApiError::new(
                StatusCode::NOT_FOUND,
                "this file is no longer here",
                "make it again on the page of the stump",
            )
            .into_response();
        };
        let kind = if download { "attachment" } else { "inline" };
        let disposition = format!("{kind}; filename*=UTF-8''{}", percent_encoded(&output.name));
        let mut response =
            ([(header::CONTENT_TYPE, output.media)], output.bytes.clone()).into_response();
        let headers = response.headers_mut();
        headers.insert("content-security-policy", HeaderValue::from_static(POLICY));
        if let Ok(value) = HeaderValue::from_str(&disposition) {
            headers.insert(header::CONTENT_DISPOSITION, value);
        }
        response
    }
}

/// Everything but plain letters, digits and a few marks as `%XX`.
pub(crate) fn percent_encoded(name: &str) -> String {
    name.bytes()
        .map(|byte| {
            if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_' | b'.') {
                char::from(byte).to_string()
            } else {
                format!("%{byte:02X}")
            }
        })
        .collect()
}
