//! What the person put on a photo. Marks are law: a reading keeps each of
//! them and works around them.

use crate::{Mm, Point, Strip};
use serde::{Deserialize, Serialize};

/// A known length in the photo: two places on a tape and what is between.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tape {
    /// One end of the length.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// What the tape reads between them.
    pub length_mm: Mm,
}

/// What a person says about one place between two rings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RingMarkKind {
    /// A year ends here.
    Boundary,
    /// No year ends here, whatever it looks like.
    NoBoundary,
}

/// One correction of the rings.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RingMark {
    /// What is said.
    pub kind: RingMarkKind,
    /// A place on the boundary in question.
    pub at: Point,
}

/// Everything the person put on one photo.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Marks {
    /// Where the pith is.
    pub pith: Option<Point>,
    /// A known length in the photo.
    pub tape: Option<Tape>,
    /// Parts that cannot be read, as polygons.
    pub unreadable: Vec<Vec<Point>>,
    /// Corrections of the rings, in the order they were made.
    pub rings: Vec<RingMark>,
    /// Places on the bark edge: it is drawn through each of them.
    pub bark: Vec<Point>,
    /// Lines that are one ring, broken by a check or a knot: for each, places
    /// on one and the same boundary, at different angles around the pith.
    pub joined: Vec<Vec<Point>>,
    /// The strip along which rings are counted, in place of the whole face.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strip: Option<Strip>,
}
