//! `cargo xtask docs-book`: the pages of `docs/` as one site, in the order of
//! `docs/SUMMARY.md`, with a contents list and a search that works from a folder.
//! Every link is checked while it is made.

mod contents;
mod links;
mod page;
mod search;

use crate::dist::file::File;
use crate::{metadata, say};
use anyhow::{Context as _, bail};
use clap::Args;
use page::Page;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// Options of `cargo xtask docs-book`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// The folder to write to [default: target/book]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

/// Writes the book into a folder.
///
/// # Errors
/// As [`files`], and when the folder cannot be written to.
pub(crate) fn run(options: &Options) -> anyhow::Result<()> {
    let metadata = metadata::load()?;
    let out = match &options.out {
        Some(out) => out.clone(),
        None => metadata.target_directory.join("book"),
    };
    for file in files(&metadata.workspace_root)? {
        let path = out.join(&file.path);
        let folder = path.parent().unwrap_or(&out);
        fs::create_dir_all(folder).with_context(|| format!("cannot make {}", folder.display()))?;
        fs::write(&path, &file.bytes)
            .with_context(|| format!("cannot write {}", path.display()))?;
    }
    say::line(&out.join("index.html").display().to_string());
    Ok(())
}

/// Every file of the book, with its path in it.
///
/// # Errors
/// When a page is missing, a page of `docs/` is not in the contents, or a link
/// leads nowhere.
pub(crate) fn files(root: &Path) -> anyhow::Result<Vec<File>> {
    let chapters = contents::read(root)?;
    let pages: Vec<Page> = chapters
        .iter()
        .map(|chapter| Page::read(root, chapter))
        .collect::<anyhow::Result<_>>()?;
    let mut pictures = BTreeSet::new();
    let mut wrong = contents::left_out(root, &chapters)?;
    let mut files = Vec::new();
    for (at, page) in pages.iter().enumerate() {
        let linked = links::rewritten(root, page, &pages);
        wrong.extend(linked.wrong);
        pictures.extend(linked.files);
        let html = page::html(&chapters, at, linked.events);
        files.push(File::new(&page.place, html.into_bytes()));
    }
    if !wrong.is_empty() {
        bail!("the docs have faults:\n  {}", wrong.join("\n  "));
    }
    for (source, place) in pictures {
        let bytes =
            fs::read(&source).with_context(|| format!("cannot read {}", source.display()))?;
        files.push(File::new(&place, bytes));
    }
    files.push(File::new("index.js", search::index(&pages)?.into_bytes()));
    files.push(File::new("book.js", include_bytes!("book.js").to_vec()));
    files.push(File::new("book.css", include_bytes!("book.css").to_vec()));
    Ok(files)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn root() -> PathBuf {
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
    }

    /// The pages of this project: every page is in the contents and every link
    /// leads somewhere.
    #[test]
    fn the_docs_make_a_book_without_broken_links() {
        let files = files(&root()).unwrap();
        let page = |path: &str| {
            let file = files.iter().find(|file| file.path == path);
            String::from_utf8(file.unwrap_or_else(|| panic!("no {path}")).bytes.clone()).unwrap()
        };
        let first = page("index.html");
        assert!(first.contains("href=\"user-guide.html\""));
        assert!(first.contains("src=\"img/ash-landing-ringmap.jpg\""));
        assert!(page("desk/index.html").contains("href=\"../formats.html"));
        assert!(files.iter().any(|file| file.path == "desk/desk.jpg"));
        for file in files.iter().filter(|file| file.path.ends_with(".html")) {
            let text = String::from_utf8_lossy(&file.bytes);
            assert!(
                !text.contains(".md\"") && !text.contains(".md#"),
                "{}",
                file.path
            );
        }
    }

    #[test]
    fn links_to_nowhere_and_pages_left_out_are_found() {
        let folder = tempfile::tempdir().unwrap();
        let docs = folder.path().join("docs");
        fs::create_dir(&docs).unwrap();
        fs::write(docs.join("SUMMARY.md"), "- [One](one.md)\n").unwrap();
        fs::write(docs.join("two.md"), "# Two\n").unwrap();
        fs::write(
            docs.join("one.md"),
            "# One\n\n[a](none.md) [b](#nowhere) [c](#one) ![d](no.png)\n",
        )
        .unwrap();
        let error = files(folder.path()).unwrap_err().to_string();
        for what in ["two.md", "none.md", "#nowhere", "no.png"] {
            assert!(error.contains(what), "{what}: {error}");
        }
        assert_eq!(error.lines().count(), 5, "{error}");
    }
}
