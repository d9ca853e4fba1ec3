//! The network that sees rings in a strip.

use crate::layers::{Kernel, Rows, along, chance, mix};
use crate::unet::Unet;
use crate::view::{ROWS, STRIP_CHANNELS};
use crate::weights::Weights;
use ndarray::{Array1, Array2, Array3, ArrayViewMut1, Axis, Slice, Zip};
use profile::{Edge, blur_axis};
use rayon::prelude::*;
use std::ops::Range;
use std::sync::LazyLock;

/// What is seen in a strip.
#[derive(Debug, Clone)]
pub struct SeenRings {
    /// Chance that a year ends at a place, `[row, course]`.
    pub ends: Array2<f32>,
    /// Chance that a place is wood, `[row, course]`.
    pub wood: Array2<f32>,
    /// How far a place is seen and what is seen there can be trusted, 0 to 1, `[row, course]`.
    pub visible: Array2<f32>,
    /// Share of the wood that is seen in which lines stand out as in the faces
    /// that the network learned from, 0 to 1.
    pub trusted: f64,
    /// Log of the odds that a year ends on a course, from the whole circle.
    pub courses: Vec<f32>,
    /// How wide rings run at each course, in courses.
    pub spacing: Vec<f32>,
    /// Log weight of each wood class, in the order of `wood::WoodClass::ALL`.
    pub kinds: [f32; 4],
    /// Width of the bump that a lone boundary makes in `courses`: its standard
    /// deviation in courses.
    pub blur: f32,
}

/// The network learned with places near a boundary counting up to four times;
/// chances are brought back by this.
const WEIGHED: f32 = 4.0;

/// The chance of a year's end, from the log of the odds as learned.
#[must_use]
pub fn chance_of_end(log_odds: f32) -> f32 {
    weighed_back(chance(log_odds))
}

/// The chance of a year's end, from the chance as learned.
fn weighed_back(learned: f32) -> f32 {
    learned / (WEIGHED - (WEIGHED - 1.0) * learned)
}

impl SeenRings {
    /// How well the rows round the circle agree on where years end, 0 to 1: of
    /// all that varies along the radius, how much varies alike on all rows.
    #[must_use]
    pub fn agreement(&self) -> f64 {
        agreement(&self.ends, &(&self.visible * &self.wood))
    }

    /// The same around the pith alone: over the inner third of the wood, where
    /// a pith taken in the wrong place bends rings the most.
    #[must_use]
    pub fn agreement_inside(&self) -> f64 {
        let mut weight = &self.visible * &self.wood;
        let rows = weight.nrows() as f32;
        let wood = (0..weight.ncols())
            .rfind(|&course| weight.column(course).sum() > 0.3 * rows)
            .unwrap_or(weight.ncols());
        weight
            .columns_mut()
            .into_iter()
            .skip(wood / 3)
            .for_each(|mut column| column.fill(0.0));
        agreement(&self.ends, &weight)
    }

    /// How clearly rings are seen, 0 to 1: the share of the wood that can be
    /// trusted, and how well the circle agrees there.
    #[must_use]
    pub fn clarity(&self) -> f64 {
        self.trusted * self.agreement()
    }

    /// How wide rings run in the middle of the face, in courses: the median
    /// over all courses of which a tenth of the circle or more is seen as wood.
    #[must_use]
    pub fn usual_spacing(&self) -> f32 {
        let rows = self.visible.nrows() as f32;
        let mut seen: Vec<f32> = (0..self.spacing.len())
            .filter(|&course| {
                let wood = self.wood.column(course);
                let visible = self.visible.column(course);
                wood.iter().zip(visible).map(|(w, v)| w * v).sum::<f32>() > 0.1 * rows
            })
            .map(|course| self.spacing[course])
            .collect();
        seen.sort_by(f32::total_cmp);
        seen.get(seen.len() / 2).copied().unwrap_or(20.0)
    }

