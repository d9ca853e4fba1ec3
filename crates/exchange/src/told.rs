//! What a format could not hold, or what had to be assumed.

use std::fmt;

/// One thing that was not carried over as it was, told to the person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// The stump it is about; empty when it is about the whole file.
    pub stump: String,
    /// A plain sentence without a full stop.
    pub what: String,
}

impl Told {
    /// About one stump.
    pub(crate) fn of(stump: &str, what: impl Into<String>) -> Self {
        Self {
            stump: stump.to_owned(),
            what: what.into(),
        }
    }

    /// About the whole file.
    pub(crate) fn all(what: impl Into<String>) -> Self {
        Self {
            stump: String::new(),
            what: what.into(),
        }
    }
}

impl fmt::Display for Told {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.stump.is_empty() {
            out.write_str(&self.what)
        } else {
            write!(out, "{}: {}", self.stump, self.what)
        }
    }
}
