//! One picture from several that lie on each other.

use crate::chain::Link;
use crate::similarity::Similarity;
use image::RgbImage;
use rayon::prelude::*;

/// Red, green and blue from 0 to 255.
type Color = [f32; 3];

/// Side of the squares in which light is compared, in pixels of a picture.
const SQUARE: u32 = 24;
/// Half the breadth of a seam, in pixels of the joined picture: fine texture goes over from
/// one picture to the other within it.
const SEAM: f64 = 5.0;

/// A picture and where it is.
struct Laid<'a> {
    rgb: &'a RgbImage,
    /// Its light: mean colors of squares, by rows.
    light: RgbImage,
    /// From the joined picture to this one.
    back: Similarity,
    /// Factors that bring its light to that of the others.
    gain: Color,
}

/// What one picture gives to a pixel of the joined one.
struct Given {
    /// Distance to the picture's nearest side, in pixels of the joined picture.
    inside: f64,
    color: Color,
    light: Color,
}

/// Paints the pictures over each other where `places` puts them, into a picture of
/// `width` by `height` pixels. What no picture shows gets the mean color of all.
pub(crate) fn paint(
    pictures: &[RgbImage],
    places: &[Similarity],
    links: &[Link],
    [width, height]: [u32; 2],
) -> RgbImage {
    let mut laid: Vec<Laid<'_>> = pictures
        .iter()
        .zip(places)
        .map(|(rgb, place)| Laid {
            rgb,
            light: light_of(rgb),
            back: place.inverse(),
            gain: [1.0; 3],
        })
        .collect();
    level(&mut laid, links);
    let mean = mean(&laid);
    let mut bytes = vec![0_u8; width as usize * height as usize * 3];
    bytes
        .par_chunks_mut((width as usize * 3).max(1))
        .enumerate()
        .for_each(|(y, row)| {
            for (x, px) in row.chunks_exact_mut(3).enumerate() {
                let at = [x as f64 + 0.5, y as f64 + 0.5];
                let color = pixel(&laid, at).unwrap_or(mean);
                for (byte, value) in px.iter_mut().zip(color) {
                    *byte = (value + 0.5).clamp(0.0, 255.0) as u8;
                }
            }
        });
    RgbImage::from_raw(width, height, bytes).unwrap_or_default()
}

/// Light goes over from picture to picture all across the overlap, texture at the seam alone.
fn pixel(laid: &[Laid<'_>], at: [f64; 2]) -> Option<Color> {
    let mut given: Vec<Given> = laid.iter().filter_map(|one| one.gives(at)).collect();
    given.sort_by(|a, b| b.inside.total_cmp(&a.inside));
    let first = given.first()?;
    let all: f64 = given.iter().map(|one| one.inside).sum();
    let mut color = [0.0; 3];
    for one in &given {
        let wide = (one.inside / all.max(1e-9)) as f32;
        color
            .iter_mut()
            .zip(one.light)
            .for_each(|(c, l)| *c += wide * l);
    }
    let lead = given.get(1).map_or(SEAM, |next| first.inside - next.inside);
    let share = (0.5 + 0.5 * (lead / SEAM).min(1.0)) as f32;
    for (one, share) in given.iter().zip([share, 1.0 - share]) {
        color = [0, 1, 2].map(|c| color[c] + share * (one.color[c] - one.light[c]));
    }
    Some(color)
}

impl Laid<'_> {
    fn gives(&self, at: [f64; 2]) -> Option<Given> {
        let [x, y] = self.back.at(at);
        let [w, h] = [self.rgb.width(), self.rgb.height()].map(f64::from);
        let inside = x.min(y).min(w - x).min(h - y);
        // The last pixels at the sides are left out: their blur and sharpening know one side only.
        if inside < 2.0 {
            return None;
        }
        let tuned = |color: Color| [0, 1, 2].map(|c| color[c] * self.gain[c]);
        let square = f64::from(SQUARE);
        Some(Given {
            inside: (inside - 2.0) / self.back.scale(),
            color: tuned(cubic(self.rgb, [x, y])),
            light: tuned(between(&self.light, [x / square, y / square])),
        })
    }
}

/// The color of a pixel, the nearest one beyond the sides.
fn pixel_of(picture: &RgbImage, x: i64, y: i64) -> Color {
    let x = x.clamp(0, i64::from(picture.width()) - 1) as u32;
    let y = y.clamp(0, i64::from(picture.height()) - 1) as u32;
    picture.get_pixel(x, y).0.map(f32::from)
}

