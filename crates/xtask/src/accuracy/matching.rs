//! Matching found boundaries with true ones.

use std::collections::BTreeSet;
use wood::Point;

/// Steps of angle around the true pith at which distances are compared: one
/// every 3 degrees, as in the truth of rendered faces.
pub(crate) const STEPS: usize = 120;

/// Distances of a closed line from a middle at [`STEPS`] even angles,
/// clockwise from +x; `None` where the line is not there.
pub(crate) type Distances = Vec<Option<f64>>;

/// Distances of a found outline from the *true* pith at any angle: the line
/// between the two found places on either side, if they are near enough.
pub(crate) struct Line {
    /// Angle in turns (0 to 1) and distance in pixels, by angle.
    places: Vec<(f64, f64)>,
    /// Places further apart than this, in turns, have a gap between them.
    gap: f64,
}

impl Line {
    pub(crate) fn around(pith: Point, outline: &[Option<Point>]) -> Self {
        let mut places: Vec<(f64, f64)> = outline
            .iter()
            .flatten()
            .map(|place| {
                let turn = pith.angle_to(*place).0 / std::f64::consts::TAU;
                (turn.rem_euclid(1.0), pith.distance(*place).0)
            })
            .collect();
        places.sort_by(|a, b| a.0.total_cmp(&b.0));
        Self {
            places,
            gap: 2.5 / outline.len().max(1) as f64,
        }
    }

    /// The distance at an angle in turns; `None` in a gap.
    pub(crate) fn at(&self, turn: f64) -> Option<f64> {
        let turn = turn.rem_euclid(1.0);
        let count = self.places.len();
        if count < 2 {
            return None;
        }
        let above = self.places.partition_point(|place| place.0 < turn);
        let low = self.places.get((above + count).checked_sub(1)? % count)?;
        let high = self.places.get(above % count)?;
        let span = (high.0 - low.0).rem_euclid(1.0);
        if span > self.gap {
            return None;
        }
        let share = if span > 0.0 {
            (turn - low.0).rem_euclid(1.0) / span
        } else {
            0.0
        };
        Some(low.1 + share * (high.1 - low.1))
    }

    pub(crate) fn distances(&self) -> Distances {
        (0..STEPS)
            .map(|step| self.at(step as f64 / STEPS as f64))
            .collect()
    }
}

/// Which of the found boundaries are true ones: matched one to one, the
/// nearest pairs first, where the median distance between the two over all
/// angles that show both is less than a quarter of that ring's mean width.
///
/// `widths_px`: mean width of each true ring; `least_common`: how many angles must
/// show both lines for them to be compared.
pub(crate) fn matched(
    truth: &[Distances],
    widths_px: &[f64],
    found: &[Distances],
    least_common: usize,
) -> Vec<bool> {
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for (t, (line, width)) in truth.iter().zip(widths_px).enumerate() {
        for (f, other) in found.iter().enumerate() {
            let mut apart: Vec<f64> = line
                .iter()
                .zip(other)
                .filter_map(|(a, b)| Some((a.as_ref()? - b.as_ref()?).abs()))
                .collect();
            if apart.len() < least_common {
                continue;
            }
            apart.sort_by(f64::total_cmp);
            let median = apart[apart.len() / 2];
            if median < width / 4.0 {
                pairs.push((median / width, t, f));
            }
        }
    }
    let true_ones = one_to_one(pairs);
    (0..found.len()).map(|f| true_ones.contains(&f)).collect()
}

/// By how much found boundaries lie outside (above 0) or inside the true ones,
/// in ring widths: the median over true rings of the median distance to the
/// nearest found one, where that is within half a ring. It distinguishes a boundary
/// taken in the wrong place in every ring from one that is missed.
pub(crate) fn shift(truth: &[Distances], widths_px: &[f64], found: &[Distances]) -> Option<f64> {
    let mut shifts: Vec<f64> = truth
        .iter()
        .zip(widths_px)
        .filter_map(|(line, width)| {
            found
                .iter()
                .filter_map(|other| {
                    let apart: Vec<f64> = line
                        .iter()
                        .zip(other)
                        .filter_map(|(a, b)| Some((*b)? - (*a)?))
                        .collect();
                    median(apart)
                })
                .min_by(|a, b| a.abs().total_cmp(&b.abs()))
                .map(|px| px / width)
                .filter(|share| share.abs() < 0.5)
        })
        .collect();
    shifts.sort_by(f64::total_cmp);
    shifts.get(shifts.len() / 2).copied()
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}

