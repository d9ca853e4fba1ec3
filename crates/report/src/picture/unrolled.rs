//! The stump unrolled: rings as level lines from pith (below) to bark (above),
//! each tenth ruled and numbered, so that a person checks rings on straight
//! lines instead of curves.

use super::color_at;
use super::dots;
use super::ink::{BARE, DOUBT_PEN, INK, PAPER, Strokes, TENTH_PEN, ring_pen};
use super::lettering::{Letters, Text, Weight};
use super::straight::Courses;
use super::title;
use image::{Rgb, RgbImage};
use imageproc::drawing::draw_filled_rect_mut;
use imageproc::rect::Rect;
use wood::{Reading, Ring};

/// Columns of the unrolled stump: one whole turn.
const COLUMNS: u32 = 1440;
/// Rows wanted, and the most there may be when rings are narrow.
const ROWS: f64 = 1200.0;
const MOST_ROWS: f64 = 2600.0;
/// Rows that the mean course should have, so that its line does not hide it.
const COURSE_ROWS: f64 = 9.0;
/// Margins and letters around the strip, in pixels.
#[derive(Debug, Clone, Copy)]
struct Layout {
    /// Numbers are to the left of the strip, years to the right.
    left: u32,
    right: u32,
    top: u32,
    /// Room below the strip for the names of the directions.
    directions: u32,
    letters_px: f32,
    paper: Rgb<u8>,
}

/// For a screen.
const ON_SCREEN: Layout = Layout {
    left: 110,
    right: 96,
    top: 28,
    directions: 42,
    letters_px: 25.0,
    paper: PAPER,
};

/// For paper: numbers of 7 points where the picture is 2.6 inches high.
const ON_PAPER: Layout = Layout {
    left: 190,
    right: 150,
    top: 44,
    directions: 70,
    letters_px: 50.0,
    paper: Rgb([255, 255, 255]),
};
/// What is shown beyond the last ring, as a share of the radius.
const BEYOND: f64 = 0.05;

/// What stands below an unrolled stump that is a picture of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Foot {
    /// Directions, title and caption.
    Captioned,
    /// Directions only, for a page that has its own words.
    Bare,
}

/// Draws the unrolled stump; `None` when there are no rings to lay.
pub(super) fn draw(
    photo: &RgbImage,
    reading: &Reading,
    letters: &Letters,
    foot: Foot,
) -> Option<RgbImage> {
    let courses = Courses::of(reading)?;
    let last = *courses.tops_px.last()?;
    let top_px = last * (1.0 + BEYOND);
    let mean_px = (last - courses.bottom_px) / courses.tops_px.len() as f64;
    let rows_per_px = (ROWS / top_px)
        .max(COURSE_ROWS / mean_px)
        .min(MOST_ROWS / top_px);
    let rows = (top_px * rows_per_px).round().max(1.0) as u32;
    let mut strip = laid_out(photo, &courses, (top_px, rows));
    let row_of = |height_px: f64| ((top_px - height_px) * rows_per_px) as f32;
    draw_courses(&mut strip, reading, &courses, row_of);
    let layout = match foot {
        Foot::Captioned => ON_SCREEN,
        Foot::Bare => ON_PAPER,
    };
    let page = on_paper(&strip, reading, &courses, (letters, layout), row_of);
    Some(match foot {
        Foot::Captioned => captioned(&page, reading, letters),
        Foot::Bare => page,
    })
}

/// The wood itself, course by course.
fn laid_out(photo: &RgbImage, courses: &Courses, (top_px, rows): (f64, u32)) -> RgbImage {
    let heights: Vec<f64> = (0..rows)
        .map(|row| top_px * (1.0 - (f64::from(row) + 0.5) / f64::from(rows)))
        .collect();
    let steps = courses.steps();
    let radii: Vec<Vec<f64>> = (0..steps)
        .map(|step| courses.radii(step, &heights))
        .collect();
    let mut strip = RgbImage::from_pixel(COLUMNS, rows, BARE);
    for column in 0..COLUMNS {
        let turn = f64::from(column) / f64::from(COLUMNS);
        let at = turn * steps as f64;
        let step = at.floor() as usize % steps;
        let share = at - at.floor();
        let (here, next) = (&radii[step], &radii[(step + 1) % steps]);
        for row in 0..rows {
            let radius = here[row as usize] * (1.0 - share) + next[row as usize] * share;
            if let Some(pixel) = color_at(photo, courses.place(turn, radius)) {
                strip.put_pixel(column, row, pixel);
            }
        }
    }
    strip
}

fn draw_courses(
    strip: &mut RgbImage,
    reading: &Reading,
    courses: &Courses,
    row_of: impl Fn(f64) -> f32,
) {
    let size = strip.dimensions();
    let courses_in_all = courses.tops_px.len().max(1) as f32;
    let mut plain = Strokes::new(ring_pen(size.1 as f32 / courses_in_all), size);
    let mut doubt = Strokes::new(DOUBT_PEN, size);
    let mut tenth = Strokes::new(TENTH_PEN, size);
    for (ring, top) in reading.rings.iter().zip(&courses.tops_px) {
        let row = row_of(*top);
        let steps = ring.outline_px.len();
        let places = (0..=steps).map(|step| {
            let seen = ring.outline_px.get(step % steps.max(1)).copied().flatten();
            seen.map(|_| (step as f32 / steps as f32 * COLUMNS as f32, row))
        });
        match (ring.number.is_multiple_of(10), ring.is_doubtful()) {
            (true, false) => tenth.path(places),
            (true, true) => tenth.dashed(places),
            (false, true) => doubt.dashed(places),
            (false, false) => plain.path(places),
        }
    }
    for strokes in [plain, doubt, tenth] {
        strokes.lay_on(strip);
    }
}

