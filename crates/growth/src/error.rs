//! What can be wrong with what was asked of this crate.

/// Why a growth figure or an estimate could not be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum GrowthError {
    /// A length that must be above zero is not.
    #[error("the {what} must be a length above zero, not {value}")]
    NotALength {
        /// Which length.
        what: &'static str,
        /// What was given.
        value: f64,
    },
    /// No sound ring is next to the missing part.
    #[error("there is no ring with a width next to the missing heart")]
    NoInnerRings,
}

impl GrowthError {
    /// What a person can do about it.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            Self::NotALength { .. } => "give a measured length with its unit, as in 30mm or 1.5in",
            Self::NoInnerRings => {
                "mark at least one ring outside the hollow, or give its rings by hand"
            }
        }
    }
}
