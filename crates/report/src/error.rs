//! What can go wrong while a sheet is made.

/// Why a page could not be made. None of these can be caused by a reading,
/// however poor: they are mistakes in the program or a lack of room.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ReportError {
    /// The built-in font is damaged.
    #[error("the built-in font would not load")]
    Font,
    /// A picture could not be encoded.
    #[error("a picture could not be made: {0}")]
    Picture(#[from] image::ImageError),
    /// A chart could not be drawn.
    #[error("a chart could not be drawn: {0}")]
    Chart(#[from] chart::ChartError),
    /// A chart could not be laid on the page.
    #[error("a chart could not be laid on the page: {0}")]
    ChartOnPage(String),
    /// The PDF could not be written.
    #[error("the PDF could not be written: {0}")]
    Pdf(String),
    /// A code of the scale card could not be made.
    #[error("a code of the scale card could not be made: {0}")]
    Code(String),
}

impl ReportError {
    /// What a person can do about it.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            Self::Picture(_) => {
                "close other programs to make room, then run the same command again"
            }
            Self::Font | Self::Chart(_) | Self::ChartOnPage(_) | Self::Pdf(_) | Self::Code(_) => {
                "report this with the .stump.json file: a sheet should always be possible"
            }
        }
    }
}
