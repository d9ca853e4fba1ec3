//! In: a face, facts and marks. Out: a reading. The order of the steps and
//! what they need between them. Never: input, output, clock or randomness.

mod ages;
mod bark_marks;
mod by_hand;
mod card;
mod complete;
mod counted;
mod first_pass;
mod heart;
mod marked;
mod range;
mod refuse;
mod rings;
mod scale;
mod session;
mod sides;
mod strip_search;
mod strip_view;
mod strips;
mod trace;
mod traced;
mod unmarked;
mod watch;
mod wood_class;

pub use session::ReadingSession;
pub use strip_view::{ProposedRing, StripView};
pub use traced::TracedFace;
pub use watch::{BrokenOff, Watch};

use photo::Face;
use wood::{Facts, Marks, Reading};

/// What the program makes of a face.
///
/// `file` is the photo's name without folders; it is only copied into the
/// reading. The same input gives the same reading on any number of threads.
/// A face that cannot be read gives a reading with a refusal, not an error.
///
/// # Method
/// Face and pith ([`sight`]); directions, unrolling, straightening, bark edge
/// ([`profile`]); ring ends and wood class ([`sight`]); boundaries and their chances
/// ([`boundary`]); years, widths, figures and age ([`growth`]).
#[must_use]
pub fn read(file: &str, face: &Face, facts: &Facts, marks: &Marks) -> Reading {
    ReadingSession::new(face, facts, marks).read(file, face, facts, marks)
}
