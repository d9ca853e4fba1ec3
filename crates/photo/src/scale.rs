//! The size of a pixel on the face, from a length that the person knows.

use wood::{Mm, MmPerPx, Px, Scale, ScaleSource, Tape};

/// How far off a person places one end of a tape, in pixels of the photo: one
/// standard deviation. Chosen: a fingertip's or a mouse's aim on a zoomed
/// photo, and about the width of a tape's line.
pub const TAPE_END_PX: f64 = 2.0;

/// The shortest distance between the two ends that gives a scale, in pixels.
/// Chosen: below it the placing alone makes the scale a tenth or more uncertain.
const SHORTEST_TAPE_PX: f64 = 28.0;

/// Why a known length gives no scale.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ScaleError {
    /// The ends are too near to each other, or not at any place.
    #[error("the two ends of the known length are only {pixels:.0} pixels apart")]
    TooShort {
        /// The distance between the ends, in pixels.
        pixels: f64,
    },
    /// The length is not above zero.
    #[error("the known length is {mm} mm, which is no length")]
    NoLength {
        /// The length as given, in millimeters.
        mm: f64,
    },
    /// The width of the face could not be measured in the photo.
    #[error("the width of the face in the photo is not known")]
    NoWidth,
}

impl ScaleError {
    /// What to do, as shown after `try:`.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            Self::TooShort { .. } => {
                "use two marks on the tape that lie far apart, best from edge to edge of the face"
            }
            Self::NoLength { .. } => "give a length above zero with its unit, as in 24in or 61cm",
            Self::NoWidth => {
                "give the scale by two places on a tape in the photo and the length between them"
            }
        }
    }
}

/// The scale of a photo from two places on a tape and the length between them.
///
/// # Errors
/// [`ScaleError::TooShort`] below 28 pixels, [`ScaleError::NoLength`] for a
/// length that is not above zero.
///
/// # Method
/// Length over distance. Each end is placed with an error of [`TAPE_END_PX`]
/// along the tape, independent of the other, so the distance is uncertain by
/// the square root of two times that; the tape itself is taken as exact. Good
/// only for a tape that is on the face and a camera square to it.
///
/// # Example
/// ```
/// use wood::{Mm, Point, Tape};
/// let tape = Tape {
///     from: Point::new(100.0, 200.0),
///     to: Point::new(400.0, 600.0),
///     length_mm: Mm(250.0),
/// };
/// let scale = photo::scale_from_tape(&tape).unwrap();
/// assert_eq!(scale.mm_per_px, wood::MmPerPx(0.5));
/// assert!((scale.uncertainty - 0.005657).abs() < 1e-6);
/// ```
pub fn scale_from_tape(tape: &Tape) -> Result<Scale, ScaleError> {
    let pixels = tape.from.distance(tape.to);
    if !(pixels.0.is_finite() && pixels.0 >= SHORTEST_TAPE_PX) {
        return Err(ScaleError::TooShort { pixels: pixels.0 });
    }
    Ok(Scale {
        mm_per_px: mm_per_px(tape.length_mm, pixels)?,
        from: ScaleSource::Tape,
        uncertainty: std::f64::consts::SQRT_2 * TAPE_END_PX / pixels.0,
    })
}

/// The scale of a photo from the known width of the face inside the bark.
///
/// `mean_diameter_px`: the face's mean diameter inside the bark as found in
/// the photo. `edge_uncertainty_px`: how far out or in the whole edge may have
/// been taken, one standard deviation of the radius.
///
/// # Errors
/// [`ScaleError::NoWidth`] for a diameter that is not above zero,
/// [`ScaleError::NoLength`] for a width that is not.
///
/// # Method
/// Width over diameter. An edge that was taken too far out (bark read as wood)
/// is so all round, so its error counts on both sides, twice, and does not
/// average out.
pub fn scale_from_across(
    mean_diameter_px: Px,
    across: Mm,
    edge_uncertainty_px: Px,
) -> Result<Scale, ScaleError> {
    if !(mean_diameter_px.0.is_finite() && mean_diameter_px.0 > 0.0) {
        return Err(ScaleError::NoWidth);
    }
    Ok(Scale {
        mm_per_px: mm_per_px(across, mean_diameter_px)?,
        from: ScaleSource::Across,
        uncertainty: 2.0 * edge_uncertainty_px.0.abs() / mean_diameter_px.0,
    })
}

fn mm_per_px(length: Mm, distance: Px) -> Result<MmPerPx, ScaleError> {
    if length.0.is_finite() && length.0 > 0.0 {
        Ok(MmPerPx(length.0 / distance.0))
    } else {
        Err(ScaleError::NoLength { mm: length.0 })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use wood::Point;

    fn tape(pixels: f64, mm: f64) -> Tape {
        Tape {
            from: Point::new(10.0, 10.0),
            to: Point::new(10.0, 10.0 + pixels),
            length_mm: Mm(mm),
        }
    }

    #[test]
    fn a_longer_tape_gives_a_surer_scale() {
        let short = scale_from_tape(&tape(100.0, 50.0)).unwrap();
        let long = scale_from_tape(&tape(1000.0, 500.0)).unwrap();
        assert_eq!(short.mm_per_px, long.mm_per_px);
        assert!((short.uncertainty / long.uncertainty - 10.0).abs() < 1e-9);
        // Two errors of 2 px over 100 px.
        assert!((short.uncertainty - 0.028_284).abs() < 1e-6);
    }

    #[test]
    fn a_tape_without_length_or_distance_is_refused() {
        for pixels in [0.0, 5.0, f64::NAN, f64::INFINITY] {
            assert!(matches!(
                scale_from_tape(&tape(pixels, 50.0)),
                Err(ScaleError::TooShort { .. })
            ));
        }
        for mm in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(matches!(
                scale_from_tape(&tape(500.0, mm)),
                Err(ScaleError::NoLength { .. })
            ));
        }
    }

    #[test]
    fn a_known_width_gives_the_scale_and_counts_the_edge_twice() {
        let scale = scale_from_across(Px(2400.0), Mm::from_inches(24.0), Px(12.0)).unwrap();
        assert!((scale.mm_per_px.0 - 0.254).abs() < 1e-12);
        assert!((scale.uncertainty - 0.01).abs() < 1e-12);
        for width in [0.0, -3.0, f64::NAN] {
            assert_eq!(
                scale_from_across(Px(width), Mm(600.0), Px(1.0)),
                Err(ScaleError::NoWidth)
            );
        }
    }
}
