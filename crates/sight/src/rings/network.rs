//! The network itself: its weights, what it gives for each place, and what of
//! each course from the whole circle.

use super::resampled;
use crate::field::Field;
use crate::kernel::Kernel;
use crate::layers::{Rows, along, chance, mix};
use crate::unet::Unet;
use crate::weights::{self, Weights};
use ndarray::{Array2, ArrayViewMut1, Axis, Zip};
use rayon::prelude::*;
use std::ops::Range;
use std::sync::LazyLock;
use wood::WoodClass;

/// Groups of rows whose agreement is looked at. As `training/nets.py` has it.
const GROUPS: usize = 16;
/// Levels of the network. As `training/nets.py` has it.
const LEVELS: usize = 5;
/// How far apart the taps of each step along the courses are. As `training/nets.py` has
/// it.
const APART: [usize; 8] = [1, 2, 4, 8, 16, 32, 64, 1];
/// Features of a place that are averaged around the circle. As `training/nets.py` has
/// it.
const FEATURES: usize = 12;
/// Figures on how the circle agrees at a course. As `training/nets.py` has it.
const FIGURES: usize = 9;
/// Wood classes, of which the given one is shown to the network.
const CLASSES: usize = WoodClass::ALL.len();

pub(super) struct Rings {
    unet: Unet,
    kind: Kernel,
    enter: Kernel,
    steps: Vec<[Kernel; 2]>,
    leave: Kernel,
}

pub(super) static RINGS: LazyLock<Rings> = LazyLock::new(|| {
    let weights = Weights::of(weights::rings());
    Rings {
        unet: Unet::of(&weights, LEVELS, Rows::Round),
        kind: weights.kernel("kind"),
        enter: weights.kernel("enter"),
        steps: (0..APART.len())
            .map(|step| {
                [
                    weights.kernel(&format!("along.{step}.wide")),
                    weights.kernel(&format!("along.{step}.mix")),
                ]
            })
            .collect(),
        leave: weights.kernel("leave"),
    }
});

impl Rings {
    /// By how much the courses of a strip must divide.
    pub(super) fn factor(&self) -> usize {
        self.unet.factor()
    }

    /// What the network gives for each place of a strip, and the deepest field.
    pub(super) fn places(&self, field: &Field) -> (Places, Field) {
        let (output, deepest) = self.unet.run(field);
        (Places::of(output), deepest)
    }

    /// The wood class, from the deepest field averaged over the wood that is
    /// `visible`, `[row, course]`.
    pub(super) fn kinds(
        &self,
        visible: &Array2<f32>,
        places: &Places,
        deepest: &Field,
    ) -> [f32; 4] {
        let (rows, channels, columns) = deepest.dim();
        let factor = self.factor();
        let mut mean = vec![0.0_f32; channels];
        let mut total = 1e-3_f32;
        for row in 0..rows {
            for column in 0..columns {
                let mut weight = 0.0;
                for r in row * factor..(row + 1) * factor {
                    for c in column * factor..((column + 1) * factor).min(visible.ncols()) {
                        weight += visible[[r, c]] * places.wood[[r, c]];
                    }
                }
                weight /= (factor * factor) as f32;
                total += weight;
                for (channel, mean) in mean.iter_mut().enumerate() {
                    *mean += weight * deepest[[row, channel, column]];
                }
            }
        }
        let mean = Field::of((1, channels, 1), |_, to| {
            for (channel, mean) in mean.iter().enumerate() {
                to.line_mut(channel)[0] = mean / total;
            }
        });
        let out = mix(&mean, &self.kind);
        std::array::from_fn(|kind| out[[0, kind, 0]])
    }
}

