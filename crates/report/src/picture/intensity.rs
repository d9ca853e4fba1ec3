//! The radial intensity profile of a reading: the photo's lightness, averaged along
//! the rings.

use super::color_at;
use super::straight::Courses;
use image::RgbImage;
use wood::{IntensityPlace, IntensityProfile, ProfileBoundary, Px, Reading};

/// Steps from the pith outward for each photo pixel, and most in all.
const STEPS_PER_PX: f64 = 2.0;
const MOST_STEPS: f64 = 6000.0;
/// Places around the circle that are averaged.
const AROUND: usize = 720;
/// What is shown beyond the last ring, as a share of the radius.
const BEYOND: f64 = 0.03;
/// Share of the circle below which a mean says nothing of the whole.
const LEAST_SEEN: f64 = 0.05;

/// The profile along level lines that run with the rings; `None` without rings.
///
/// # Method
/// At each height above the pith, lines run between the two nearest boundaries and
/// in proportion to them, so that a whole line is in one ring at one stage of its
/// growth. Only directions in which both boundaries are seen are averaged.
pub(super) fn profile(
    photo: &RgbImage,
    reading: &Reading,
    lightness: fn([u8; 3]) -> f32,
) -> Option<IntensityProfile> {
    let courses = Courses::of(reading)?;
    let last = *courses.tops_px.last()?;
    let reach = last * (1.0 + BEYOND);
    let steps = (reach * STEPS_PER_PX).clamp(1.0, MOST_STEPS) as u32;
    let heights: Vec<f64> = (0..=steps)
        .map(|step| reach * f64::from(step) / f64::from(steps))
        .collect();
    let rings_above: Vec<usize> = heights
        .iter()
        .map(|height| courses.tops_px.partition_point(|top| top < height))
        .collect();
    let mut sums = vec![(0.0_f64, 0_usize); heights.len()];
    let outline_steps = courses.steps();
    let radii: Vec<Vec<f64>> = (0..outline_steps)
        .map(|step| courses.radii(step, &heights))
        .collect();
    for around in 0..AROUND {
        let turn = around as f64 / AROUND as f64;
        let at = turn * outline_steps as f64;
        let (step, share) = (at.floor() as usize % outline_steps, at.fract());
        let next = (step + 1) % outline_steps;
        for (index, (&above, sum)) in rings_above.iter().zip(&mut sums).enumerate() {
            if !is_seen(reading, above, [step, next]) {
                continue;
            }
            let radius = radii[step][index] * (1.0 - share) + radii[next][index] * share;
            if let Some(color) = color_at(photo, courses.place(turn, radius)) {
                sum.0 += f64::from(lightness(color.0));
                sum.1 += 1;
            }
        }
    }
    let places = heights
        .iter()
        .zip(&sums)
        .map(|(height, &(sum, count))| {
            let seen = count as f64 / AROUND as f64;
            IntensityPlace {
                from_pith_px: Px(*height),
                lightness: (seen >= LEAST_SEEN).then(|| sum / count as f64),
                seen,
            }
        })
        .collect();
    let boundaries = reading
        .rings
        .iter()
        .zip(&courses.tops_px)
        .map(|(ring, top)| ProfileBoundary {
            number: ring.number,
            year: ring.year,
            from_pith_px: Px(*top),
            is_doubtful: ring.is_doubtful(),
        })
        .collect();
    Some(IntensityProfile { places, boundaries })
}

/// Whether the outer boundaries of the ring `above` and of the one inside it are
/// seen at these steps.
fn is_seen(reading: &Reading, above: usize, steps: [usize; 2]) -> bool {
    let below = above.checked_sub(1);
    [below, Some(above)]
        .into_iter()
        .flatten()
        .filter_map(|index| reading.rings.get(index))
        .all(|ring| {
            steps
                .iter()
                .all(|step| ring.outline_px.get(*step).is_some_and(Option::is_some))
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_readings::reading_of;
    use image::Rgb;

    /// Rings 20 pixels wide around the middle of a photo, each dark in its outer half.
    #[test]
    fn each_ring_is_light_first_and_dark_before_its_boundary() {
        let reading = reading_of(&[5.0; 6], None, true);
        let center = reading.pith.as_ref().unwrap().point();
        let photo = RgbImage::from_fn(1000, 800, |x, y| {
            let out = (f64::from(x) - center.x_px).hypot(f64::from(y) - center.y_px);
            Rgb([if out % 20.0 < 10.0 { 200 } else { 60 }; 3])
        });
        let profile = profile(&photo, &reading, |rgb| f32::from(rgb[0])).unwrap();
        assert_eq!(profile.boundaries.len(), 6);
        for boundary in &profile.boundaries {
            let near = |out: f64| {
                let wanted = boundary.from_pith_px.0 - out;
                let place = profile
                    .places
                    .iter()
                    .min_by(|a, b| {
                        let off = |p: &IntensityPlace| (p.from_pith_px.0 - wanted).abs();
                        off(a).total_cmp(&off(b))
                    })
                    .unwrap();
                assert!(place.seen > 0.99);
                place.lightness.unwrap()
            };
            assert!(near(15.0) > 190.0, "{boundary:?}");
            assert!(near(5.0) < 70.0, "{boundary:?}");
        }
    }

    #[test]
    fn where_a_boundary_is_seen_nowhere_there_is_no_mean() {
        let mut reading = reading_of(&[5.0; 6], None, true);
        let steps = reading.rings[3].outline_px.len();
        reading.rings[3].outline_px = vec![None; steps];
        let photo = RgbImage::from_pixel(1000, 800, Rgb([90; 3]));
        let profile = profile(&photo, &reading, |rgb| f32::from(rgb[0])).unwrap();
        for place in &profile.places {
            let beside = (60.5..99.5).contains(&place.from_pith_px.0);
            let away = place.from_pith_px.0 < 59.5 || place.from_pith_px.0 > 101.0;
            assert!(!(beside && place.lightness.is_some()), "{place:?}");
            assert!(!(away && place.lightness.is_none()), "{place:?}");
        }
    }
}
