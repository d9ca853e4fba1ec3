//! What a person does on the page, turned into facts and marks.
//!
//! Marks say where, never which number: numbers move when a ring is added.

use crate::fault::Fault;
use crate::ground::Ground;
use crate::history::Said;
use crate::telling::{remember, tell};
use serde::Deserialize;
use wood::Point;

/// One thing done on the page. Rings are told by their number at that time,
/// places in pixels of the upright photo.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(
    tag = "do",
    rename_all = "kebab-case",
    rename_all_fields = "kebab-case",
    deny_unknown_fields
)]
pub enum Edit {
    /// A year ends here.
    Add {
        /// A place on its boundary.
        at: Point,
    },
    /// This ring's outer boundary is no year's end.
    Remove {
        /// The ring's number.
        ring: u32,
    },
    /// This ring's outer boundary is one, whatever the doubt.
    Keep {
        /// The ring's number.
        ring: u32,
    },
    /// This ring is two: one more year ends within it.
    Split {
        /// The ring's number.
        ring: u32,
    },
    /// This ring's outer boundary lies elsewhere.
    Move {
        /// The ring's number.
        ring: u32,
        /// A place on the boundary as it should be.
        to: Point,
    },
    /// These lines are one ring, broken.
    Join {
        /// The ring's number.
        ring: u32,
        /// The number of the ring beside it.
        with: u32,
        /// Where the first one is right.
        at: Option<Point>,
        /// Where the second one is right.
        also: Option<Point>,
    },
    /// The pith lies here; nothing lets the program find it.
    Pith {
        /// Its place.
        at: Option<Point>,
    },
    /// The bark edge runs through here.
    Bark {
        /// A place on it.
        at: Point,
    },
    /// The bark edge is as the program found it.
    ClearBark,
    /// A length along the tape; without one, no tape.
    Tape {
        /// One end.
        from: Option<Point>,
        /// The other end.
        to: Option<Point>,
        /// What lies between, with its unit.
        length: Option<String>,
    },
    /// This part cannot be read.
    Unreadable {
        /// Its outline.
        area: Vec<Point>,
    },
    /// Every part can be read.
    ClearUnreadable,
    /// A fact is told, or taken back where there is no text.
    Fact {
        /// Which.
        name: FactName,
        /// As the person wrote it.
        text: String,
    },
    /// Something is remembered of a year; without text, it is forgotten.
    Remember {
        /// The year.
        year: i32,
        /// What happened.
        what: String,
    },
}

/// The facts that a person may tell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FactName {
    /// The common or Latin name of the species.
    Species,
    /// The wood class.
    Wood,
    /// The date of felling.
    Felled,
    /// `northern` or `southern`.
    Hemisphere,
    /// Height of the cut, with its unit.
    CutHeight,
    /// Mean width inside the bark, with its unit.
    Across,
    /// Radius of a hollow, with its unit.
    Hollow,
    /// Anything else.
    Note,
}

/// What is said after an edit, and what was done, in a few words.
pub(crate) fn apply(
    edit: &Edit,
    ground: Ground<'_>,
    before: &Said,
) -> Result<(Said, String), Fault> {
    let mut said = before.clone();
    let marks = &mut said.marks;
    let what = match edit {
        Edit::Add { at } => {
            ground.place(*at)?;
            ground.add(marks, *at)?;
            "a ring added".to_owned()
        }
        Edit::Remove { ring } => {
            ground.remove(marks, *ring)?;
            format!("ring {ring} removed")
        }
        Edit::Keep { ring } => {
            let at = ground.on(*ring)?;
            if !ground.at_bark(*ring)? {
                ground.add(marks, at)?;
            }
            format!("ring {ring} kept")
        }
        Edit::Split { ring } => {
            let at = ground.within(*ring)?;
            ground.add(marks, at)?;
            format!("ring {ring} split")
        }
        Edit::Move { ring, to } => {
            ground.place(*to)?;
            ground.shift(marks, *ring, *to)?;
            format!("ring {ring} moved")
        }
        Edit::Join {
            ring,
            with,
            at,
            also,
        } => {
            ground.join(marks, (*ring, *with), (*at, *also))?;
            format!("rings {ring} and {with} joined")
        }
        Edit::Pith { at } => {
            if let Some(at) = at {
                ground.near(*at)?;
            }
            marks.pith = *at;
            match at {
                Some(_) => "the pith moved".to_owned(),
                None => "the pith left to the program".to_owned(),
            }
        }
        Edit::Bark { at } => {
            ground.place(*at)?;
            ground.bark(marks, *at);
            "the bark edge moved".to_owned()
        }
        Edit::ClearBark => {
            marks.bark.clear();
            "the bark edge left to the program".to_owned()
        }
        Edit::Tape { from, to, length } => ground.tape(marks, (*from, *to), length.as_deref())?,
        Edit::Unreadable { area } => {
            if area.len() < 3 || area.len() > MOST_CORNERS {
                return Err(Fault::wrong(
                    format!("an outline of {} places is no part of the face", area.len()),
                    "paint over the part that cannot be read",
                ));
            }
            for place in area {
                ground.near(*place)?;
            }
            marks.unreadable.push(area.clone());
            "a part marked unreadable".to_owned()
        }
        Edit::ClearUnreadable => {
            marks.unreadable.clear();
            "every part readable".to_owned()
        }
        Edit::Fact { name, text } => tell(&mut said.facts, *name, text.trim())?,
        Edit::Remember { year, what } => remember(&mut said.facts, *year, what.trim())?,
    };
    Ok((said, what))
}

/// Corners of one outline; a brush makes some dozens.
const MOST_CORNERS: usize = 2000;
