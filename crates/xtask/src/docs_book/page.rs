//! One page: its Markdown read, its headings named, and set into the book.

use super::contents::Chapter;
use anyhow::Context as _;
use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd, html as to_html};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

/// A page as read.
#[derive(Debug)]
pub(super) struct Page {
    /// Its file, from the root of the checkout.
    pub(super) source: PathBuf,
    /// Its place in the book.
    pub(super) place: String,
    pub(super) events: Vec<Event<'static>>,
    pub(super) sections: Vec<Section>,
}

/// A heading and the words under it.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Section {
    /// What a link to it names, made as code forges make it.
    pub(super) anchor: String,
    pub(super) title: String,
    pub(super) words: String,
}

impl Page {
    /// Reads a chapter.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub(super) fn read(root: &Path, chapter: &Chapter) -> anyhow::Result<Self> {
        let text = fs::read_to_string(root.join(&chapter.source))
            .with_context(|| format!("cannot read {}", chapter.source.display()))?;
        Ok(Self::parsed(chapter, &text))
    }

    fn parsed(chapter: &Chapter, text: &str) -> Self {
        let mut events: Vec<Event<'static>> = Parser::new_ext(text, Options::ENABLE_TABLES)
            .map(Event::into_static)
            .collect();
        let mut sections: Vec<Section> = Vec::new();
        let mut heading = None;
        for at in 0..events.len() {
            match &events[at] {
                Event::Start(Tag::Heading { .. }) => {
                    heading = Some(at);
                    sections.push(Section {
                        anchor: String::new(),
                        title: String::new(),
                        words: String::new(),
                    });
                }
                Event::End(TagEnd::Heading(_)) => {
                    let Some((start, section)) = heading.take().zip(sections.last()) else {
                        continue;
                    };
                    let anchor = free(&anchor(&section.title), &sections);
                    if let Event::Start(Tag::Heading { id, .. }) = &mut events[start] {
                        *id = Some(anchor.clone().into());
                    }
                    if let Some(section) = sections.last_mut() {
                        section.anchor = anchor;
                    }
                }
                Event::Text(words) | Event::Code(words) => {
                    if let Some(section) = sections.last_mut() {
                        let into = match heading {
                            Some(_) => &mut section.title,
                            None => &mut section.words,
                        };
                        into.push_str(words);
                    }
                }
                Event::SoftBreak | Event::HardBreak | Event::End(_) => {
                    if let (Some(section), None) = (sections.last_mut(), heading) {
                        section.words.push(' ');
                    }
                }
                _ => {}
            }
        }
        Self {
            source: chapter.source.clone(),
            place: chapter.place.clone(),
            events,
            sections,
        }
    }
}

/// A heading as the end of a link: small letters, spaces as hyphens, no other signs.
fn anchor(title: &str) -> String {
    title
        .to_lowercase()
        .chars()
        .filter_map(|letter| match letter {
            ' ' => Some('-'),
            '-' | '_' => Some(letter),
            letter => letter.is_alphanumeric().then_some(letter),
        })
        .collect()
}

/// The name itself, or with a number where an earlier heading has it.
fn free(name: &str, sections: &[Section]) -> String {
    let taken = |name: &str| sections.iter().any(|section| section.anchor == name);
    if !taken(name) {
        return name.to_owned();
    }
    (1..)
        .map(|number| format!("{name}-{number}"))
        .find(|name| !taken(name))
        .unwrap_or_default()
}

/// The whole page: contents, text, and the ways to the pages before and after.
pub(super) fn html(chapters: &[Chapter], at: usize, events: Vec<Event<'static>>) -> String {
    let here = &chapters[at];
    let up = "../".repeat(here.place.matches('/').count());
    let mut text = String::new();
    to_html::push_html(&mut text, framed(events).into_iter());
    let mut list = String::new();
    for (number, chapter) in chapters.iter().enumerate() {
        let current = if number == at {
            " aria-current=\"page\""
        } else {
            ""
        };
        // Writing to a String does not fail.
        let _ = write!(list, "<li>{}</li>", link(&up, chapter, current));
    }
    let mut turn = String::new();
    for (chapter, word) in [
        (at.checked_sub(1).map(|before| &chapters[before]), "prev"),
        (chapters.get(at + 1), "next"),
    ] {
        if let Some(chapter) = chapter {
            turn.push_str(&link(&up, chapter, &format!(" rel=\"{word}\"")));
        }
    }
    format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>{title}</title>\n\
<link rel=\"stylesheet\" href=\"{up}book.css\">\n<script src=\"{up}index.js\" defer></script>\n\
<script src=\"{up}book.js\" defer></script>\n</head>\n<body data-up=\"{up}\">\n\
<a class=\"skip\" href=\"#text\">Skip to the text</a>\n<nav aria-label=\"Contents\">\n\
<form role=\"search\" hidden><label for=\"search\">Search</label>\
<input id=\"search\" type=\"search\" autocomplete=\"off\"></form>\n\
<ol id=\"found\" aria-live=\"polite\" hidden></ol>\n<ul>{list}</ul>\n</nav>\n\
<main id=\"text\">\n{text}</main>\n<footer>{turn}</footer>\n</body>\n</html>\n",
        title = title(&here.title),
    )
}

fn title(chapter: &str) -> String {
    if chapter == "Stumpbook" {
        chapter.to_owned()
    } else {
        format!("{} - Stumpbook", escaped(chapter))
    }
}

fn link(up: &str, chapter: &Chapter, more: &str) -> String {
    format!(
        "<a href=\"{up}{}\"{more}>{}</a>",
        chapter.place,
        escaped(&chapter.title)
    )
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;")
}

/// Wide tables scroll in a frame of their own, and never the whole page.
fn framed(events: Vec<Event<'static>>) -> Vec<Event<'static>> {
    let mut framed = Vec::with_capacity(events.len());
    for event in events {
        match event {
            Event::Start(Tag::Table(_)) => {
                framed.push(Event::Html(
                    "<div class=\"table\" tabindex=\"0\" role=\"region\" aria-label=\"Table\">"
                        .into(),
                ));
                framed.push(event);
            }
            Event::End(TagEnd::Table) => {
                framed.push(event);
                framed.push(Event::Html("</div>\n".into()));
            }
            event => framed.push(event),
        }
    }
    framed
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_are_named_and_hold_their_words() {
        let chapter = Chapter {
            title: "Ash & oak".into(),
            source: "docs/a.md".into(),
            place: "desk/a.html".into(),
        };
        let text = "# A `b`, c!\n\nWords\nhere.\n\n## Left\n\n## Left\n\n| a |\n| - |\n| 1 |\n";
        let page = Page::parsed(&chapter, text);
        let names: Vec<&str> = page.sections.iter().map(|s| s.anchor.as_str()).collect();
        assert_eq!(names, ["a-b-c", "left", "left-1"]);
        assert_eq!(page.sections[0].words.trim(), "Words here.");
        let html = html(&[chapter], 0, page.events);
        assert!(html.contains("<h2 id=\"left-1\">"));
        assert!(html.contains("href=\"../book.css\""));
        assert!(html.contains("<title>Ash &amp; oak - Stumpbook</title>"));
        assert!(html.contains("aria-label=\"Table\"><table>"));
    }
}
