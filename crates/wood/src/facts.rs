//! What the person knows about the tree.

use crate::{Felled, Mm, WoodClass, Year};
use serde::{Deserialize, Serialize};

/// The half of the earth the tree stood on; it decides which calendar year a
/// growing season belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Hemisphere {
    /// Growth falls within one calendar year.
    #[default]
    Northern,
    /// Growth runs over the turn of the year; a ring is dated by the year in
    /// which its growth began (Schulman 1956, from memory).
    Southern,
}

/// Something a person remembers of a year: a drought, a thinning, a neighboring tree felled.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Remembered {
    /// The calendar year.
    pub year: Year,
    /// What happened, in the person's words.
    pub what: String,
}

/// What the person knows: nothing is needed, everything helps.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Facts {
    /// The common name of the species, as in the species table.
    pub species: Option<String>,
    /// The wood class, where the person says so; it wins over the species.
    pub wood: Option<WoodClass>,
    /// When the tree was felled.
    pub felled: Option<Felled>,
    /// Where the tree stood.
    pub hemisphere: Hemisphere,
    /// Height of the cut above the ground.
    pub cut_height_mm: Option<Mm>,
    /// Mean diameter of the face inside the bark.
    pub across_inside_bark_mm: Option<Mm>,
    /// Radius of a hollow or rotten heart that was measured on the stump.
    pub hollow_radius_mm: Option<Mm>,
    /// Length of the scale card's bar as measured on the print; it is printed
    /// to be 100 mm, and shorter where a printer shrank the page.
    pub card_bar_mm: Option<Mm>,
    /// Anything the person wants to remember.
    pub note: Option<String>,
    /// The number on the tree's or stump's tag.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tag: Option<String>,
    /// Who owns the tree.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub owner: Option<String>,
    /// Where the tree stood, in the person's words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
    /// Who counted or checked the rings.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub counted_by: Option<String>,
    /// What is remembered of single years, in the order given.
    pub remembered: Vec<Remembered>,
}

impl Facts {
    /// Whether a tag, owner, place or counter is given.
    #[must_use]
    pub fn has_labels(&self) -> bool {
        [&self.tag, &self.owner, &self.place, &self.counted_by]
            .into_iter()
            .any(Option::is_some)
    }
}
