//! Examples from drawn faces, whose rings are known exactly.

use super::file::{self, Head, NOT_WOOD, StripHead, WOOD};
use super::scenes::{self, Known};
use super::unrolled;
use anyhow::anyhow;
use photo::Face;
use practice::{DressedPlaces, Outline, Recipe, StripTruth, Truth};
use profile::{
    Directions, Fineness, StraightenParams, Straightened, Unrolled, flatten, radial_profile,
    straighten, straighten_along, usual_spacing,
};
use rand::{Rng, RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use std::path::Path;
use wood::{Point, Px, Strip};

/// Random parts of each face that are seen small.
const PARTS: usize = 2;

/// How a face is prepared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Prepared {
    /// All of it, as the accuracy suite draws faces.
    All,
    /// Nobody prepared it.
    Nothing,
    /// One strip or two; the rest is rough from the saw.
    Strips,
}

/// Writes one drawn face.
///
/// # Errors
/// When the file cannot be written.
pub(super) fn write(seed: u64, prepared: Prepared, out: &Path) -> anyhow::Result<()> {
    let recipe = match prepared {
        Prepared::All => Recipe::random(seed),
        Prepared::Nothing => Recipe::rough(seed),
        Prepared::Strips => Recipe::dressed(seed),
    };
    let drawn = practice::render(&recipe);
    let bytes = practice::jpeg(&drawn.rgb, recipe.troubles.jpeg_quality);
    let truth = drawn.truth;
    drop(drawn.rgb);
    let face = photo::open(&bytes, &photo::Limits::default())
        .map_err(|error| anyhow!("face {seed} cannot be opened: {error}"))?;
    let radius_px = recipe.in_range().radius_px();
    let true_pith = Point::from(truth.pith);
    let mut body = Vec::new();
    let bark = Bark::of(&truth, true_pith);
    let known = Known {
        pith: (truth.readable && truth.hollow_radius_px <= 0.0).then_some(true_pith),
        radius_px,
        wood: &|place| bark.wood_at(place),
    };
    let mut dice = ChaCha8Rng::seed_from_u64(seed);
    let scenes = scenes::views(&face, &known, PARTS, &mut dice, &mut body);
    let dressed = DressedPlaces::of(&recipe);
    let lesson = Lesson {
        face: &face,
        truth: &truth,
        dressed: dressed.as_ref(),
        directions: Directions::of(&face.lightness),
        pith: jittered(&truth, radius_px, seed),
        fineness: if seed.is_multiple_of(3) {
            Fineness::FINEST
        } else {
            Fineness::FULL
        },
    };
    let mut strips = Vec::new();
    if truth.readable {
        lesson.strips(None, &mut strips, &mut body);
        // A strip that a person marked: nothing else is looked at.
        if let Some(strip) = truth.strips.first() {
            let marked = marked(strip, &mut dice);
            lesson.strips(Some(&marked), &mut strips, &mut body);
        }
    }
    let head = Head {
        seed,
        photo: None,
        rough: prepared != Prepared::All,
        dressed: dressed.is_some(),
        class: Some(truth.wood as usize),
        scenes,
        strips,
    };
    file::write(&out.join(format!("{seed}.example")), &head, &body)
}

/// A strip as a person marks it: both ends a little off, somewhat wider or narrower.
fn marked(strip: &StripTruth, dice: &mut impl Rng) -> Strip {
    let length = Point::from(strip.from).distance(Point::from(strip.to)).0;
    let mut near = |place: [f64; 2]| {
        let mut off = || 0.02 * length * dice.random_range(-1.0..1.0);
        Point::new(place[0] + off(), place[1] + off())
    };
    Strip::to_read(
        near(strip.from),
        near(strip.to),
        Some(Px(strip.width_px * dice.random_range(0.6..2.0))),
    )
}

/// A face to make strips of.
struct Lesson<'a> {
    face: &'a Face,
    truth: &'a Truth,
    dressed: Option<&'a DressedPlaces>,
    directions: Directions,
    pith: Point,
    fineness: Fineness,
}

impl Lesson<'_> {
    /// The straightened rings as a reading sees them at its first look and after it
    /// straightened them again: of the whole face, or of a marked strip alone.
    fn strips(&self, marked: Option<&Strip>, strips: &mut Vec<StripHead>, body: &mut Vec<u8>) {
        let reach = Px(reach(self.truth));
        let unrolled = unrolled(self.face, self.pith, reach, marked, self.fineness);
        let params = StraightenParams::default();
        let first = straighten(&unrolled, &self.directions, &params);
        let seen = sight::see_rings(&sight::strip(self.face, &unrolled, &first), 1);
        let profile = radial_profile(&first, &first.levelness(seen.usual_spacing(), &params));
        let spacing = usual_spacing(&profile, profile.mean.len() * 2 / 3);
        let again = straighten_along(
            &unrolled,
            &flatten(&unrolled, spacing),
            &first,
            &seen.lines(true),
            &params,
        );
        for straightened in [&first, &again] {
            let strip = sight::strip(self.face, &unrolled, straightened);
            body.extend(file::bytes_of(&strip.channels));
            let lines = self.truth.outlines.iter().chain([&self.truth.bark_edge]);
            for line in lines.clone() {
                for course in courses_of(line, &unrolled, straightened) {
                    body.extend(course.to_le_bytes());
                }
            }
            if let Some(dressed) = self.dressed {
                body.extend(file::by_place(&unrolled, straightened, |place| {
                    (255.0 * dressed.share([place.x_px, place.y_px])).round() as u8
                }));
            }
            strips.push(StripHead {
                share: unrolled.span.share,
                courses: straightened.courses.ncols(),
                lines: lines.count(),
                radii: Vec::new(),
            });
        }
    }
}