/// How far marks made by hand may be off, in pixels.
const BY_HAND_PX: f64 = 3.0;

/// How many marks along a radius are matched by found crossings, one to one: an
/// end within three tenths of the narrower ring beside it, or within what the
/// hand may be off.
pub(crate) fn matched_to_marks(marks: &[f64], found: &[f64]) -> usize {
    let mut pairs = Vec::new();
    for (nth, at) in marks.iter().enumerate() {
        let inside = at - nth.checked_sub(1).map_or(0.0, |i| marks[i]);
        let outside = marks.get(nth + 1).map_or(inside, |next| next - at);
        let reach = (0.3 * inside.min(outside)).max(BY_HAND_PX);
        for (f, other) in found.iter().enumerate() {
            let apart = (at - other).abs();
            if apart <= reach {
                pairs.push((apart / reach, nth, f));
            }
        }
    }
    one_to_one(pairs).len()
}

/// The second members of the nearest pairs, each member used once.
fn one_to_one(mut pairs: Vec<(f64, usize, usize)>) -> BTreeSet<usize> {
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)).then(a.2.cmp(&b.2)));
    let mut used_truth = BTreeSet::new();
    let mut used_found = BTreeSet::new();
    for (_, t, f) in pairs {
        if !used_truth.contains(&t) && !used_found.contains(&f) {
            used_truth.insert(t);
            used_found.insert(f);
        }
    }
    used_found
}

/// F1 of boundaries: twice what is matched over all there are on both sides.
pub(crate) fn f1(matched: usize, truth: usize, found: usize) -> f64 {
    if truth + found == 0 {
        return 1.0;
    }
    2.0 * matched as f64 / (truth + found) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn circle(radius: f64) -> Distances {
        vec![Some(radius); STEPS]
    }

    #[test]
    fn a_boundary_within_a_quarter_ring_is_found_and_one_beyond_is_not() {
        let truth = [circle(10.0), circle(20.0)];
        for (found, count) in [
            (vec![circle(12.4), circle(20.0)], 2),
            (vec![circle(12.6), circle(20.0)], 1),
            (vec![circle(19.0), circle(20.0), circle(21.0)], 1),
            (vec![], 0),
        ] {
            let right = matched(&truth, &[10.0, 10.0], &found, 3);
            assert_eq!(right.iter().filter(|right| **right).count(), count);
        }
    }

    #[test]
    fn a_shift_is_reported_in_ring_widths_with_its_side() {
        let truth = [circle(10.0), circle(20.0), circle(30.0)];
        let found = [circle(13.0), circle(23.0), circle(33.0)];
        let shift = shift(&truth, &[10.0; 3], &found).unwrap();
        assert!((shift - 0.3).abs() < 1e-9);
    }

    #[test]
    fn an_outline_around_another_middle_is_measured_from_the_true_pith() {
        // A circle of radius 50 around (3, 0), seen from (0, 0).
        let outline: Vec<Option<Point>> = (0..120)
            .map(|step| {
                let angle = f64::from(step) / 120.0 * std::f64::consts::TAU;
                Some(Point::new(3.0 + 50.0 * angle.cos(), 50.0 * angle.sin()))
            })
            .collect();
        let line = Line::around(Point::new(0.0, 0.0), &outline);
        assert!((line.at(0.0).unwrap() - 53.0).abs() < 0.1);
        assert!((line.at(0.5).unwrap() - 47.0).abs() < 0.1);
    }

    #[test]
    fn a_gap_in_an_outline_stays_a_gap() {
        let mut outline: Vec<Option<Point>> = vec![None; 120];
        outline[0] = Some(Point::new(10.0, 0.0));
        let line = Line::around(Point::new(0.0, 0.0), &outline);
        assert_eq!(line.at(0.25), None);
        assert_eq!(Line::around(Point::new(0.0, 0.0), &[]).at(0.1), None);
    }

    #[test]
    fn along_a_radius_each_boundary_is_matched_once() {
        assert_eq!(
            matched_to_marks(&[100.0, 200.0, 300.0], &[105.0, 190.0, 210.0, 335.0]),
            2
        );
    }
}
