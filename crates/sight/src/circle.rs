//! What the places of each course say together, once round the circle.

use crate::layers::chance;
use ndarray::parallel::prelude::*;
use ndarray::{Array2, Array3, ArrayViewMut1, Axis};
use std::ops::Range;

/// Groups of rows whose agreement is looked at.
const GROUPS: usize = 16;
/// Features of a place that are averaged round the circle.
const FEATURES: usize = 12;

/// What is told of each course: features averaged round the circle, then nine
/// figures on how the circle agrees; `[feature, course]`.
pub(crate) fn circle(
    field: &Array3<f32>,
    visible: &Array2<f32>,
    places: &Array3<f32>,
) -> Array2<f32> {
    let courses = field.len_of(Axis(2));
    let mut out = Array2::<f32>::zeros((courses, FEATURES + 9));
    out.axis_chunks_iter_mut(Axis(0), AT_ONCE)
        .into_par_iter()
        .enumerate()
        .for_each(|(nth, mut to)| {
            let from = nth * AT_ONCE;
            let these = from..from + to.nrows();
            let rounds = rounds(field, visible, places, these);
            for (mut to, round) in to.rows_mut().into_iter().zip(&rounds) {
                round.told(&mut to, field.len_of(Axis(0)));
            }
        });
    out.reversed_axes().as_standard_layout().into_owned()
}

/// Courses that are gone through together: a row of each plane at a time lies
/// close together in memory.
const AT_ONCE: usize = 64;

/// Sums of one course round the circle.
#[derive(Clone, Copy)]
struct Round {
    total: f32,
    group_sum: [f32; GROUPS],
    group_seen: [f32; GROUPS],
    means: [f32; FEATURES + 5],
}

impl Round {
    const NOTHING: Self = Self {
        total: 1e-3,
        group_sum: [0.0; GROUPS],
        group_seen: [1e-3; GROUPS],
        means: [0.0; FEATURES + 5],
    };

    /// The features of a course, from its sums.
    fn told(&self, to: &mut ArrayViewMut1<'_, f32>, rows: usize) {
        let by_group = (rows / GROUPS) as f32;
        for (to, mean) in to.iter_mut().zip(self.means) {
            *to = mean / self.total;
        }
        to[FEATURES + 5] = (self.total - 1e-3) / rows as f32;
        let there: Vec<f32> = (0..GROUPS)
            .filter(|&group| self.group_seen[group] > 0.25 * by_group)
            .map(|group| self.group_sum[group] / self.group_seen[group])
            .collect();
        let count = there.len() as f32 + 1e-3;
        let middle = there.iter().sum::<f32>() / count;
        let spread = there.iter().map(|v| (v - middle).powi(2)).sum::<f32>() / count;
        to[FEATURES + 6] = (spread + 1e-6).sqrt();
        to[FEATURES + 7] = there.iter().map(|v| chance(12.0 * (v - 0.4))).sum::<f32>() / count;
        to[FEATURES + 8] = there.iter().copied().fold(0.0, f32::max);
    }
}

/// The sums of some courses, row by row.
fn rounds(
    field: &Array3<f32>,
    visible: &Array2<f32>,
    places: &Array3<f32>,
    courses: Range<usize>,
) -> Vec<Round> {
    let rows = field.len_of(Axis(0));
    let by_group = rows / GROUPS;
    let mut rounds = vec![Round::NOTHING; courses.len()];
    for row in 0..rows {
        let (field, places) = (
            field.index_axis(Axis(0), row),
            places.index_axis(Axis(0), row),
        );
        let visible = visible.row(row);
        for (round, course) in rounds.iter_mut().zip(courses.clone()) {
            let seen = visible[course];
            if seen <= 0.0 {
                continue;
            }
            round.total += seen;
            let ends = places[[0, course]];
            let here = chance(ends);
            for feature in 0..FEATURES {
                round.means[feature] += seen * places[[2 + feature, course]].max(0.0);
            }
            round.means[FEATURES] += seen * here;
            round.means[FEATURES + 1] += seen * ends / 4.0;
            round.means[FEATURES + 2] += seen * chance(places[[1, course]]);
            round.means[FEATURES + 3] += seen * field[[0, course]];
            round.means[FEATURES + 4] += seen * field[[1, course]];
            round.group_sum[row / by_group] += seen * here;
            round.group_seen[row / by_group] += seen;
        }
    }
    rounds
}
