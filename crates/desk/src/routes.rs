//! Which address does what: parse, one call, answer.

use crate::assets;
use crate::error::ApiError;
use crate::folder_calls::{add_photo, folder, remove, rename, species, thumbnail, undo_move};
use crate::guard;
use crate::help;
use crate::requests::{Answer, off_thread};
use crate::state::Desk;
use crate::stump_calls::{
    edit, field, intensity, leave, made, output, photo_of, progress, redo, saved_view, start_entry,
    stop, strip_picture, undo, unrolled_picture, view, watch,
};
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode, Uri};
use axum::middleware;
use axum::response::{IntoResponse as _, Response};
use axum::routing::{get, post};
use axum::{Json, Router};
use serde::Serialize;
use std::sync::Arc;

/// All routes over one desk.
pub fn app(desk: Arc<Desk>) -> Router {
    let calls = Router::new()
        .route("/folder", get(folder))
        .route("/species", get(species))
        .route("/photos", post(add_photo))
        .route("/lock-out-others", post(lock_out_others))
        .route("/stumps/{file}", get(view))
        .route("/stumps/{file}/saved", get(saved_view))
        .route("/stumps/{file}/photo", get(photo_of))
        .route("/stumps/{file}/thumb", get(thumbnail))
        .route("/stumps/{file}/unrolled", get(unrolled_picture))
        .route("/stumps/{file}/field", get(field))
        .route("/stumps/{file}/intensity", get(intensity))
        .route("/stumps/{file}/strip", get(strip_picture))
        .route("/stumps/{file}/watch", get(watch).post(leave))
        .route("/stumps/{file}/progress", get(progress))
        .route("/stumps/{file}/stop", post(stop))
        .route("/stumps/{file}/edit", post(edit))
        .route("/stumps/{file}/undo", post(undo))
        .route("/stumps/{file}/redo", post(redo))
        .route("/stumps/{file}/start-entry", post(start_entry))
        .route("/stumps/{file}/rename", post(rename))
        .route("/stumps/{file}/remove", post(remove))
        .route("/undo-move", post(undo_move))
        .route("/stumps/{file}/output", post(output))
        .layer(middleware::from_fn_with_state(
            Arc::clone(&desk),
            guard::key,
        ))
        // Entering is the one call that needs no key yet, but the printed one.
        .route("/enter", post(enter))
        .layer(middleware::map_response(guard::json_errors))
        .fallback(async || nothing_here());
    Router::new()
        .nest("/api", calls)
        .route("/made/{token}/{name}", get(made))
        .route("/help", get(guide))
        .route("/help/", get(guide))
        .route("/help/{*page}", get(guide))
        .fallback(page)
        .layer(middleware::from_fn_with_state(
            Arc::clone(&desk),
            guard::host,
        ))
        .with_state(desk)
}

async fn page(uri: Uri, headers: HeaderMap) -> Response {
    assets::answer(uri.path(), &headers).unwrap_or_else(nothing_here)
}

/// A page of the guide. Nothing in it is secret.
async fn guide(State(desk): State<Arc<Desk>>, uri: Uri) -> Answer {
    let path = uri.path().trim_start_matches("/help").to_owned();
    off_thread((), move || Ok(help::answer(desk.guide.as_deref(), &path))).await
}

fn nothing_here() -> Response {
    ApiError::new(
        StatusCode::NOT_FOUND,
        "there is nothing at this address",
        "open the address that the terminal shows",
    )
    .into_response()
}

async fn enter(State(desk): State<Arc<Desk>>, headers: HeaderMap) -> Answer {
    #[derive(Serialize)]
    struct In {
        key: String,
    }
    let given = guard::bearer(&headers).unwrap_or_default();
    let session = desk
        .keys
        .enter(given)
        .map_err(|error| ApiError::unfinished(&error.to_string()))?;
    Ok(match session {
        Some(key) => {
            desk.entered.notify_one();
            Json(In { key }).into_response()
        }
        None => guard::no_key(),
    })
}

/// Withdraws the keys of all other browsers.
async fn lock_out_others(State(desk): State<Arc<Desk>>, headers: HeaderMap) -> Answer {
    #[derive(Serialize)]
    struct LockedOut {
        browsers: usize,
    }
    let own = guard::bearer(&headers).unwrap_or_default();
    let browsers = desk.keys.withdraw_others(own);
    Ok(Json(LockedOut { browsers }).into_response())
}
