//! What is under a person's marks: the level rings as they were found, kept
//! so that paint and bark marks can be put on and taken off without following
//! the rings again.

use crate::bark_marks;
use crate::first_pass::far_marks;
use crate::strips;
use ndarray::{Array2, Zip};
use profile::{
    BarkEdge, Levelness, RadialProfile, Straightened, Unrolled, find_bark_edge, radial_profile,
};
use sight::{ROWS, SeenPlaces, SeenRings, SeenScene};
use wood::{Marks, Point, Polygon, WoodClass};

/// Share of the circle in which the bark edge must be seen for the face to be whole.
/// Chosen: a third of the edge gives the end of the rings on all sides once they run
/// level.
const WHOLE: f64 = 0.35;

/// How much longer than the straight way from the pith to the farthest side of the
/// photo a radius may be that runs there obliquely: one over the cosine of twenty
/// degrees. What is beyond shows in the corners alone and is not counted.
const OBLIQUE: f64 = 1.064;

/// A face whose rings run level, before anything is marked on it.
#[derive(Debug)]
pub(crate) struct UnmarkedFace {
    /// How far each sample is seen, `[angle, course]`.
    bare: Array2<f32>,
    /// The chance that a place is wood, `[row, course]`.
    wood: Array2<f32>,
    /// What the network made of each place.
    places: SeenPlaces,
    scene: SeenScene,
    /// How far from the pith rings are counted where no bark is seen, in steps.
    counted_to: f64,
}

/// Where the wood may be read, and where it ends.
pub(crate) struct Bounds {
    pub(crate) edge: BarkEdge,
    /// The course of the bark edge, where most of it is seen.
    pub(crate) bark: Option<f64>,
    /// The last course that can be read.
    pub(crate) to: f64,
    pub(crate) profile: RadialProfile,
}

impl UnmarkedFace {
    pub(crate) fn new(
        unrolled: &Unrolled,
        straightened: &Straightened,
        scene: SeenScene,
        places: SeenPlaces,
        (width, height): (u32, u32),
    ) -> Self {
        let pith = unrolled.pith;
        let farthest_side_px = pith
            .x_px
            .max(pith.y_px)
            .max(f64::from(width) - pith.x_px)
            .max(f64::from(height) - pith.y_px);
        Self {
            counted_to: OBLIQUE * farthest_side_px / unrolled.step_px,
            bare: straightened.seen.clone(),
            wood: wood_of(&scene, unrolled, straightened),
            places,
            scene,
        }
    }

    /// What the whole photo shows.
    pub(crate) fn scene(&self) -> &SeenScene {
        &self.scene
    }

    /// Whether a bark mark shows that the face is larger than was found, so that the
    /// photo must be read again.
    pub(crate) fn is_larger(&self, bark: &[Point]) -> bool {
        far_marks(&self.scene, bark)
    }

    /// Hides the marked areas, and nothing else.
    pub(crate) fn hide(
        &self,
        areas: &[Vec<Point>],
        unrolled: &Unrolled,
        straightened: &mut Straightened,
    ) {
        straightened.seen.assign(&self.bare);
        if areas.is_empty() {
            return;
        }
        let areas: Vec<Polygon> = areas.iter().cloned().map(Polygon::new).collect();
        Zip::indexed(straightened.seen.rows_mut())
            .and(straightened.radius.rows())
            .par_for_each(|row, mut seen, radius| {
                let place = unrolled.ray(row as f64);
                for (seen, &radius) in seen.iter_mut().zip(radius) {
                    let place = place(f64::from(radius));
                    if areas.iter().any(|area| area.holds(place)) {
                        *seen = 0.0;
                    }
                }
            });
    }

