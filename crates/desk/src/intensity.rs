//! The radial intensity profile beside the unrolled stump: the same numbers as the
//! file that `count --out` writes, at the courses of the unrolled picture.

use serde::Serialize;
use wood::IntensityProfile;

/// Places at most: the page has fewer rows of pixels.
const MOST_PLACES: usize = 2400;

/// The mean lightness (L*, 0 to 100) along the rings at rising courses; `None` where
/// too little of the ring is seen.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct IntensityInfo {
    /// The reading that it belongs to.
    pub(crate) revision: u64,
    pub(crate) courses: Vec<f64>,
    pub(crate) lightness: Vec<Option<f64>>,
}

/// A profile at the courses of the unrolled picture. `boundaries` holds the course of
/// each ring's outer boundary, pith first; beyond the last one, a course is `step_px`
/// photo pixels.
pub(crate) fn info(
    profile: &IntensityProfile,
    boundaries: &[f64],
    step_px: f64,
    revision: u64,
) -> IntensityInfo {
    let mut knots = vec![(0.0, 0.0)];
    for (boundary, course) in profile.boundaries.iter().zip(boundaries) {
        let (from_pith, last) = (boundary.from_pith_px.0, knots[knots.len() - 1]);
        if from_pith > last.0 && *course > last.1 {
            knots.push((from_pith, *course));
        }
    }
    let each = profile.places.len().div_ceil(MOST_PLACES).max(1);
    let mut info = IntensityInfo {
        revision,
        courses: Vec::new(),
        lightness: Vec::new(),
    };
    for some in profile.places.chunks(each) {
        let from_pith =
            some.iter().map(|place| place.from_pith_px.0).sum::<f64>() / some.len() as f64;
        let seen: Vec<f64> = some.iter().filter_map(|place| place.lightness).collect();
        let mean = seen.iter().sum::<f64>() / seen.len() as f64;
        info.courses
            .push(hundredths(course_at(&knots, from_pith, step_px)));
        info.lightness
            .push((!seen.is_empty()).then(|| hundredths(mean)));
    }
    info
}

/// The course at a distance from the pith, between the knots on either side.
fn course_at(knots: &[(f64, f64)], from_pith: f64, step_px: f64) -> f64 {
    let above = knots.partition_point(|knot| knot.0 < from_pith);
    let (inner, outer) = (
        knots.get(above.saturating_sub(1)).copied(),
        knots.get(above).copied(),
    );
    match (inner, outer) {
        (Some(inner), Some(outer)) if outer.0 > inner.0 => {
            inner.1 + (outer.1 - inner.1) * (from_pith - inner.0) / (outer.0 - inner.0)
        }
        (Some(last), None) => last.1 + (from_pith - last.0) / step_px,
        (Some(only), _) => only.1,
        (None, _) => 0.0,
    }
}

fn hundredths(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use wood::{IntensityPlace, ProfileBoundary, Px};

    fn profile(places: usize) -> IntensityProfile {
        let boundary = |number: u32, px: f64| ProfileBoundary {
            number,
            year: None,
            from_pith_px: Px(px),
            is_doubtful: false,
        };
        IntensityProfile {
            places: (0..places)
                .map(|index| IntensityPlace {
                    from_pith_px: Px(index as f64 * 44.0 / (places - 1) as f64),
                    lightness: (index % 4 != 3).then_some(50.0 + index as f64 / places as f64),
                    seen: 1.0,
                })
                .collect(),
            boundaries: vec![boundary(1, 10.0), boundary(2, 40.0)],
        }
    }

    #[test]
    fn boundaries_are_at_their_courses_and_what_is_between_in_proportion() {
        let info = info(&profile(45), &[5.0, 15.0], 2.0, 7);
        assert_eq!(info.revision, 7);
        for (index, course) in [(0, 0.0), (5, 2.5), (10, 5.0), (25, 10.0), (40, 15.0)] {
            assert!((info.courses[index] - course).abs() < 0.01, "{index}");
        }
        assert!((info.courses[44] - 17.0).abs() < 0.01, "beyond the last");
        assert_eq!(info.lightness[3], None);
        assert_eq!(info.lightness[0], Some(50.0));
    }

    #[test]
    fn a_long_profile_is_averaged_and_keeps_its_order() {
        let info = info(&profile(6001), &[5.0, 15.0], 2.0, 1);
        assert!(info.courses.len() <= MOST_PLACES && info.courses.len() > 1900);
        assert_eq!(info.courses.len(), info.lightness.len());
        assert!(info.courses.windows(2).all(|pair| pair[0] <= pair[1]));
        assert!(info.lightness.iter().all(Option::is_some));
    }
}
