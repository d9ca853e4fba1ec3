//! What the page is told of a stump.

use crate::straight::Straight;
use serde::Serialize;
use wood::{RingNote, Stump};

/// A stump as the page shows it. Everything in it is saved.
#[derive(Debug, Serialize)]
pub(crate) struct View<'a> {
    /// The photo's name.
    pub(crate) file: &'a str,
    /// Grows with each change; a change must name the one it was made on.
    pub(crate) revision: u64,
    /// What was done last, in a few words.
    pub(crate) done: Option<String>,
    /// What would be undone.
    pub(crate) undo: Option<&'a str>,
    /// What would be done again.
    pub(crate) redo: Option<&'a str>,
    /// Width and height of the upright photo, in pixels.
    pub(crate) size_px: (u32, u32),
    /// The day the camera wrote into the photo.
    pub(crate) taken: Option<String>,
    /// How long the reading took, in milliseconds.
    pub(crate) reading_ms: f64,
    /// Numbers of the rings to look at again.
    pub(crate) doubts: Vec<u32>,
    /// Whether the innermost ring is a heart that was not read.
    pub(crate) heart_unread: bool,
    /// How the unrolled stump is to be read; `None` where no rings were read.
    pub(crate) straight: Option<Straight>,
    /// The stump itself, as it is in its file.
    pub(crate) stump: &'a Stump,
}

/// The rings that a person should look at: doubtful, or maybe two, and not
/// marked yet.
pub(crate) fn doubts(stump: &Stump) -> Vec<u32> {
    stump
        .reading
        .rings
        .iter()
        .filter(|ring| !ring.notes.contains(&RingNote::Marked))
        .filter(|ring| ring.is_doubtful())
        .map(|ring| ring.number)
        .collect()
}

/// What is still missing for a sure age, in a few words each.
pub(crate) fn missing(stump: &Stump) -> Vec<&'static str> {
    let (facts, reading) = (&stump.facts, &stump.reading);
    let mut missing = Vec::new();
    for (known, what) in [
        (facts.species.is_some() || facts.wood.is_some(), "species"),
        (facts.felled.is_some(), "felled"),
        (facts.cut_height_mm.is_some(), "height of cut"),
        (reading.scale.is_some(), "scale"),
    ] {
        if !known {
            missing.push(what);
        }
    }
    missing
}
