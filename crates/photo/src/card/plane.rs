//! The plane that the card is in, as the camera sees it.

use wood::{Angle, CARD_MM, Point};

/// A place on the card, in millimeters, and where the photo shows it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pair {
    pub(super) mm: (f64, f64),
    pub(super) place: Point,
}

/// How places of a plane are seen: a perspective from millimeters on the card
/// to pixels of the photo.
#[derive(Debug, Clone, PartialEq)]
pub struct Plane {
    /// Row by row; the last is 1. Of millimeters from the card's middle in
    /// units of [`UNIT_MM`].
    h: [f64; 9],
}

/// Millimeters are counted from here and in this unit while fitting, so that
/// all numbers are of the same size.
const MIDDLE_MM: (f64, f64) = (CARD_MM.0 / 2.0, CARD_MM.0 / 2.0);
const UNIT_MM: f64 = 50.0;

/// Steps of the search for the least squares in the photo.
const STEPS: usize = 6;

/// Directions over which the size of a pixel is averaged.
const DIRECTIONS: usize = 72;

impl Plane {
    /// The plane that shows all pairs with the least squares of distances in
    /// the photo; `None` for fewer than four, or when they are on a line.
    ///
    /// # Method
    /// The perspective with its last entry 1 by linear least squares, then
    /// Gauss-Newton on distances in the photo (Hartley and Zisserman 2004,
    /// Multiple View Geometry, chapter 4, from memory).
    pub(super) fn through(pairs: &[Pair]) -> Option<Self> {
        if pairs.len() < 4 {
            return None;
        }
        let mut plane = Self::linear(pairs)?;
        for _ in 0..STEPS {
            plane = plane.nearer(pairs)?;
        }
        plane
            .h
            .iter()
            .all(|entry| entry.is_finite())
            .then_some(plane)
    }

    /// The plane as a camera far away would see it: for pairs too close
    /// together to show how the plane leans in depth.
    pub(super) fn without_depth(pairs: &[Pair]) -> Option<Self> {
        if pairs.len() < 3 {
            return None;
        }
        let mut normal = Normal::default();
        for pair in pairs {
            let (u, v) = unit(pair.mm);
            normal.add([u, v, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0], pair.place.x_px);
            normal.add([0.0, 0.0, 0.0, u, v, 1.0, 0.0, 0.0], pair.place.y_px);
        }
        // No depth, and none is claimed.
        normal.add([0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0, 0.0], 0.0);
        normal.add([0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0], 0.0);
        Some(Self::of(normal.solved()?))
    }

    /// The same, leaving out pairs that are far off the others' plane.
    pub(super) fn through_most(pairs: &mut Vec<Pair>) -> Option<Self> {
        /// Times the median distance, and the least in pixels, from which a pair is left out.
        const FAR: f64 = 4.0;
        const FAR_PX: f64 = 0.4;
        let plane = Self::through(pairs)?;
        let mut off: Vec<f64> = pairs.iter().map(|pair| plane.off_px(pair)).collect();
        let limits = off.clone();
        off.sort_by(f64::total_cmp);
        let median = off.get(off.len() / 2).copied().unwrap_or(0.0);
        let most = (FAR * median).max(FAR_PX);
        let mut index = 0;
        let kept_before = pairs.len();
        pairs.retain(|_| {
            index += 1;
            limits.get(index - 1).is_some_and(|off| *off <= most)
        });
        if pairs.len() == kept_before {
            return Some(plane);
        }
        Self::through(pairs)
    }

    fn off_px(&self, pair: &Pair) -> f64 {
        self.to_picture(pair.mm.0, pair.mm.1).distance(pair.place).0
    }

    /// Where a place on the card is seen.
    #[must_use]
    pub fn to_picture(&self, x_mm: f64, y_mm: f64) -> Point {
        let (u, v) = unit((x_mm, y_mm));
        let [a, b, c, d, e, f, g, h, i] = self.h;
        let w = g * u + h * v + i;
        Point::new((a * u + b * v + c) / w, (d * u + e * v + f) / w)
    }

    /// The place of the card's plane that the photo shows somewhere, in
    /// millimeters; `None` at and beyond the horizon.
    #[must_use]
    pub fn to_card(&self, place: Point) -> Option<(f64, f64)> {
        let [a, b, c, d, e, f, g, h, i] = self.h;
        let (x, y) = (place.x_px, place.y_px);
        // (a - g x) u + (b - h x) v = i x - c, and likewise for y.
        let (p, q, r) = (a - g * x, b - h * x, i * x - c);
        let (s, t, w) = (d - g * y, e - h * y, i * y - f);
        let determinant = p * t - q * s;
        if determinant.abs() < 1e-12 {
            return None;
        }
        let (u, v) = ((r * t - q * w) / determinant, (p * w - r * s) / determinant);
        // Behind the camera the sign of the depth is turned.
        if (g * u + h * v + i) * i <= 0.0 {
            return None;
        }
        Some((u * UNIT_MM + MIDDLE_MM.0, v * UNIT_MM + MIDDLE_MM.1))
    }

