//! A part of the age together with its cautions.

use wood::{AgePart, Caution};

/// A part of the age that was estimated, never bare: its range stands in the
/// part, its warnings beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// The part with its 90 % range.
    pub part: AgePart,
    /// What the person should know about it.
    pub cautions: Vec<Caution>,
}

/// A caution in one line.
pub(crate) fn caution(about: &str, text: impl Into<String>) -> Caution {
    Caution {
        about: about.to_owned(),
        text: text.into(),
    }
}
