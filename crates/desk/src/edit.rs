//! What a person does on the page, turned into facts and marks.
//!
//! A mark holds a place, never a ring number: numbers move when a ring is added.

use crate::edit_context::EditContext;
use crate::error::ApiError;
use crate::facts::{FactName, remember, set_fact};
use crate::history::Input;
use crate::strip_edit::{self, Drawn};
use serde::Deserialize;
use wood::{Marks, Point, Px};

/// One thing done on the page. Rings are given by their number at that time,
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
    /// This ring's outer boundary is not the end of a year.
    Remove {
        /// The ring's number.
        ring: u32,
    },
    /// This ring's outer boundary is correct, whatever the doubt.
    Keep {
        /// The ring's number.
        ring: u32,
    },
    /// This ring is two: one more year ends within it.
    Split {
        /// The ring's number.
        ring: u32,
    },
    /// This ring's outer boundary is elsewhere.
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
    /// The pith is here; without a place, the program finds it.
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
        /// The length between them, with its unit.
        length: Option<String>,
    },
    /// This part cannot be read.
    Unreadable {
        /// Its outline.
        area: Vec<Point>,
    },
    /// Every part can be read.
    ClearUnreadable,
    /// The strip along which rings are counted is here.
    Strip {
        /// Its inner end.
        from: Point,
        /// Its outer end.
        to: Point,
        /// Its width; as usual for its length where there is none.
        width: Option<Px>,
        /// Whether a person counts; as before where it is not said.
        by_hand: Option<bool>,
    },
    /// There is no strip: the whole face counts.
    ClearStrip,
    /// Who counts along the strip.
    CountStrip {
        /// Whether a person does.
        by_hand: bool,
    },
    /// Counting by hand: a year ends here.
    SetRing {
        /// A place on the strip.
        at: Point,
    },
    /// Counting by hand: the ring set nearest to here is taken away.
    TakeRing {
        /// A place on the strip.
        at: Point,
    },
    /// Counting by hand: the ring set nearest to a place ends elsewhere.
    ShiftRing {
        /// Where it was set.
        from: Point,
        /// Where it ends.
        to: Point,
    },
    /// Counting by hand: all rings that are proposed up to here are set.
    AcceptRings {
        /// A place on the strip.
        to: Point,
    },
    /// A fact is set, or cleared where there is no text.
    Fact {
        /// Which.
        name: FactName,
        /// As the person wrote it.
        text: String,
    },
    /// Something is noted for a year; without text, the note is removed.
    Remember {
        /// The year.
        year: i32,
        /// What happened.
        what: String,
    },
    /// One mark is taken back.
    TakeBack {
        /// Its kind.
        mark: MarkKind,
        /// Its place in the list of its kind, from 0; 0 where there is only one.
        index: usize,
    },
    /// All marks are taken back; the facts stay.
    StartOver,
}

/// The kinds of marks, as the entry lists them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MarkKind {
    /// The pith.
    Pith,
    /// The tape.
    Tape,
    /// A part that cannot be read.
    Unreadable,
    /// A correction of a ring.
    Rings,
    /// A place on the bark edge.
    Bark,
    /// Lines that are one ring.
    Joined,
    /// The strip, with the rings set on it.
    Strip,
}

