//! Pictures of one drawn strip are joined where they belong, and not where they don't.

use image::RgbImage;
use join::{JoinError, Joined, join};
use practice::{Pieces, pieces};
use std::sync::OnceLock;
use wood::Point;

/// A strip of diffuse-porous wood, whose rings are faintest, with its pictures and what
/// they give joined, once for all tests.
fn faint() -> &'static (Pieces, Vec<RgbImage>, Joined) {
    static FAINT: OnceLock<(Pieces, Vec<RgbImage>, Joined)> = OnceLock::new();
    FAINT.get_or_init(|| {
        let strip = pieces(7);
        let given = pictures(&strip);
        let joined = join(&given).expect("they overlap");
        (strip, given, joined)
    })
}

fn pictures(strip: &Pieces) -> Vec<RgbImage> {
    strip
        .pieces
        .iter()
        .map(|piece| {
            image::load_from_memory(&piece.jpeg)
                .expect("a JPEG")
                .to_rgb8()
        })
        .collect()
}

/// How far apart two pictures put the same wood in the joined one, at most, in pixels.
fn apart(strip: &Pieces, places: &[join::Similarity], first: usize, second: usize) -> f64 {
    let (width, height) = strip.whole.dimensions();
    let mut most = 0.0_f64;
    for y in (0..height).step_by(16) {
        for x in (0..width).step_by(16) {
            let at = [f64::from(x), f64::from(y)];
            let seen = [first, second].map(|nth| {
                let place = strip.pieces[nth].of_whole(at)?;
                Some(places[nth].apply(Point::from(place)))
            });
            if let [Some(a), Some(b)] = seen {
                most = most.max(a.distance(b).0);
            }
        }
    }
    most
}

#[test]
fn no_ring_is_lost_or_doubled_at_a_seam_in_any_order() {
    // A conifer, whose rings look most alike, and the strip whose are faintest.
    let conifer = pieces(4);
    let joined = join(&pictures(&conifer)).unwrap();
    let (strip, given, faintly) = faint();
    for (strip, joined) in [(&conifer, &joined), (strip, faintly)] {
        for second in 1..strip.pieces.len() {
            let off = apart(strip, &joined.places, second - 1, second);
            // Rings are five pixels wide and more.
            assert!(off < 1.0, "{off:.2} px off at seam {second}");
        }
        assert!(joined.places.iter().all(|place| place.scale() > 0.999));
    }
    let mut given = given.clone();
    given.swap(0, 1);
    let mut swapped = join(&given).unwrap();
    swapped.places.swap(0, 1);
    assert!(apart(strip, &swapped.places, 0, 1) < 1.0);
}

#[test]
fn the_joined_picture_shows_what_the_pictures_show() {
    let (strip, given, joined) = faint();
    let (mut off, mut count) = (0.0, 0.0_f64);
    let second = &strip.pieces[1];
    for y in (20..second.size_px[1] - 20).step_by(7) {
        for x in (second.size_px[0] / 2..second.size_px[0] - 20).step_by(7) {
            let at = joined.places[1].apply(Point::new(f64::from(x) + 0.5, f64::from(y) + 0.5));
            let there = joined.rgb.get_pixel(at.x_px as u32, at.y_px as u32);
            let here = given[1].get_pixel(x, y);
            // Their light was brought together, so that only a part of it is the same.
            off += (f64::from(there[1]) / f64::from(here[1])).ln();
            count += 1.0;
        }
    }
    assert!((off / count).abs() < 0.3, "{:.2}", off / count);
}

#[test]
fn pictures_that_do_not_overlap_are_named() {
    let strip = pieces(2);
    let given = pictures(&strip);
    assert!(given.len() > 2);
    let first_and_last = [given[0].clone(), given[given.len() - 1].clone()];
    assert_eq!(
        join(&first_and_last).unwrap_err(),
        JoinError::Apart {
            first: 0,
            second: 1
        }
    );
    let (_, other, _) = faint();
    assert!(matches!(
        join(&[given[0].clone(), given[1].clone(), other[0].clone()]).unwrap_err(),
        JoinError::Apart { second: 2, .. }
    ));
    assert_eq!(join(&given[..1]).unwrap_err(), JoinError::TooFew);
    let tiny = RgbImage::new(40, 300);
    assert_eq!(
        join(&[given[0].clone(), tiny]).unwrap_err(),
        JoinError::TooSmall { picture: 1 }
    );
}

#[test]
fn pictures_of_nothing_are_refused() {
    let blank = RgbImage::from_pixel(400, 300, image::Rgb([120, 90, 60]));
    assert!(join(&[blank.clone(), blank]).is_err());
}
