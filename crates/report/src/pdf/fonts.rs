//! The font of the pages: its bytes for the PDF, its measures for the layout.

use crate::ReportError;
use ab_glyph::{Font as _, FontRef, ScaleFont as _};
use chart::letters::{is_joiner, lacks};
use krilla::text::Font;

/// Which face.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Weight {
    /// For running text.
    Regular,
    /// For titles and numbers.
    Bold,
}

/// Both faces of our font.
pub(crate) struct Fonts {
    regular: Font,
    bold: Font,
    regular_measure: FontRef<'static>,
    bold_measure: FontRef<'static>,
}

impl Fonts {
    /// The built-in font.
    ///
    /// # Errors
    /// [`ReportError::Font`] when it is damaged.
    pub(crate) fn ours() -> Result<Self, ReportError> {
        let (regular, bold) = (chart::font::regular(), chart::font::bold());
        let pdf = |bytes: &'static [u8]| Font::new(bytes.to_vec().into(), 0);
        let measure = |bytes| FontRef::try_from_slice(bytes).ok();
        Ok(Self {
            regular: pdf(regular).ok_or(ReportError::Font)?,
            bold: pdf(bold).ok_or(ReportError::Font)?,
            regular_measure: measure(regular).ok_or(ReportError::Font)?,
            bold_measure: measure(bold).ok_or(ReportError::Font)?,
        })
    }

    /// The face as the PDF wants it.
    pub(crate) fn pdf(&self, weight: Weight) -> Font {
        match weight {
            Weight::Regular => self.regular.clone(),
            Weight::Bold => self.bold.clone(),
        }
    }

    fn measure(&self, weight: Weight) -> &FontRef<'static> {
        match weight {
            Weight::Regular => &self.regular_measure,
            Weight::Bold => &self.bold_measure,
        }
    }

    /// How wide a text is when set at `size`.
    pub(crate) fn width(&self, weight: Weight, size: f64, text: &str) -> f64 {
        let font = self.measure(weight);
        let Some(em) = font.units_per_em() else {
            return 0.0;
        };
        let font = font.as_scaled(font.height_unscaled());
        let mut wide = 0.0;
        let mut before = None;
        for letter in text.chars() {
            let glyph = font.glyph_id(letter);
            if let Some(before) = before {
                wide += font.kern(before, glyph);
            }
            wide += font.h_advance(glyph);
            before = Some(glyph);
        }
        f64::from(wide / em) * size
    }

    /// The text with what the font cannot set replaced by a question mark, and
    /// line ends and the like by spaces. Signs that only change the one before
    /// them, as in an emoji, are left out.
    pub(crate) fn printable(text: &str) -> String {
        text.chars()
            .filter(|letter| !is_joiner(*letter))
            .map(|letter| match letter {
                letter if letter.is_whitespace() || letter.is_control() => ' ',
                letter if lacks(letter) => '?',
                letter => letter,
            })
            .collect()
    }

    /// Lines no wider than `width`; a word longer than that is broken.
    pub(crate) fn lines(&self, weight: Weight, size: f64, width: f64, text: &str) -> Vec<String> {
        let fits = |line: &str| self.width(weight, size, line) <= width;
        let mut lines: Vec<String> = Vec::new();
        for word in text.split_whitespace() {
            let longer = lines.last().map(|line| format!("{line} {word}"));
            match (longer, lines.last_mut()) {
                (Some(longer), Some(line)) if fits(&longer) => *line = longer,
                _ => lines.push(word.to_owned()),
            }
            while lines
                .last()
                .is_some_and(|line| !fits(line) && line.chars().count() > 1)
            {
                let Some(line) = lines.pop() else { break };
                let kept = (1..=line.chars().count())
                    .rev()
                    .map(|n| line.chars().take(n).collect::<String>())
                    .find(|start| fits(start))
                    .unwrap_or_else(|| line.chars().take(1).collect());
                let rest: String = line.chars().skip(kept.chars().count()).collect();
                lines.push(kept);
                if rest.is_empty() {
                    break;
                }
                lines.push(rest);
            }
        }
        lines
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_to_their_width_even_when_a_word_is_longer() {
        let fonts = Fonts::ours().unwrap();
        let text = format!("The tree of {} by the wall", "Llanfairpwll".repeat(9));
        let lines = fonts.lines(Weight::Regular, 10.0, 120.0, &text);
        assert!(lines.len() > 3);
        for line in &lines {
            assert!(fonts.width(Weight::Regular, 10.0, line) <= 120.0, "{line}");
        }
        let joined: String = lines.concat().split_whitespace().collect();
        assert_eq!(joined, text.split_whitespace().collect::<String>());
    }

    #[test]
    fn what_the_font_lacks_is_shown_as_a_question_mark() {
        assert_eq!(
            Fonts::printable("Oak\n\u{6a39} \u{e9}\u{bd}"),
            "Oak ? \u{e9}\u{bd}"
        );
        // An evergreen tree, followed by the sign that asks for color.
        assert_eq!(Fonts::printable("\u{1f332}\u{fe0f} Oak"), "? Oak");
    }
}
