//! What the networks are shown: a face small and whole, and its rings unrolled.

use ndarray::{Array3, Axis, Zip};
use photo::Face;
use profile::{Straightened, Unrolled};

/// Rows of a strip: steps of angle pooled from the unrolled face. As the network
/// learned them.
pub const ROWS: usize = 256;
/// Channels of a strip. As the network learned them.
pub const STRIP_CHANNELS: usize = 6;
/// The channel of a strip that says how far a place is seen, 0 to 1.
pub(crate) const SEEN: usize = 2;
/// Side of the small picture of a whole face, in pixels. As the network learned it.
pub const SMALL: usize = 256;

/// The straightened face as the ring network is shown it.
#[derive(Debug, Clone)]
pub struct StripView {
    /// `[channel, row, course]`, 256 rows, all values about -3 to 3.
    ///
    /// Channels: lightness less its local mean in local spreads; its spread within
    /// the row (pores, dust); whether the place is seen; lightness, red less green
    /// and yellow less blue as the photo has them.
    pub channels: Array3<f32>,
    /// The share of the circle that the rows take, over 0 to 1.
    pub circle_share: f64,
}

/// Shows a straightened face to the ring network.
#[must_use]
pub fn strip(face: &Face, unrolled: &Unrolled, straightened: &Straightened) -> StripView {
    let (angles, courses) = straightened.courses.dim();
    let pooled = (angles / ROWS).max(1);
    let mut out = Array3::<f32>::zeros((STRIP_CHANNELS, ROWS, courses));
    Zip::indexed(out.axis_iter_mut(Axis(1))).par_for_each(|row, mut channels| {
        let middle = row * pooled + pooled / 2;
        let place = unrolled.ray(middle as f64);
        let mut sums = vec![[0.0_f32; 3]; courses];
        for angle in row * pooled..(row + 1) * pooled {
            let seen = straightened.seen.row(angle);
            let values = straightened.courses.row(angle);
            for ((sums, &visible), &value) in sums.iter_mut().zip(seen).zip(values) {
                sums[0] += visible * value;
                sums[1] += visible * value * value;
                sums[2] += visible;
            }
        }
        for (course, [sum, squares, seen]) in sums.into_iter().enumerate() {
            if seen < 0.5 {
                continue;
            }
            let mean = sum / seen;
            channels[[0, course]] = mean;
            channels[[1, course]] = (squares / seen - mean * mean).max(0.0).sqrt();
            channels[[SEEN, course]] = seen / pooled as f32;
            let place = place(f64::from(straightened.radius[[middle, course]]));
            if face.holds(place) {
                let pixel = face.rgb.get_pixel(place.x_px as u32, place.y_px as u32).0;
                let color = color_of(pixel.map(f32::from));
                for (channel, value) in color.into_iter().enumerate() {
                    channels[[3 + channel, course]] = value;
                }
            }
        }
    });
    StripView {
        channels: out,
        circle_share: unrolled.span.share,
    }
}

/// The whole photo in a square of 256 by 256, `[channel, y, x]`, kept in
/// proportion from the top left corner, zero where there is no photo; with the
/// photo pixels that one of its pixels covers.
#[must_use]
pub fn small(face: &Face) -> (Array3<f32>, f64) {
    let (width, height) = face.rgb.dimensions();
    small_part(face, 0, 0, width, height)
}

/// [`small`] of a part of the photo; the part must be within it.
#[must_use]
pub fn small_part(face: &Face, left: u32, top: u32, width: u32, height: u32) -> (Array3<f32>, f64) {
    let whole_width = face.rgb.width() as usize;
    let (from_x, from_y) = (left as usize, top as usize);
    let px_per_cell = f64::from(width.max(height)) / SMALL as f64;
    let mut out = Array3::<f32>::zeros((3, SMALL, SMALL));
    let raw = face.rgb.as_raw();
    let end = |cell: usize, limit: u32| {
        (((cell + 1) as f64 * px_per_cell).ceil() as usize).min(limit as usize)
    };
    Zip::indexed(out.axis_iter_mut(Axis(1))).par_for_each(|y, mut line| {
        let (top, bottom) = ((y as f64 * px_per_cell) as usize, end(y, height));
        for x in 0..SMALL {
            let (left, right) = ((x as f64 * px_per_cell) as usize, end(x, width));
            if top >= bottom || left >= right {
                continue;
            }
            let mut sums = [0.0_f32; 3];
            // At most eight samples each way: enough for a mean.
            let (down, across) = (
                (bottom - top).div_ceil(8).max(1),
                (right - left).div_ceil(8).max(1),
            );
            let mut count = 0.0;
            for py in (top..bottom).step_by(down) {
                for px in (left..right).step_by(across) {
                    let at = ((py + from_y) * whole_width + px + from_x) * 3;
                    for (sum, value) in sums.iter_mut().zip(&raw[at..at + 3]) {
                        *sum += f32::from(*value);
                    }
                    count += 1.0;
                }
            }
            let color = color_of(sums.map(|sum| sum / count));
            for (channel, value) in color.into_iter().enumerate() {
                line[[channel, x]] = value;
            }
        }
    });
    (out, px_per_cell)
}

/// Lightness, red less green and yellow less blue of an 8 bit color, about -2 to 2.
fn color_of([red, green, blue]: [f32; 3]) -> [f32; 3] {
    [
        (red + green + blue) / 3.0 / 64.0 - 2.0,
        (red - green) / 32.0,
        ((red + green) / 2.0 - blue) / 48.0,
    ]
}
