//! The calls about one stump: its view, edits, pictures, progress and files.

use crate::edit::Edit;
use crate::loaded::StartFrom;
use crate::outbox::percent_encoded;
use crate::output::{OutputOptions, OutputRequest};
use crate::requests::{Answer, jpeg, json, on, parsed};
use crate::session::Change;
use crate::state::Desk;
use axum::Json;
use axum::body::Body;
use axum::extract::{Path, Query, State};
use axum::http::{StatusCode, Uri, header};
use axum::response::{IntoResponse as _, Response};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

pub(crate) async fn view(State(desk): State<Arc<Desk>>, Path(file): Path<String>) -> Answer {
    on(desk, file, |desk, session| session.view(&desk.folder))
        .await
        .map(json)
}

/// The stump as it was saved, without what takes a while.
pub(crate) async fn saved_view(State(desk): State<Arc<Desk>>, Path(file): Path<String>) -> Answer {
    on(desk, file, |desk, session| session.saved_view(&desk.folder))
        .await
        .map(json)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct EditBody {
    revision: u64,
    edit: Edit,
}

pub(crate) async fn edit(
    State(desk): State<Arc<Desk>>,
    Path(file): Path<String>,
    body: Body,
) -> Answer {
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

pub(crate) async fn undo(
    State(desk): State<Arc<Desk>>,
    Path(file): Path<String>,
    body: Body,
) -> Answer {
    step(desk, file, body, Change::Undo).await
}

pub(crate) async fn redo(
    State(desk): State<Arc<Desk>>,
    Path(file): Path<String>,
    body: Body,
) -> Answer {
    step(desk, file, body, Change::Redo).await
}

/// One step back or forward.
async fn step(desk: Arc<Desk>, file: String, body: Body, change: Change<'static>) -> Answer {
    let asked: RevisionBody = parsed(body).await?;
    on(desk, file, move |desk, session| {
        session.change(&desk.folder, asked.revision, &change)
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
pub(crate) async fn start_entry(
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

#[derive(Deserialize)]
struct OutputBody {
    what: OutputRequest,
    #[serde(flatten)]
    options: OutputOptions,
}

/// Makes the sheet, the widths or a picture; the address that it is at for a while.
pub(crate) async fn output(
    State(desk): State<Arc<Desk>>,
    Path(file): Path<String>,
    body: Body,
) -> Answer {
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

pub(crate) async fn made(
    State(desk): State<Arc<Desk>>,
    Path((token, _)): Path<(String, String)>,
    uri: Uri,
) -> Response {
    desk.outbox.answer(&token, uri.query() == Some("download"))
}

/// The upright photo; with `?small`, a small copy that is quickly made.
pub(crate) async fn photo_of(
    State(desk): State<Arc<Desk>>,
    Path(file): Path<String>,
    uri: Uri,
) -> Answer {
    let small = uri.query() == Some("small");
    on(desk, file, move |desk, session| {
        session.photo(&desk.folder, small)
    })
    .await
    .map(jpeg)
}

pub(crate) async fn unrolled_picture(
    State(desk): State<Arc<Desk>>,
    Path(file): Path<String>,
) -> Answer {
    on(desk, file, |desk, session| session.unrolled(&desk.folder))
        .await
        .map(|(picture, _)| jpeg(picture))
}

/// The marked strip, shown straight.
pub(crate) async fn strip_picture(
    State(desk): State<Arc<Desk>>,
    Path(file): Path<String>,
) -> Answer {
    on(desk, file, |desk, session| session.strip(&desk.folder))
        .await
        .map(jpeg)
}

pub(crate) async fn field(State(desk): State<Arc<Desk>>, Path(file): Path<String>) -> Answer {
    on(desk, file, |desk, session| session.unrolled(&desk.folder))
        .await
        .map(|(_, field)| {
            ([(header::CONTENT_TYPE, "application/octet-stream")], field).into_response()
        })
}

/// The radial intensity profile, at the courses of the unrolled stump.
pub(crate) async fn intensity(State(desk): State<Arc<Desk>>, Path(file): Path<String>) -> Answer {
    on(desk, file, |desk, session| session.intensity(&desk.folder))
        .await
        .map(json)
}

#[derive(Deserialize)]
pub(crate) struct Tab {
    tab: String,
}

pub(crate) async fn watch(
    State(desk): State<Arc<Desk>>,
    Path(file): Path<String>,
    Query(Tab { tab }): Query<Tab>,
) -> Answer {
    Ok(Json(desk.session(&file)?.watch(&tab)).into_response())
}

pub(crate) async fn leave(
    State(desk): State<Arc<Desk>>,
    Path(file): Path<String>,
    Query(Tab { tab }): Query<Tab>,
) -> Answer {
    desk.session(&file)?.leave(&tab);
    Ok(StatusCode::NO_CONTENT.into_response())
}

/// The progress of the long reading; asked while that runs, so it waits for nothing.
pub(crate) async fn progress(State(desk): State<Arc<Desk>>, Path(file): Path<String>) -> Answer {
    Ok(Json(desk.session(&file)?.progress().now()).into_response())
}

pub(crate) async fn stop(State(desk): State<Arc<Desk>>, Path(file): Path<String>) -> Answer {
    desk.session(&file)?.progress().stop();
    Ok(StatusCode::NO_CONTENT.into_response())
}
