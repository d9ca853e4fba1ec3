//! The paper that pages are laid out for.

/// A paper size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// US Letter, 8.5 by 11 in.
    Letter,
    /// ISO A4, 210 by 297 mm.
    A4,
}

/// The color that a PDF's pages are printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PaperColor {
    /// White: nothing is printed where the page is empty.
    #[default]
    White,
    /// The cream of the charts and of the HTML page.
    Cream,
}

/// Points in an inch, the unit of PDF.
const POINTS_PER_INCH: f64 = 72.0;

/// Points in a millimeter.
pub(crate) const POINTS_PER_MM: f64 = POINTS_PER_INCH / 25.4;

impl Paper {
    /// Width and height in points.
    pub(crate) fn size(self) -> (f64, f64) {
        match self {
            Self::Letter => (8.5 * POINTS_PER_INCH, 11.0 * POINTS_PER_INCH),
            Self::A4 => (210.0 * POINTS_PER_MM, 297.0 * POINTS_PER_MM),
        }
    }
}