/// The bark edge around the pith, by angle.
struct Bark {
    pith: Point,
    distance_px: Vec<Option<f64>>,
}

impl Bark {
    fn of(truth: &Truth, pith: Point) -> Self {
        let distance_px: Vec<Option<f64>> = truth
            .bark_edge
            .iter()
            .map(|place| place.map(|place| pith.distance(Point::from(place)).0))
            .collect();
        Self { pith, distance_px }
    }

    fn wood_at(&self, place: Point) -> u8 {
        let turn = self
            .pith
            .angle_to(place)
            .0
            .rem_euclid(std::f64::consts::TAU);
        let steps = self.distance_px.len();
        let step = (turn / std::f64::consts::TAU * steps as f64).round() as usize % steps.max(1);
        let edge = self.distance_px.get(step).copied().flatten();
        match edge {
            Some(edge) if self.pith.distance(place).0 > edge => NOT_WOOD,
            Some(_) => WOOD,
            // The photo cuts the face here: all of it is wood.
            None => WOOD,
        }
    }
}

/// The pith as a reading might find it: mostly near, at times well off.
fn jittered(truth: &Truth, radius_px: f64, seed: u64) -> Point {
    let unit = |salt: u64| {
        let mut x =
            seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ salt.wrapping_mul(0xD1B5_4A32_D192_ED03);
        x ^= x >> 31;
        x = x.wrapping_mul(0x94D0_49BB_1331_11EB);
        x ^= x >> 29;
        (x >> 11) as f64 / (1_u64 << 53) as f64
    };
    let far = if unit(1) < 0.2 { 0.02 } else { 0.004 };
    let reach = far * radius_px * unit(2).sqrt();
    let turn = unit(3) * std::f64::consts::TAU;
    Point::new(
        truth.pith[0] + reach * turn.cos(),
        truth.pith[1] + reach * turn.sin(),
    )
}

/// How far out a lesson goes: somewhat beyond the farthest bark edge.
fn reach(truth: &Truth) -> f64 {
    let pith = Point::from(truth.pith);
    let farthest = truth
        .outlines
        .iter()
        .chain([&truth.bark_edge])
        .flatten()
        .flatten()
        .map(|place| pith.distance(Point::from(*place)).0)
        .fold(40.0, f64::max);
    1.25 * farthest
}

/// The course of a line in the middle of each row of a strip; NaN where the
/// line is not there.
fn courses_of(line: &Outline, unrolled: &Unrolled, straightened: &Straightened) -> Vec<f32> {
    let angles = unrolled.angles();
    let pooled = angles / sight::ROWS;
    let mut sums = vec![(0.0_f64, 0.0_f64); sight::ROWS];
    let around = unrolled.rows_around();
    let places: Vec<Option<(f64, f64)>> = line
        .iter()
        .map(|place| {
            place.map(|p| {
                let place = Point::from(p);
                (unrolled.row_around(place), unrolled.locate(place).1)
            })
        })
        .collect();
    for (nth, here) in places.iter().enumerate() {
        let next = &places[(nth + 1) % places.len()];
        let (Some(a), Some(b)) = (here, next) else {
            continue;
        };
        let mut turn = b.0 - a.0;
        if turn.abs() > around / 2.0 {
            turn -= turn.signum() * around;
        }
        let steps = (turn.abs().ceil() as usize * 2).clamp(1, 4 * angles);
        for step in 0..steps {
            let part = step as f64 / steps as f64;
            let row = (a.0 + part * turn).rem_euclid(around) as usize;
            let radius = a.1 + part * (b.1 - a.1);
            let far = radius >= (straightened.radius.ncols() - 2) as f64;
            if far || row >= angles {
                continue;
            }
            let course = straightened.course_at(row, radius as f32);
            let sum = &mut sums[row / pooled];
            sum.0 += course;
            sum.1 += 1.0;
        }
    }
    sums.iter()
        .map(|&(sum, count)| {
            if count > 0.0 {
                (sum / count) as f32
            } else {
                f32::NAN
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use profile::{Span, unroll};
    use std::f64::consts::TAU;

    #[test]
    fn a_line_has_the_same_courses_in_a_part_of_the_circle() {
        let pith = Point::new(200.0, 200.0);
        let radius = |angle: f64| 100.0 + 40.0 * angle.cos();
        let line: Outline = (0..360)
            .map(|step| {
                let angle = f64::from(step) / 360.0 * TAU;
                let radius = radius(angle);
                Some([
                    pith.x_px + radius * angle.cos(),
                    pith.y_px + radius * angle.sin(),
                ])
            })
            .collect();
        // Nothing to straighten: courses are steps of radius.
        let blank = image::RgbImage::from_pixel(400, 400, image::Rgb([128; 3]));
        let face = photo::open(&practice::jpeg(&blank, 90), &photo::Limits::default())
            .expect("a picture just made");
        let directions = Directions::of(&face.lightness);
        for span in [Span::CIRCLE, Span::around(wood::Angle(2.0), 0.25)] {
            let unrolled = unroll(&face, pith, None, span, Fineness::FULL, &|_| false);
            let straightened = straighten(&unrolled, &directions, &StraightenParams::default());
            let courses = courses_of(&line, &unrolled, &straightened);
            let pooled = unrolled.angles() as f64 / sight::ROWS as f64;
            let mut compared = 0;
            for (row, course) in courses.iter().enumerate() {
                let true_course = radius(unrolled.angle((row as f64 + 0.5) * pooled).0);
                if !course.is_nan() {
                    let off = f64::from(*course) - true_course;
                    assert!(off.abs() < 1.0, "row {row}: {off} courses off");
                    compared += 1;
                }
            }
            assert!(compared > 250, "{compared} rows");
        }
    }
}
