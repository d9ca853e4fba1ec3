//! The scale card found in photos whose scale is known: the card as it is
//! printed, lying on a drawn stump, seen by a camera that leans.
//!
//! Prints the scale error of every photo with `--nocapture`.

#![expect(
    clippy::print_stdout,
    reason = "the scale error of every photo is shown on request"
)]

use acceptance::{folder, stumpbook};
use image::RgbImage;
use photo::{FoundCard, Limits, find_card};
use practice::Recipe;
use rayon::prelude::*;
use serde_json::Value;
use wood::{CARD_MM, Mm, Point};

/// Pixels of the card's picture for a millimeter: finer than any photo shows it.
const CARD_PX_PER_MM: f64 = 8.0;

/// How a photo is taken.
#[derive(Debug, Clone, Copy)]
struct Shot {
    /// Longer side of the photo.
    width_px: u32,
    /// How far the camera leans, and to which side, in degrees.
    lean_deg: f64,
    side_deg: f64,
    /// The card's width as a share of the photo's.
    share: f64,
    /// How the card is turned on the wood.
    turn_deg: f64,
    /// Where the card's middle is, from the middle of the face, in shares of
    /// half the photo's width.
    aside: (f64, f64),
    /// A shadow falls over this share of the card; 0 for none.
    shadow: f64,
    /// Quality of the JPEG.
    quality: u8,
}

/// A drawn stump with the card on it, as a plane in millimeters.
struct Scene<'a> {
    wood: &'a Light,
    card: &'a Light,
    wood_mm_per_px: f64,
    shot: Shot,
    /// Middle of the card on the plane, and its turn.
    card_at: (f64, f64),
    /// Distance of the camera from the plane's origin, in millimeters, and its
    /// focal length in pixels.
    distance_mm: f64,
    focal_px: f64,
    /// Sine and cosine of the lean, of its side and of the card's turn: they are asked for
    /// millions of times.
    lean: (f64, f64),
    side: (f64, f64),
    turn: (f64, f64),
}

impl<'a> Scene<'a> {
    fn new(wood: &'a Light, card: &'a Light, shot: Shot) -> Self {
        // The camera sees 65 degrees of its longer side, as a phone does.
        let focal_px = f64::from(shot.width_px) / 2.0 / 32.5_f64.to_radians().tan();
        let photo_mm = CARD_MM.0 / shot.share;
        let distance_mm = photo_mm * focal_px / f64::from(shot.width_px);
        Self {
            wood,
            card,
            wood_mm_per_px: photo_mm * 0.9 / f64::from(wood.wide),
            shot,
            card_at: (shot.aside.0 * photo_mm / 2.0, shot.aside.1 * photo_mm / 2.0),
            distance_mm,
            focal_px,
            lean: shot.lean_deg.to_radians().sin_cos(),
            side: shot.side_deg.to_radians().sin_cos(),
            turn: shot.turn_deg.to_radians().sin_cos(),
        }
    }

    fn height_px(&self) -> u32 {
        self.shot.width_px * 3 / 4
    }

    fn principal(&self) -> (f64, f64) {
        (
            f64::from(self.shot.width_px) / 2.0,
            f64::from(self.height_px()) / 2.0,
        )
    }

    /// Where a place of the plane is seen.
    fn seen(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let (sin, cos) = self.lean;
        let (far_y, far_x) = self.side;
        let along = x * far_x + y * far_y;
        let across = y * far_x - x * far_y;
        let depth = self.distance_mm + along * sin;
        let (u, v) = (
            self.focal_px * along * cos / depth,
            self.focal_px * across / depth,
        );
        let middle = self.principal();
        (
            middle.0 + u * far_x - v * far_y,
            middle.1 + u * far_y + v * far_x,
        )
    }

    /// The place of the plane that is seen at a place of the photo.
    fn plane(&self, (px, py): (f64, f64)) -> (f64, f64) {
        let (sin, cos) = self.lean;
        let (far_y, far_x) = self.side;
        let middle = self.principal();
        let (x, y) = (px - middle.0, py - middle.1);
        let (u, v) = (x * far_x + y * far_y, y * far_x - x * far_y);
        let along = u * self.distance_mm / (self.focal_px * cos - u * sin);
        let across = v * (self.distance_mm + along * sin) / self.focal_px;
        (
            along * far_x - across * far_y,
            along * far_y + across * far_x,
        )
    }

