//! Calls of the desk's page, as a hostile page or a broken one might make them.

use axum::Router;
use axum::body::Body;
use axum::http::Request;
use desk::{Desk, Hosts, Keys, app};
use http_body_util::BodyExt as _;
use practice::Recipe;
use serde_json::Value;
use std::sync::Arc;
use tempfile::TempDir;
use tokio::runtime::{Builder, Runtime};
use tower::ServiceExt as _;

/// A desk over a folder with one photo, and what is needed to ask it.
struct At {
    folder: TempDir,
    router: Router,
    key: String,
    runtime: Runtime,
}

thread_local! {
    static AT: At = At::new();
}

impl At {
    fn new() -> Self {
        let folder = tempfile::tempdir().expect("a folder for temporary files");
        let made = practice::render(&Recipe {
            rings: 9,
            width_px: 260,
            height_px: 240,
            ..Recipe::default()
        });
        std::fs::write(
            folder.path().join("face.jpg"),
            practice::jpeg(&made.rgb, 90),
        )
        .expect("room for a photo");
        let keys = Keys::new().expect("chance for keys");
        let entered = keys.enter(&keys.entry()).expect("chance for keys");
        let desk = Desk::new(folder.path(), keys, Hosts::new(4000, &[])).expect("a folder");
        Self {
            router: app(Arc::new(desk)),
            key: entered.expect("the printed key lets in"),
            runtime: Builder::new_current_thread()
                .enable_time()
                .build()
                .expect("a runtime"),
            folder,
        }
    }
}

/// The first line is the method and the address, the rest the body; `REV` in it
/// stands for the revision that the desk last sent. Nothing may end in an
/// error of the desk's own (5..), and the photo stays as it was.
pub(super) fn calls(bytes: &[u8]) -> Result<String, String> {
    AT.with(|at| {
        let end = bytes.iter().position(|&byte| byte == b'\n');
        let (line, body) = bytes.split_at(end.unwrap_or(bytes.len()));
        let line = String::from_utf8_lossy(line);
        let (method, address) = line.split_once(' ').unwrap_or(("GET", &line));
        let now = at.ask("GET", "/api/stumps/face.jpg/watch?tab=fuzz", Vec::new());
        let revision = now.map_or("0".to_owned(), |(_, text)| {
            text.chars().filter(char::is_ascii_digit).take(1).collect()
        });
        let body = String::from_utf8_lossy(body.get(1..).unwrap_or_default());
        let body = body.replace("REV", &revision).into_bytes();
        let Some((status, text)) = at.ask(method, address, body) else {
            return Ok("no request".to_owned());
        };
        if status >= 500 {
            return Err(format!("{status}: {text}"));
        }
        let files = std::fs::read_dir(at.folder.path()).map_err(|error| error.to_string())?;
        let parts = files
            .flatten()
            .filter(|file| file.file_name().to_string_lossy().contains(".part"));
        if parts.count() > 0 {
            return Err("a half-written file is left".to_owned());
        }
        Ok(format!("{status} {}", kind(&text)))
    })
}

/// The kind of an answer, without the names that it repeats: else every new
/// name would count as a place never reached, and nothing else be tried soon.
fn kind(text: &str) -> String {
    let answer: Value = serde_json::from_str(text).unwrap_or_default();
    match answer["advice"].as_str() {
        // The parser names what was not understood, in quotes.
        Some(advice) => match answer["error"].as_str() {
            Some(error) if error.starts_with("the request cannot be understood") => {
                error.to_owned()
            }
            _ => advice.to_owned(),
        },
        None => text
            .chars()
            .filter(char::is_ascii_alphabetic)
            .take(24)
            .collect(),
    }
}

impl At {
    /// `None` where that is no request at all.
    fn ask(&self, method: &str, address: &str, body: Vec<u8>) -> Option<(u16, String)> {
        let request = Request::builder()
            .method(method)
            .uri(address)
            .header("host", "127.0.0.1:4000")
            .header("authorization", format!("Bearer {}", self.key))
            .body(Body::from(body))
            .ok()?;
        self.runtime.block_on(async {
            let answer = self.router.clone().oneshot(request).await.ok()?;
            let status = answer.status().as_u16();
            let bytes = answer.into_body().collect().await.ok()?.to_bytes();
            let start = &bytes[..bytes.len().min(2000)];
            Some((status, String::from_utf8_lossy(start).into_owned()))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_name_in_an_answer_is_no_other_kind() {
        let answer = |name: &str| calls(format!("GET /api/stumps/{name}").as_bytes());
        assert_eq!(answer("larch%2f.jpg"), answer("q.n"));
        assert_ne!(answer("q.n"), calls(b"GET /api/nothing"));
        let edit = |name: &str| {
            let edit = format!("{{\"revision\": 1, \"edit\": {{\"do\": \"{name}\"}}}}");
            calls(format!("POST /api/stumps/face.jpg/edit\n{edit}").as_bytes())
        };
        assert_ne!(edit("keep"), answer("q.n"));
    }
}
