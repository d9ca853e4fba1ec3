//! A desk over a fresh folder, asked without a socket.

#![allow(dead_code, reason = "each test file uses a part of this")]

use axum::Router;
use axum::body::{Body, Bytes};
use axum::http::{HeaderMap, Request, StatusCode};
use desk::{Desk, Hosts, Keys, app};
use http_body_util::BodyExt as _;
use hyper::body::Frame;
use practice::{Recipe, Widths};
use serde_json::{Value, json};
use std::path::PathBuf;
use std::pin::Pin;
use std::sync::{Arc, OnceLock};
use std::task::{Context, Poll};
use tower::ServiceExt as _;
use wood::WoodClass;

/// A prepared conifer face of 22 rings, drawn once for all tests.
pub(crate) fn face_jpeg() -> &'static [u8] {
    static FACE: OnceLock<Vec<u8>> = OnceLock::new();
    FACE.get_or_init(|| {
        let made = practice::render(&Recipe {
            seed: 5,
            wood: WoodClass::Conifer,
            rings: 22,
            width_px: 720,
            height_px: 720,
            radius_share: 0.85,
            widths: Widths::default(),
            ..Recipe::default()
        });
        practice::jpeg(&made.rgb, 92)
    })
}

/// Another face, of another size: 16 rings.
pub(crate) fn other_face_jpeg() -> &'static [u8] {
    static FACE: OnceLock<Vec<u8>> = OnceLock::new();
    FACE.get_or_init(|| {
        let made = practice::render(&Recipe {
            seed: 9,
            wood: WoodClass::Conifer,
            rings: 16,
            width_px: 500,
            height_px: 480,
            radius_share: 0.85,
            widths: Widths::default(),
            ..Recipe::default()
        });
        practice::jpeg(&made.rgb, 92)
    })
}

/// A desk and its folder.
pub(crate) struct At {
    folder: tempfile::TempDir,
    desk: Arc<Desk>,
    router: Router,
    key: String,
}

impl At {
    /// An empty folder.
    pub(crate) fn empty() -> Self {
        Self::over(tempfile::tempdir().unwrap())
    }

    /// The desk is ended and started again over the same folder.
    pub(crate) fn restarted(self) -> Self {
        Self::over(self.folder)
    }

    fn over(folder: tempfile::TempDir) -> Self {
        let keys = Keys::new().unwrap();
        let key = keys.enter(&keys.entry()).unwrap().unwrap();
        let desk = Arc::new(Desk::new(folder.path(), keys, Hosts::new(4000, &[])).unwrap());
        let router = app(Arc::clone(&desk));
        Self {
            folder,
            desk,
            router,
            key,
        }
    }

    /// A folder with `face.jpg`.
    pub(crate) async fn with_face() -> Self {
        let at = Self::empty();
        std::fs::write(at.path("face.jpg"), face_jpeg()).unwrap();
        at
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn printed_key(&self) -> String {
        self.desk.entry_key()
    }

    pub(crate) fn get(&self, path: &str) -> Asked<'_> {
        Asked::new(self, "GET", path)
    }

    pub(crate) fn post(&self, path: &str) -> Asked<'_> {
        Asked::new(self, "POST", path)
    }

    /// A stump as the page gets it.
    pub(crate) async fn view(&self, file: &str) -> Value {
        let answer = self.get(&format!("/api/stumps/{file}")).send().await;
        assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
        answer.json()
    }

    /// One edit, made on a view.
    pub(crate) async fn edit(&self, file: &str, on: &Value, edit: &Value) -> Answer {
        let body = json!({"revision": on["revision"], "edit": edit});
        self.post(&format!("/api/stumps/{file}/edit"))
            .body(body.to_string().as_bytes())
            .send()
            .await
    }

    /// Undo or redo on what stands now.
    pub(crate) async fn turn(&self, file: &str, way: &str) -> Value {
        let now = self.view(file).await;
        let body = json!({"revision": now["revision"]});
        let answer = self
            .post(&format!("/api/stumps/{file}/{way}"))
            .body(body.to_string().as_bytes())
            .send()
            .await;
        assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
        answer.json()
    }

    /// The entry as it is on the disk.
    pub(crate) fn on_disk(&self, stem: &str) -> Value {
        let text = std::fs::read_to_string(self.path(&format!("{stem}.stump.json"))).unwrap();
        serde_json::from_str(&text).unwrap()
    }
}

/// An edit of `face.jpg`, made on a view, that must be done.
pub(crate) async fn done(at: &At, view: &Value, edit: Value) -> Value {
    let answer = at.edit("face.jpg", view, &edit).await;
    assert_eq!(answer.status, StatusCode::OK, "{edit}: {}", answer.text());
    answer.json()
}

/// A request in the making.
pub(crate) struct Asked<'a> {
    at: &'a At,
    method: &'static str,
    path: String,
    headers: Vec<(String, String)>,
    key: String,
    body: Body,
}

impl<'a> Asked<'a> {
    fn new(at: &'a At, method: &'static str, path: &str) -> Self {
        Self {
            at,
            method,
            path: path.to_owned(),
            headers: Vec::new(),
            key: at.key.clone(),
            body: Body::empty(),
        }
    }

    pub(crate) fn key(mut self, key: &str) -> Self {
        self.key = key.to_owned();
        self
    }

    pub(crate) fn header(mut self, name: &str, value: &str) -> Self {
        self.headers.push((name.to_owned(), value.to_owned()));
        self
    }

    pub(crate) fn body(mut self, bytes: &[u8]) -> Self {
        self.body = Body::from(bytes.to_vec());
        self
    }

    /// The same chunk again and again, without a length announced before.
    pub(crate) fn chunks(mut self, chunk: Bytes, count: usize) -> Self {
        self.body = Body::new(Chunks { chunk, left: count });
        self
    }

    pub(crate) async fn send(self) -> Answer {
        let mut request = Request::builder().method(self.method).uri(&self.path);
        if !self.headers.iter().any(|header| header.0 == "host") {
            request = request.header("host", "127.0.0.1:4000");
        }
        if !self.key.is_empty() {
            request = request.header("authorization", format!("Bearer {}", self.key));
        }
        for (name, value) in &self.headers {
            request = request.header(name, value);
        }
        let request = request.body(self.body).unwrap();
        let answer = self.at.router.clone().oneshot(request).await.unwrap();
        let (status, headers) = (answer.status(), answer.headers().clone());
        let bytes = answer.into_body().collect().await.unwrap().to_bytes();
        Answer {
            status,
            headers,
            bytes,
        }
    }
}

struct Chunks {
    chunk: Bytes,
    left: usize,
}

impl hyper::body::Body for Chunks {
    type Data = Bytes;
    type Error = std::convert::Infallible;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        _context: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, Self::Error>>> {
        let Some(left) = self.left.checked_sub(1) else {
            return Poll::Ready(None);
        };
        self.left = left;
        Poll::Ready(Some(Ok(Frame::data(self.chunk.clone()))))
    }
}

/// What came back.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: StatusCode,
    headers: HeaderMap,
    pub(crate) bytes: Bytes,
}

impl Answer {
    pub(crate) fn text(&self) -> String {
        String::from_utf8_lossy(&self.bytes).into_owned()
    }

    pub(crate) fn json(&self) -> Value {
        serde_json::from_slice(&self.bytes)
            .unwrap_or_else(|error| panic!("{error}: {}", self.text()))
    }

    /// A header's value; empty where there is none.
    pub(crate) fn header(&self, name: &str) -> &str {
        self.headers
            .get(name)
            .map_or("", |value| value.to_str().unwrap())
    }
}
