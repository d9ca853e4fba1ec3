//! The guide at `/help/`: the pages of `docs/` as a site, as the archive and the Debian
//! package bring it along. A program without it says where it is.

use axum::http::{StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use std::path::{Path, PathBuf};

/// Where the guide is from the program's own folder: in the archive, in the Debian
/// package, and in a checkout after `cargo xtask docs-book`.
const PLACES: [&str; 3] = ["docs", "../share/doc/stumpbook/html", "../book"];
/// Kinds of file in the guide.
const MEDIA: [(&str, &str); 6] = [
    ("html", "text/html; charset=utf-8"),
    ("css", "text/css; charset=utf-8"),
    ("js", "text/javascript; charset=utf-8"),
    ("svg", "image/svg+xml"),
    ("png", "image/png"),
    ("jpg", "image/jpeg"),
];

/// The folder of the guide that came with this program.
pub(crate) fn beside_program() -> Option<PathBuf> {
    let program = std::env::current_exe().ok()?.canonicalize().ok()?;
    let folder = program.parent()?;
    let mut places = PLACES.iter().map(|place| folder.join(place));
    let is_guide = |place: &PathBuf| {
        ["index.html", "book.css"]
            .iter()
            .all(|name| place.join(name).is_file())
    };
    places.find(is_guide)?.canonicalize().ok()
}

/// A file of the guide; `path` is what follows `/help`.
pub(crate) fn answer(guide: Option<&Path>, path: &str) -> Response {
    let Some(guide) = guide else {
        return said(
            "The guide is not installed with this program",
            "It comes with the archive and the Debian package. In a checkout of the source, run \
             <code>cargo xtask docs-book</code> and load this page again. Every key and button is \
             also explained under <b>Help</b> on the page of a stump.",
        );
    };
    if path.is_empty() {
        // So that links within the guide lead to the guide.
        return (
            StatusCode::PERMANENT_REDIRECT,
            [(header::LOCATION, "/help/")],
        )
            .into_response();
    }
    let name = match path.trim_start_matches('/') {
        "" => "index.html".to_owned(),
        folder if folder.ends_with('/') => format!("{folder}index.html"),
        file => file.to_owned(),
    };
    match file(guide, &name) {
        Some((media, bytes)) => ([(header::CONTENT_TYPE, media)], bytes).into_response(),
        None => said(
            "There is no such page in the guide",
            "Begin at its <a href=\"/help/\">first page</a>.",
        ),
    }
}

/// A file of the guide and its kind; nothing outside its folder is ever read.
fn file(guide: &Path, name: &str) -> Option<(&'static str, Vec<u8>)> {
    let is_plain = |part: &str| {
        !part.is_empty()
            && !part.starts_with('.')
            && part
                .bytes()
                .all(|byte| byte.is_ascii_alphanumeric() || b"._-".contains(&byte))
    };
    if !name.split('/').all(is_plain) {
        return None;
    }
    let (_, ending) = name.rsplit_once('.')?;
    let (_, media) = MEDIA.iter().find(|(known, _)| *known == ending)?;
    // A link that leads out of the folder is not followed.
    let path = guide.join(name).canonicalize().ok()?;
    let bytes = path
        .starts_with(guide)
        .then(|| std::fs::read(path).ok())??;
    Some((media, bytes))
}

/// A page that says what is missing and what to do.
fn said(what: &str, advice: &str) -> Response {
    let page = format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>{what} - Stumpbook</title>\n\
<link rel=\"stylesheet\" href=\"/desk.css\">\n</head>\n<body>\n<main class=\"closed\">\n<h1>{what}</h1>\n\
<p>{advice}</p>\n<p><a href=\"/\">Back to the stumps</a></p>\n</main>\n</body>\n</html>\n"
    );
    let html = [(header::CONTENT_TYPE, MEDIA[0].1)];
    (StatusCode::NOT_FOUND, html, page).into_response()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A guide of two pages, with a file of somebody else's beside it.
    fn guide() -> (tempfile::TempDir, PathBuf) {
        let folder = tempfile::tempdir().expect("a folder");
        let root = folder.path().canonicalize().expect("it is there");
        let guide = root.join("docs");
        std::fs::create_dir_all(guide.join("desk")).expect("made");
        for (name, text) in [
            ("docs/index.html", "first"),
            ("docs/desk/index.html", "desk"),
            ("docs/book.css", "body {}"),
            ("docs/notes.txt", "of no known kind"),
            ("private.html", "secret"),
        ] {
            std::fs::write(root.join(name), text).expect("written");
        }
        (folder, guide)
    }

    #[test]
    fn pages_are_found_by_file_and_by_folder() {
        let (_folder, guide) = guide();
        for path in [
            "/",
            "/index.html",
            "/desk/",
            "/desk/index.html",
            "/book.css",
        ] {
            assert_eq!(
                answer(Some(&guide), path).status(),
                StatusCode::OK,
                "{path}"
            );
        }
        let moved = answer(Some(&guide), "");
        assert_eq!(moved.status(), StatusCode::PERMANENT_REDIRECT);
        assert_eq!(moved.headers()[header::LOCATION], "/help/");
        let css = answer(Some(&guide), "/book.css");
        assert_eq!(css.headers()[header::CONTENT_TYPE], MEDIA[1].1);
    }

    #[test]
    fn nothing_outside_the_guide_is_given_out() {
        let (_folder, guide) = guide();
        #[cfg(unix)]
        std::os::unix::fs::symlink("../private.html", guide.join("link.html")).expect("linked");
        for path in [
            "/../private.html",
            "/desk/../../private.html",
            "/..%2fprivate.html",
            "//private.html/..",
            "/link.html",
            "/notes.txt",
            "/none.html",
        ] {
            assert_eq!(
                answer(Some(&guide), path).status(),
                StatusCode::NOT_FOUND,
                "{path}"
            );
        }
    }
}
