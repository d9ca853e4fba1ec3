//! Rings that were counted along one strip: where they cross it in the photo, and
//! the strip itself laid straight, with numbers, years and dots.

use super::color_at;
use super::dots;
use super::ink::{BARE, INK, PAPER, Spot, Strokes, TENTH_PEN, ring_pen};
use super::lettering::{Letters, Text, Weight};
use super::title;
use super::unrolled::Foot;
use image::{Rgb, RgbImage, imageops};
use wood::{Point, Px, Reading, Ring, Strip};

/// Steps along a ring across the strip.
const STEPS: usize = 12;
/// What is shown beyond each end of the strip, as a share of its length.
const BEYOND: f64 = 0.03;
/// Width of the straight strip, and its height at least and at most, in pixels.
const WIDE: u32 = 1440;
const HIGH: (f64, f64) = (150.0, 420.0);

/// The rings of a reading where they cross its strip.
#[derive(Debug, Clone, Copy)]
pub(super) struct AlongStrip<'a> {
    strip: &'a Strip,
    pith: Point,
}

impl<'a> AlongStrip<'a> {
    /// `None` where the rings were counted on the whole face.
    pub(super) fn of(reading: &'a Reading) -> Option<Self> {
        Some(Self {
            strip: reading.strip.as_ref()?,
            pith: reading.pith.as_ref()?.point(),
        })
    }

    /// The four corners of the strip, and the first again.
    pub(super) fn outline(&self) -> impl Iterator<Item = Point> {
        let [first, second, third, fourth] = self.strip.corners();
        [first, second, third, fourth, first].into_iter()
    }

    /// A ring across the strip: an arc around the pith, as far from it as the ring
    /// is where it is seen on the strip.
    pub(super) fn across(&self, ring: &Ring) -> Vec<Option<Point>> {
        self.arc(self.radius(&ring.outline_px, ring.radius_px))
    }

    /// The bark edge across the strip; nothing where it is not seen.
    pub(super) fn bark(&self, edge: &[Option<Point>]) -> Vec<Option<Point>> {
        if edge.iter().all(Option::is_none) {
            return Vec::new();
        }
        self.arc(self.radius(edge, Px(0.0)))
    }

    /// The mean distance of an outline from the pith; `otherwise` where it is not seen.
    fn radius(&self, outline: &[Option<Point>], otherwise: Px) -> Px {
        let seen: Vec<f64> = outline
            .iter()
            .flatten()
            .map(|place| self.pith.distance(*place).0)
            .collect();
        if seen.is_empty() {
            return otherwise;
        }
        Px(seen.iter().sum::<f64>() / seen.len() as f64)
    }

    fn arc(&self, radius: Px) -> Vec<Option<Point>> {
        (0..=STEPS)
            .map(|step| {
                let share = step as f64 / STEPS as f64 - 0.5;
                self.crossing(radius, Px(share * self.strip.width().0))
            })
            .collect()
    }

    /// Where a circle around the pith is so far aside of the middle of the strip.
    fn crossing(&self, Px(radius): Px, aside: Px) -> Option<Point> {
        let (Px(along), Px(off)) = self.strip.locate(self.pith);
        let rest = radius * radius - (aside.0 - off).powi(2);
        (rest >= 0.0).then(|| self.strip.place(Px(along + rest.sqrt()), aside))
    }

    /// A place beside the strip at a ring, so far from its side; to the right as
    /// seen along it, or to the left below zero.
    pub(super) fn beside(&self, ring: &Ring, Px(off): Px) -> Point {
        let half = 0.5 * self.strip.width().0;
        let (along, _) = self.strip.locate(self.middle(ring));
        self.strip.place(along, Px(off + half * off.signum()))
    }

    /// Where a ring crosses the middle line of the strip.
    fn middle(&self, ring: &Ring) -> Point {
        let radius = self.radius(&ring.outline_px, ring.radius_px);
        self.crossing(radius, Px(0.0)).unwrap_or(self.pith)
    }
}