/// The strip on paper, with numbers, years and directions.
fn on_paper(
    strip: &RgbImage,
    reading: &Reading,
    courses: &Courses,
    (letters, layout): (&Letters, Layout),
    row_of: impl Fn(f64) -> f32,
) -> RgbImage {
    let wide = layout.left + COLUMNS + layout.right;
    let high = layout.top + strip.height() + layout.directions;
    let mut page = RgbImage::from_pixel(wide, high, layout.paper);
    let (left, top) = (i64::from(layout.left), i64::from(layout.top));
    image::imageops::replace(&mut page, strip, left, top);
    number_tenths(&mut page, reading, courses, (letters, layout), row_of);
    let base = (layout.top + strip.height()) as i32;
    name_directions(&mut page, (letters, layout), base);
    page
}

/// The same with a title and a caption below.
fn captioned(strip: &RgbImage, reading: &Reading, letters: &Letters) -> RgbImage {
    let title = title(reading);
    let title = Text {
        text: &title,
        size_px: 28.0,
        weight: Weight::Bold,
    };
    let caption = "The stump unrolled: pith below, bark above, one whole turn from left to right, clockwise as in the photo. \
        Each band is one ring at its mean width, numbered from the pith; a line is its outer edge, broken where it is in doubt, missing where it is not seen.";
    let caption = Text {
        text: caption,
        size_px: 21.0,
        weight: Weight::Regular,
    };
    let lines = letters.wrap(caption, COLUMNS as i32);
    let high = 104 - ON_SCREEN.directions + 28 * lines.len() as u32;
    let mut page = RgbImage::from_pixel(strip.width(), strip.height() + high, PAPER);
    image::imageops::replace(&mut page, strip, 0, 0);
    let base = (strip.height() - ON_SCREEN.directions) as i32;
    let left = ON_SCREEN.left as i32;
    letters.write(&mut page, (left, base + 50), title, INK);
    letters.write_lines(&mut page, (left, base + 90), (&lines, caption), 28);
    page
}

fn number_tenths(
    page: &mut RgbImage,
    reading: &Reading,
    courses: &Courses,
    (letters, layout): (&Letters, Layout),
    row_of: impl Fn(f64) -> f32,
) {
    let tenths = reading
        .rings
        .iter()
        .zip(&courses.tops_px)
        .filter(|(ring, _)| ring.number.is_multiple_of(10));
    let mut above = i32::MAX;
    for (ring, top) in tenths {
        let row = layout.top as i32 + row_of(*top).round() as i32;
        rule(page, (layout.left as i32 - 14, row), 14);
        rule(page, ((layout.left + COLUMNS) as i32, row), 14);
        // Numbers nearer to each other than this could not be read.
        if above.saturating_sub(row) < layout.letters_px as i32 {
            continue;
        }
        above = row;
        write_number(page, ring, (letters, layout), row);
    }
}

fn write_number(page: &mut RgbImage, ring: &Ring, (letters, layout): (&Letters, Layout), row: i32) {
    let number = ring.number.to_string();
    let text = Text {
        text: &number,
        size_px: layout.letters_px,
        weight: Weight::Bold,
    };
    let (wide, high) = letters.measure(text);
    let left = layout.left as i32 - 20 - wide;
    letters.write(page, (left, row - high / 2 - 3), text, INK);
    let dot = ((left - 12) as f32, row as f32);
    dots::on_paper(page, ring.number, dot, (-13.0, 0.0));
    if let Some(year) = ring.year {
        let year = year.to_string();
        let text = Text {
            text: &year,
            size_px: layout.letters_px,
            weight: Weight::Regular,
        };
        let high = letters.measure(text).1;
        let at = ((layout.left + COLUMNS) as i32 + 20, row - high / 2 - 3);
        letters.write(page, at, text, INK);
    }
}

fn name_directions(page: &mut RgbImage, (letters, layout): (&Letters, Layout), base: i32) {
    let quarter = COLUMNS as i32 / 4;
    for (nth, name) in ["right", "down", "left", "up", "right"].iter().enumerate() {
        let text = Text {
            text: name,
            size_px: layout.letters_px * 0.84,
            weight: Weight::Regular,
        };
        let x = layout.left as i32 + quarter * nth as i32;
        let wide = letters.measure(text).0;
        draw_filled_rect_mut(page, Rect::at(x - 1, base).of_size(2, 10), INK);
        letters.write(page, (x - wide / 2, base + 12), text, INK);
    }
}

fn rule(page: &mut RgbImage, (left, row): (i32, i32), long: u32) {
    draw_filled_rect_mut(page, Rect::at(left, row - 1).of_size(long, 3), INK);
}
