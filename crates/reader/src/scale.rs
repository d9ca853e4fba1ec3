//! The size of a pixel, from a tape or from the known width inside the bark.

use crate::follow::Followed;
use photo::{scale_from_across, scale_from_tape};
use profile::{Straightened, Unrolled};
use wood::{Caution, Facts, Marks, Px, Scale};

/// How far the bark edge as a whole may be off, as a share of the radius (judged).
const EDGE_SHARE: f64 = 0.015;

/// The scale, a tape before a known width; `None` when neither gives one.
pub(crate) fn scale_of(
    facts: &Facts,
    marks: &Marks,
    straightened: &Straightened,
    unrolled: &Unrolled,
    bark: Option<f64>,
) -> Option<Scale> {
    if let Some(scale) = marks
        .tape
        .as_ref()
        .and_then(|tape| scale_from_tape(tape).ok())
    {
        return Some(scale);
    }
    let radius = straightened.mean_radius(unrolled, bark?);
    scale_from_across(
        radius * 2.0,
        facts.across_inside_bark_mm?,
        Px(radius.0 * EDGE_SHARE),
    )
    .ok()
}

/// The scale, and what to know when there is none.
pub(crate) fn scale(
    facts: &Facts,
    marks: &Marks,
    followed: &Followed,
    cautions: &mut Vec<Caution>,
) -> Option<Scale> {
    let mut say = |about: &str, text: String| {
        cautions.push(Caution {
            about: about.to_owned(),
            text,
        })
    };
    if let Some(Err(error)) = marks.tape.as_ref().map(scale_from_tape) {
        say("tape-unused", format!("the tape gives no scale: {error}"));
    }
    let scale = scale_of(
        facts,
        marks,
        &followed.straightened,
        &followed.unrolled,
        followed.bark,
    );
    if scale.is_none() {
        match facts.across_inside_bark_mm {
            Some(_) => say("across-unused", "the width inside the bark is known, but no bark edge was found in the photo; use --tape".to_owned()),
            None => say("no-scale", "no scale is known, so widths are in pixels; give --across or --tape".to_owned()),
        }
    }
    scale
}