/// What the network gives for each place, `[row, channel, course]`, and the
/// chances that its first two channels mean, worked out once.
#[derive(Debug, Clone)]
pub(super) struct Places {
    output: Field,
    /// Chance of a year's end as learned, `[row, course]`.
    pub(super) ends: Array2<f32>,
    /// Chance of wood, `[row, course]`.
    pub(super) wood: Array2<f32>,
    /// How far what is seen can be relied on, 0 to 1, `[row, course]`.
    pub(super) reliable: Array2<f32>,
}

impl Places {
    fn of(output: Field) -> Self {
        let chances = |channel: usize| {
            let (rows, _, courses) = output.dim();
            let mut chances = Array2::zeros((rows, courses));
            Zip::indexed(chances.rows_mut()).par_for_each(|row, to| {
                let logits = output.row(row).line(channel);
                to.into_iter()
                    .zip(logits)
                    .for_each(|(to, &from)| *to = chance(from));
            });
            chances
        };
        let (ends, wood, reliable) = (chances(0), chances(1), chances(2 + FEATURES));
        Self {
            output,
            ends,
            wood,
            reliable,
        }
    }
}

impl Places {
    /// The same along the places `from` each row, `[row, column]`.
    pub(super) fn along(&self, from: &Array2<f32>) -> Self {
        Self {
            output: self.output.along(from),
            ends: resampled(&self.ends, from),
            wood: resampled(&self.wood, from),
            reliable: resampled(&self.reliable, from),
        }
    }
}

/// What the network gives for each course from the whole circle: log odds of a year's end,
/// and the logarithm to base 2 of the ring spacing; `[2, course]`. Places count as
/// far as they are `visible` and can be relied on, `[row, course]`; `given` is the wood class that a
/// person named.
pub(super) fn read_courses(
    net: &Rings,
    field: &Field,
    visible: &Array2<f32>,
    places: &Places,
    given: Option<WoodClass>,
) -> Array2<f32> {
    let mut line = along(&circle(field, visible, places, given), &net.enter, 5, 1);
    rectify(&mut line);
    for ([wide, mixed], apart) in net.steps.iter().zip(APART) {
        let mut step = along(&line, wide, 3, apart);
        rectify(&mut step);
        line += &along(&step, mixed, 1, 1);
    }
    rectify(&mut line);
    along(&line, &net.leave, 1, 1)
}

pub(super) fn spacing_of(read: &Array2<f32>, courses: usize) -> Vec<f32> {
    let log = read.row(1);
    log.iter()
        .take(courses)
        .map(|log| log.clamp(0.5, 8.5).exp2())
        .collect()
}

fn rectify(line: &mut Array2<f32>) {
    line.mapv_inplace(|value| value.max(0.0));
}

/// Courses gathered at a time: each row is elsewhere, so each is read in pieces
/// that are worth going there for.
const TOGETHER: usize = 128;

/// What is gathered of some courses around the circle.
struct Gathered {
    total: [f32; TOGETHER],
    /// Features, then five figures, each summed over what is seen.
    means: [[f32; TOGETHER]; FEATURES + 5],
    group_sum: [[f32; TOGETHER]; GROUPS],
    group_seen: [[f32; TOGETHER]; GROUPS],
}

/// What the network gives for each course: features averaged around the circle, then nine
/// figures on how the circle agrees, then 1 for the wood class that is given and
/// 0 for the others; `[feature, course]`.
fn circle(
    field: &Field,
    visible: &Array2<f32>,
    places: &Places,
    given: Option<WoodClass>,
) -> Array2<f32> {
    let (rows, _, courses) = field.dim();
    let mut out = Array2::<f32>::zeros((FEATURES + FIGURES + CLASSES, courses));
    if let Some(nth) = WoodClass::ALL
        .iter()
        .position(|&class| Some(class) == given)
    {
        out.row_mut(FEATURES + FIGURES + nth).fill(1.0);
    }
    out.axis_chunks_iter_mut(Axis(1), TOGETHER)
        .into_par_iter()
        .enumerate()
        .for_each(|(nth, mut out)| {
            let start = nth * TOGETHER;
            let gathered = gather(field, visible, places, start..start + out.ncols());
            for (nth, mut to) in out.columns_mut().into_iter().enumerate() {
                values_of_course(&gathered, nth, rows, &mut to);
            }
        });
    out
}

