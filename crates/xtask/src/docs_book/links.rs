//! Links between pages of the checkout made into links between pages of the
//! book, and those that lead nowhere.

use super::contents::{place, plain};
use super::page::Page;
use pulldown_cmark::{CowStr, Event, Tag};
use std::path::{Path, PathBuf};

/// A page whose links lead to the book.
#[derive(Debug)]
pub(super) struct Linked {
    pub(super) events: Vec<Event<'static>>,
    /// Files that the page shows or links: where they are, and their place in the book.
    pub(super) files: Vec<(PathBuf, String)>,
    /// Links that lead nowhere, as sentences.
    pub(super) wrong: Vec<String>,
}

/// The page with its links rewritten.
pub(super) fn rewritten(root: &Path, page: &Page, pages: &[Page]) -> Linked {
    let mut linked = Linked {
        events: Vec::with_capacity(page.events.len()),
        files: Vec::new(),
        wrong: Vec::new(),
    };
    for event in page.events.iter().cloned() {
        let event = match event {
            Event::Start(Tag::Link {
                link_type,
                dest_url,
                title,
                id,
            }) => Event::Start(Tag::Link {
                link_type,
                dest_url: linked.target(root, page, pages, &dest_url),
                title,
                id,
            }),
            Event::Start(Tag::Image {
                link_type,
                dest_url,
                title,
                id,
            }) => Event::Start(Tag::Image {
                link_type,
                dest_url: linked.target(root, page, pages, &dest_url),
                title,
                id,
            }),
            other => other,
        };
        linked.events.push(event);
    }
    linked
}

impl Linked {
    fn target(&mut self, root: &Path, page: &Page, pages: &[Page], link: &str) -> CowStr<'static> {
        if link.starts_with("https://") || link.starts_with("http://") {
            return link.to_owned().into();
        }
        let (path, anchor) = link.split_once('#').unwrap_or((link, ""));
        let source = if path.is_empty() {
            page.source.clone()
        } else {
            let folder = page.source.parent().unwrap_or(Path::new(""));
            plain(&folder.join(path))
        };
        let to = pages.iter().find(|page| page.source == source);
        let leads = match to {
            Some(to) => {
                anchor.is_empty() || to.sections.iter().any(|section| section.anchor == anchor)
            }
            None => anchor.is_empty() && root.join(&source).is_file(),
        };
        if !leads {
            self.wrong
                .push(format!("{}: {link} leads nowhere", page.source.display()));
            return link.to_owned().into();
        }
        let place = place(&source);
        if to.is_none() {
            self.files.push((root.join(&source), place.clone()));
        }
        if path.is_empty() {
            return format!("#{anchor}").into();
        }
        let up = "../".repeat(page.place.matches('/').count());
        let hash = if anchor.is_empty() { "" } else { "#" };
        format!("{up}{place}{hash}{anchor}").into()
    }
}
