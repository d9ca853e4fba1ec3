//! The network that sees rings in a strip.

use crate::field::{Field, between};
use crate::layers::chance;
use crate::view::{ROWS, SEEN, STRIP_CHANNELS, StripView};
use ndarray::{Array2, Array3, Axis, Slice, Zip};
use network::{Places, RINGS, read_courses, row_of, spacing_of};
use profile::{Lines, more_rows};
use trust::{agreement, reliable_share};
use wood::WoodClass;

mod network;
mod trust;

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
    /// The share of the circle that the rows take, over 0 to 1.
    pub circle_share: f64,
}

/// Share of the circle under which what is seen is one strip: 36 degrees (chosen).
const ONE_STRIP: f32 = 0.1;

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
    /// How well the rows around the circle agree on where years end, 0 to 1: of
    /// all that varies along the radius, how much varies alike on all rows.
    #[must_use]
    pub fn agreement(&self) -> f64 {
        agreement(&self.ends, &self.trust())
    }

    /// The same around the pith alone: over the inner third of the wood, where
    /// a pith taken in the wrong place bends rings the most.
    #[must_use]
    pub fn agreement_inside(&self) -> f64 {
        let mut weight = self.trust();
        weight
            .columns_mut()
            .into_iter()
            .skip(self.last_wood() / 3)
            .for_each(|mut column| column.fill(0.0));
        agreement(&self.ends, &weight)
    }

    /// How far a place is wood that is seen and can be trusted, 0 to 1,
    /// `[row, course]`.
    fn trust(&self) -> Array2<f32> {
        &self.visible * &self.wood
    }

    /// The ends of years as lines to straighten along.
    #[must_use]
    pub fn lines(&self, mend_slips: bool) -> Lines<'_> {
        Lines {
            ends: &self.ends,
            trust: self.trust(),
            outside: &self.visible * &self.wood.mapv(|wood| 1.0 - wood),
            spacing: self.usual_spacing(),
            mend_slips,
        }
    }

    /// The last course that is seen as wood on three tenths of the rows, or of what
    /// is seen where that is one strip.
    #[must_use]
    pub fn last_wood(&self) -> usize {
        let courses = self.wood.ncols();
        let least = 0.3_f32.min(0.3 * self.strip_share());
        (0..courses)
            .rfind(|&course| self.seen_as_wood(course) > least)
            .unwrap_or(courses)
    }

    /// The share of the rows that a strip takes on most courses; 1 where more than a
    /// strip is seen.
    fn strip_share(&self) -> f32 {
        let rows = self.visible.nrows() as f32;
        let mut shares: Vec<f32> = (0..self.visible.ncols())
            .map(|course| self.visible.column(course).sum() / rows)
            .filter(|&share| share > 0.0)
            .collect();
        shares.sort_by(f32::total_cmp);
        match shares.get(shares.len() / 2) {
            Some(&share) if share * (self.circle_share as f32) < ONE_STRIP => share,
            _ => 1.0,
        }
    }

    /// The share of the rows on which a course is seen as wood, 0 to 1.
    fn seen_as_wood(&self, course: usize) -> f32 {
        let wood = self.wood.column(course).into_iter();
        let visible = self.visible.column(course);
        let sum: f32 = wood.zip(visible).map(|(w, v)| w * v).sum();
        sum / self.wood.nrows() as f32
    }

    /// How clearly rings are seen, 0 to 1: the share of the wood that can be
    /// trusted, and how well the circle agrees there.
    #[must_use]
    pub fn clarity(&self) -> f64 {
        self.trusted * self.agreement()
    }

    /// How wide rings run in the middle of the face, in courses: the median
    /// over all courses that a tenth of the rows or more see as wood, or of
    /// what is seen where that is one strip.
    #[must_use]
    pub fn usual_spacing(&self) -> f32 {
        let least = 0.1_f32.min(0.3 * self.strip_share());
        let mut seen: Vec<f32> = (0..self.spacing.len())
            .filter(|&course| self.seen_as_wood(course) > least)
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
        let at = |course: usize| (course as f32 + 0.5) / factor as f32 - 0.5;
        let line = |line: &[f32], times: f32| -> Vec<f32> {
            (0..courses)
                .map(|course| times * between(line, at(course)))
                .collect()
        };
        let field = |field: &Array2<f32>| {
            Array2::from_shape_fn((field.nrows(), courses), |(row, course)| {
                between(row_of(field, row), at(course))
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
            circle_share: self.circle_share,
        }
    }
}

/// What the ring network makes of each place of a strip: enough to see the
/// rings again with some places hidden, without running the network.
#[derive(Debug, Clone)]
pub struct SeenPlaces {
    /// The strip, its courses pooled and padded.
    field: Field,
    /// What the network gives for each place, `[row, output, course]`.
    places: Places,
    /// What is seen with nothing hidden, over the pooled courses.
    plain: SeenRings,
    /// Courses of the strip before pooling.
    courses: usize,
    factor: usize,
}

/// What the ring network sees in a strip made by [`crate::strip`], of whose
/// courses `factor` are taken together: noise of the wood goes and rings that
/// are wide enough stay.
///
/// # Method
/// Our own network, learned on drawn faces and real photos (`training/`): a small
/// U-shaped one over the strip, whose rows close into a circle, says for each
/// place whether a year ends there; averages and agreement around the circle
/// then go through dilated convolutions along the radius, which know about
/// spacing. Cost: about 12,000 multiplications a place.
///
/// # Panics
/// When `strip` does not have the shape that [`crate::strip`] gives.
#[must_use]
pub fn see_rings(strip: &StripView, factor: usize) -> SeenRings {
    see_places(strip, factor).rings(None, None)
}

/// As [`see_rings`], keeping what is needed to hide places afterwards.
///
/// # Panics
/// As [`see_rings`].
#[must_use]
pub fn see_places(strip: &StripView, factor: usize) -> SeenPlaces {
    let courses = strip.channels.len_of(Axis(2));
    if factor == 1 {
        see_places_of(strip, factor, courses)
    } else {
        see_places_of(&pooled(strip, factor), factor, courses)
    }
}

impl SeenPlaces {
    /// What is seen where `open` is 1, `[row, course]` over the strip that was
    /// looked at, 0 to 1; everywhere with `None`. Hidden places count nowhere in
    /// the circle; what can be relied on elsewhere, and the wood class seen, stay as
    /// they were judged with everything in view. `given` is the wood class, where a
    /// person named it. Cost: a tenth of [`see_rings`].
    #[must_use]
    pub fn rings(&self, open: Option<&Array2<f32>>, given: Option<WoodClass>) -> SeenRings {
        let plain = self.plain.clone();
        let seen = if open.is_none() && given.is_none() {
            plain
        } else {
            let visible = match open {
                Some(open) => self.visible(open),
                None => plain.visible,
            };
            let out = read_courses(&RINGS, &self.field, &visible, &self.places, given);
            let courses = plain.courses.len();
            SeenRings {
                visible,
                courses: out.row(0).iter().take(courses).copied().collect(),
                spacing: spacing_of(&out, courses),
                ..plain
            }
        };
        seen.over(self.factor, self.courses)
    }

    /// The same look along other courses: `shifts` says what to add to a course to come
    /// to the place of this look that is seen there, `[sector, course]`, the sectors even
    /// and clockwise from the first row. The network is not run again on the strip.
    #[must_use]
    pub fn shifted(&self, shifts: &Array2<f32>) -> Self {
        let (rows, _, padded) = self.field.dim();
        let courses = self.plain.courses.len();
        let shifts = more_rows(shifts, rows / shifts.nrows());
        // Where each course of each row is seen, in pooled courses.
        let from = Array2::from_shape_fn((rows, padded), |(row, course)| {
            let whole = (course * self.factor + self.factor / 2).min(shifts.ncols() - 1);
            let shift = shifts[[row, whole]];
            (course as f32 + shift / self.factor as f32).clamp(0.0, padded as f32 - 1.0)
        });
        let field = self.field.along(&from);
        let places = self.places.along(&from);
        let plain = &self.plain;
        let narrow = from.slice_axis(Axis(1), Slice::from(..courses)).to_owned();
        let visible = resampled(&plain.visible, &narrow);
        let out = read_courses(&RINGS, &field, &visible, &places, None);
        let plain = SeenRings {
            ends: resampled(&plain.ends, &narrow),
            wood: resampled(&plain.wood, &narrow),
            visible,
            courses: out.row(0).iter().take(courses).copied().collect(),
            spacing: spacing_of(&out, courses),
            ..plain.clone()
        };
        Self {
            field,
            places,
            plain,
            courses: self.courses,
            factor: self.factor,
        }
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

/// Each row of a field read at the places `from` it, `[row, column]`, linear between
/// its columns.
fn resampled(field: &Array2<f32>, from: &Array2<f32>) -> Array2<f32> {
    Array2::from_shape_fn(from.dim(), |(row, column)| {
        between(row_of(field, row), from[[row, column]])
    })
}

/// The strip with each `factor` courses averaged.
fn pooled(view: &StripView, factor: usize) -> StripView {
    let strip = &view.channels;
    let (channels, rows, courses) = strip.dim();
    let pooled = (courses / factor).max(1);
    let mut out = Array3::<f32>::zeros((channels, rows, pooled));
    Zip::indexed(out.axis_iter_mut(Axis(1))).par_for_each(|row, mut to| {
        for course in 0..pooled {
            let these = course * factor..((course + 1) * factor).min(courses);
            let seen: f32 = these.clone().map(|c| strip[[SEEN, row, c]]).sum();
            for channel in 0..channels {
                let sum: f32 = these
                    .clone()
                    .map(|c| {
                        let weight = if channel == SEEN {
                            1.0
                        } else {
                            strip[[SEEN, row, c]]
                        };
                        weight * strip[[channel, row, c]]
                    })
                    .sum();
                to[[channel, course]] = if channel == SEEN {
                    sum / these.len() as f32
                } else if seen > 0.0 {
                    sum / seen
                } else {
                    0.0
                };
            }
        }
    });
    StripView {
        channels: out,
        ..*view
    }
}

fn see_places_of(view: &StripView, factor: usize, whole: usize) -> SeenPlaces {
    let strip = &view.channels;
    let (channels, rows, courses) = strip.dim();
    assert!(
        channels == STRIP_CHANNELS && rows == ROWS,
        "a strip is {STRIP_CHANNELS} by {ROWS} by courses, not {channels} by {rows}"
    );
    let padded = courses.div_ceil(RINGS.factor()) * RINGS.factor();
    let field = Field::of((rows, channels, padded), |row, to| {
        for (channel, plane) in strip.axis_iter(Axis(0)).enumerate() {
            let to = to.line_mut(channel).iter_mut();
            to.zip(plane.row(row)).for_each(|(to, from)| *to = *from);
        }
    });
    let (places, deepest) = RINGS.places(&field);
    let seen = strip.index_axis(Axis(0), SEEN);
    let mut visible = Array2::zeros((rows, courses));
    Zip::from(&mut visible)
        .and(&seen)
        .and(places.reliable.slice_axis(Axis(1), Slice::from(..courses)))
        .for_each(|to, seen, reliable| *to = seen * reliable);
    let trusted = reliable_share(&seen, &visible, &places);
    let out = read_courses(&RINGS, &field, &visible, &places, None);
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
        kinds: RINGS.kinds(&visible, &places, &deepest),
        visible,
        trusted,
        courses: out.row(0).iter().take(courses).copied().collect(),
        spacing: spacing_of(&out, courses),
        circle_share: view.circle_share,
    };
    SeenPlaces {
        plain,
        field,
        places,
        courses: whole,
        factor,
    }
}
