//! Where a place in the unrolled stump is in the photo: each ring becomes a
//! level band as high as the ring's mean width.

use wood::{Point, Reading};

/// The rings of a reading as level courses.
#[derive(Debug)]
pub(super) struct Courses {
    pith: Point,
    /// Height of the inner edge of the first course above the pith, in photo pixels.
    pub(super) bottom_px: f64,
    /// Height of each course's upper edge above the pith, in photo pixels.
    pub(super) tops_px: Vec<f64>,
    /// For each step of angle: heights and the distances from the pith they
    /// stand for, both rising.
    knots: Vec<Vec<(f64, f64)>>,
}

impl Courses {
    /// The courses of a reading; `None` when it has no rings with outlines.
    pub(super) fn of(reading: &Reading) -> Option<Self> {
        let pith = reading.pith.as_ref()?.point();
        let first = reading.rings.first()?;
        let steps = first.outline_px.len();
        if steps < 3 {
            return None;
        }
        let bottom_px = (first.radius_px.0 - first.width_px.0).max(0.0);
        let mut tops_px = Vec::with_capacity(reading.rings.len());
        let mut top = bottom_px;
        for ring in &reading.rings {
            // No course is thinner than this, or its line could not be seen.
            top += ring.width_px.0.max(0.5);
            tops_px.push(top);
        }
        let radii: Vec<Vec<Option<f64>>> = reading
            .rings
            .iter()
            .map(|ring| closed(pith, &ring.outline_px, steps))
            .collect();
        let knots = (0..steps)
            .map(|step| {
                let mut knots = vec![(0.0, 0.0)];
                for (ring, top) in radii.iter().zip(&tops_px) {
                    let Some(radius) = ring[step] else {
                        continue;
                    };
                    if knots.last().is_some_and(|last| radius > last.1) {
                        knots.push((*top, radius));
                    }
                }
                knots
            })
            .collect();
        Some(Self {
            pith,
            bottom_px,
            tops_px,
            knots,
        })
    }

    /// Number of steps of angle around the circle.
    pub(super) fn steps(&self) -> usize {
        self.knots.len()
    }

    /// Distances from the pith that heights (rising or falling, photo pixels)
    /// stand for at one step of angle.
    pub(super) fn radii(&self, step: usize, heights: &[f64]) -> Vec<f64> {
        let knots = &self.knots[step % self.knots.len()];
        heights
            .iter()
            .map(|height| radius_at(knots, *height))
            .collect()
    }

    /// The place in the photo at a share of the whole turn and a distance from the pith.
    pub(super) fn place(&self, turn: f64, radius_px: f64) -> Point {
        let angle = turn * std::f64::consts::TAU;
        self.pith.toward(wood::Angle(angle), wood::Px(radius_px))
    }
}

/// Distances of an outline from the pith at each step; where it is not seen,
/// on a straight line around the circle between the nearest steps where it is,
/// so that neighboring columns of the picture never jump. All `None` only
/// where the outline is seen nowhere.
fn closed(pith: Point, outline: &[Option<Point>], steps: usize) -> Vec<Option<f64>> {
    let seen: Vec<Option<f64>> = (0..steps)
        .map(|step| {
            let place = outline.get(step).copied().flatten()?;
            Some(pith.distance(place).0)
        })
        .collect();
    (0..steps)
        .map(|step| {
            let before = (0..steps).find_map(|n| Some((n, seen[(step + steps - n) % steps]?)))?;
            let after = (0..steps).find_map(|n| Some((n, seen[(step + n) % steps]?)))?;
            let gap = before.0 + after.0;
            let share = if gap == 0 {
                0.0
            } else {
                before.0 as f64 / gap as f64
            };
            Some(before.1 + share * (after.1 - before.1))
        })
        .collect()
}

/// Straight lines between the knots; beyond the last one, on at the same rate.
fn radius_at(knots: &[(f64, f64)], height: f64) -> f64 {
    let above = knots.partition_point(|knot| knot.0 < height);
    match (
        above.checked_sub(1).and_then(|i| knots.get(i)),
        knots.get(above),
    ) {
        (Some(low), Some(high)) => {
            let share = (height - low.0) / (high.0 - low.0).max(1e-9);
            low.1 + share * (high.1 - low.1)
        }
        (Some(low), None) if low.0 > 0.0 => height * low.1 / low.0,
        (Some(_), None) => height,
        (None, _) => height.max(0.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gap_in_an_outline_is_closed_around_the_circle() {
        let pith = Point::new(0.0, 0.0);
        let at = |distance: f64| Some(Point::new(distance, 0.0));
        let outline = [at(10.0), None, None, at(16.0), None];
        let radii: Vec<f64> = closed(pith, &outline, 5).into_iter().flatten().collect();
        assert_eq!(radii.len(), 5);
        for (radius, expected) in radii.iter().zip([10.0, 12.0, 14.0, 16.0, 13.0]) {
            assert!((radius - expected).abs() < 1e-9, "{radii:?}");
        }
        assert!(closed(pith, &[None, None], 2).iter().all(Option::is_none));
    }

    #[test]
    fn between_rings_the_distance_runs_straight_and_beyond_them_on() {
        let knots = [(0.0, 0.0), (10.0, 20.0), (20.0, 30.0)];
        for (height, radius) in [
            (0.0, 0.0),
            (5.0, 10.0),
            (10.0, 20.0),
            (15.0, 25.0),
            (40.0, 60.0),
        ] {
            assert!(
                (radius_at(&knots, height) - radius).abs() < 1e-9,
                "{height}"
            );
        }
    }
}
