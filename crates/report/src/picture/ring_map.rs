//! The ring map: the photo with every ring drawn on it, each tenth thicker, with
//! its number and year, so that a person finds it on the stump itself.

use super::along_strip::AlongStrip;
use super::dots;
use super::ink::{
    self, BARK_PEN, CASING, DOUBT_PEN, PAPER, Pen, Spot, Strokes, TENTH, TENTH_PEN, ring_pen,
};
use super::lettering::{Letters, Text, Weight};
use image::{RgbImage, imageops};
use wood::{Point, Px, Reading, Ring};

/// The longer side of the photo in the map, at most. Chosen for a phone's screen.
const LONGER_SIDE: f32 = 1600.0;
/// A small photo is enlarged so that lines and numbers have room, at most so much.
const MOST_ENLARGED: f32 = 2.0;

/// Size of the numbers on a screen, in pixels of the map.
const ON_SCREEN_PX: f32 = 25.0;
/// Size of the numbers on paper: 7 points where the map is 4.2 inches wide.
pub(super) const ON_PAPER_PX: f32 = 37.0;

/// Draws the ring map in its frame, with a caption.
pub(super) fn draw(photo: &RgbImage, reading: &Reading, letters: &Letters) -> RgbImage {
    let map = bare(photo, reading, letters, ON_SCREEN_PX);
    framed(&map, reading, letters)
}

/// Draws the ring map alone, for a page that has its own words.
pub(super) fn bare(
    photo: &RgbImage,
    reading: &Reading,
    letters: &Letters,
    number_px: f32,
) -> RgbImage {
    let longer = photo.width().max(photo.height()).max(1) as f32;
    let scale = (LONGER_SIDE / longer).min(MOST_ENLARGED);
    let mut picture = scaled(photo, scale);
    // The center of a photo's pixel is at whole coordinates.
    let spot = |place: Point| -> Spot {
        (
            (place.x_px as f32 + 0.5) * scale - 0.5,
            (place.y_px as f32 + 0.5) * scale - 0.5,
        )
    };
    let mean = reading
        .rings
        .iter()
        .map(|ring| ring.width_px.0)
        .sum::<f64>()
        / reading.rings.len().max(1) as f64;
    draw_lines(&mut picture, reading, ring_pen(mean as f32 * scale), spot);
    if let Some(pith) = &reading.pith {
        draw_pith(&mut picture, spot(pith.point()));
    }
    number_tenths(&mut picture, reading, (letters, number_px), spot);
    picture
}

fn scaled(photo: &RgbImage, scale: f32) -> RgbImage {
    let side = |length: u32| ((length as f32 * scale).round() as u32).max(1);
    let (width, height) = (side(photo.width()), side(photo.height()));
    if scale < 1.0 {
        imageops::thumbnail(photo, width, height)
    } else {
        imageops::resize(photo, width, height, imageops::FilterType::Triangle)
    }
}

fn draw_lines(picture: &mut RgbImage, reading: &Reading, rings: Pen, spot: impl Fn(Point) -> Spot) {
    let size = picture.dimensions();
    let mut bark = Strokes::new(BARK_PEN, size);
    let mut plain = Strokes::new(rings, size);
    let mut doubt = Strokes::new(DOUBT_PEN, size);
    let mut tenth = Strokes::new(TENTH_PEN, size);
    let along = AlongStrip::of(reading);
    if let Some(along) = &along {
        plain.path(along.outline().map(|place| Some(spot(place))));
    }
    let edge = match &along {
        Some(along) => along.bark(&reading.bark_edge_px),
        None => around(&reading.bark_edge_px),
    };
    let drawn = |places: Vec<Option<Point>>| places.into_iter().map(|place| place.map(&spot));
    bark.path(drawn(edge));
    for ring in &reading.rings {
        let places = drawn(match &along {
            Some(along) => along.across(ring),
            None => around(&ring.outline_px),
        });
        match (ring.number.is_multiple_of(10), ring.is_doubtful()) {
            (true, false) => tenth.path(places),
            (true, true) => tenth.dashed(places),
            (false, true) => doubt.dashed(places),
            (false, false) => plain.path(places),
        }
    }
    // The last ring often ends at the bark edge; the edge is drawn over it.
    for strokes in [plain, doubt, tenth, bark] {
        strokes.lay_on(picture);
    }
}