/// Draws the strip laid straight, pith at the left, with its rings; `None` where
/// the rings were counted on the whole face.
pub(super) fn draw(
    photo: &RgbImage,
    reading: &Reading,
    letters: &Letters,
    foot: Foot,
) -> Option<RgbImage> {
    let along = AlongStrip::of(reading)?;
    let strip = along.strip;
    let beyond = BEYOND * strip.length().0;
    let scale = f64::from(WIDE) / (strip.length().0 + 2.0 * beyond);
    let high = (strip.width().0 * scale).clamp(HIGH.0, HIGH.1);
    // A narrow strip is stretched across, so that its rings are seen.
    let across = high / strip.width().0;
    let (letters_px, paper) = match foot {
        Foot::Captioned => (25.0, PAPER),
        Foot::Bare => (46.0, Rgb([255, 255, 255])),
    };
    let room = (letters_px * 1.5) as u32;
    let mut wood = RgbImage::from_pixel(WIDE, high as u32, BARE);
    for (column, row, pixel) in wood.enumerate_pixels_mut() {
        let at = Px((f64::from(column) + 0.5) / scale - beyond);
        let aside = Px((f64::from(row) + 0.5 - 0.5 * high) / across);
        if let Some(color) = color_at(photo, strip.place(at, aside)) {
            *pixel = color;
        }
    }
    let spot = |place: Point| -> Spot {
        let (Px(at), Px(aside)) = strip.locate(place);
        (
            ((at + beyond) * scale) as f32,
            (aside * across + 0.5 * high) as f32,
        )
    };
    let size = wood.dimensions();
    let apart = size.0 as f32 / reading.rings.len().max(1) as f32;
    let mut plain = Strokes::new(ring_pen(apart), size);
    let mut tenth = Strokes::new(TENTH_PEN, size);
    for ring in &reading.rings {
        let places = along.across(ring).into_iter().map(|at| at.map(spot));
        if ring.number.is_multiple_of(10) {
            tenth.path(places);
        } else {
            plain.path(places);
        }
    }
    plain.lay_on(&mut wood);
    tenth.lay_on(&mut wood);
    let mut page = RgbImage::from_pixel(WIDE, wood.height() + 2 * room, paper);
    imageops::replace(&mut page, &wood, 0, i64::from(room));
    let mut free_from = i32::MIN;
    for ring in reading.rings.iter().filter(|r| r.number.is_multiple_of(10)) {
        let x = spot(along.middle(ring)).0;
        let foot_y = room as f32 + wood.height() as f32;
        dots::on_wood(&mut page, ring.number, (x, foot_y - 14.0), (0.0, -15.0));
        let number = ring.number.to_string();
        let year = ring.year.map(|year| year.to_string()).unwrap_or_default();
        let text = |text, weight| Text {
            text,
            size_px: letters_px,
            weight,
        };
        let (bold, plain) = (text(&number, Weight::Bold), text(&year, Weight::Regular));
        let wide = letters.measure(bold).0.max(letters.measure(plain).0);
        let left = |text| x as i32 - letters.measure(text).0 / 2;
        if x as i32 - wide / 2 < free_from {
            continue;
        }
        free_from = x as i32 + wide / 2 + 10;
        letters.write(&mut page, (left(bold), 2), bold, INK);
        letters.write(&mut page, (left(plain), foot_y as i32 + 2), plain, INK);
    }
    Some(match foot {
        Foot::Bare => page,
        Foot::Captioned => captioned(&page, reading, letters),
    })
}

/// The straight strip with a title and a caption below.
fn captioned(picture: &RgbImage, reading: &Reading, letters: &Letters) -> RgbImage {
    let margin = 24;
    let words = title(reading);
    let mut page = RgbImage::from_pixel(
        picture.width() + 2 * margin as u32,
        picture.height() + 2 * margin as u32 + 90,
        PAPER,
    );
    imageops::replace(&mut page, picture, i64::from(margin), i64::from(margin));
    let top = margin + picture.height() as i32 + 14;
    for (text, size_px, weight, y) in [
        (words.as_str(), 28.0, Weight::Bold, top),
        (
            crate::content::STRIP_CAPTION,
            21.0,
            Weight::Regular,
            top + 40,
        ),
    ] {
        let text = Text {
            text,
            size_px,
            weight,
        };
        let lines = letters.wrap(text, picture.width() as i32);
        for (nth, line) in lines.iter().enumerate() {
            let at = (margin, y + 27 * nth as i32);
            letters.write(&mut page, at, Text { text: line, ..text }, INK);
        }
    }
    page
}

#[cfg(test)]
mod tests {
    use super::super::ink::TENTH;
    use super::*;
    use crate::test_readings::{along_strip, reading_of};

    #[test]
    fn a_ring_crosses_the_strip_at_its_distance_from_the_pith() {
        let reading = along_strip(reading_of(&[2.0; 20], Some(2025), true));
        let along = AlongStrip::of(&reading).unwrap();
        for ring in &reading.rings {
            let places: Vec<Point> = along.across(ring).into_iter().flatten().collect();
            assert!(!places.is_empty());
            for place in places {
                let off = along.pith.distance(place).0 - ring.radius_px.0;
                assert!(off.abs() < 0.01, "ring {}: {off}", ring.number);
                let (Px(at), Px(aside)) = along.strip.locate(place);
                assert!(at >= 0.0 && aside.abs() <= 0.5 * along.strip.width().0 + 0.01);
            }
        }
    }

    #[test]
    fn the_straight_strip_shows_its_tenth_rings() {
        let reading = along_strip(reading_of(&[2.0; 20], Some(2025), true));
        let photo = RgbImage::from_pixel(600, 600, Rgb([150, 110, 80]));
        let letters = Letters::ours().unwrap();
        let drawn = draw(&photo, &reading, &letters, Foot::Bare).unwrap();
        let along = AlongStrip::of(&reading).unwrap();
        let length = along.strip.length().0;
        let x = (reading.rings[9].radius_px.0 / length + BEYOND) / (1.0 + 2.0 * BEYOND);
        let x = (x * f64::from(WIDE)) as u32;
        let columns = (x - 3..x + 3).flat_map(|x| (0..drawn.height()).map(move |y| (x, y)));
        let seen = columns.filter(|(x, y)| *drawn.get_pixel(*x, *y) == TENTH);
        let seen = seen.count();
        assert!(seen > 60, "{seen} pixels");
        let whole = reading_of(&[2.0; 20], None, true);
        assert!(draw(&photo, &whole, &letters, Foot::Bare).is_none());
    }
}
