//! Which letters our font can set.

use crate::font;
use ab_glyph::{Font as _, FontRef};
use std::sync::OnceLock;

/// Whether a letter has no shape in the font.
#[must_use]
pub fn lacks(letter: char) -> bool {
    static FONT: OnceLock<Option<FontRef<'static>>> = OnceLock::new();
    FONT.get_or_init(|| FontRef::try_from_slice(font::regular()).ok())
        .as_ref()
        .is_none_or(|font| font.glyph_id(letter).0 == 0)
}

/// Signs without a shape of their own: joiners and variation selectors (Unicode).
#[must_use]
pub fn is_joiner(letter: char) -> bool {
    matches!(letter, '\u{200c}' | '\u{200d}' | '\u{fe00}'..='\u{fe0f}')
}

/// The letters of some texts that the font cannot set, each once, in their order.
#[must_use]
pub fn missing<'a>(texts: impl IntoIterator<Item = &'a str>) -> Vec<char> {
    let mut missing = Vec::new();
    for letter in texts.into_iter().flat_map(str::chars) {
        let shown = !(letter.is_whitespace() || letter.is_control() || is_joiner(letter));
        if shown && lacks(letter) && !missing.contains(&letter) {
            missing.push(letter);
        }
    }
    missing
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_without_a_shape_are_named_once() {
        // An evergreen tree, followed by the sign that asks for color.
        let texts = ["Oak \u{6a39}\u{6a39}", "\u{1f332}\u{fe0f}\n\u{6a39}"];
        assert_eq!(missing(texts), ['\u{6a39}', '\u{1f332}']);
        assert!(missing(["\u{c6}blegr\u{f8}d 3\u{bd}"]).is_empty());
    }
}
