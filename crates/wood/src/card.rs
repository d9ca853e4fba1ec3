//! The scale card's layout: what a printer puts on paper and a photo is
//! searched for. Places in millimeters from the card's upper left corner, x to
//! the right and y down.

/// Width and height of the card, to its cut lines.
pub const CARD_MM: (f64, f64) = (112.0, 146.0);

/// Side of one code (QR, ISO/IEC 18004, version 1: 21 modules).
pub const CARD_CODE_MM: f64 = 30.0;

/// One machine-readable corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CardCode {
    /// What the code says: the card, its layout's number, which corner. Short
    /// enough for version 1 at its highest level of correction.
    pub text: &'static str,
    /// Its upper left corner.
    pub left_mm: f64,
    /// Its upper left corner.
    pub top_mm: f64,
    /// Its modules, row by row, the leftmost in the highest of 21 bits; a set
    /// bit is dark. A code that is half in shade can be recognized by them where it
    /// cannot be read any more.
    pub modules: [u32; 21],
}

/// Two opposite corners. Four codes in a square would be read worse: their
/// finder marks line up, and readers join those of different codes.
pub const CARD_CODES: [CardCode; 2] = [
    corner("STUMP:1:A", 6.0, 6.0, MODULES_A),
    corner("STUMP:1:C", 76.0, 76.0, MODULES_C),
];

const fn corner(text: &'static str, left_mm: f64, top_mm: f64, modules: [u32; 21]) -> CardCode {
    CardCode {
        text,
        left_mm,
        top_mm,
        modules,
    }
}

const MODULES_A: [u32; 21] = [
    0x1FDB7F, 0x105441, 0x17595D, 0x17415D, 0x17475D, 0x105141, 0x1FD57F, 0x001500, 0x0759E7,
    0x059A22, 0x056321, 0x133420, 0x1274A8, 0x0017A2, 0x1FCB8F, 0x1045C4, 0x175A32, 0x175EAC,
    0x175114, 0x10457D, 0x1FCD24,
];
const MODULES_C: [u32; 21] = [
    0x1FC57F, 0x104C41, 0x17455D, 0x17495D, 0x17595D, 0x104541, 0x1FD57F, 0x001F00, 0x067FD0,
    0x142822, 0x03E20C, 0x0D3196, 0x09E8A8, 0x001F4F, 0x1FD889, 0x104AC4, 0x1746DF, 0x175F9A,
    0x175254, 0x1042D0, 0x1FC852,
];

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