/// The places of an outline, ending where it began.
fn around(outline: &[Option<Point>]) -> Vec<Option<Point>> {
    outline.iter().chain(outline.first()).copied().collect()
}

/// A cross with an open middle, so that the pith itself stays in sight.
fn draw_pith(picture: &mut RgbImage, (x, y): Spot) {
    let mut strokes = Strokes::new(TENTH_PEN, picture.dimensions());
    for (right, down) in [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)] {
        let at = |distance: f32| Some((x + right * distance, y + down * distance));
        strokes.path([at(6.0), at(18.0)].into_iter());
    }
    strokes.lay_on(picture);
}

/// A box that a number stands in: left, top, width, height.
type Frame = (i32, i32, i32, i32);

fn number_tenths(
    picture: &mut RgbImage,
    reading: &Reading,
    (letters, number_px): (&Letters, f32),
    spot: impl Fn(Point) -> Spot,
) {
    /// How far a number stands from the side of a strip, as a share of its size.
    const BESIDE: f64 = 0.62;
    // Pixels of the map for one of the photo.
    let (at, next) = (spot(Point::new(0.0, 0.0)), spot(Point::new(1.0, 0.0)));
    let px = f64::from(next.0 - at.0).max(1e-6);
    let Some(pith) = reading.pith.as_ref().map(|pith| spot(pith.point())) else {
        return;
    };
    let clearest = clearest_step(&reading.rings);
    let strip = AlongStrip::of(reading);
    let mut taken: Vec<Frame> = Vec::new();
    let (width, height) = picture.dimensions();
    for ring in reading.rings.iter().filter(|r| r.number.is_multiple_of(10)) {
        let number = label(ring);
        let text = Text {
            text: &number,
            size_px: number_px,
            weight: Weight::Bold,
        };
        let (wide, high) = letters.measure(text);
        // The nearest step to the clearest one where the number stands free; of a
        // strip, either side of it.
        let places: Vec<Point> = match &strip {
            Some(strip) => {
                let off = Px(BESIDE * f64::from(wide.max(high)) / px);
                [off, Px(-off.0)]
                    .map(|off| strip.beside(ring, off))
                    .to_vec()
            }
            None => steps_from(clearest, ring.outline_px.len())
                .filter_map(|step| ring.outline_px.get(step).copied().flatten())
                .collect(),
        };
        let free = places
            .into_iter()
            .map(&spot)
            .map(|at| {
                let frame = (
                    at.0 as i32 - wide / 2 - 5,
                    at.1 as i32 - high / 2 - 5,
                    wide + 10,
                    high + 10,
                );
                (at, frame)
            })
            .find(|(_, frame)| {
                frame.0 >= 0
                    && frame.1 >= 0
                    && frame.0 + frame.2 <= width as i32
                    && frame.1 + frame.3 <= height as i32
                    && !taken.iter().any(|other| overlap(*frame, *other))
            });
        let Some((at, frame)) = free else {
            continue;
        };
        taken.push(frame);
        fill(picture, frame);
        letters.write(picture, (frame.0 + 5, frame.1 + 3), text, TENTH);
        if let Some(strip) = &strip {
            // Dots stand on the ring, within the strip.
            let (from, to) = (strip.beside(ring, Px(-0.0)), strip.beside(ring, Px(0.0)));
            let (from, to) = (spot(from), spot(to));
            let wide = (to.0 - from.0).hypot(to.1 - from.1).max(1.0);
            let step = ((to.0 - from.0) / wide, (to.1 - from.1) / wide);
            let start = (from.0 + 9.0 * step.0, from.1 + 9.0 * step.1);
            dots::on_wood(picture, ring.number, start, (step.0 * 14.0, step.1 * 14.0));
            continue;
        }
        // Dots run along the ring, beside the number.
        let (out_x, out_y) = (at.0 - pith.0, at.1 - pith.1);
        let length = out_x.hypot(out_y).max(1.0);
        let along = (-out_y / length, out_x / length);
        let clear = 12.0 + (along.0.abs() * frame.2 as f32 + along.1.abs() * frame.3 as f32) / 2.0;
        dots::on_wood(
            picture,
            ring.number,
            (at.0 + along.0 * clear, at.1 + along.1 * clear),
            (along.0 * 17.0, along.1 * 17.0),
        );
    }
}