fn gather(
    field: &Field,
    visible: &Array2<f32>,
    places: &Places,
    courses: Range<usize>,
) -> Gathered {
    let (rows, _, _) = field.dim();
    let by_group = rows / GROUPS;
    let mut all = Gathered {
        total: [1e-3; TOGETHER],
        means: [[0.0; TOGETHER]; FEATURES + 5],
        group_sum: [[0.0; TOGETHER]; GROUPS],
        group_seen: [[1e-3; TOGETHER]; GROUPS],
    };
    for row in 0..rows {
        let of = |channel: usize| part(field.row(row).line(channel), &courses);
        let output = |channel: usize| part(places.output.row(row).line(channel), &courses);
        let seen = part(row_of(visible, row), &courses);
        if seen.iter().all(|&seen| seen == 0.0) {
            continue;
        }
        let ends = part(row_of(&places.ends, row), &courses);
        let wood = part(row_of(&places.wood, row), &courses);
        let group = row / by_group;
        add(&mut all.total, seen, seen, |_| 1.0);
        add(&mut all.group_sum[group], seen, ends, |end| end);
        add(&mut all.group_seen[group], seen, seen, |_| 1.0);
        let (features, figures) = all.means.split_at_mut(FEATURES);
        for (nth, sum) in features.iter_mut().enumerate() {
            add(sum, seen, output(2 + nth), |value| value.max(0.0));
        }
        add(&mut figures[0], seen, ends, |end| end);
        add(&mut figures[1], seen, output(0), |odds| odds / 4.0);
        add(&mut figures[2], seen, wood, |wood| wood);
        add(&mut figures[3], seen, of(0), |value| value);
        add(&mut figures[4], seen, of(1), |value| value);
    }
    all
}

/// A row of a field.
pub(super) fn row_of(field: &Array2<f32>, row: usize) -> &[f32] {
    let row = field.row(row).to_slice();
    row.expect("fields made here lie in one piece")
}

/// Some courses of a line, as far as it goes.
fn part<'a>(line: &'a [f32], courses: &Range<usize>) -> &'a [f32] {
    &line[courses.start.min(line.len())..courses.end.min(line.len())]
}

/// Adds values to sums, each as far as it is seen.
#[inline]
fn add(sums: &mut [f32; TOGETHER], seen: &[f32], values: &[f32], of: impl Fn(f32) -> f32) {
    for ((sum, seen), &value) in sums.iter_mut().zip(seen).zip(values) {
        *sum += seen * of(value);
    }
}

fn values_of_course(all: &Gathered, nth: usize, rows: usize, to: &mut ArrayViewMut1<'_, f32>) {
    let by_group = rows / GROUPS;
    for (to, mean) in to.iter_mut().zip(&all.means) {
        *to = mean[nth] / all.total[nth];
    }
    to[FEATURES + 5] = (all.total[nth] - 1e-3) / rows as f32;
    let there: Vec<f32> = (0..GROUPS)
        .filter(|&group| all.group_seen[group][nth] > 0.25 * by_group as f32)
        .map(|group| all.group_sum[group][nth] / all.group_seen[group][nth])
        .collect();
    let count = there.len() as f32 + 1e-3;
    let middle = there.iter().sum::<f32>() / count;
    let spread = there.iter().map(|v| (v - middle).powi(2)).sum::<f32>() / count;
    to[FEATURES + 6] = (spread + 1e-6).sqrt();
    to[FEATURES + 7] = there.iter().map(|v| chance(12.0 * (v - 0.4))).sum::<f32>() / count;
    to[FEATURES + 8] = there.iter().copied().fold(0.0, f32::max);
}