    /// Linear light at a place of the plane.
    fn light(&self, (x, y): (f64, f64)) -> [f64; 3] {
        let (sin, cos) = self.turn;
        let (dx, dy) = (x - self.card_at.0, y - self.card_at.1);
        let on_card = (
            dx * cos + dy * sin + CARD_MM.0 / 2.0,
            dy * cos - dx * sin + CARD_MM.1 / 2.0,
        );
        let inside = (0.0..CARD_MM.0).contains(&on_card.0) && (0.0..CARD_MM.1).contains(&on_card.1);
        let color = if inside {
            let at = self.card.at(on_card, 1.0 / CARD_PX_PER_MM);
            // Paper is not quite white and ink not quite black.
            at.map(|value| 0.03 + 0.80 * value)
        } else {
            let size = f64::from(self.wood.wide) * self.wood_mm_per_px;
            let high = f64::from(self.wood.high) * self.wood_mm_per_px;
            let at = (x + size / 2.0, y + high / 2.0);
            self.wood.at(at, self.wood_mm_per_px)
        };
        // A shadow with a soft edge that runs slantwise over the card.
        let shaded = if self.shot.shadow > 0.0 {
            let edge = (self.shot.shadow - 0.5) * CARD_MM.0;
            let beyond = (dx * 0.8 + dy * 0.6 - edge) / 4.0;
            0.35 + 0.65 * (beyond + 0.5).clamp(0.0, 1.0)
        } else {
            1.0
        };
        color.map(|value| value * shaded)
    }

    /// Whether a place of the plane is on the card or close to it.
    fn near_card(&self, (x, y): (f64, f64)) -> bool {
        let reach = 0.6 * CARD_MM.0.hypot(CARD_MM.1);
        (x - self.card_at.0).hypot(y - self.card_at.1) < reach
    }

    /// The photo as JPEG.
    fn jpeg(&self) -> Vec<u8> {
        let mut photo = RgbImage::new(self.shot.width_px, self.height_px());
        let mut noise = 12345_u32;
        for (x, y, out) in photo.enumerate_pixels_mut() {
            // The card's edges must be where they are to a part of a pixel; the wood's not.
            let middle = self.plane((f64::from(x), f64::from(y)));
            let samples: u32 = if self.near_card(middle) { 2 } else { 1 };
            let mut sum = [0.0; 3];
            for nth in 0..samples * samples {
                let at = |base: u32, n: u32| {
                    f64::from(base) + (f64::from(n) + 0.5) / f64::from(samples) - 0.5
                };
                let place = (at(x, nth % samples), at(y, nth / samples));
                for (sum, value) in sum.iter_mut().zip(self.light(self.plane(place))) {
                    *sum += value / f64::from(samples * samples);
                }
            }
            for (value, sum) in out.0.iter_mut().zip(sum) {
                noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                let grain = (f64::from(noise >> 8) / f64::from(1 << 24) - 0.5) * 8.0;
                *value = (encoded(sum) + grain).round().clamp(0.0, 255.0) as u8;
            }
        }
        practice::jpeg(&photo, self.shot.quality)
    }

    /// The true size of a pixel where a place of the plane is seen: the
    /// harmonic mean over directions in the photo.
    fn true_mm_per_px(&self, at: (f64, f64)) -> f64 {
        let middle = self.seen(at);
        let mut sum = 0.0;
        for step in 0..360 {
            let (sin, cos) = f64::from(step).to_radians().sin_cos();
            let one = self.plane((middle.0 + 0.5 * cos, middle.1 + 0.5 * sin));
            let other = self.plane((middle.0 - 0.5 * cos, middle.1 - 0.5 * sin));
            sum += 1.0 / (one.0 - other.0).hypot(one.1 - other.1);
        }
        360.0 / sum
    }

