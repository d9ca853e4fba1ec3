//! The scale card's layout: what a printer puts on paper and a photo is
//! searched for. Places in millimetres from the card's upper left corner, x to
//! the right and y down.

/// Width and height of the card, to its cut lines.
pub const CARD_MM: (f64, f64) = (112.0, 146.0);

/// Side of one code (QR, ISO/IEC 18004, version 1: 21 modules).
pub const CARD_CODE_MM: f64 = 30.0;

/// One machine-readable corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CardCode {
    /// What the code says: the card, its layout's number, which corner.
    pub text: &'static str,
    /// Its upper left corner.
    pub left_mm: f64,
    /// Its upper left corner.
    pub top_mm: f64,
}

/// Two opposite corners. Four codes in a square would be read worse: their
/// finder marks line up, and readers join those of different codes.
pub const CARD_CODES: [CardCode; 2] = [
    corner("STUMPBOOK:1:A", 6.0, 6.0),
    corner("STUMPBOOK:1:C", 76.0, 76.0),
];

const fn corner(text: &'static str, left_mm: f64, top_mm: f64) -> CardCode {
    CardCode {
        text,
        left_mm,
        top_mm,
    }
}

/// Radius of the round marks.
pub const CARD_DISC_RADIUS_MM: f64 = 3.0;

/// The middles of the round marks: a disc's middle can be measured to a small
/// part of a pixel, which a code's corner cannot.
pub const CARD_DISCS_MM: [(f64, f64); 24] = [
    (46.0, 12.0),
    (64.0, 12.0),
    (82.0, 12.0),
    (100.0, 12.0),
    (46.0, 30.0),
    (64.0, 30.0),
    (82.0, 30.0),
    (100.0, 30.0),
    (12.0, 46.0),
    (30.0, 46.0),
    (82.0, 46.0),
    (100.0, 46.0),
    (12.0, 66.0),
    (30.0, 66.0),
    (82.0, 66.0),
    (100.0, 66.0),
    (12.0, 82.0),
    (30.0, 82.0),
    (48.0, 82.0),
    (66.0, 82.0),
    (12.0, 100.0),
    (30.0, 100.0),
    (48.0, 100.0),
    (66.0, 100.0),
];

/// Length of the bar by which a person checks the print.
pub const CARD_BAR_MM: f64 = 100.0;
