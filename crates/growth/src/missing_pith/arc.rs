//! The radius of a ring from a chord across its arc.

use crate::GrowthError;
use wood::Mm;

/// The radius of a ring, measured on a piece of its arc.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArcRadius {
    /// From the pith to the ring itself, at the top of the arc.
    pub radius: Mm,
    /// From the pith to the middle of the chord: the missing distance when the
    /// chord lies on the broken inner edge.
    pub from_chord: Mm,
    /// Change of the radius for a change of the chord, dr/dL.
    pub per_chord: f64,
    /// Change of the radius for a change of the height, dr/dh: large and below
    /// zero for a flat arc.
    pub per_height: f64,
}

impl ArcRadius {
    /// One standard deviation of the radius when chord and height were each
    /// measured with that of `chord_sd` and `height_sd`, independently.
    #[must_use]
    pub fn uncertainty(&self, chord_sd: Mm, height_sd: Mm) -> Mm {
        Mm((self.per_chord * chord_sd.0).hypot(self.per_height * height_sd.0))
    }
}

/// The radius of a ring from a chord across its arc and the arc's height above
/// that chord.
///
/// # Errors
/// [`GrowthError::NotALength`] when either is not above zero.
///
/// # Method
/// r = L²/(8h) + h/2: Duncan 1989, New Zealand Natural Sciences 16: 31–37
/// (form from memory; it is the circle's own identity).
pub fn radius_from_arc(chord: Mm, height: Mm) -> Result<ArcRadius, GrowthError> {
    for (what, length) in [("chord", chord), ("height of the arc", height)] {
        if !(length.0.is_finite() && length.0 > 0.0) {
            return Err(GrowthError::NotALength {
                what,
                value: length.0,
            });
        }
    }
    let radius = chord.0 * chord.0 / (8.0 * height.0) + height.0 / 2.0;
    Ok(ArcRadius {
        radius: Mm(radius),
        from_chord: Mm(radius - height.0),
        per_chord: chord.0 / (4.0 * height.0),
        per_height: 0.5 - chord.0 * chord.0 / (8.0 * height.0 * height.0),
    })
}
