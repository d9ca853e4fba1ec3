//! The calls about the folder: its list, new photos, small pictures, and photos
//! renamed and removed.

use crate::error::ApiError;
use crate::moving::Moved;
use crate::requests::{Answer, jpeg, off_thread, on, parsed};
use crate::stamp::stamp;
use crate::state::Desk;
use crate::view::{doubts, missing};
use crate::{unrolled, upload};
use axum::Json;
use axum::body::{Body, Bytes};
use axum::extract::{Path, Query, Request, State};
use axum::http::header;
use axum::response::{IntoResponse as _, Response};
use photo::Limits;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::{Arc, PoisonError};

/// The longer side of a small picture, in pixels.
const THUMB_PX: u32 = 360;

/// One line of the folder.
#[derive(Serialize)]
struct Line {
    file: String,
    /// `unread`, `read`, `refused` or `error`.
    state: &'static str,
    count: Option<wood::Count>,
    /// How it was counted, where not on the whole face.
    counted_along: Option<&'static str>,
    age: Option<(u32, u32, u32)>,
    doubts: usize,
    species: Option<String>,
    felled: Option<String>,
    missing: Vec<&'static str>,
    message: Option<String>,
}

pub(crate) async fn folder(State(desk): State<Arc<Desk>>) -> Answer {
    #[derive(Serialize)]
    struct Listed {
        folder: String,
        most_upload_bytes: u64,
        stumps: Vec<Line>,
    }
    let listed = off_thread((), move || {
        let names = desk.folder.photos().map_err(|error| {
            ApiError::invalid(
                format!("cannot read the opened folder: {error}"),
                "check that it is still there",
            )
        })?;
        Ok(Listed {
            folder: desk.folder.name(),
            most_upload_bytes: upload::MOST_UPLOAD_BYTES,
            stumps: names.into_iter().map(|name| line(&desk, name)).collect(),
        })
    })
    .await?;
    Ok(Json(listed).into_response())
}

fn line(desk: &Desk, file: String) -> Line {
    let found = desk
        .folder
        .photo(&file)
        .and_then(|path| desk.folder.entry(&path))
        .and_then(|place| Ok(entry::load_stump(&place.entry)?));
    let mut line = Line {
        file,
        state: "unread",
        count: None,
        counted_along: None,
        age: None,
        doubts: 0,
        species: None,
        felled: None,
        missing: vec!["a reading"],
        message: None,
    };
    match found {
        Ok(None) => {
            if let Some(refusal) = desk.cache.refusal(&line.file) {
                line.state = "refused";
                line.message = Some(refusal);
            }
        }
        Ok(Some(stump)) => {
            let reading = &stump.reading;
            line.state = if reading.readable { "read" } else { "refused" };
            line.message = reading
                .refusal
                .as_ref()
                .map(|refusal| refusal.detail.clone());
            line.count.clone_from(&reading.count);
            line.counted_along = reading.counted_along();
            line.age = reading
                .age
                .as_ref()
                .map(|age| (age.best, age.low, age.high));
            line.doubts = doubts(&stump).len();
            line.missing = missing(&stump);
            line.species = stump.facts.species;
            line.felled = stump.facts.felled.map(|felled| felled.to_string());
        }
        Err(fault) => {
            line.state = "error";
            line.message = Some(fault.message().to_owned());
        }
    }
    line
}

pub(crate) async fn species() -> Response {
    #[derive(Serialize)]
    struct Kind {
        name: &'static str,
        latin: &'static str,
        class: wood::WoodClass,
    }
    let kinds: Vec<Kind> = wood::species_table()
        .iter()
        .map(|species| Kind {
            name: species.name,
            latin: species.latin,
            class: species.class,
        })
        .collect();
    Json(kinds).into_response()
}

pub(crate) async fn add_photo(
    State(desk): State<Arc<Desk>>,
    Query(query): Query<BTreeMap<String, String>>,
    request: Request,
) -> Answer {
    #[derive(Serialize)]
    struct Added {
        file: String,
    }
    let name = query.get("name").map(String::as_str).unwrap_or_default();
    let claimed = request
        .headers()
        .get(header::CONTENT_LENGTH)
        .and_then(|value| value.to_str().ok()?.parse().ok());
    let file = upload::receive_photo(desk, name, claimed, request.into_body()).await?;
    Ok(Json(Added { file }).into_response())
}

/// The name that a photo has after it was renamed, removed or moved back.
#[derive(Serialize)]
struct MovedBody {
    file: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RenameBody {
    to: String,
}

pub(crate) async fn rename(
    State(desk): State<Arc<Desk>>,
    Path(file): Path<String>,
    body: Body,
) -> Answer {
    let asked: RenameBody = parsed(body).await?;
    on(desk, file, move |desk, session| {
        moved(desk, desk.folder.rename(session.name(), asked.to.trim())?)
    })
    .await
}

pub(crate) async fn remove(State(desk): State<Arc<Desk>>, Path(file): Path<String>) -> Answer {
    on(desk, file, |desk, session| {
        moved(desk, desk.folder.remove(session.name())?)
    })
    .await
}

/// Notes that a photo was moved, so that it can be undone.
fn moved(desk: &Desk, moved: Moved) -> Answer {
    let (before, file) = moved.names();
    desk.cache.forget(&before);
    let mut all = desk.moved.lock().unwrap_or_else(PoisonError::into_inner);
    all.push(moved);
    Ok(Json(MovedBody { file }).into_response())
}

/// Moves the photo back that was renamed or removed last.
pub(crate) async fn undo_move(State(desk): State<Arc<Desk>>) -> Answer {
    off_thread((), move || {
        let mut all = desk.moved.lock().unwrap_or_else(PoisonError::into_inner);
        let last = all.last().ok_or_else(|| {
            ApiError::invalid(
                "no photo was renamed or removed since the program was started",
                "look into the folder \"removed\" inside the opened one",
            )
        })?;
        let file = last.back()?;
        desk.cache.forget(&last.names().1);
        all.pop();
        Ok(Json(MovedBody { file }).into_response())
    })
    .await
}

pub(crate) async fn thumbnail(State(desk): State<Arc<Desk>>, Path(file): Path<String>) -> Answer {
    let permit = Arc::clone(&desk.drawing)
        .acquire_owned()
        .await
        .map_err(|_| ApiError::unfinished("waiting for another picture"))?;
    off_thread(permit, move || small_picture(&desk, &file))
        .await
        .map(jpeg)
}

fn small_picture(desk: &Desk, file: &str) -> Result<Bytes, ApiError> {
    let path = desk.folder.photo(file)?;
    let now = stamp(&path);
    let lock = || {
        desk.thumbnails
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
    };
    if let Some((of, picture)) = lock().get(file)
        && *of == now
    {
        return Ok(picture.clone());
    }
    let bytes = std::fs::read(&path).map_err(|error| {
        ApiError::invalid(error.to_string(), "check that the photo is still there")
    })?;
    let face =
        photo::open(&bytes, &Limits::default()).map_err(|error| ApiError::photo(file, &error))?;
    let picture = unrolled::thumbnail(&face.rgb, THUMB_PX)
        .map_err(|error| ApiError::invalid(error.to_string(), "load the page again"))?;
    lock().insert(file.to_owned(), (now, picture.clone()));
    Ok(picture)
}
