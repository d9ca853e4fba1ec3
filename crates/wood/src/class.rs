//! How a wood shows its years.

use serde::{Deserialize, Serialize};
use std::fmt;

/// The four ways in which a year shows on a sawn face.
///
/// The three hardwood classes are features 3, 4 and 5 of the IAWA list of
/// microscopic features for hardwood identification (1989).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WoodClass {
    /// No pores: light earlywood, dark latewood, a sharp edge outward.
    Conifer,
    /// A row of large pores opens each year (oak, ash, elm, hickory).
    RingPorous,
    /// Large pores inside, smaller ones outward (walnut, cherry).
    SemiRingPorous,
    /// Small pores everywhere, a thin line ends the year (maple, birch, beech).
    DiffusePorous,
}

impl WoodClass {
    /// All classes, in a fixed order.
    pub const ALL: [Self; 4] = [
        Self::Conifer,
        Self::RingPorous,
        Self::SemiRingPorous,
        Self::DiffusePorous,
    ];

    /// The name as written on the command line and in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Conifer => "conifer",
            Self::RingPorous => "ring-porous",
            Self::SemiRingPorous => "semi-ring-porous",
            Self::DiffusePorous => "diffuse-porous",
        }
    }
}

impl fmt::Display for WoodClass {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(self.name())
    }
}
