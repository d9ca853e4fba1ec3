//! The face unrolled around the pith: angle by radius.

use ndarray::{Array2, Zip};
use photo::{Face, Lightness, RgbImage};
use std::borrow::Cow;
use std::f64::consts::TAU;
use wood::{Angle, Point, Px, Strip};

/// A face unrolled around its pith.
#[derive(Debug, Clone)]
pub struct Unrolled {
    /// The center of the unrolling.
    pub pith: Point,
    /// The part of the circle that the rows cover.
    pub span: Span,
    /// Photo pixels for one step of radius.
    pub step_px: f64,
    /// Lightness `[angle, radius]`, 0 to 100; meaningless where `seen` is 0.
    pub lightness: Array2<f32>,
    /// 1 where the photo shows the place and nothing is marked unreadable, else 0.
    pub seen: Array2<f32>,
}

/// A part of the circle, clockwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// The direction of its first row.
    pub start: Angle,
    /// Its share of the circle, over 0 to 1.
    pub share: f64,
}

/// Share of the circle in which a strip is unrolled. Chosen of 1, 0.5, 0.25 and 0.12 on
/// 60 drawn faces with marked strips (seeds 12001 to 12060): 48, 55, 60 and 52 % counted
/// exactly, 72, 73, 78 and 77 % within one.
const STRIP_SHARE: f64 = 0.25;
/// How far along a strip its direction from the pith is taken, as a share of its length.
/// Chosen: a strip that passes beside the pith is seen straight from its outer part.
const FAR_OUT: f64 = 0.7;

impl Span {
    /// The whole circle from +x on.
    pub const CIRCLE: Self = Self {
        start: Angle(0.0),
        share: 1.0,
    };

    /// A share of the circle, half of it to each side of a direction.
    #[must_use]
    pub fn around(middle: Angle, share: f64) -> Self {
        Self {
            start: Angle(middle.0 - 0.5 * share * TAU),
            share,
        }
    }

    /// The part of the circle around the pith in which a strip is unrolled: wide enough to
    /// hold it but close to the pith, and so narrow that it takes many rows.
    #[must_use]
    pub fn along(strip: &Strip, pith: Point) -> Self {
        let Px(length) = strip.length();
        let middle = pith.angle_to(strip.place(Px(FAR_OUT * length), Px(0.0)));
        Self::around(middle, STRIP_SHARE)
    }

    /// The direction of one of so many rows.
    fn angle_of(self, row: f64, rows: usize) -> Angle {
        Angle(self.start.0 + row * TAU * self.share / rows as f64)
    }

    /// How far a direction is from the first row, as a share of the circle.
    fn turn_to(self, angle: Angle) -> f64 {
        (angle.0 - self.start.0).rem_euclid(TAU) / TAU
    }

    /// The row, of so many, of a direction; the nearer end outside the span.
    fn row_of(self, angle: Angle, rows: usize) -> f64 {
        let turn = self.turn_to(angle);
        if turn <= self.share {
            turn * rows as f64 / self.share
        } else if turn > 0.5 * (1.0 + self.share) {
            0.0
        } else {
            rows as f64 - 1.0
        }
    }
}

/// Rows of an unrolled face: at radius 1000 px each covers 6 px of arc (chosen).
const ANGLES: usize = 1024;

/// How finely a face is unrolled along the radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fineness {
    /// Most steps from the pith to the farthest place.
    pub most_steps: usize,
    /// Pixels of the photo that a step covers at least.
    pub step: Px,
}

impl Fineness {
    /// For rings of a few pixels: a ring of three between wider ones is lost in
    /// steps of a pixel (100 faces, seeds 401 to 500: 78 counted exactly for 75).
    pub const FINEST: Self = Self {
        step: Px(0.65),
        ..Self::FULL
    };
    /// A pixel a step (chosen, so that a 12 megapixel face with its pith in the
    /// middle is read at full size).
    pub const FULL: Self = Self {
        most_steps: 2600,
        step: Px(1.0),
    };
    /// Enough for rings that are wide (chosen).
    pub const COARSE: Self = Self {
        most_steps: 700,
        step: Px(1.0),
    };

    /// Photo pixels of one step for a face that reaches as far.
    fn step_px(self, reach_px: f64) -> f64 {
        (reach_px / self.most_steps as f64).max(self.step.0)
    }
}

impl Unrolled {
    /// Number of rows (steps of angle).
    #[must_use]
    pub fn angles(&self) -> usize {
        self.lightness.nrows()
    }

    /// Number of columns (steps of radius).
    #[must_use]
    pub fn radii(&self) -> usize {
        self.lightness.ncols()
    }

    /// The direction of a row (fractions allowed).
    #[must_use]
    pub fn angle(&self, row: f64) -> Angle {
        self.span.angle_of(row, self.angles())
    }