    /// Reported scale over true scale, less one, where a place of the plane is seen.
    fn error(&self, found: &FoundCard, at: (f64, f64)) -> f64 {
        let (x, y) = self.seen(at);
        let reported = found
            .scale_at(Point::new(x, y), Some(Mm(100.0)))
            .expect("a scale in front of the camera");
        reported.mm_per_px.0 / self.true_mm_per_px(at) - 1.0
    }
}

/// A picture as linear light.
struct Light {
    wide: u32,
    high: u32,
    /// Row by row.
    pixels: Vec<[f64; 3]>,
}

impl Light {
    fn of(picture: &RgbImage) -> Self {
        Self {
            wide: picture.width(),
            high: picture.height(),
            pixels: picture.pixels().map(|at| at.0.map(decoded)).collect(),
        }
    }

    /// The color at a place in millimeters; brown ground beyond the picture.
    fn at(&self, (x_mm, y_mm): (f64, f64), mm_per_px: f64) -> [f64; 3] {
        let (x, y) = (x_mm / mm_per_px - 0.5, y_mm / mm_per_px - 0.5);
        let (wide, high) = (self.wide as usize, self.high as usize);
        if x < 0.0 || y < 0.0 || x >= (wide - 1) as f64 || y >= (high - 1) as f64 {
            return [0.12, 0.10, 0.07];
        }
        // Neither is below 0: the whole part is the floor.
        let (left, top) = (x as usize, y as usize);
        let (across, down) = (x - left as f64, y - top as f64);
        let upper = &self.pixels[top * wide + left..][..2];
        let lower = &self.pixels[(top + 1) * wide + left..][..2];
        let weights = [
            (1.0 - across) * (1.0 - down),
            across * (1.0 - down),
            (1.0 - across) * down,
            across * down,
        ];
        let around = [upper[0], upper[1], lower[0], lower[1]];
        let mut mixed = [0.0; 3];
        for (weight, color) in weights.iter().zip(around) {
            for (sum, value) in mixed.iter_mut().zip(color) {
                *sum += weight * value;
            }
        }
        mixed
    }
}

/// Linear light of an sRGB value, from a table: it is asked for millions of times.
fn decoded(value: u8) -> f64 {
    static TABLE: std::sync::OnceLock<[f64; 256]> = std::sync::OnceLock::new();
    let table = TABLE.get_or_init(|| {
        std::array::from_fn(|value| {
            let share = value as f64 / 255.0;
            if share <= 0.04045 {
                share / 12.92
            } else {
                ((share + 0.055) / 1.055).powf(2.4)
            }
        })
    });
    table[usize::from(value)]
}

/// The sRGB value of linear light from 0 to 1, from a table that is right to a twentieth
/// of a step, far under the grain.
fn encoded(light: f64) -> f64 {
    const STEPS: usize = 1 << 16;
    static TABLE: std::sync::OnceLock<Vec<f64>> = std::sync::OnceLock::new();
    let table = TABLE.get_or_init(|| {
        (0..=STEPS)
            .map(|step| {
                let light = step as f64 / STEPS as f64;
                let share = if light <= 0.003_130_8 {
                    light * 12.92
                } else {
                    1.055 * light.powf(1.0 / 2.4) - 0.055
                };
                share * 255.0
            })
            .collect()
    });
    table[(light * STEPS as f64).round().clamp(0.0, STEPS as f64) as usize]
}

/// A drawn stump, once for all tests.
fn stump() -> &'static Light {
    static STUMP: std::sync::OnceLock<Light> = std::sync::OnceLock::new();
    STUMP.get_or_init(|| {
        let drawn = practice::render(&Recipe {
            width_px: 1200,
            height_px: 900,
            ..Recipe::random(11)
        });
        Light::of(&drawn.rgb)
    })
}

/// The card, once for all tests.
fn card() -> &'static Light {
    static CARD: std::sync::OnceLock<Light> = std::sync::OnceLock::new();
    CARD.get_or_init(|| Light::of(&report::card_picture(CARD_PX_PER_MM).expect("the card")))
}