/// The facts and marks after an edit, and what was done, in a few words.
pub(crate) fn apply(
    edit: &Edit,
    context: EditContext<'_>,
    before: &Input,
) -> Result<(Input, String), ApiError> {
    let mut input = before.clone();
    let marks = &mut input.marks;
    let what = match edit {
        Edit::Add { at } => {
            context.place(*at)?;
            context.add(marks, *at)?;
            "a ring added".to_owned()
        }
        Edit::Remove { ring } => {
            context.remove(marks, *ring)?;
            format!("ring {ring} removed")
        }
        Edit::Keep { ring } => {
            let at = context.on(*ring)?;
            if !context.at_bark(*ring)? {
                context.add(marks, at)?;
            }
            format!("ring {ring} kept")
        }
        Edit::Split { ring } => {
            let at = context.within(*ring)?;
            context.add(marks, at)?;
            format!("ring {ring} split")
        }
        Edit::Move { ring, to } => {
            context.place(*to)?;
            context.shift(marks, *ring, *to)?;
            format!("ring {ring} moved")
        }
        Edit::Join {
            ring,
            with,
            at,
            also,
        } => {
            context.join(marks, (*ring, *with), (*at, *also))?;
            format!("rings {ring} and {with} joined")
        }
        Edit::Pith { at } => {
            if let Some(at) = at {
                context.near(*at)?;
            }
            marks.pith = *at;
            match at {
                Some(_) => "the pith moved".to_owned(),
                None => "the pith cleared: the program finds it".to_owned(),
            }
        }
        Edit::Bark { at } => {
            context.place(*at)?;
            context.bark(marks, *at);
            "the bark edge moved".to_owned()
        }
        Edit::ClearBark => {
            marks.bark.clear();
            "the bark edge cleared: the program finds it".to_owned()
        }
        Edit::Tape { from, to, length } => context.tape(marks, (*from, *to), length.as_deref())?,
        Edit::Unreadable { area } => {
            if area.len() < 3 || area.len() > MOST_CORNERS {
                return Err(ApiError::invalid(
                    format!("an outline of {} corners is not an area", area.len()),
                    "paint over the part that cannot be read",
                ));
            }
            for place in area {
                context.near(*place)?;
            }
            marks.unreadable.push(area.clone());
            "a part marked unreadable".to_owned()
        }
        Edit::ClearUnreadable => {
            marks.unreadable.clear();
            "all paint removed".to_owned()
        }
        Edit::Strip {
            from,
            to,
            width,
            by_hand,
        } => {
            let drawn = Drawn {
                from: *from,
                to: *to,
                width_px: *width,
                by_hand: *by_hand,
            };
            strip_edit::draw(context, marks, drawn)?
        }
        Edit::ClearStrip => strip_edit::clear(marks)?,
        Edit::CountStrip { by_hand } => strip_edit::count(marks, *by_hand)?,
        Edit::SetRing { at } => strip_edit::set(marks, *at)?,
        Edit::TakeRing { at } => strip_edit::take_away(marks, *at)?,
        Edit::ShiftRing { from, to } => strip_edit::shift(marks, *from, *to)?,
        Edit::AcceptRings { to } => strip_edit::accept(context, marks, *to)?,
        Edit::Fact { name, text } => set_fact(&mut input.facts, *name, text.trim())?,
        Edit::Remember { year, what } => {
            remember(&mut input.facts, context.rings, *year, what.trim())?
        }
        Edit::TakeBack { mark, index } => take_back(marks, *mark, *index)?,
        Edit::StartOver => {
            *marks = Marks::default();
            "all marks cleared".to_owned()
        }
    };
    Ok((input, what))
}

/// Corners of one outline; a brush makes some dozens.
const MOST_CORNERS: usize = 2000;

/// Takes one mark back.
fn take_back(marks: &mut Marks, mark: MarkKind, index: usize) -> Result<String, ApiError> {
    fn drop_one<T>(list: &mut Vec<T>, index: usize) -> bool {
        let there = index < list.len();
        if there {
            list.remove(index);
        }
        there
    }
    let (there, what) = match mark {
        MarkKind::Pith => (marks.pith.take().is_some(), "the pith mark"),
        MarkKind::Tape => (marks.tape.take().is_some(), "the tape"),
        MarkKind::Unreadable => (drop_one(&mut marks.unreadable, index), "a painted area"),
        MarkKind::Rings => (drop_one(&mut marks.rings, index), "a ring mark"),
        MarkKind::Bark => (drop_one(&mut marks.bark, index), "a bark mark"),
        MarkKind::Joined => (drop_one(&mut marks.joined, index), "a join"),
        MarkKind::Strip => (marks.strip.take().is_some(), "the strip"),
    };
    if !there {
        return Err(ApiError::invalid(
            "that mark is not there any more",
            "load the page again: the marks have changed",
        ));
    }
    Ok(format!("{what} taken back"))
}
