//! What the calls share: bodies parsed, work off the async threads, answers.

use crate::error::ApiError;
use crate::session::Session;
use crate::state::Desk;
use axum::body::{Body, Bytes};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use serde::Deserialize;
use std::sync::Arc;
use std::time::Duration;

/// The largest JSON accepted.
const MOST_JSON_BYTES: usize = 256 * 1024;
/// How long a JSON body may take to arrive.
const PATIENCE: Duration = Duration::from_secs(20);

pub(crate) type Answer = Result<Response, ApiError>;

/// One call on a stump, off the async threads, one after the other.
pub(crate) async fn on<T: Send + 'static>(
    desk: Arc<Desk>,
    file: String,
    call: impl FnOnce(&Desk, &Session) -> Result<T, ApiError> + Send + 'static,
) -> Result<T, ApiError> {
    let session = desk.session(&file)?;
    let permit = Arc::clone(&desk.reading)
        .acquire_owned()
        .await
        .map_err(|_| ApiError::unfinished("waiting for another reading"))?;
    // Only when it is its turn: many that wait would push out each other's pixels.
    desk.cache.touch(&session);
    off_thread(permit, move || call(&desk, &session)).await
}

/// Runs something long off the async threads. It holds its turn until it ends,
/// even where whoever asked has gone away meanwhile.
pub(crate) async fn off_thread<T: Send + 'static>(
    turn: impl Send + 'static,
    work: impl FnOnce() -> Result<T, ApiError> + Send + 'static,
) -> Result<T, ApiError> {
    tokio::task::spawn_blocking(move || {
        let done = work();
        drop(turn);
        done
    })
    .await
    .map_err(|_| ApiError::unfinished("the work"))?
}

/// A JSON body of bounded size and time.
pub(crate) async fn parsed<T: for<'a> Deserialize<'a>>(body: Body) -> Result<T, ApiError> {
    let bytes = tokio::time::timeout(PATIENCE, axum::body::to_bytes(body, MOST_JSON_BYTES))
        .await
        .map_err(|_| {
            ApiError::new(
                StatusCode::REQUEST_TIMEOUT,
                "the request broke off",
                "try again",
            )
        })?
        .map_err(|_| {
            ApiError::new(
                StatusCode::PAYLOAD_TOO_LARGE,
                "the request is too large or did not arrive whole",
                "mark fewer places at once",
            )
        })?;
    serde_json::from_slice(&bytes).map_err(|error| {
        ApiError::invalid(
            format!("the request cannot be understood: {error}"),
            "load the page again: it may be from an older version",
        )
    })
}

pub(crate) fn json(bytes: Vec<u8>) -> Response {
    ([(header::CONTENT_TYPE, "application/json")], bytes).into_response()
}

pub(crate) fn jpeg(bytes: Bytes) -> Response {
    ([(header::CONTENT_TYPE, "image/jpeg")], bytes).into_response()
}

#[cfg(test)]
mod tests {
    use super::*;
    use tokio::sync::{Semaphore, oneshot};

    #[tokio::test]
    async fn work_keeps_its_turn_though_nobody_waits_for_it() {
        let turns = Arc::new(Semaphore::new(1));
        let turn = Arc::clone(&turns).acquire_owned().await.expect("open");
        let (began, beginning) = oneshot::channel();
        let (end, ending) = std::sync::mpsc::channel::<()>();
        let asked = tokio::spawn(off_thread(turn, move || {
            began
                .send(())
                .map_err(|()| ApiError::unfinished("the test went away"))?;
            // Ends when asked to, or when the test has failed.
            let _ = ending.recv();
            Ok(())
        }));
        beginning.await.expect("it begins");
        asked.abort();
        assert!(asked.await.is_err());
        assert_eq!(turns.available_permits(), 0);
        end.send(()).expect("it still works");
        turns.acquire().await.expect("the turn comes back").forget();
    }
}
