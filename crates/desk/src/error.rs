//! The answer to a request that cannot be served: what happened, and what to do.

use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use entry::EntryError;
use photo::PhotoError;
use serde::Serialize;

/// Why a request was not served.
#[derive(Debug)]
pub(crate) struct ApiError {
    status: StatusCode,
    message: String,
    advice: String,
}

/// The error as JSON.
#[derive(Serialize)]
struct ErrorBody<'a> {
    error: &'a str,
    advice: &'a str,
}

impl ApiError {
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
    pub(crate) fn invalid(message: impl Into<String>, advice: impl Into<String>) -> Self {
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
        Self::invalid(
            format!("there is no ring {number}"),
            "load the page again: the rings have changed",
        )
    }

    /// The entry beside the photo was made for another photo.
    pub(crate) fn other_photo(message: String) -> Self {
        Self::new(
            StatusCode::PRECONDITION_FAILED,
            message,
            "start a new entry for this photo, or keep the facts and drop the marks; \
             either way the old entry stays in the folder under another name",
        )
    }

    /// Work off the async threads did not finish.
    pub(crate) fn unfinished(what: &str) -> Self {
        Self::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            format!("{what} did not finish"),
            "load the page again; what was shown as saved is saved",
        )
    }

    /// A photo that cannot be opened.
    pub(crate) fn photo(file: &str, error: &PhotoError) -> Self {
        Self::invalid(format!("cannot read {file}: {error}"), error.advice())
    }

    /// A picture that cannot be drawn.
    pub(crate) fn cannot_draw(error: &image::ImageError) -> Self {
        Self::invalid(
            format!("the picture cannot be drawn: {error}"),
            "load the page again",
        )
    }

    /// The message alone, for where several are listed.
    pub(crate) fn message(&self) -> &str {
        &self.message
    }
}

impl From<EntryError> for ApiError {
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

impl IntoResponse for ApiError {
    fn into_response(self) -> Response {
        let body = ErrorBody {
            error: &self.message,
            advice: &self.advice,
        };
        (self.status, Json(body)).into_response()
    }
}
