//! What a request gets when it cannot be served: what happened and what to do.

use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use entry::EntryError;
use photo::PhotoError;
use serde::Serialize;

/// Why a request was not served.
#[derive(Debug)]
pub(crate) struct Fault {
    status: StatusCode,
    message: String,
    advice: String,
}

#[derive(Serialize)]
struct Told<'a> {
    error: &'a str,
    advice: &'a str,
}

impl Fault {
    pub(crate) fn new(
        status: StatusCode,
        message: impl Into<String>,
        advice: impl Into<String>,
    ) -> Self {
        Self {
            status,
            message: message.into(),
            advice: advice.into(),
        }
    }

    /// Something in the request cannot be understood or done.
    pub(crate) fn wrong(message: impl Into<String>, advice: impl Into<String>) -> Self {
        Self::new(StatusCode::UNPROCESSABLE_ENTITY, message, advice)
    }

    /// There is no such photo in the opened folder.
    pub(crate) fn no_photo(name: &str) -> Self {
        Self::new(
            StatusCode::NOT_FOUND,
            format!("there is no photo \"{name}\" in the opened folder"),
            "go back to the folder; links, and photos in folders inside it, are not opened",
        )
    }

    /// The rings have changed since the page was drawn.
    pub(crate) fn no_ring(number: u32) -> Self {
        Self::wrong(
            format!("there is no ring {number}"),
            "load the page again: the rings have changed",
        )
    }

    /// A step off the async threads did not end.
    pub(crate) fn broken(what: &str) -> Self {
        Self::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            format!("{what} did not end"),
            "load the page again; what was shown as saved is saved",
        )
    }

    /// A photo that cannot be opened.
    pub(crate) fn photo(file: &str, error: &PhotoError) -> Self {
        Self::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            format!("cannot read {file}: {error}"),
            error.advice(),
        )
    }

    /// The message alone, for where several are listed.
    pub(crate) fn message(&self) -> &str {
        &self.message
    }
}

impl From<EntryError> for Fault {
    fn from(error: EntryError) -> Self {
        let status = match error {
            EntryError::Damaged { .. } | EntryError::Newer { .. } => {
                StatusCode::UNPROCESSABLE_ENTITY
            }
            _ => StatusCode::INTERNAL_SERVER_ERROR,
        };
        Self::new(status, error.to_string(), error.advice())
    }
}

impl IntoResponse for Fault {
    fn into_response(self) -> Response {
        let told = Told {
            error: &self.message,
            advice: &self.advice,
        };
        (self.status, Json(told)).into_response()
    }
}