/// "70 (2023)", or the number alone.
fn label(ring: &Ring) -> String {
    match ring.year {
        Some(year) => format!("{} ({year})", ring.number),
        None => ring.number.to_string(),
    }
}

/// The step of angle at which most rings are seen.
fn clearest_step(rings: &[Ring]) -> usize {
    let steps = rings.iter().map(|ring| ring.outline_px.len()).max();
    (0..steps.unwrap_or(0))
        .max_by_key(|step| {
            let seen = rings
                .iter()
                .filter(|ring| matches!(ring.outline_px.get(*step), Some(Some(_))))
                .count();
            (seen, std::cmp::Reverse(*step))
        })
        .unwrap_or(0)
}

/// All steps around the circle, those near `start` first, to both sides.
fn steps_from(start: usize, steps: usize) -> impl Iterator<Item = usize> {
    (0..steps).map(move |nth| {
        let aside = nth.div_ceil(2);
        if nth % 2 == 0 {
            (start + aside) % steps
        } else {
            (start + steps - aside) % steps
        }
    })
}

fn overlap(a: Frame, b: Frame) -> bool {
    a.0 < b.0 + b.2 && b.0 < a.0 + a.2 && a.1 < b.1 + b.3 && b.1 < a.1 + a.3
}

fn fill(picture: &mut RgbImage, (left, top, wide, high): Frame) {
    for y in top.max(0)..(top + high).min(picture.height() as i32) {
        for x in left.max(0)..(left + wide).min(picture.width() as i32) {
            ink::blend(picture.get_pixel_mut(x as u32, y as u32), CASING, 0.82);
        }
    }
}

/// The map on paper, with a caption that says what it shows.
fn framed(picture: &RgbImage, reading: &Reading, letters: &Letters) -> RgbImage {
    let margin = 24;
    let wide = picture.width() as i32 - 8;
    let title = super::title(reading);
    let title = Text {
        text: &title,
        size_px: 28.0,
        weight: Weight::Bold,
    };
    let legend = "Every ring is drawn at its outer edge. Each tenth ring, counted from the pith, is thicker and \
        has its number, and its year where that is known. Dots: one at each 10th, two at each 50th, three at each 100th. \
        Orange and broken: in doubt. Green: the bark edge. Cross: the pith.";
    let legend = Text {
        text: legend,
        size_px: 21.0,
        weight: Weight::Regular,
    };
    let titles = letters.wrap(title, wide);
    let legends = letters.wrap(legend, wide);
    let high = 20 + 36 * titles.len() as i32 + 28 * legends.len() as i32 + margin / 2;
    let mut page = RgbImage::from_pixel(
        picture.width() + 2 * margin as u32,
        picture.height() + (margin + high) as u32,
        PAPER,
    );
    imageops::replace(&mut page, picture, i64::from(margin), i64::from(margin));
    let at = (margin + 4, margin + picture.height() as i32 + 14);
    let at = letters.write_lines(&mut page, at, (&titles, title), 36);
    letters.write_lines(&mut page, at, (&legends, legend), 28);
    page
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_go_out_from_the_start_to_both_sides_and_meet_each_once() {
        let order: Vec<usize> = steps_from(1, 5).collect();
        assert_eq!(order, [1, 0, 2, 4, 3]);
    }

    #[test]
    fn a_dated_ring_is_labeled_with_its_year() {
        let rings = crate::test_readings::reading_of(&[2.0; 20], Some(2025), true).rings;
        assert_eq!(label(&rings[9]), "10 (2015)");
        let undated = crate::test_readings::reading_of(&[2.0; 20], None, true).rings;
        assert_eq!(label(&undated[19]), "20");
    }

    #[test]
    fn frames_that_only_touch_do_not_overlap() {
        assert!(!overlap((0, 0, 10, 10), (10, 0, 10, 10)));
        assert!(overlap((0, 0, 10, 10), (9, 9, 10, 10)));
    }
}