/// Somewhere on the face, but with the whole card in the picture.
fn aside(n: f64, share: f64) -> (f64, f64) {
    let room = |half: f64| (half - 0.82 * share).max(0.0) * 2.0;
    (
        (n * 0.37).sin() * room(0.5) * 0.6,
        (n * 0.73).cos() * room(0.375) * 0.6,
    )
}

/// Fifty photos: leans to 45 degrees to all sides, cards from a fifth to two
/// fifths of the picture, a third of them partly in shadow.
fn shots() -> Vec<Shot> {
    (0..50_u32)
        .map(|nth| {
            let n = f64::from(nth);
            let share = [0.2, 0.25, 0.3, 0.4][nth as usize % 4];
            Shot {
                width_px: 1600,
                lean_deg: [0.0, 8.0, 15.0, 22.0, 30.0, 38.0, 45.0][nth as usize % 7],
                side_deg: (n * 67.0) % 360.0,
                share,
                turn_deg: (n * 131.0) % 360.0,
                aside: aside(n, share),
                shadow: if nth % 3 == 0 {
                    0.2 + 0.06 * f64::from(nth % 10)
                } else {
                    0.0
                },
                quality: [92, 85, 75][nth as usize % 3],
            }
        })
        .collect()
}

#[test]
fn the_card_gives_the_scale_of_fifty_photos() {
    let (wood, card) = (stump(), card());
    let shots = shots();
    let came: Vec<_> = shots
        .par_iter()
        .map(|&shot| {
            let scene = Scene::new(wood, card, shot);
            let face = photo::open(&scene.jpeg(), &Limits::default()).unwrap();
            let found = find_card(&face)?;
            if shot.turn_deg < 60.0 {
                let again = find_card(&face);
                assert_eq!(again.map(|card| card.discs()), Some(found.discs()));
            }
            let here = 100.0 * scene.error(&found, scene.card_at);
            let afar = 100.0 * scene.error(&found, (0.0, 0.0));
            Some((found, here, afar))
        })
        .collect();
    let mut worst = [0.0_f64; 2];
    let mut worst_afar = [0.0_f64; 2];
    let mut worst_lean = 0.0_f64;
    let mut lost = Vec::new();
    for (nth, (shot, came)) in shots.iter().zip(came).enumerate() {
        let Some((found, here, afar)) = came else {
            println!("{nth:2}: not found: {shot:?}");
            lost.push(nth);
            continue;
        };
        let lean = found.tilt().0.to_degrees();
        println!(
            "{nth:2}: lean {:4.1} (found {lean:4.1}), card {:2.0} % of the width, shadow {:.2}: \
             {} codes, {:2} discs, scale off by {here:+.3} % at the card, {afar:+.3} % at the pith",
            shot.lean_deg,
            100.0 * shot.share,
            shot.shadow,
            found.codes(),
            found.discs(),
        );
        worst_lean = worst_lean.max((lean - shot.lean_deg).abs());
        let steep = usize::from(shot.lean_deg > 30.0);
        worst[steep] = worst[steep].max(here.abs());
        worst_afar[steep] = worst_afar[steep].max(afar.abs());
    }
    println!(
        "worst: {:.3} % to 30 degrees, {:.3} % to 45; at the pith {:.3} % and {:.3} %; \
         lean off by up to {worst_lean:.1} degrees",
        worst[0], worst[1], worst_afar[0], worst_afar[1]
    );
    assert!(worst_lean < 3.0, "{worst_lean}");
    assert!(lost.is_empty(), "not found in photos {lost:?}");
    assert!(
        worst[0] <= 0.5 && worst_afar[0] <= 0.5,
        "{worst:?} {worst_afar:?}"
    );
    assert!(
        worst[1] <= 1.0 && worst_afar[1] <= 1.0,
        "{worst:?} {worst_afar:?}"
    );
}

/// A small card in photos a little larger than what is kept of their lightness: in
/// a copy of half their size the first was not found.
#[test]
fn the_card_is_found_in_photos_of_any_size() {
    let (wood, card) = (stump(), card());
    let shots = shots();
    for (nth, width_px) in [(8, 2401), (20, 3100)] {
        let shot = Shot {
            width_px,
            share: 0.15,
            ..shots[nth]
        };
        let face = photo::open(&Scene::new(wood, card, shot).jpeg(), &Limits::default());
        assert!(find_card(&face.unwrap()).is_some(), "{width_px}: {shot:?}");
    }
}

