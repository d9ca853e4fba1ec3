//! TRiDaS, the XML of Jansma, Brewer and Zandhuis 2010 ("TRiDaS 1.1: the
//! tree-ring data standard", Dendrochronologia 28(2): 99–130), version 1.2.2.
//!
//! A project holds objects, those elements (trees), those samples, those radii,
//! those series. Entities and common fields were read in the summary of
//! version 1.2.2; element names below the radius and the vocabulary
//! ("micrometres", "ring width", "missing ring") are from memory and were not
//! compared with the schema's file.

mod read;
mod write;
mod xml;

pub(crate) use read::read;
pub(crate) use write::write;

/// The namespace of version 1.2.2.
const NAMESPACE: &str = "http://www.tridas.org/1.2.2";

/// Names of the generic fields in which we keep what the standard has no field
/// for.
mod field {
    pub(super) const SPECIES: &str = "stumpbook.species";
    pub(super) const FELLED: &str = "stumpbook.felled";
    pub(super) const CUT_HEIGHT: &str = "stumpbook.cutHeightMm";
    pub(super) const ACROSS: &str = "stumpbook.acrossInsideBarkMm";
    pub(super) const HOLLOW: &str = "stumpbook.hollowRadiusMm";
    pub(super) const HEMISPHERE: &str = "stumpbook.hemisphere";
    pub(super) const NOTE: &str = "stumpbook.note";
    pub(super) const TAG: &str = "stumpbook.tag";
    pub(super) const OWNER: &str = "stumpbook.owner";
    pub(super) const PLACE: &str = "stumpbook.place";
    pub(super) const COUNTED_BY: &str = "stumpbook.countedBy";
    /// Once for each event: the year, a space, and the person's words.
    pub(super) const REMEMBERED: &str = "stumpbook.remembered";
    pub(super) const WOOD: &str = "stumpbook.woodClass";
    pub(super) const CARD_BAR: &str = "stumpbook.cardBarMm";
}

/// Units by their names in the standard, in millimeters.
const UNITS: [(&str, f64); 8] = [
    ("micrometres", 0.001),
    ("1/100th millimetres", 0.01),
    ("1/50th millimetres", 0.02),
    ("1/20th millimetres", 0.05),
    ("1/10th millimetres", 0.1),
    ("millimetres", 1.0),
    ("centimetres", 10.0),
    ("metres", 1000.0),
];

#[cfg(test)]
mod tests;
