//! Writing XML, one element a line.

use std::fmt::Write as _;

/// XML in the making.
pub(super) struct Xml {
    text: String,
    open: Vec<&'static str>,
}

impl Xml {
    pub(super) fn new() -> Self {
        Self {
            text: "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n".to_owned(),
            open: Vec::new(),
        }
    }

    /// Begins an element that holds others.
    pub(super) fn begin(&mut self, name: &'static str, attributes: &[(&str, &str)]) {
        self.start(name, attributes);
        self.text.push_str(">\n");
        self.open.push(name);
    }

    /// Ends the innermost element that was begun.
    pub(super) fn end(&mut self) {
        if let Some(name) = self.open.pop() {
            self.indent();
            // Writing to a String cannot fail.
            let _ = writeln!(self.text, "</{name}>");
        }
    }

    /// An element with text and no others.
    pub(super) fn leaf(&mut self, name: &str, attributes: &[(&str, &str)], text: &str) {
        self.start(name, attributes);
        if text.is_empty() {
            self.text.push_str("/>\n");
        } else {
            let _ = writeln!(self.text, ">{}</{name}>", escaped(text));
        }
    }

    pub(super) fn finish(mut self) -> String {
        while !self.open.is_empty() {
            self.end();
        }
        self.text
    }

    fn start(&mut self, name: &str, attributes: &[(&str, &str)]) {
        self.indent();
        let _ = write!(self.text, "<{name}");
        for (key, value) in attributes {
            let _ = write!(self.text, " {key}=\"{}\"", escaped(value));
        }
    }

    fn indent(&mut self) {
        for _ in &self.open {
            self.text.push_str("  ");
        }
    }
}

/// Text with what XML gives a meaning written as references; line ends too,
/// for a reader may turn them into others.
fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\n' => escaped.push_str("&#10;"),
            '\r' => escaped.push_str("&#13;"),
            '\t' => escaped.push_str("&#9;"),
            other => escaped.push(other),
        }
    }
    escaped
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