#[test]
fn a_stump_without_a_card_has_none() {
    for seed in [3, 11, 29] {
        let recipe = Recipe {
            width_px: 1200,
            height_px: 900,
            ..Recipe::random(seed)
        };
        let jpeg = practice::jpeg(&practice::render(&recipe).rgb, 90);
        let face = photo::open(&jpeg, &Limits::default()).unwrap();
        let started = std::time::Instant::now();
        assert!(find_card(&face).is_none(), "{seed}");
        println!("no card: {} ms", started.elapsed().as_millis());
    }
}

#[test]
fn count_takes_the_scale_from_a_card_and_a_shrunk_print_is_reported_by_its_bar() {
    let recipe = Recipe {
        width_px: 1600,
        height_px: 1200,
        ..Recipe::default()
    };
    let wood = Light::of(&practice::render(&recipe).rgb);
    let shot = Shot {
        width_px: 1800,
        lean_deg: 0.0,
        side_deg: 0.0,
        share: 0.2,
        turn_deg: 8.0,
        aside: (-0.62, 0.5),
        shadow: 0.0,
        quality: 90,
    };
    let scene = Scene::new(&wood, card(), shot);
    let place = folder();
    let photo = place.path().join("stump.jpg");
    std::fs::write(&photo, scene.jpeg()).unwrap();
    let scale_reported = |more: &[&str]| -> Value {
        let output = stumpbook()
            .args(["count", "--json"])
            .args(more)
            .arg(&photo)
            .output()
            .unwrap();
        let reading: Value = serde_json::from_slice(&output.stdout).unwrap();
        assert_eq!(reading["readable"], true, "{}", reading["refusal"]);
        reading
    };
    let reading = scale_reported(&[]);
    assert_eq!(reading["scale"]["from"], "card");
    let reported = reading["scale"]["mm_per_px"].as_f64().unwrap();
    let truth = scene.true_mm_per_px((0.0, 0.0));
    assert!((reported / truth - 1.0).abs() < 0.005, "{reported} {truth}");
    let doubt = reading["scale"]["uncertainty"].as_f64().unwrap();
    assert!((0.004..0.02).contains(&doubt), "{doubt}");
    assert!(reading["cautions"].to_string().contains("card-not-checked"));
    // The bar is 97 mm on this print: so is everything else.
    let shrunk = scale_reported(&["--card-bar", "97mm"]);
    let smaller = shrunk["scale"]["mm_per_px"].as_f64().unwrap();
    assert!(
        (smaller / reported - 0.97).abs() < 1e-6,
        "{smaller} {reported}"
    );
    assert!(!shrunk["cautions"].to_string().contains("card-not-checked"));
    // A width that a person measured goes before the card.
    let across = scale_reported(&["--across", "30cm"]);
    assert_eq!(across["scale"]["from"], "across");
}

#[test]
fn the_printed_page_has_its_true_size() {
    let place = folder();
    let pdf = place.path().join("card.pdf");
    stumpbook()
        .args(["card", "--paper", "a4", "--out"])
        .arg(&pdf)
        .assert()
        .code(0);
    let stem = place.path().join("page");
    let drawn = std::process::Command::new("pdftoppm")
        .args(["-r", "127", "-singlefile", "-png"])
        .args([&pdf, &stem])
        .status();
    if !drawn.is_ok_and(|status| status.success()) {
        println!("skipped: pdftoppm is not installed, so the card's page is not measured");
        return;
    }
    let page = std::fs::read(stem.with_extension("png")).unwrap();
    let face = photo::open(&page, &Limits::default()).unwrap();
    let found = find_card(&face).unwrap();
    assert_eq!((found.codes(), found.discs()), (2, 24));
    // 127 dots an inch are 5 a millimeter.
    let scale = found.scale_at(Point::new(500.0, 700.0), None).unwrap();
    assert!((scale.mm_per_px.0 / 0.2 - 1.0).abs() < 1e-3, "{scale:?}");
}
