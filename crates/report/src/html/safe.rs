//! Text and bytes made safe to stand in HTML.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

/// Text with what HTML would take for its own replaced.
pub(super) fn text(raw: &str) -> String {
    let mut safe = String::with_capacity(raw.len());
    for letter in raw.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            letter if letter.is_control() => safe.push(' '),
            letter => safe.push(letter),
        }
    }
    safe
}

/// Bytes as an address that holds them.
pub(super) fn data(media_type: &str, bytes: &[u8]) -> String {
    format!("data:{media_type};base64,{}", STANDARD.encode(bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_that_is_typed_becomes_markup() {
        assert_eq!(
            text("<b onclick='x'>A & \"B\"\n"),
            "&lt;b onclick=&#39;x&#39;&gt;A &amp; &quot;B&quot; "
        );
        assert_eq!(
            data("text/plain", b"ring"),
            "data:text/plain;base64,cmluZw=="
        );
    }
}