/// The sum of pixels around a place, as many as there are weights along each side.
fn weighted<const N: usize>(
    picture: &RgbImage,
    [x, y]: [f64; 2],
    weights: impl Fn(f32) -> [f32; N],
) -> Color {
    let (x, y) = (x - 0.5, y - 0.5);
    let (i, j) = (x.floor(), y.floor());
    let (across, down) = (weights((x - i) as f32), weights((y - j) as f32));
    let before = (N / 2) as i64 - 1;
    let mut sum = [0.0; 3];
    for (v, wy) in down.iter().enumerate() {
        for (u, wx) in across.iter().enumerate() {
            let px = pixel_of(
                picture,
                i as i64 + u as i64 - before,
                j as i64 + v as i64 - before,
            );
            for c in 0..3 {
                sum[c] += wx * wy * px[c];
            }
        }
    }
    sum
}

fn between(picture: &RgbImage, at: [f64; 2]) -> Color {
    weighted(picture, at, |t| [1.0 - t, t])
}

/// By the cubic through four pixels each way (Keys 1981), which keeps lines sharp.
fn cubic(picture: &RgbImage, at: [f64; 2]) -> Color {
    weighted(picture, at, |t| {
        let (t2, t3) = (t * t, t * t * t);
        [
            0.5 * (2.0 * t2 - t - t3),
            0.5 * (2.0 - 5.0 * t2 + 3.0 * t3),
            0.5 * (t + 4.0 * t2 - 3.0 * t3),
            0.5 * (t3 - t2),
        ]
    })
}

/// Mean colors of squares of [`SQUARE`] pixels.
fn light_of(rgb: &RgbImage) -> RgbImage {
    let (columns, rows) = (rgb.width().div_ceil(SQUARE), rgb.height().div_ceil(SQUARE));
    RgbImage::from_fn(columns, rows, |i, j| {
        let xs = i * SQUARE..((i + 1) * SQUARE).min(rgb.width());
        let ys = j * SQUARE..((j + 1) * SQUARE).min(rgb.height());
        let count = (xs.len() * ys.len()).max(1) as u32;
        let mut sum = [0_u32; 3];
        for y in ys {
            for x in xs.clone() {
                let px = rgb.get_pixel(x, y).0;
                sum.iter_mut().zip(px).for_each(|(s, c)| *s += u32::from(c));
            }
        }
        image::Rgb(sum.map(|s| ((s + count / 2) / count) as u8))
    })
}

/// Brings the pictures' light together: each link's overlap says how much brighter
/// the one is than the other.
fn level(laid: &mut [Laid<'_>], links: &[Link]) {
    let ratios: Vec<Color> = links.iter().map(|link| brighter(laid, link)).collect();
    let mut known = vec![false; laid.len()];
    known[0] = true;
    for _ in 0..laid.len() {
        for (link, ratio) in links.iter().zip(&ratios) {
            let (from, to, ratio) = match (known[link.first], known[link.second]) {
                (true, false) => (link.first, link.second, *ratio),
                (false, true) => (link.second, link.first, ratio.map(|r| 1.0 / r)),
                _ => continue,
            };
            let gain = laid[from].gain;
            laid[to].gain = [0, 1, 2].map(|c| gain[c] * ratio[c]);
            known[to] = true;
        }
    }
    // Taken together the pictures stay as bright as they were.
    for c in 0..3 {
        let logs: f32 = laid.iter().map(|one| one.gain[c].ln()).sum();
        let mean = (logs / laid.len() as f32).exp();
        laid.iter_mut().for_each(|one| one.gain[c] /= mean);
    }
}

/// How many times brighter the first picture of a link is than the second where they overlap.
fn brighter(laid: &[Laid<'_>], link: &Link) -> Color {
    let (first, second) = (&laid[link.first], &laid[link.second]);
    let square = f64::from(SQUARE);
    let [w, h] = [second.rgb.width(), second.rgb.height()].map(f64::from);
    let mut sums = [[0.0_f32; 3]; 2];
    for (i, j, px) in first.light.enumerate_pixels() {
        let at = [f64::from(i), f64::from(j)].map(|c| (c + 0.5) * square);
        let [x, y] = link.by.at(at);
        if x < 0.0 || y < 0.0 || x >= w || y >= h {
            continue;
        }
        let other = between(&second.light, [x / square, y / square]);
        for c in 0..3 {
            sums[0][c] += f32::from(px.0[c]);
            sums[1][c] += other[c];
        }
    }
    [0, 1, 2].map(|c| ((sums[0][c] + 1.0) / (sums[1][c] + 1.0)).clamp(0.25, 4.0))
}

fn mean(laid: &[Laid<'_>]) -> Color {
    let mut sum = [0.0_f64; 3];
    let mut count = 0.0_f64;
    for one in laid {
        for px in one.light.pixels() {
            sum = [0, 1, 2].map(|c| sum[c] + f64::from(px.0[c]) * f64::from(one.gain[c]));
            count += 1.0;
        }
    }
    sum.map(|s| (s / count.max(1.0)) as f32)
}
