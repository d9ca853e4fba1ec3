//! Why a chart could not be drawn.

/// Why a chart could not be drawn.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ChartError {
    /// There is nothing to show.
    #[error("there are no rings to draw")]
    NothingToDraw,
    /// The drawing library failed.
    #[error("the chart could not be drawn: {0}")]
    Drawing(String),
    /// The SVG could not be turned into a picture.
    #[error("the chart could not be turned into a PNG: {0}")]
    Picture(String),
}

impl ChartError {
    /// What a person can do about it.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            Self::NothingToDraw => "read a face first: a chart needs at least one ring",
            Self::Drawing(_) | Self::Picture(_) => {
                "report this with the .stump.json file: a chart should always be possible"
            }
        }
    }
}