    /// The row of a direction (fractions allowed); the nearer end where none covers it.
    #[must_use]
    pub fn row_toward(&self, angle: Angle) -> f64 {
        self.span.row_of(angle, self.angles())
    }

    /// The same as a whole row.
    #[must_use]
    pub fn nearest_row(&self, angle: Angle) -> usize {
        // A direction on a row is that row's, whatever its last digit.
        (self.row_toward(angle) + 1e-9) as usize % self.angles()
    }

    /// The row of a direction; `None` where no row covers it.
    #[must_use]
    pub fn row_of(&self, angle: Angle) -> Option<usize> {
        let covered = self.span.turn_to(angle) <= self.span.share;
        covered.then(|| self.nearest_row(angle))
    }

    /// The place in the photo of a row and a column (fractions allowed).
    #[must_use]
    pub fn place(&self, row: f64, column: f64) -> Point {
        self.ray(row)(column)
    }

    /// [`Self::place`] of one row, by column.
    pub fn ray(&self, row: f64) -> impl Fn(f64) -> Point {
        ray(self.pith, self.angle(row), self.step_px)
    }

    /// The place in the photo in a direction and a column (fractions allowed).
    #[must_use]
    pub fn toward(&self, angle: Angle, column: f64) -> Point {
        ray(self.pith, angle, self.step_px)(column)
    }

    /// How many rows a whole turn would take.
    #[must_use]
    pub fn rows_around(&self) -> f64 {
        self.angles() as f64 / self.span.share
    }

    /// The row of a place in the photo, were rows to go on around the whole circle: past
    /// the last one where none covers it.
    #[must_use]
    pub fn row_around(&self, place: Point) -> f64 {
        self.span.turn_to(self.pith.angle_to(place)) * self.rows_around()
    }

    /// The row and column of a place in the photo.
    #[must_use]
    pub fn locate(&self, place: Point) -> (f64, f64) {
        (
            self.span.row_of(self.pith.angle_to(place), self.angles()),
            self.pith.distance(place).0 / self.step_px,
        )
    }
}

/// The places on a line straight out from the pith, by steps.
fn ray(pith: Point, angle: Angle, step_px: f64) -> impl Fn(f64) -> Point {
    let (sine, cosine) = angle.0.sin_cos();
    move |steps| {
        let distance = steps * step_px;
        Point::new(pith.x_px + distance * cosine, pith.y_px + distance * sine)
    }
}

/// Unrolls the face around `pith`, out to the farthest corner of the photo or
/// to `reach`, whichever is nearer; places for which `unreadable` is true are
/// taken as not seen.
///
/// # Method
/// Bicubic sampling of the lightness on 1024 rays of the circle or of the span; where a step is
/// two pixels or more, of a picture so many times smaller, whose pixels are means,
/// for what is finer than a step would else come back as something coarser.
/// Linear in samples, rows in parallel.
#[must_use]
pub fn unroll(
    face: &Face,
    pith: Point,
    reach: Option<Px>,
    span: Span,
    fineness: Fineness,
    unreadable: &(dyn Fn(Point) -> bool + Sync),
) -> Unrolled {
    let (width, height) = face.rgb.dimensions();
    let (width, height) = (f64::from(width), f64::from(height));
    let farthest = [(0.0, 0.0), (width, 0.0), (0.0, height), (width, height)]
        .into_iter()
        .map(|(x, y)| (x - pith.x_px).hypot(y - pith.y_px))
        .fold(0.0, f64::max);
    let reach_px = reach.map_or(farthest, |r| r.0.min(farthest)).max(16.0);
    let step_px = fineness.step_px(reach_px);
    let radii = (reach_px / step_px).ceil() as usize + 1;
    let mut unrolled = Unrolled {
        pith,
        span,
        step_px,
        lightness: Array2::zeros((ANGLES, radii)),
        seen: Array2::zeros((ANGLES, radii)),
    };
    let factor = (step_px as usize).max(1);
    let source = Source::of(face, factor);
    let factor = factor as f64;
    // A pixel of the smaller picture stands for the middle of its square.
    let on_it = |at: f64| (at + 0.5) / factor - 0.5;
    Zip::indexed(unrolled.lightness.rows_mut())
        .and(unrolled.seen.rows_mut())
        .par_for_each(|row, mut values, mut seen| {
            let place = ray(pith, span.angle_of(row as f64, ANGLES), step_px);
            for column in 0..radii {
                let at = place(column as f64);
                if let Some(value) = source.sample(on_it(at.x_px), on_it(at.y_px)) {
                    values[column] = value;
                    seen[column] = f32::from(u8::from(!unreadable(at)));
                }
            }
        });
    unrolled
}

