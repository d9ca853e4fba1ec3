//! The bark edge as a person's marks on it draw it.

use profile::{BarkEdge, Straightened, Unrolled};
use std::f64::consts::TAU;
use wood::Point;

/// How far a lone mark on the bark edge bends it to each side, in radians (chosen).
const BARK_REACH: f64 = 30.0 / 360.0 * TAU;
/// Between marks on the bark edge no further apart than this, the edge runs
/// evenly from one to the other: four around the face show all of it (chosen).
const BARK_SPAN: f64 = 100.0 / 360.0 * TAU;

/// Draws the bark edge through the marked places. Between two marks less than
/// a hundred degrees apart it runs from one's course to the other's, whatever
/// was found there; to the side of a lone mark the correction fades within
/// thirty degrees.
pub(crate) fn bark_edge(
    edge: &mut BarkEdge,
    marks: &[Point],
    unrolled: &Unrolled,
    straightened: &Straightened,
) {
    let last = straightened.courses.ncols() as f32 - 1.0;
    let (mut marked, mut off) = (Vec::new(), Vec::new());
    for place in marks {
        let (row, radius) = unrolled.locate(*place);
        let row = (row as usize).min(unrolled.angles() - 1);
        let angle = unrolled.angle(row as f64).0;
        let course = straightened.course_at(row, radius as f32);
        marked.push((angle, course));
        off.push((angle, course - f64::from(edge.course_at(row))));
    }
    let rows = unrolled.angles() as f64;
    for block in 0..edge.course.len() {
        let angle = (block * edge.block + edge.block / 2) as f64 / rows * TAU;
        let found = f64::from(edge.course[block]);
        let course = between(&marked, angle).or_else(|| fading(&off, angle).map(|off| found + off));
        if let Some(course) = course {
            edge.course[block] = (course as f32).clamp(1.0, last.max(1.0));
            edge.seen[block] = true;
        }
    }
}

/// The bark edge as far as marks show it, seen from a pith.
pub(crate) struct MarkedBark {
    pith: Point,
    /// Angle and distance of each mark.
    marked: Vec<(f64, f64)>,
}

/// How far outside the marked bark edge the photo is still looked at, as a
/// share of the distance from the pith (chosen).
const BEYOND_MARKS: f64 = 1.06;

impl MarkedBark {
    pub(crate) fn around(pith: Point, marks: &[Point]) -> Self {
        let widened = |mark: &Point| {
            let angle = pith.angle_to(*mark).0.rem_euclid(TAU);
            (angle, pith.distance(*mark).0 * BEYOND_MARKS)
        };
        Self {
            pith,
            marked: marks.iter().map(widened).collect(),
        }
    }

    /// Distance of the farthest mark, in photo pixels.
    pub(crate) fn farthest_px(&self) -> f64 {
        self.marked.iter().map(|mark| mark.1).fold(0.0, f64::max)
    }

    /// Whether a place is within the edge, on a side that has marks.
    pub(crate) fn holds(&self, place: Point) -> bool {
        let angle = self.pith.angle_to(place).0.rem_euclid(TAU);
        let edge = between(&self.marked, angle).or_else(|| beside(&self.marked, angle));
        edge.is_some_and(|edge| self.pith.distance(place).0 <= edge)
    }
}

/// The value of the nearest mark, as far to its sides as it bends the edge.
fn beside(marked: &[(f64, f64)], angle: f64) -> Option<f64> {
    let (before, after) = neighbors(marked, angle)?;
    let near = if before.0 <= after.0 { before } else { after };
    (near.0 < BARK_REACH).then_some(near.1)
}

/// The value at an angle between two near marks; `None` where there are none.
fn between(marked: &[(f64, f64)], angle: f64) -> Option<f64> {
    let (before, after) = neighbors(marked, angle)?;
    let span = before.0 + after.0;
    // A lone mark is its own neighbor on both sides, a whole turn apart.
    (marked.len() > 1 && span <= BARK_SPAN).then(|| {
        let share = if span > 0.0 { before.0 / span } else { 0.0 };
        before.1 + share * (after.1 - before.1)
    })
}

/// The correction beside the nearest mark; `None` where none reaches.
fn fading(off: &[(f64, f64)], angle: f64) -> Option<f64> {
    let (before, after) = neighbors(off, angle)?;
    let near = if before.0 <= after.0 { before } else { after };
    (near.0 < BARK_REACH).then(|| near.1 * (1.0 - near.0 / BARK_REACH))
}

/// The nearest entries anticlockwise and clockwise: how far away, and their value.
pub(crate) fn neighbors(around: &[(f64, f64)], angle: f64) -> Option<((f64, f64), (f64, f64))> {
    let nearest = |away: &dyn Fn(f64) -> f64| {
        around
            .iter()
            .map(|(at, value)| (away(*at).rem_euclid(TAU), *value))
            .min_by(|a, b| a.0.total_cmp(&b.0))
    };
    Some((nearest(&|at| angle - at)?, nearest(&|at| at - angle)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lone_bark_mark_fades_to_its_sides_and_two_near_ones_are_joined() {
        let lone = [(1.0, 12.0)];
        assert!((fading(&lone, 1.0).unwrap() - 12.0).abs() < 1e-9);
        assert!((fading(&lone, 1.0 + BARK_REACH / 2.0).unwrap() - 6.0).abs() < 1e-9);
        assert_eq!(fading(&lone, 3.0), None);
        assert_eq!(between(&lone, 1.0), None);
        // Over the turn from 359 to 1 degree too.
        let two = [(0.1, 10.0), (TAU - 0.1, 20.0)];
        assert!((between(&two, 0.0).unwrap() - 15.0).abs() < 1e-9);
        assert_eq!(between(&two, 3.0), None, "far from both");
        assert_eq!(between(&[], 0.0), None);
    }
}
