//! How large a picture may be.

/// How large a picture may be, checked from its header before room for its
/// pixels is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// The most pixels, width times height.
    pub max_pixels: u64,
}

impl Limits {
    /// 200 megapixels: the largest that phones write (16320 by 12240 and the
    /// like, from memory). Reading one takes 0.75 GB (measured, a JPEG).
    pub const DEFAULT_MAX_PIXELS: u64 = 200_000_000;

    /// Whether a picture of that size may be opened.
    #[must_use]
    pub fn allow(self, width: u32, height: u32) -> bool {
        u64::from(width) * u64::from(height) <= self.max_pixels
    }

    /// What a decoder may take for one picture, in bytes: four channels of
    /// two copies of 16 bits (the picture and the decoder's own), and room
    /// for the rest of the file.
    pub(crate) fn decoder_bytes(self) -> u64 {
        const REST: u64 = 64 * 1024 * 1024;
        self.max_pixels.saturating_mul(16).saturating_add(REST)
    }
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            max_pixels: Self::DEFAULT_MAX_PIXELS,
        }
    }
}
