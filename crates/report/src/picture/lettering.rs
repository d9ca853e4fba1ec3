//! Text in our own font, so that pictures are the same on every machine.

use ab_glyph::FontRef;
use image::{Rgb, RgbImage};
use imageproc::drawing::{draw_text_mut, text_size};

/// The two faces of our font.
#[derive(Debug)]
pub(super) struct Letters {
    regular: FontRef<'static>,
    bold: FontRef<'static>,
}

/// Which face.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Weight {
    /// For running text.
    Regular,
    /// For numbers and titles.
    Bold,
}

/// A text, its size in pixels and its face.
#[derive(Debug, Clone, Copy)]
pub(super) struct Text<'a> {
    pub(super) text: &'a str,
    pub(super) size_px: f32,
    pub(super) weight: Weight,
}

impl Letters {
    /// The built-in font; `None` only if it were damaged in the program itself.
    pub(super) fn ours() -> Option<Self> {
        Some(Self {
            regular: FontRef::try_from_slice(chart::font::regular()).ok()?,
            bold: FontRef::try_from_slice(chart::font::bold()).ok()?,
        })
    }

    fn face(&self, weight: Weight) -> &FontRef<'static> {
        match weight {
            Weight::Regular => &self.regular,
            Weight::Bold => &self.bold,
        }
    }

    /// Width and height of a text, in pixels.
    pub(super) fn measure(&self, text: Text<'_>) -> (i32, i32) {
        let (width, height) = text_size(text.size_px, self.face(text.weight), text.text);
        (width as i32, height as i32)
    }

    /// Writes a text with its upper left corner at a place.
    pub(super) fn write(
        &self,
        picture: &mut RgbImage,
        at: (i32, i32),
        text: Text<'_>,
        ink: Rgb<u8>,
    ) {
        draw_text_mut(
            picture,
            ink,
            at.0,
            at.1,
            text.size_px,
            self.face(text.weight),
            text.text,
        );
    }

    /// Writes lines one below another, `step` pixels apart; gives the place of the next.
    pub(super) fn write_lines(
        &self,
        picture: &mut RgbImage,
        (left, top): (i32, i32),
        (lines, style): (&[String], Text<'_>),
        step: i32,
    ) -> (i32, i32) {
        let mut y = top;
        for line in lines {
            let text = Text {
                text: line,
                ..style
            };
            self.write(picture, (left, y), text, super::ink::INK);
            y += step;
        }
        (left, y)
    }

    /// Breaks a text into lines no wider than `width_px`.
    pub(super) fn wrap(&self, text: Text<'_>, width_px: i32) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in text.text.split_whitespace() {
            let longer = lines.last().map(|line| format!("{line} {word}"));
            match (longer, lines.last_mut()) {
                (Some(longer), Some(line))
                    if self
                        .measure(Text {
                            text: &longer,
                            ..text
                        })
                        .0
                        <= width_px =>
                {
                    *line = longer;
                }
                _ => lines.push(word.to_owned()),
            }
        }
        lines
    }
}
