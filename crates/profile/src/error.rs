//! What can be wrong with the values given to this crate.

/// A value that cannot be worked with.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ProfileError {
    /// The photo is smaller than any ring could be read from.
    #[error("the photo is only {width} x {height} pixels")]
    TooSmall {
        /// Width in pixels.
        width: usize,
        /// Height in pixels.
        height: usize,
    },
}
