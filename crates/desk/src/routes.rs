//! Which address does what: parse, one call, answer.

use crate::edit::Edit;
use crate::error::ApiError;
use crate::folder::Moved;
use crate::guard;
use crate::loaded::StartFrom;
use crate::outbox::percent_encoded;
use crate::output::{OutputOptions, OutputRequest};
use crate::session::{Change, Session, stamp};
use crate::state::Desk;
use crate::view::{doubts, missing};
use crate::{assets, unrolled, upload};
use axum::body::{Body, Bytes};
use axum::extract::{Path, Query, Request, State};
use axum::http::{HeaderMap, StatusCode, Uri, header};
use axum::middleware;
use axum::response::{IntoResponse as _, Response};
use axum::routing::{get, post};
use axum::{Json, Router};
use photo::Limits;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::{Arc, PoisonError};
use std::time::Duration;

/// The largest JSON taken.
const MOST_JSON_BYTES: usize = 256 * 1024;
/// How long a JSON body may take to arrive.
const PATIENCE: Duration = Duration::from_secs(20);
/// The longer side of a small picture, in pixels.
const THUMB_PX: u32 = 360;

type Answer = Result<Response, ApiError>;

/// All routes over one desk.
pub fn app(desk: Arc<Desk>) -> Router {
    let calls = Router::new()
        .route("/folder", get(folder))
        .route("/species", get(species))
        .route("/photos", post(add_photo))
        .route("/lock-out-others", post(lock_out_others))
        .route("/stumps/{file}", get(view))
        .route("/stumps/{file}/photo", get(photo_of))
        .route("/stumps/{file}/thumb", get(thumbnail))
        .route("/stumps/{file}/unrolled", get(unrolled_picture))
        .route("/stumps/{file}/field", get(field))
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

/// One line of the folder.
#[derive(Serialize)]
struct Line {
    file: String,
    /// `unread`, `read`, `refused` or `error`.
    state: &'static str,
    count: Option<wood::Count>,
    age: Option<(u32, u32, u32)>,
    doubts: usize,
    species: Option<String>,
    felled: Option<String>,
    missing: Vec<&'static str>,
    message: Option<String>,
}

async fn folder(State(desk): State<Arc<Desk>>) -> Answer {
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

async fn species() -> Response {
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

async fn add_photo(
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

async fn view(State(desk): State<Arc<Desk>>, Path(file): Path<String>) -> Answer {
    on(desk, file, |desk, session| session.view(&desk.folder))
        .await
        .map(json)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct EditBody {
    revision: u64,
    edit: Edit,
}

async fn edit(State(desk): State<Arc<Desk>>, Path(file): Path<String>, body: Body) -> Answer {
    let asked: EditBody = parsed(body).await?;
    on(desk, file, move |desk, session| {
        session.change(&desk.folder, asked.revision, &Change::Edit(&asked.edit))
    })
    .await
    .map(json)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RevisionBody {
    revision: u64,
}

async fn undo(State(desk): State<Arc<Desk>>, Path(file): Path<String>, body: Body) -> Answer {
    let asked: RevisionBody = parsed(body).await?;
    on(desk, file, move |desk, session| {
        session.change(&desk.folder, asked.revision, &Change::Undo)
    })
    .await
    .map(json)
}

async fn redo(State(desk): State<Arc<Desk>>, Path(file): Path<String>, body: Body) -> Answer {
    let asked: RevisionBody = parsed(body).await?;
    on(desk, file, move |desk, session| {
        session.change(&desk.folder, asked.revision, &Change::Redo)
    })
    .await
    .map(json)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StartBody {
    from: StartFrom,
}

/// A new entry, where the one beside the photo was made for another photo.
async fn start_entry(
    State(desk): State<Arc<Desk>>,
    Path(file): Path<String>,
    body: Body,
) -> Answer {
    let asked: StartBody = parsed(body).await?;
    on(desk, file, move |desk, session| {
        session.start_entry(&desk.folder, asked.from)
    })
    .await
    .map(json)
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

async fn rename(State(desk): State<Arc<Desk>>, Path(file): Path<String>, body: Body) -> Answer {
    let asked: RenameBody = parsed(body).await?;
    on(desk, file, move |desk, session| {
        moved(desk, desk.folder.rename(session.name(), asked.to.trim())?)
    })
    .await
}

async fn remove(State(desk): State<Arc<Desk>>, Path(file): Path<String>) -> Answer {
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
async fn undo_move(State(desk): State<Arc<Desk>>) -> Answer {
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

#[derive(Deserialize)]
struct OutputBody {
    what: OutputRequest,
    #[serde(flatten)]
    options: OutputOptions,
}

/// Makes the sheet, the widths or a picture; the address that it is at for a while.
async fn output(State(desk): State<Arc<Desk>>, Path(file): Path<String>, body: Body) -> Answer {
    #[derive(Serialize)]
    struct Made {
        address: String,
        name: String,
        bytes: usize,
        notes: Vec<String>,
    }
    let asked: OutputBody = parsed(body).await?;
    let output = on(Arc::clone(&desk), file, move |desk, session| {
        session.output(&desk.folder, asked.what, &asked.options)
    })
    .await?;
    let (name, bytes, notes) = (
        output.name.clone(),
        output.bytes.len(),
        output.notes.clone(),
    );
    let token = desk.outbox.put(output)?;
    let address = format!("/made/{token}/{}", percent_encoded(&name));
    let made = Made {
        address,
        name,
        bytes,
        notes,
    };
    Ok(Json(made).into_response())
}

async fn made(
    State(desk): State<Arc<Desk>>,
    Path((token, _)): Path<(String, String)>,
    uri: Uri,
) -> Response {
    desk.outbox.answer(&token, uri.query() == Some("download"))
}

async fn photo_of(State(desk): State<Arc<Desk>>, Path(file): Path<String>) -> Answer {
    on(desk, file, |desk, session| session.photo(&desk.folder))
        .await
        .map(jpeg)
}

async fn unrolled_picture(State(desk): State<Arc<Desk>>, Path(file): Path<String>) -> Answer {
    on(desk, file, |desk, session| session.unrolled(&desk.folder))
        .await
        .map(|(picture, _)| jpeg(picture))
}

async fn field(State(desk): State<Arc<Desk>>, Path(file): Path<String>) -> Answer {
    on(desk, file, |desk, session| session.unrolled(&desk.folder))
        .await
        .map(|(_, field)| {
            ([(header::CONTENT_TYPE, "application/octet-stream")], field).into_response()
        })
}

async fn thumbnail(State(desk): State<Arc<Desk>>, Path(file): Path<String>) -> Answer {
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

#[derive(Deserialize)]
struct Tab {
    tab: String,
}

async fn watch(
    State(desk): State<Arc<Desk>>,
    Path(file): Path<String>,
    Query(Tab { tab }): Query<Tab>,
) -> Answer {
    Ok(Json(desk.session(&file)?.watch(&tab)).into_response())
}

async fn leave(
    State(desk): State<Arc<Desk>>,
    Path(file): Path<String>,
    Query(Tab { tab }): Query<Tab>,
) -> Answer {
    desk.session(&file)?.leave(&tab);
    Ok(StatusCode::NO_CONTENT.into_response())
}

/// The progress of the long reading; asked while that runs, so it waits for nothing.
async fn progress(State(desk): State<Arc<Desk>>, Path(file): Path<String>) -> Answer {
    Ok(Json(desk.session(&file)?.progress().now()).into_response())
}

async fn stop(State(desk): State<Arc<Desk>>, Path(file): Path<String>) -> Answer {
    desk.session(&file)?.progress().stop();
    Ok(StatusCode::NO_CONTENT.into_response())
}

/// One call on a stump, off the async threads, one after the other.
async fn on<T: Send + 'static>(
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
async fn off_thread<T: Send + 'static>(
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
async fn parsed<T: for<'a> Deserialize<'a>>(body: Body) -> Result<T, ApiError> {
    let bytes = tokio::time::timeout(PATIENCE, axum::body::to_bytes(body, MOST_JSON_BYTES))
        .await
        .map_err(|_| {
            ApiError::new(
                StatusCode::REQUEST_TIMEOUT,
                "the request stopped arriving",
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

fn json(bytes: Vec<u8>) -> Response {
    ([(header::CONTENT_TYPE, "application/json")], bytes).into_response()
}

fn jpeg(bytes: Bytes) -> Response {
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
