//! The chapters of the book, from `docs/SUMMARY.md`.

use anyhow::{Context as _, bail};
use pulldown_cmark::{Event, Parser, Tag, TagEnd};
use std::fs;
use std::path::{Component, Path, PathBuf};

/// One chapter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Chapter {
    /// Its name in the contents.
    pub(super) title: String,
    /// Its page in the checkout, from the root.
    pub(super) source: PathBuf,
    /// Its page in the book.
    pub(super) place: String,
}

/// The list of contents.
const LIST: &str = "docs/SUMMARY.md";

/// Every chapter in order.
///
/// # Errors
/// When the list cannot be read or names no page.
pub(super) fn read(root: &Path) -> anyhow::Result<Vec<Chapter>> {
    let text =
        fs::read_to_string(root.join(LIST)).with_context(|| format!("cannot read {LIST}"))?;
    let mut chapters: Vec<Chapter> = Vec::new();
    let mut in_link = false;
    for event in Parser::new(&text) {
        match event {
            Event::Start(Tag::Link { dest_url, .. }) => {
                let source = plain(&Path::new("docs").join(dest_url.as_ref()));
                chapters.push(Chapter {
                    title: String::new(),
                    place: place(&source),
                    source,
                });
                in_link = true;
            }
            Event::End(TagEnd::Link) => in_link = false,
            Event::Text(text) if in_link => {
                if let Some(chapter) = chapters.last_mut() {
                    chapter.title.push_str(&text);
                }
            }
            _ => {}
        }
    }
    if chapters.is_empty() {
        bail!("{LIST} names no page");
    }
    Ok(chapters)
}

/// A fault for each page of `docs/` that the list does not name.
///
/// # Errors
/// When a folder cannot be listed.
pub(super) fn left_out(root: &Path, chapters: &[Chapter]) -> anyhow::Result<Vec<String>> {
    let mut faults = Vec::new();
    let mut folders = vec![PathBuf::from("docs")];
    while let Some(folder) = folders.pop() {
        for item in fs::read_dir(root.join(&folder))? {
            let item = item?;
            let path = folder.join(item.file_name());
            if item.file_type()?.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "md")
                && path != Path::new(LIST)
                && chapters.iter().all(|chapter| chapter.source != path)
            {
                faults.push(format!("{LIST} does not name {}", path.display()));
            }
        }
    }
    faults.sort();
    Ok(faults)
}

/// Where a file of the checkout is in the book: pages of `docs/` at the top,
/// a README as its folder's first page.
pub(super) fn place(source: &Path) -> String {
    let inside = source.strip_prefix("docs").unwrap_or(source);
    let page = if inside.file_name().is_some_and(|name| name == "README.md") {
        inside.with_file_name("index.html")
    } else if inside.extension().is_some_and(|ending| ending == "md") {
        inside.with_extension("html")
    } else {
        inside.to_owned()
    };
    page.iter()
        .map(|part| part.to_string_lossy())
        .collect::<Vec<_>>()
        .join("/")
}

/// The path without `.` and `..`.
pub(super) fn plain(path: &Path) -> PathBuf {
    let mut plain = PathBuf::new();
    for part in path.components() {
        match part {
            Component::ParentDir => {
                plain.pop();
            }
            Component::CurDir => {}
            Component::Normal(_) | Component::RootDir | Component::Prefix(_) => plain.push(part),
        }
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_have_places_in_the_book() {
        for (source, expected) in [
            ("README.md", "index.html"),
            ("docs/woodlot.md", "woodlot.html"),
            ("docs/desk/README.md", "desk/index.html"),
            ("docs/img/a.svg", "img/a.svg"),
        ] {
            assert_eq!(place(Path::new(source)), expected);
        }
        assert_eq!(
            plain(Path::new("docs/desk/../a.md")),
            Path::new("docs/a.md")
        );
    }
}