    /// What was seen in a strip pooled by `factor`, over the courses it was made of.
    fn over(self, factor: usize, courses: usize) -> Self {
        if factor == 1 {
            self
        } else {
            self.stretched(factor, courses)
        }
    }

    fn stretched(self, factor: usize, courses: usize) -> Self {
        let last = self.courses.len() - 1;
        let at = |course: usize| {
            let at = ((course as f32 + 0.5) / factor as f32 - 0.5).clamp(0.0, last as f32);
            let low = (at as usize).min(last.saturating_sub(1));
            (low, (low + 1).min(last), at - low as f32)
        };
        let line = |line: &[f32], times: f32| -> Vec<f32> {
            (0..courses)
                .map(|course| {
                    let (low, high, part) = at(course);
                    times * (line[low] * (1.0 - part) + line[high] * part)
                })
                .collect()
        };
        let field = |field: &Array2<f32>| {
            Array2::from_shape_fn((field.nrows(), courses), |(row, course)| {
                let (low, high, part) = at(course);
                field[[row, low]] * (1.0 - part) + field[[row, high]] * part
            })
        };
        Self {
            ends: field(&self.ends),
            wood: field(&self.wood),
            visible: field(&self.visible),
            courses: line(&self.courses, 1.0),
            spacing: line(&self.spacing, factor as f32),
            trusted: self.trusted,
            kinds: self.kinds,
            blur: self.blur * factor as f32,
        }
    }
}

/// Stretches of the radius over which the mean is taken for agreement.
const STRETCHES: usize = 12;
/// Groups of rows whose agreement is looked at.
const GROUPS: usize = 16;
/// How far apart the taps of each step along the courses are.
const APART: [usize; 8] = [1, 2, 4, 8, 16, 32, 64, 1];
/// Levels of the network.
const LEVELS: usize = 5;
/// Features of a place that are averaged round the circle.
const FEATURES: usize = 12;

struct Rings {
    unet: Unet,
    places: Kernel,
    kind: Kernel,
    enter: Kernel,
    steps: Vec<[Kernel; 2]>,
    leave: Kernel,
}