    /// The size of a pixel at a place: what turns the mean distance of a round
    /// ring's outline around that place, in pixels, into its radius.
    ///
    /// # Method
    /// A leaning camera shows a small circle as an ellipse: a pixel is as many
    /// millimeters as its direction says. The mean distance of the outline,
    /// taken at even steps of angle in the photo as a reading takes it, is the
    /// radius times the mean of pixels per millimeter over all directions; so
    /// this is the harmonic mean over directions. Our own.
    #[must_use]
    pub fn mm_per_px(&self, place: Point) -> Option<f64> {
        let middle = self.to_card(place)?;
        let mut sum = 0.0;
        for step in 0..DIRECTIONS {
            let angle = step as f64 / DIRECTIONS as f64 * std::f64::consts::TAU;
            // Half a pixel to either side: the derivative, and no more.
            let along = |by: f64| {
                self.to_card(Point::new(
                    place.x_px + by * angle.cos(),
                    place.y_px + by * angle.sin(),
                ))
            };
            let (one, other) = (along(0.5)?, along(-0.5)?);
            sum += 1.0 / (one.0 - other.0).hypot(one.1 - other.1).max(1e-12);
        }
        let mean = DIRECTIONS as f64 / sum;
        (mean.is_finite() && middle.0.is_finite()).then_some(mean)
    }

    /// By how much the plane leans away from the camera, from how much the
    /// neighborhood of a place is shortened in one direction.
    pub(super) fn tilt_at(&self, x_mm: f64, y_mm: f64) -> Angle {
        let [[a, b], [c, d]] = self.derivative(x_mm, y_mm);
        // The two singular values of the derivative.
        let (sum, difference) = ((a + d).hypot(c - b), (a - d).hypot(c + b));
        let (long, short) = ((sum + difference) / 2.0, (sum - difference).abs() / 2.0);
        Angle((short / long.max(1e-12)).clamp(0.0, 1.0).acos())
    }

    /// Whether the card is seen from its printed side, as a card must be.
    pub(super) fn faces_us(&self) -> bool {
        let [[a, b], [c, d]] = self.derivative(MIDDLE_MM.0, MIDDLE_MM.1);
        a * d - b * c > 0.0
    }

    /// Pixels moved for a millimeter moved.
    fn derivative(&self, x_mm: f64, y_mm: f64) -> [[f64; 2]; 2] {
        let by = 0.5;
        let along_x = (
            self.to_picture(x_mm - by, y_mm),
            self.to_picture(x_mm + by, y_mm),
        );
        let along_y = (
            self.to_picture(x_mm, y_mm - by),
            self.to_picture(x_mm, y_mm + by),
        );
        [
            [
                along_x.1.x_px - along_x.0.x_px,
                along_y.1.x_px - along_y.0.x_px,
            ],
            [
                along_x.1.y_px - along_x.0.y_px,
                along_y.1.y_px - along_y.0.y_px,
            ],
        ]
    }

    fn linear(pairs: &[Pair]) -> Option<Self> {
        let mut normal = Normal::default();
        for pair in pairs {
            let (u, v) = unit(pair.mm);
            let (x, y) = (pair.place.x_px, pair.place.y_px);
            normal.add([u, v, 1.0, 0.0, 0.0, 0.0, -u * x, -v * x], x);
            normal.add([0.0, 0.0, 0.0, u, v, 1.0, -u * y, -v * y], y);
        }
        Some(Self::of(normal.solved()?))
    }

    /// One step of Gauss-Newton.
    fn nearer(&self, pairs: &[Pair]) -> Option<Self> {
        let [a, b, c, d, e, f, g, h, i] = self.h;
        let mut normal = Normal::default();
        for pair in pairs {
            let (u, v) = unit(pair.mm);
            let w = g * u + h * v + i;
            let (x, y) = ((a * u + b * v + c) / w, (d * u + e * v + f) / w);
            let (p, q) = (u / w, v / w);
            normal.add(
                [p, q, 1.0 / w, 0.0, 0.0, 0.0, -p * x, -q * x],
                pair.place.x_px - x,
            );
            normal.add(
                [0.0, 0.0, 0.0, p, q, 1.0 / w, -p * y, -q * y],
                pair.place.y_px - y,
            );
        }
        let step = normal.solved()?;
        let mut moved = [a, b, c, d, e, f, g, h];
        for (entry, by) in moved.iter_mut().zip(step) {
            *entry += by;
        }
        Some(Self::of(moved))
    }

    fn of([a, b, c, d, e, f, g, h]: [f64; 8]) -> Self {
        Self {
            h: [a, b, c, d, e, f, g, h, 1.0],
        }
    }
}

fn unit((x_mm, y_mm): (f64, f64)) -> (f64, f64) {
    (
        (x_mm - MIDDLE_MM.0) / UNIT_MM,
        (y_mm - MIDDLE_MM.1) / UNIT_MM,
    )
}