/// Catmull-Rom weights of the four samples around a place `part` of the way
/// between the second and the third (Keys 1981, from memory). Linear
/// interpolation would halve the contrast of rings four pixels wide.
#[inline(always)]
pub(crate) fn cubic_weights(part: f32) -> [f32; 4] {
    let (t, t2, t3) = (part, part * part, part * part * part);
    [
        0.5 * (-t3 + 2.0 * t2 - t),
        0.5 * (3.0 * t3 - 5.0 * t2 + 2.0),
        0.5 * (-3.0 * t3 + 4.0 * t2 + t),
        0.5 * (t3 - t2),
    ]
}

/// Where lightness is taken from.
enum Source<'a> {
    /// A smaller copy, or the one that the face keeps.
    Copy(Cow<'a, Lightness>),
    /// The colors themselves, one by one: a copy at full size would take four bytes a
    /// pixel, 192 MB for 48 megapixels.
    Colors(&'a RgbImage),
}

impl<'a> Source<'a> {
    /// The lightness of a face in squares of so many pixels a side.
    fn of(face: &'a Face, factor: usize) -> Self {
        if factor == 1 && face.lightness.square_px != 1 {
            Self::Colors(&face.rgb)
        } else {
            Self::Copy(face.lightness_in(factor))
        }
    }

    /// The lightness at a place, between its sixteen pixels; `None` outside.
    fn sample(&self, x: f64, y: f64) -> Option<f32> {
        match self {
            Self::Copy(copy) => {
                let values = copy.values.as_slice();
                let values = values.expect("rows are stored one after another");
                sample(copy.values.dim(), x, y, |start| {
                    values.get(start..)?.first_chunk().copied()
                })
            }
            Self::Colors(rgb) => {
                let size = (rgb.height() as usize, rgb.width() as usize);
                let pixels: &[[u8; 3]] = rgb.as_chunks().0;
                sample(size, x, y, |start| {
                    let four: [[u8; 3]; 4] = pixels.get(start..)?.first_chunk().copied()?;
                    Some(four.map(photo::lightness))
                })
            }
        }
    }
}

/// The lightness at a place of a picture of so many rows and columns. `four`: four values
/// in a row, by the number of the first.
#[inline(always)]
fn sample(
    (height, width): (usize, usize),
    x: f64,
    y: f64,
    four: impl Fn(usize) -> Option<[f32; 4]>,
) -> Option<f32> {
    if x < 1.0 || y < 1.0 || x >= width as f64 - 2.0 || y >= height as f64 - 2.0 {
        return None;
    }
    let (column, row) = (x as usize, y as usize);
    let across = cubic_weights((x - column as f64) as f32);
    let down = cubic_weights((y - row as f64) as f32);
    let mut sum = 0.0;
    for (j, weight) in down.iter().enumerate() {
        let line = four((row + j - 1) * width + column - 1)?;
        let value: f32 = across.iter().zip(line).map(|(w, v)| w * v).sum();
        sum += weight * value;
    }
    Some(sum)
}

#[cfg(test)]
mod tests {
    use super::*;
    use photo::Limits;

    fn row_is(span: Span, angle: f64, row: f64) {
        let found = span.row_of(Angle(angle), ANGLES);
        assert!((found - row).abs() < 1e-6, "{found} for {row} at {angle}");
    }

    #[test]
    fn rows_and_directions_of_a_part_of_the_circle_match() {
        let span = Span::around(Angle(0.1), 0.25);
        for row in [0.5, 1.0, 300.5, 1023.0] {
            row_is(span, span.angle_of(row, ANGLES).0, row);
        }
        row_is(span, 0.1 + TAU, 512.0);
        row_is(span, 1.5, 1023.0);
        row_is(span, -1.5, 0.0);
    }

    #[test]
    fn rows_of_the_circle_begin_at_its_right() {
        row_is(Span::CIRCLE, 0.5 * TAU, 512.0);
        row_is(Span::CIRCLE, 0.0, 0.0);
    }

    #[test]
    fn colors_give_the_lightness_that_a_copy_of_them_gives() {
        // Wider than the copy that a face keeps at full size.
        let rgb = RgbImage::from_fn(2500, 9, |x, y| {
            let value = x.wrapping_mul(7919) ^ y.wrapping_mul(104_729);
            image::Rgb([value as u8, (value >> 3) as u8, (value >> 5) as u8])
        });
        let mut png = Vec::new();
        rgb.write_with_encoder(image::codecs::png::PngEncoder::new(&mut png))
            .expect("room for a picture");
        let face = photo::open(&png, &Limits::default()).expect("a picture");
        let colors = Source::of(&face, 1);
        assert!(matches!(colors, Source::Colors(_)));
        let copy = Source::Copy(face.lightness_in(1));
        let mut seen = 0;
        for nth in 0..2000 {
            let (x, y) = (f64::from(nth) * 1.31, f64::from(nth % 37) * 0.27);
            let value = copy.sample(x, y);
            assert_eq!(colors.sample(x, y), value, "{x}, {y}");
            seen += usize::from(value.is_some());
        }
        assert!(seen > 500, "{seen}");
    }
}
