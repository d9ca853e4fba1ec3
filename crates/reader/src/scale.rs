//! The size of a pixel, from a tape or from the known width inside the bark.

use crate::follow::Followed;
use photo::{scale_from_across, scale_from_tape};
use wood::{Caution, Facts, Marks, Px, Scale};

/// How far the bark edge as a whole may be off, as a share of the radius (judged).
const EDGE_SHARE: f64 = 0.015;

/// The scale, a tape before a known width.
pub(crate) fn scale(facts: &Facts, marks: &Marks, followed: &Followed, cautions: &mut Vec<Caution>) -> Option<Scale> {
    let mut say = |about: &str, text: String| cautions.push(Caution { about: about.to_owned(), text });
    if let Some(tape) = &marks.tape {
        match scale_from_tape(tape) {
            Ok(scale) => return Some(scale),
            Err(error) => say("tape-unused", format!("the tape gives no scale: {error}")),
        }
    }
    let Some(across) = facts.across_inside_bark_mm else {
        if marks.tape.is_none() {
            say("no-scale", "no scale is known, so widths are in pixels; give --across or --tape".to_owned());
        }
        return None;
    };
    let Some(bark) = followed.bark else {
        say("across-unused", "the width inside the bark is known, but no bark edge was found in the photo; use --tape".to_owned());
        return None;
    };
    let radius = followed.straightened.mean_radius(&followed.unrolled, bark);
    scale_from_across(radius * 2.0, across, Px(radius.0 * EDGE_SHARE)).ok()
}