static RINGS: LazyLock<Rings> = LazyLock::new(|| {
    let weights = Weights::of(include_bytes!("../weights/rings.safetensors"));
    Rings {
        unet: Unet::of(&weights, LEVELS, Rows::Round),
        places: weights.kernel("places"),
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

/// What the ring network makes of each place of a strip: enough to see the
/// rings again with some places hidden, without running the network.
#[derive(Debug, Clone)]
pub struct Look {
    /// The strip, `[row, channel, course]`, its courses pooled and padded.
    field: Array3<f32>,
    /// What is said of each place, `[row, told, course]`.
    places: Places,
    /// What is seen with nothing hidden, over the pooled courses.
    plain: SeenRings,
    /// Courses of the strip before pooling.
    courses: usize,
    factor: usize,
}

/// What the ring network sees in a strip made by [`crate::strip`], of whose
/// courses `factor` are taken together: fuzz of the wood goes and rings that
/// are wide enough stay.
///
/// # Method
/// Our own network, learned on practice faces alone (`training/`): a small
/// U-shaped one over the strip, whose rows close into a circle, says for each
/// place whether a year ends there; averages and agreement round the circle
/// then go through dilated convolutions along the radius, which know about
/// spacing. Cost: about 5000 multiplications a place.
///
/// # Panics
/// When `strip` does not have the shape that [`crate::strip`] gives.
#[must_use]
pub fn see_rings(strip: &Array3<f32>, factor: usize) -> SeenRings {
    let Look { plain, courses, .. } = look(strip, factor);
    plain.over(factor, courses)
}

/// As [`see_rings`], keeping what is needed to hide places afterwards.
///
/// # Panics
/// As [`see_rings`].
#[must_use]
pub fn look(strip: &Array3<f32>, factor: usize) -> Look {
    let courses = strip.len_of(Axis(2));
    if factor == 1 {
        look_at(strip, factor, courses)
    } else {
        look_at(&pooled(strip, factor), factor, courses)
    }
}

impl Look {
    /// What is seen where `open` is 1, `[row, course]` over the strip that was
    /// looked at, 0 to 1; everywhere with `None`. Hidden places count nowhere in
    /// the circle; what can be trusted elsewhere, and the wood class, stay as
    /// they were judged with everything in view. Cost: a tenth of [`see_rings`].
    #[must_use]
    pub fn rings(&self, open: Option<&Array2<f32>>) -> SeenRings {
        let plain = self.plain.clone();
        let seen = match open {
            None => plain,
            Some(open) => {
                let visible = self.visible(open);
                let mut field = self.field.clone();
                field
                    .index_axis_mut(Axis(1), 2)
                    .slice_axis_mut(Axis(1), Slice::from(..visible.ncols()))
                    .assign(&visible);
                let out = read_courses(&RINGS, &field, &self.places);
                let courses = plain.courses.len();
                SeenRings {
                    visible,
                    courses: out.row(0).iter().take(courses).copied().collect(),
                    spacing: spacing_of(&out, courses),
                    ..plain
                }
            }
        };
        seen.over(self.factor, self.courses)
    }

    /// How far each place of the pooled strip is seen and not hidden.
    fn visible(&self, open: &Array2<f32>) -> Array2<f32> {
        let mut visible = self.plain.visible.clone();
        for ((row, course), value) in visible.indexed_iter_mut() {
            let from = (course * self.factor).min(self.courses);
            let these = from..(from + self.factor).min(self.courses);
            let count = these.len().max(1) as f32;
            *value *= these.map(|at| open[[row, at]]).sum::<f32>() / count;
        }
        visible
    }
}

/// The strip with each `factor` courses averaged.
fn pooled(strip: &Array3<f32>, factor: usize) -> Array3<f32> {
    let (channels, rows, courses) = strip.dim();
    let pooled = (courses / factor).max(1);
    let mut out = Array3::<f32>::zeros((channels, rows, pooled));
    Zip::indexed(out.axis_iter_mut(Axis(1))).par_for_each(|row, mut to| {
        for course in 0..pooled {
            let these = course * factor..((course + 1) * factor).min(courses);
            let seen: f32 = these.clone().map(|c| strip[[2, row, c]]).sum();
            for channel in 0..channels {
                let sum: f32 = these
                    .clone()
                    .map(|c| {
                        let weight = if channel == 2 {
                            1.0
                        } else {
                            strip[[2, row, c]]
                        };
                        weight * strip[[channel, row, c]]
                    })
                    .sum();
                to[[channel, course]] = if channel == 2 {
                    sum / these.len() as f32
                } else if seen > 0.0 {
                    sum / seen
                } else {
                    0.0
                };
            }
        }
    });
    out
}

fn look_at(strip: &Array3<f32>, factor: usize, whole: usize) -> Look {
    let (channels, rows, courses) = strip.dim();
    assert!(
        channels == STRIP_CHANNELS && rows == ROWS,
        "a strip is {STRIP_CHANNELS} by {ROWS} by courses, not {channels} by {rows}"
    );
    let net = &*RINGS;
    let padded = courses.div_ceil(net.unet.factor()) * net.unet.factor();
    let mut field = Array3::<f32>::zeros((rows, channels, padded));
    Zip::indexed(field.axis_iter_mut(Axis(0))).par_for_each(|row, mut to| {
        for channel in 0..channels {
            for course in 0..courses {
                to[[channel, course]] = strip[[channel, row, course]];
            }
        }
    });
    let (top, deepest) = net.unet.run(&field);
    let places = Places::of(mix(&top, &net.places));
    let spacing = spacing_of(&read_courses(net, &field, &places), courses);
    let (visible, trusted) = trusted(&field, &places, &spacing);
    Zip::indexed(field.axis_iter_mut(Axis(0))).par_for_each(|row, mut to| {
        for course in 0..courses {
            to[[2, course]] = visible[[row, course]];
        }
    });
    let out = read_courses(net, &field, &places);
    let plain = SeenRings {
        ends: places
            .ends
            .slice_axis(Axis(1), Slice::from(..courses))
            .mapv(weighed_back),
        wood: places
            .wood
            .slice_axis(Axis(1), Slice::from(..courses))
            .to_owned(),
        blur: 1.0,
        visible,
        trusted,
        courses: out.row(0).iter().take(courses).copied().collect(),
        spacing: spacing_of(&out, courses),
        kinds: kinds(net, &field, &places, &deepest),
    };
    Look {
        plain,
        field,
        places,
        courses: whole,
        factor,
    }
}

/// What the network tells of each place, `[row, channel, course]`, and the
/// chances that its first two channels mean, worked out once.
#[derive(Debug, Clone)]
struct Places {
    told: Array3<f32>,
    /// Chance of a year's end as learned, `[row, course]`.
    ends: Array2<f32>,
    /// Chance of wood, `[row, course]`.
    wood: Array2<f32>,
}

impl Places {
    fn of(told: Array3<f32>) -> Self {
        let chances = |channel: usize| {
            let logits = told.index_axis(Axis(1), channel);
            let mut chances = Array2::zeros(logits.raw_dim());
            Zip::from(chances.rows_mut())
                .and(logits.rows())
                .par_for_each(|mut to, from| {
                    to.zip_mut_with(&from, |to, &from| *to = chance(from))
                });
            chances
        };
        let (ends, wood) = (chances(0), chances(1));
        Self { told, ends, wood }
    }
}

/// What is told of each course from the whole circle: log odds of a year's end,
/// and the logarithm to base 2 of the ring spacing; `[2, course]`.
fn read_courses(net: &Rings, field: &Array3<f32>, places: &Places) -> Array2<f32> {
    let mut line = along(&circle(field, places), &net.enter, 5, 1);
    rectify(&mut line);
    for ([wide, mixed], apart) in net.steps.iter().zip(APART) {
        let mut step = along(&line, wide, 3, apart);
        rectify(&mut step);
        line += &along(&step, mixed, 1, 1);
    }
    rectify(&mut line);
    along(&line, &net.leave, 1, 1)
}

fn spacing_of(read: &Array2<f32>, courses: usize) -> Vec<f32> {
    let log = read.row(1);
    log.iter()
        .take(courses)
        .map(|log| log.clamp(0.5, 8.5).exp2())
        .collect()
}

/// High chances that take up most of the courses are no lines: a face rough
/// from the saw gives a mean chance, weighted by itself, of 0.49 to 0.67 on
/// most of its courses (measured 2026-11-25), where rings that narrow give less.
const CROWDED: (f32, f32) = (0.53, 0.55);
/// Courses that a clear line takes up.
const LINE: f32 = 3.6;
/// How much more than their lines' share of the courses chances may take up.
const DIFFUSE: f32 = 1.6;
/// Rows and courses over which this is looked at (standard deviations).
const CLEAR_OVER: (f32, f32) = (5.0, 12.0);

/// Of all that varies along the radius in `ends`, how much varies alike on all
/// rows, 0 to 1; places count by `weight`, both `[row, course]`.
fn agreement(ends: &Array2<f32>, weight: &Array2<f32>) -> f64 {
    // Weight, sum and sum of squares of each course.
    let mut sums = vec![[0.0_f64; 3]; ends.ncols()];
    for (ends, weight) in ends.rows().into_iter().zip(weight.rows()) {
        for ((sums, &value), &w) in sums.iter_mut().zip(ends).zip(weight) {
            let (value, w) = (f64::from(value), f64::from(w));
            sums[0] += w;
            sums[1] += w * value;
            sums[2] += w * value * value;
        }
    }
    let stretch = (sums.len() / STRETCHES).max(8);
    let (mut alike, mut all) = (0.0_f64, 1e-9_f64);
    for these in sums.chunks(stretch) {
        let these = || these.iter().filter(|sums| sums[0] > 1.0);
        let weight: f64 = these().map(|s| s[0]).sum();
        let mean = these().map(|s| s[1]).sum::<f64>() / weight.max(1e-9);
        for [w, sum, squares] in these() {
            alike += w * (sum / w - mean).powi(2);
            all += squares - 2.0 * mean * sum + w * mean * mean;
        }
    }
    alike / all
}

/// Agreement from which lines that crowd are rings that are narrow, not fuzz:
/// fuzz differs from row to row (measured 2026-11-25: narrow clear rings 0.86
/// and more, faces rough from the saw 0.4 and less).
const AGREED: f64 = 0.75;

/// What is seen and can be trusted, `[row, course]`, and its share of the wood.
///
/// Where the network knows what it sees, chances stand in lines a ring apart;
/// fuzz that it never learned gives an even grey.
fn trusted(field: &Array3<f32>, places: &Places, spacing: &[f32]) -> (Array2<f32>, f64) {
    let shape = (field.len_of(Axis(0)), spacing.len());
    let seen = Array2::from_shape_fn(shape, |(row, course)| field[[row, 2, course]]);
    let ends = Array2::from_shape_fn(shape, |(row, course)| {
        seen[[row, course]] * weighed_back(places.ends[[row, course]])
    });
    let spread = |field: &Array2<f32>| {
        let along = blur_axis(field, Axis(0), CLEAR_OVER.0, Edge::Wrap);
        blur_axis(&along, Axis(1), CLEAR_OVER.1, Edge::Repeat)
    };
    let (mean, square, there) = (spread(&ends), spread(&(&ends * &ends)), spread(&seen));
    let mut out = seen.clone();
    let wood = Array2::from_shape_fn(shape, |(row, course)| {
        seen[[row, course]] * places.wood[[row, course]]
    });
    if agreement(&ends, &wood) > AGREED {
        return (seen, 1.0);
    }
    let (mut clear, mut all) = (0.0_f64, 1e-9_f64);
    for ((row, course), visible) in out.indexed_iter_mut() {
        let at = [row, course];
        let wood = f64::from(wood[at]);
        all += wood;
        let crowded = square[at] / mean[at].max(1e-4);
        // Share of the courses that the chances take up.
        let taken = mean[at] * mean[at] / (square[at] * there[at]).max(1e-6);
        let rough = crowded > CROWDED.0 && taken > CROWDED.1;
        if !rough && taken < DIFFUSE * (LINE / spacing[course]).min(0.6) {
            clear += wood;
        } else {
            *visible = 0.0;
        }
    }
    (out, clear / all)
}

fn rectify(line: &mut Array2<f32>) {
    line.mapv_inplace(|value| value.max(0.0));
}

/// What is gathered of one course round the circle.
#[derive(Clone)]
struct Gathered {
    total: f32,
    /// Features, then five figures, each summed over what is seen.
    means: [f32; FEATURES + 5],
    group_sum: [f32; GROUPS],
    group_seen: [f32; GROUPS],
}

/// Courses gathered at a time: rows lie one after another, so each is read in
/// pieces of whole cache lines.
const TOGETHER: usize = 32;

/// What is told of each course: features averaged round the circle, then nine
/// figures on how the circle agrees; `[feature, course]`.
fn circle(field: &Array3<f32>, places: &Places) -> Array2<f32> {
    let (rows, _, courses) = field.dim();
    let mut out = Array2::<f32>::zeros((FEATURES + 9, courses));
    out.axis_chunks_iter_mut(Axis(1), TOGETHER)
        .into_par_iter()
        .enumerate()
        .for_each(|(nth, mut out)| {
            let start = nth * TOGETHER;
            let all = gather(field, places, start..start + out.ncols());
            for (mut to, gathered) in out.columns_mut().into_iter().zip(&all) {
                told_of(gathered, rows, &mut to);
            }
        });
    out
}

fn gather(field: &Array3<f32>, places: &Places, courses: Range<usize>) -> Vec<Gathered> {
    let rows = field.len_of(Axis(0));
    let by_group = rows / GROUPS;
    let nothing = Gathered {
        total: 1e-3,
        means: [0.0; FEATURES + 5],
        group_sum: [0.0; GROUPS],
        group_seen: [1e-3; GROUPS],
    };
    let mut all = vec![nothing; courses.len()];
    for row in 0..rows {
        let (strip, told) = (
            field.index_axis(Axis(0), row),
            places.told.index_axis(Axis(0), row),
        );
        let strip = strip.slice_axis(Axis(1), Slice::from(courses.clone()));
        let told = told.slice_axis(Axis(1), Slice::from(courses.clone()));
        let (ends, wood) = (places.ends.row(row), places.wood.row(row));
        let ends = ends.slice_axis(Axis(0), Slice::from(courses.clone()));
        let wood = wood.slice_axis(Axis(0), Slice::from(courses.clone()));
        let group = row / by_group;
        for (course, gathered) in all.iter_mut().enumerate() {
            let seen = strip[[2, course]];
            if seen <= 0.0 {
                continue;
            }
            gathered.total += seen;
            let here = ends[course];
            for feature in 0..FEATURES {
                gathered.means[feature] += seen * told[[2 + feature, course]].max(0.0);
            }
            let figures = [
                here,
                told[[0, course]] / 4.0,
                wood[course],
                strip[[0, course]],
                strip[[1, course]],
            ];
            for (mean, figure) in gathered.means[FEATURES..].iter_mut().zip(figures) {
                *mean += seen * figure;
            }
            gathered.group_sum[group] += seen * here;
            gathered.group_seen[group] += seen;
        }
    }
    all
}

fn told_of(gathered: &Gathered, rows: usize, to: &mut ArrayViewMut1<'_, f32>) {
    let by_group = rows / GROUPS;
    for (to, mean) in to.iter_mut().zip(gathered.means) {
        *to = mean / gathered.total;
    }
    to[FEATURES + 5] = (gathered.total - 1e-3) / rows as f32;
    let there: Vec<f32> = (0..GROUPS)
        .filter(|&group| gathered.group_seen[group] > 0.25 * by_group as f32)
        .map(|group| gathered.group_sum[group] / gathered.group_seen[group])
        .collect();
    let count = there.len() as f32 + 1e-3;
    let middle = there.iter().sum::<f32>() / count;
    let spread = there.iter().map(|v| (v - middle).powi(2)).sum::<f32>() / count;
    to[FEATURES + 6] = (spread + 1e-6).sqrt();
    to[FEATURES + 7] = there.iter().map(|v| chance(12.0 * (v - 0.4))).sum::<f32>() / count;
    to[FEATURES + 8] = there.iter().copied().fold(0.0, f32::max);
}

/// The wood class, from the deepest field averaged over the wood that is seen.
fn kinds(net: &Rings, field: &Array3<f32>, places: &Places, deepest: &Array3<f32>) -> [f32; 4] {
    let (rows, channels, columns) = deepest.dim();
    let factor = net.unet.factor();
    let mut mean = Array1::<f32>::zeros(channels);
    let mut total = 1e-3_f32;
    for row in 0..rows {
        for column in 0..columns {
            let mut weight = 0.0;
            for r in row * factor..(row + 1) * factor {
                for c in column * factor..(column + 1) * factor {
                    weight += field[[r, 2, c]] * places.wood[[r, c]];
                }
            }
            weight /= (factor * factor) as f32;
            total += weight;
            for channel in 0..channels {
                mean[channel] += weight * deepest[[row, channel, column]];
            }
        }
    }
    mean /= total;
    let out = net.kind.weight.dot(&mean) + &net.kind.bias;
    [out[0], out[1], out[2], out[3]]
}
