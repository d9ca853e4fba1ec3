//! One tree's entry: a photo, what is known of it, what was marked, what was read.

use crate::{Facts, Marks, Reading};
use serde::{Deserialize, Serialize};

/// The number of the `.stump.json` format that this build writes.
pub const STUMP_FORMAT: u32 = 1;

/// What a `.stump.json` holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Stump {
    /// [`STUMP_FORMAT`] at the time of writing.
    pub format: u32,
    /// What the person knows.
    pub facts: Facts,
    /// What the person put on the photo.
    pub marks: Marks,
    /// What the program made of it.
    pub reading: Reading,
}
