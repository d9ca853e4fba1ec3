//! In: a face, facts and marks. Out: a reading. The order of the steps and
//! nothing else. Never: input, output, clock or randomness.

use photo::Face;
use wood::{Facts, Marks, Reading};

/// What the program makes of a face.
///
/// `file` is the photo's name without folders; it is only copied into the reading.
#[must_use]
pub fn read(_file: &str, _face: &Face, _facts: &Facts, _marks: &Marks) -> Reading {
    unimplemented!("being written")
}
