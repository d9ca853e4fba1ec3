//! What a format could not hold, or what had to be assumed.

use std::fmt;

/// One thing that was not carried over unchanged, for the person to read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// The stump it is about; empty when it is about the whole file.
    pub stump: String,
    /// A plain sentence without a full stop.
    pub text: String,
}

impl Notice {
    /// About one stump.
    pub(crate) fn of(stump: &str, text: impl Into<String>) -> Self {
        Self {
            stump: stump.to_owned(),
            text: text.into(),
        }
    }

    /// About the whole file.
    pub(crate) fn all(text: impl Into<String>) -> Self {
        Self {
            stump: String::new(),
            text: text.into(),
        }
    }
}

impl fmt::Display for Notice {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.stump.is_empty() {
            out.write_str(&self.text)
        } else {
            write!(out, "{}: {}", self.stump, self.text)
        }
    }
}
