//! New photos: received in chunks, checked, and only then put into the folder.

use crate::error::ApiError;
use crate::state::Desk;
use axum::body::Body;
use axum::http::StatusCode;
use http_body_util::BodyExt as _;
use photo::Limits;
use std::fs::{self, File};
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

/// The largest file taken: a 50 megapixel TIFF fits. Chosen.
pub const MOST_UPLOAD_BYTES: u64 = 192 * 1024 * 1024;
/// How long a sender may send nothing.
const SILENCE: Duration = Duration::from_secs(30);

/// Receives one photo; the name under which it was put into the folder.
pub(crate) async fn receive_photo(
    desk: Arc<Desk>,
    name: &str,
    claimed: Option<u64>,
    body: Body,
) -> Result<String, ApiError> {
    if claimed.is_some_and(|bytes| bytes > MOST_UPLOAD_BYTES) {
        return Err(too_large());
    }
    static ARRIVED: AtomicU64 = AtomicU64::new(0);
    let nth = ARRIVED.fetch_add(1, Ordering::Relaxed);
    let part = Part(desk.folder.part(&format!("{}-{nth}", std::process::id())));
    receive(&part.0, body).await?;
    let permit = desk
        .reading
        .acquire()
        .await
        .map_err(|_| ApiError::unfinished("waiting for another reading"))?;
    let (name, shared) = (name.to_owned(), Arc::clone(&desk));
    let done = tokio::task::spawn_blocking(move || check_and_name(&shared, &name, &part.0)).await;
    drop(permit);
    done.map_err(|_| ApiError::unfinished("checking the photo"))?
}

/// An unfinished file that is removed when it is not needed any more.
#[derive(Debug)]
struct Part(PathBuf);

impl Drop for Part {
    fn drop(&mut self) {
        // It was renamed away when all went well; otherwise the rest is of no use.
        let _ = fs::remove_file(&self.0);
    }
}

async fn receive(part: &Path, mut body: Body) -> Result<(), ApiError> {
    let mut file = File::create(part).map_err(|error| cannot_save(&error))?;
    let mut taken = 0_u64;
    loop {
        let next = tokio::time::timeout(SILENCE, body.frame()).await;
        let Ok(next) = next else {
            return Err(ApiError::new(
                StatusCode::REQUEST_TIMEOUT,
                "the upload of the photo broke off",
                "send it again, closer to the router",
            ));
        };
        let Some(frame) = next else {
            return Ok(());
        };
        let frame = frame.map_err(|_| {
            ApiError::new(
                StatusCode::BAD_REQUEST,
                "the photo did not arrive completely",
                "send it again",
            )
        })?;
        let Ok(bytes) = frame.into_data() else {
            continue;
        };
        taken += bytes.len() as u64;
        if taken > MOST_UPLOAD_BYTES {
            return Err(too_large());
        }
        file.write_all(&bytes)
            .map_err(|error| cannot_save(&error))?;
    }
}

/// Checks what has arrived and gives it its name.
fn check_and_name(desk: &Desk, name: &str, part: &Path) -> Result<String, ApiError> {
    let shown = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let bytes = fs::read(part).map_err(|error| cannot_save(&error))?;
    photo::open(&bytes, &Limits::default()).map_err(|error| ApiError::photo(shown, &error))?;
    let ending = ending(&bytes);
    drop(bytes);
    let path = desk.folder.place_for(name, ending);
    // Making a link fails where a rename would overwrite a file that came in between.
    fs::hard_link(part, &path)
        .or_else(|_| fs::rename(part, &path))
        .map_err(|error| cannot_save(&error))?;
    Ok(path
        .file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default())
}

/// The ending for a file by its first bytes: what it is, whatever its name says.
fn ending(bytes: &[u8]) -> &'static str {
    match bytes {
        [0x89, b'P', b'N', b'G', ..] => "png",
        [b'I', b'I', 42, 0, ..] | [b'M', b'M', 0, 42, ..] => "tif",
        [b'R', b'I', b'F', b'F', ..] => "webp",
        [_, _, _, _, b'f', b't', b'y', b'p', ..] => "heic",
        _ => "jpg",
    }
}

fn too_large() -> ApiError {
    ApiError::new(
        StatusCode::PAYLOAD_TOO_LARGE,
        format!(
            "the file is larger than the {} MB accepted",
            MOST_UPLOAD_BYTES / 1024 / 1024
        ),
        "choose the photo as JPEG, or save it smaller",
    )
}

fn cannot_save(error: &std::io::Error) -> ApiError {
    ApiError::new(
        StatusCode::INTERNAL_SERVER_ERROR,
        format!("the photo cannot be saved in the opened folder: {error}"),
        "check that there is room on the disk and that you may write in the folder",
    )
}
