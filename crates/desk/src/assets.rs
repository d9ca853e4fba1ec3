//! The files of the page, built into the program. Nothing in them is secret.

use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use sha2::{Digest as _, Sha256};
use std::sync::OnceLock;

struct Asset {
    path: &'static str,
    media: &'static str,
    bytes: &'static [u8],
}

const HTML: &str = "text/html; charset=utf-8";
const CSS: &str = "text/css; charset=utf-8";
const JS: &str = "text/javascript; charset=utf-8";
const SVG: &str = "image/svg+xml";

macro_rules! page {
    ($name:literal, $media:expr) => {
        Asset {
            path: concat!("/", $name),
            media: $media,
            bytes: include_bytes!(concat!("assets/", $name)),
        }
    };
}

static PAGE: &[Asset] = &[
    page!("index.html", HTML),
    page!("desk.css", CSS),
    page!("small.css", CSS),
    page!("print.css", CSS),
    page!("stump.svg", SVG),
    page!("age.js", JS),
    page!("api.js", JS),
    page!("brush.js", JS),
    page!("compare.js", JS),
    page!("desk.js", JS),
    page!("drawing.js", JS),
    page!("edits.js", JS),
    page!("facts.js", JS),
    page!("first-visit.js", JS),
    page!("folder.js", JS),
    page!("geometry.js", JS),
    page!("growth.js", JS),
    page!("intensity-drawing.js", JS),
    page!("intensity.js", JS),
    page!("keys.js", JS),
    page!("marks-list.js", JS),
    page!("message.js", JS),
    page!("outputs.js", JS),
    page!("panes.js", JS),
    page!("pending.js", JS),
    page!("photo-drawing.js", JS),
    page!("photo-file.js", JS),
    page!("photo-view.js", JS),
    page!("photo.js", JS),
    page!("progress.js", JS),
    page!("read-new.js", JS),
    page!("refused.js", JS),
    page!("ring-bar.js", JS),
    page!("selection.js", JS),
    page!("smaller.js", JS),
    page!("strip-bar.js", JS),
    page!("strip-drawing.js", JS),
    page!("strip-marks.js", JS),
    page!("strip-on-photo.js", JS),
    page!("strip-tool.js", JS),
    page!("strip.js", JS),
    page!("stump-page.js", JS),
    page!("tools.js", JS),
    page!("turning.js", JS),
    page!("unrolled-drawing.js", JS),
    page!("unrolled.js", JS),
    page!("uploads.js", JS),
    page!("viewport.js", JS),
    page!("words.js", JS),
    page!("year-notes.js", JS),
];

/// A file of the page; `None` where there is none of that path.
pub(crate) fn answer(path: &str, headers: &HeaderMap) -> Option<Response> {
    let wanted = if path == "/" { "/index.html" } else { path };
    let (media, bytes) = match wanted {
        "/regular.ttf" => ("font/ttf", chart::font::regular()),
        "/bold.ttf" => ("font/ttf", chart::font::bold()),
        _ => {
            let asset = PAGE.iter().find(|asset| asset.path == wanted)?;
            (asset.media, asset.bytes)
        }
    };
    let tag = tag_of_all();
    let known = headers
        .get(header::IF_NONE_MATCH)
        .is_some_and(|theirs| theirs.as_bytes() == tag.as_bytes());
    let about = [
        (header::CONTENT_TYPE, media),
        (header::ETAG, tag),
        (header::CACHE_CONTROL, "no-cache"),
    ];
    Some(if known {
        (StatusCode::NOT_MODIFIED, about).into_response()
    } else {
        (about, bytes).into_response()
    })
}

/// One tag for the whole page: its files belong together.
fn tag_of_all() -> &'static str {
    static TAG: OnceLock<String> = OnceLock::new();
    TAG.get_or_init(|| {
        let mut digest = Sha256::new();
        for asset in PAGE {
            digest.update(asset.bytes);
        }
        let digits = wood::hex(&digest.finalize());
        format!("\"{}\"", digits.get(..16).unwrap_or(&digits))
    })
}
