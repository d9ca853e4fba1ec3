//! Writing XML, one element a line.

use quick_xml::Writer;
use quick_xml::escape::escape;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};

/// XML in the making. Writing into memory cannot fail.
pub(super) struct Xml {
    writer: Writer<Vec<u8>>,
    open: Vec<&'static str>,
}

impl Xml {
    pub(super) fn new() -> Self {
        let mut xml = Self {
            writer: Writer::new_with_indent(Vec::new(), b' ', 2),
            open: Vec::new(),
        };
        xml.put(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)));
        xml
    }

    /// Begins an element that holds others.
    pub(super) fn begin(&mut self, name: &'static str, attributes: &[(&str, &str)]) {
        self.put(Event::Start(tag(name, attributes)));
        self.open.push(name);
    }

    /// Ends the innermost element that was begun.
    pub(super) fn end(&mut self) {
        if let Some(name) = self.open.pop() {
            self.put(Event::End(BytesEnd::new(name)));
        }
    }

    /// An element with text and no others.
    pub(super) fn leaf(&mut self, name: &str, attributes: &[(&str, &str)], text: &str) {
        let tag = tag(name, attributes);
        if text.is_empty() {
            self.put(Event::Empty(tag));
            return;
        }
        self.put(Event::Start(tag));
        self.put(Event::Text(BytesText::from_escaped(escaped(text))));
        self.put(Event::End(BytesEnd::new(name)));
    }

    pub(super) fn finish(mut self) -> String {
        while !self.open.is_empty() {
            self.end();
        }
        let mut text = String::from_utf8(self.writer.into_inner()).unwrap_or_default();
        text.push('\n');
        text
    }

    fn put(&mut self, event: Event<'_>) {
        let _ = self.writer.write_event(event);
    }
}

fn tag<'a>(name: &'a str, attributes: &[(&str, &str)]) -> BytesStart<'a> {
    let mut tag = BytesStart::new(name);
    for (key, value) in attributes {
        tag.push_attribute(quick_xml::events::attributes::Attribute {
            key: quick_xml::name::QName(key),
            value: escaped(value).into(),
        });
    }
    tag
}

/// Text with what XML gives a meaning written as references; line ends and tabs
/// too, because a reader may turn them into others.
fn escaped(text: &str) -> String {
    escape(text)
        .replace('\n', "&#10;")
        .replace('\r', "&#13;")
        .replace('\t', "&#9;")
}

/// The text without letters that XML 1.0 forbids, and without spaces at its
/// ends.
pub(super) fn allowed(text: &str) -> String {
    let kept: String = text
        .chars()
        .filter(|letter| {
            matches!(letter, '\t' | '\n' | '\r')
                || (*letter >= ' ' && !matches!(letter, '\u{fffe}' | '\u{ffff}'))
        })
        .collect();
    kept.trim().to_owned()
}