/// Normal equations of eight unknowns.
#[derive(Default)]
struct Normal {
    matrix: [[f64; 8]; 8],
    right: [f64; 8],
}

impl Normal {
    fn add(&mut self, row: [f64; 8], value: f64) {
        for (i, a) in row.iter().enumerate() {
            for (j, b) in row.iter().enumerate() {
                self.matrix[i][j] += a * b;
            }
            self.right[i] += a * value;
        }
    }

    /// Gauss elimination with pivots; `None` where there is no one solution.
    fn solved(mut self) -> Option<[f64; 8]> {
        // Rows of one size: some unknowns count in pixels, others in shares.
        let scale: Vec<f64> = (0..8)
            .map(|i| self.matrix[i][i].sqrt().max(1e-300))
            .collect();
        for i in 0..8 {
            for j in 0..8 {
                self.matrix[i][j] /= scale[i] * scale[j];
            }
            self.right[i] /= scale[i];
        }
        for column in 0..8 {
            let pivot = (column..8).max_by(|a, b| {
                let size = |row: &usize| self.matrix[*row][column].abs();
                size(a).total_cmp(&size(b))
            })?;
            if self.matrix[pivot][column].abs() < 1e-13 {
                return None;
            }
            self.matrix.swap(column, pivot);
            self.right.swap(column, pivot);
            for row in 0..8 {
                if row == column {
                    continue;
                }
                let times = self.matrix[row][column] / self.matrix[column][column];
                for at in column..8 {
                    self.matrix[row][at] -= times * self.matrix[column][at];
                }
                self.right[row] -= times * self.right[column];
            }
        }
        let mut solution = [0.0; 8];
        for (i, entry) in solution.iter_mut().enumerate() {
            *entry = self.right[i] / self.matrix[i][i] / scale[i];
        }
        Some(solution)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A plane seen by a camera that leans by `tilt` about the x axis.
    fn seen(tilt: f64) -> Vec<Pair> {
        let (sin, cos) = tilt.to_radians().sin_cos();
        let mut pairs = Vec::new();
        for x in [0.0, 40.0, 80.0, 112.0] {
            for y in [0.0, 50.0, 112.0] {
                let depth = 600.0 + (y - 56.0) * sin;
                let place = Point::new(
                    900.0 + 2000.0 * (x - 56.0) / depth,
                    700.0 + 2000.0 * (y - 56.0) * cos / depth,
                );
                pairs.push(Pair { mm: (x, y), place });
            }
        }
        pairs
    }

    #[test]
    fn a_plane_that_was_put_in_comes_out_with_its_lean() {
        for tilt in [0.0, 20.0, 45.0, 60.0] {
            let pairs = seen(tilt);
            let plane = Plane::through(&pairs).unwrap();
            for pair in &pairs {
                assert!(plane.off_px(pair) < 1e-6);
                let (x, y) = plane.to_card(pair.place).unwrap();
                assert!((x - pair.mm.0).hypot(y - pair.mm.1) < 1e-6);
            }
            assert!(plane.faces_us());
            let lean = plane.tilt_at(56.0, 56.0).0.to_degrees();
            assert!((lean - tilt).abs() < 0.5, "{tilt}: {lean}");
        }
    }

    #[test]
    fn the_size_of_a_pixel_turns_a_mean_distance_into_a_radius() {
        // A small circle around the middle, seen leaning: its mean distance at
        // even steps of angle in the photo times the scale is its radius.
        let plane = Plane::through(&seen(45.0)).unwrap();
        let middle = plane.to_picture(56.0, 56.0);
        let scale = plane.mm_per_px(middle).unwrap();
        let radius_mm = 4.0;
        let mut sum = 0.0;
        for step in 0..360 {
            let angle = Angle(f64::from(step).to_radians());
            // The distance in this direction at which the circle is reached.
            let (mut near, mut far) = (0.0, 100.0);
            for _ in 0..60 {
                let half = (near + far) / 2.0;
                let (x, y) = plane.to_card(middle.toward(angle, wood::Px(half))).unwrap();
                if (x - 56.0).hypot(y - 56.0) < radius_mm {
                    near = half;
                } else {
                    far = half;
                }
            }
            sum += near;
        }
        let found = sum / 360.0 * scale;
        assert!((found / radius_mm - 1.0).abs() < 1e-3, "{found}");
    }

    #[test]
    fn places_on_a_line_or_too_few_give_no_plane() {
        let pairs = seen(10.0);
        assert!(Plane::through(&pairs[..3]).is_none());
        let line: Vec<Pair> = pairs.into_iter().filter(|pair| pair.mm.0 < 1.0).collect();
        let mut line = line;
        line.push(Pair {
            mm: (0.0, 80.0),
            place: line[0].place,
        });
        assert!(Plane::through(&line).is_none());
    }
}