    /// The rings that the network sees in what is not hidden; `given` is the wood class
    /// where the person named it.
    pub(crate) fn rings(
        &self,
        areas: &[Vec<Point>],
        given: Option<WoodClass>,
        straightened: &Straightened,
    ) -> SeenRings {
        if areas.is_empty() {
            return self.places.rings(None, given);
        }
        let (angles, courses) = self.bare.dim();
        let pooled = (angles / ROWS).max(1);
        let open = Array2::from_shape_fn((ROWS, courses), |(row, course)| {
            let sum = |field: &Array2<f32>| -> f32 {
                (row * pooled..(row + 1) * pooled)
                    .map(|angle| field[[angle, course]])
                    .sum()
            };
            let bare = sum(&self.bare);
            if bare > 0.0 {
                sum(&straightened.seen) / bare
            } else {
                1.0
            }
        });
        self.places.rings(Some(&open), given)
    }

    /// The course beyond which the photo shows only its corners: a person counts
    /// along a radius to a side of the photo, and so does a reading.
    fn corners_from(&self, straightened: &Straightened) -> f64 {
        let rows = straightened.radius.nrows();
        let mut courses: Vec<f64> = (0..rows)
            .step_by(rows / ROWS)
            .map(|row| straightened.course_at(row, self.counted_to as f32))
            .collect();
        courses.sort_by(f64::total_cmp);
        courses[courses.len() / 2]
    }

    /// Finds the bark edge in what is not hidden, lets marks on it rule, and
    /// hides all outside it.
    pub(crate) fn bounds(
        &self,
        marks: &Marks,
        seen: &SeenRings,
        unrolled: &Unrolled,
        straightened: &mut Straightened,
        level: &Levelness,
    ) -> Bounds {
        let mut edge = find_bark_edge(&self.wood, &seen.wood, &seen.ends, straightened);
        let strip_end = marks.strip.as_ref().map(|strip| {
            let at_bark = strips::ends_at_bark(strip, marks, Some(&self.scene));
            strips::end(strip, at_bark, &mut edge, unrolled, straightened)
        });
        if strip_end.is_none() {
            bark_marks::bark_edge(&mut edge, &marks.bark, unrolled, straightened);
        }
        edge.hide_outside(straightened);
        let bark = match strip_end {
            Some(end) => end.bark,
            None if edge.seen_share() >= WHOLE => edge.median_course(),
            None => None,
        };
        let profile = radial_profile(straightened, level);
        if let Some(strips::End { course, .. }) = strip_end {
            return Bounds {
                edge,
                bark,
                to: bark.unwrap_or(course),
                profile,
            };
        }
        Bounds {
            to: bark
                .unwrap_or_else(|| last_readable(&profile).min(self.corners_from(straightened))),
            edge,
            bark,
            profile,
        }
    }
}

/// The chance that a place is wood, `[row, course]`, as the whole photo shows it.
fn wood_of(scene: &SeenScene, unrolled: &Unrolled, straightened: &Straightened) -> Array2<f32> {
    let (angles, courses) = straightened.courses.dim();
    let pooled = angles / ROWS;
    let mut wood = Array2::zeros((ROWS, courses));
    Zip::indexed(wood.rows_mut()).par_for_each(|row, mut wood| {
        let angle = row * pooled + pooled / 2;
        for (course, wood) in wood.iter_mut().enumerate() {
            *wood = scene.wood_at(straightened.place(unrolled, angle, course as f64));
        }
    });
    wood
}

/// Share of the circle that is worth averaging. Chosen: five rows of 256.
const LEAST_SHARE: f32 = 0.02;

/// The first course of which a part of the circle worth averaging is seen.
pub(crate) fn first_readable(profile: &RadialProfile) -> f64 {
    let first = profile.seen.iter().position(|&share| share > LEAST_SHARE);
    first.unwrap_or(0) as f64
}

/// The last one.
fn last_readable(profile: &RadialProfile) -> f64 {
    let last = profile.seen.iter().rposition(|&share| share > LEAST_SHARE);
    last.unwrap_or(1) as f64
}
