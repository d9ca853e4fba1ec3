//! Lessons for the networks of `sight`: practice faces as the networks are
//! shown them, with the truth in the same courses. `crates/sight/training`
//! learns from them.

use anyhow::{Context as _, anyhow};
use clap::Args;
use ndarray::Array3;
use practice::{Outline, Recipe, Truth};
use profile::{
    Directions, Fineness, StraightenParams, Straightened, Unrolled, flatten, radial_profile,
    straighten, straighten_along, unroll, usual_spacing,
};
use rayon::prelude::*;
use serde::Serialize;
use std::fs;
use std::path::{Path, PathBuf};
use wood::{Point, Px};

/// Options of `cargo xtask lessons`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// Folder to write to
    #[arg(long)]
    out: PathBuf,
    /// First seed; seeds under a million are kept for measuring
    #[arg(long, default_value_t = 1_000_000)]
    first_seed: u64,
    /// How many faces
    #[arg(long, default_value_t = 100)]
    faces: u64,
    /// Of ten faces, how many are as the accuracy suite draws them; the rest are rough
    #[arg(long, default_value_t = 5)]
    suite_of_ten: u64,
}

/// What stands at the head of a lesson; the arrays follow as bytes.
#[derive(Debug, Serialize)]
struct Head {
    seed: u64,
    rough: bool,
    class: usize,
    rings: usize,
    readable: bool,
    /// In cells of the small picture.
    pith: [f64; 2],
    /// Radius of the face in cells of the small picture.
    radius: f64,
    /// Distance of the bark edge from the pith, in cells; negative where it is not in the picture.
    bark: Vec<f64>,
    hollow: f64,
    size: [f64; 2],
    /// Courses of each strip.
    courses: Vec<usize>,
}

/// Writes one file a face.
///
/// # Errors
/// When a file cannot be written.
pub(crate) fn run(options: &Options) -> anyhow::Result<()> {
    fs::create_dir_all(&options.out)
        .with_context(|| format!("cannot make {}", options.out.display()))?;
    (0..options.faces).into_par_iter().try_for_each(|nth| {
        let seed = options.first_seed + nth;
        let rough = (nth * 7 + nth / 10) % 10 >= options.suite_of_ten;
        one(seed, rough, &options.out)
    })
}

fn one(seed: u64, rough: bool, out: &Path) -> anyhow::Result<()> {
    let recipe = if rough {
        Recipe::rough(seed)
    } else {
        Recipe::random(seed)
    };
    let drawn = practice::render(&recipe);
    let bytes = practice::jpeg(&drawn.rgb, recipe.troubles.jpeg_quality);
    let truth = drawn.truth;
    drop(drawn.rgb);
    let face = photo::open(&bytes, &photo::Limits::default())
        .map_err(|error| anyhow!("face {seed} cannot be opened: {error}"))?;
    let (small, cell_px) = sight::small(&face);
    let pith = jittered(&truth, recipe.in_range().radius_px(), seed);
    let directions = Directions::of(&face.lightness);
    let unrolled = unroll(
        &face,
        pith,
        Some(Px(reach(&truth))),
        Fineness::FULL,
        &|_| false,
    );
    let params = StraightenParams::default();
    let first = straighten(&unrolled, &directions, &params);
    let seen = sight::see_rings(&sight::strip(&face, &unrolled, &first), 1);
    let profile = radial_profile(&first, &first.levelness(seen.usual_spacing(), &params));
    let spacing = usual_spacing(&profile, profile.mean.len() * 2 / 3);
    let again = straighten_along(
        &unrolled,
        &flatten(&unrolled, spacing),
        &first,
        &seen.lines(true),
        &params,
    );
    let mut body: Vec<u8> = small.iter().map(|v| eighth_bit(*v)).collect();
    let mut courses = Vec::new();
    for straightened in [&first, &again] {
        courses.push(straightened.courses.ncols());
        body.extend(bytes_of(&sight::strip(&face, &unrolled, straightened)));
        for line in truth.outlines.iter().chain([&truth.bark_edge]) {
            for course in courses_of(line, &unrolled, straightened) {
                body.extend(course.to_le_bytes());
            }
        }
    }
    let (width, height) = face.rgb.dimensions();
    let true_pith = Point::from(truth.pith);
    let head = Head {
        seed,
        rough,
        class: truth.wood as usize,
        rings: truth.outlines.len(),
        readable: truth.readable,
        pith: [truth.pith[0] / cell_px, truth.pith[1] / cell_px],
        radius: recipe.in_range().radius_px() / cell_px,
        bark: truth
            .bark_edge
            .iter()
            .map(|place| place.map_or(-1.0, |p| true_pith.distance(Point::from(p)).0 / cell_px))
            .collect(),
        hollow: truth.hollow_radius_px / cell_px,
        size: [f64::from(width) / cell_px, f64::from(height) / cell_px],
        courses,
    };
    let head = serde_json::to_vec(&head)?;
    let mut all = (head.len() as u32).to_le_bytes().to_vec();
    all.extend(head);
    all.extend(body);
    let path = out.join(format!("{seed}.lesson"));
    fs::write(&path, all).with_context(|| format!("cannot write {}", path.display()))
}

/// The pith as a reading might find it: mostly near, at times well off.
fn jittered(truth: &Truth, radius_px: f64, seed: u64) -> Point {
    let unit = |salt: u64| {
        let mut x =
            seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ salt.wrapping_mul(0xD1B5_4A32_D192_ED03);
        x ^= x >> 31;
        x = x.wrapping_mul(0x94D0_49BB_1331_11EB);
        x ^= x >> 29;
        (x >> 11) as f64 / (1_u64 << 53) as f64
    };
    let far = if unit(1) < 0.2 { 0.02 } else { 0.004 };
    let reach = far * radius_px * unit(2).sqrt();
    let turn = unit(3) * std::f64::consts::TAU;
    Point::new(
        truth.pith[0] + reach * turn.cos(),
        truth.pith[1] + reach * turn.sin(),
    )
}

/// How far out a lesson goes: somewhat beyond the farthest bark edge.
fn reach(truth: &Truth) -> f64 {
    let pith = Point::from(truth.pith);
    let farthest = truth
        .outlines
        .iter()
        .chain([&truth.bark_edge])
        .flatten()
        .flatten()
        .map(|place| pith.distance(Point::from(*place)).0)
        .fold(40.0, f64::max);
    1.25 * farthest
}

/// The course of a line in the middle of each row of a strip; NaN where the
/// line is not there.
fn courses_of(line: &Outline, unrolled: &Unrolled, straightened: &Straightened) -> Vec<f32> {
    let angles = unrolled.angles();
    let pooled = angles / sight::ROWS;
    let mut sums = vec![(0.0_f64, 0.0_f64); sight::ROWS];
    let places: Vec<Option<(f64, f64)>> = line
        .iter()
        .map(|place| place.map(|p| unrolled.locate(Point::from(p))))
        .collect();
    for (nth, here) in places.iter().enumerate() {
        let next = &places[(nth + 1) % places.len()];
        let (Some(a), Some(b)) = (here, next) else {
            continue;
        };
        let mut turn = b.0 - a.0;
        if turn.abs() > angles as f64 / 2.0 {
            turn -= turn.signum() * angles as f64;
        }
        let steps = (turn.abs().ceil() as usize * 2).clamp(1, 4 * angles);
        for step in 0..steps {
            let part = step as f64 / steps as f64;
            let row = (a.0 + part * turn).rem_euclid(angles as f64) as usize % angles;
            let radius = a.1 + part * (b.1 - a.1);
            if radius >= (straightened.radius.ncols() - 2) as f64 {
                continue;
            }
            let course = straightened.course_at(row, radius as f32);
            let sum = &mut sums[row / pooled];
            sum.0 += course;
            sum.1 += 1.0;
        }
    }
    sums.iter()
        .map(|&(sum, count)| {
            if count > 0.0 {
                (sum / count) as f32
            } else {
                f32::NAN
            }
        })
        .collect()
}

/// A value of about -3 to 3 as a byte.
fn eighth_bit(value: f32) -> u8 {
    (value * 40.0 + 128.0).round().clamp(0.0, 255.0) as u8
}

fn bytes_of(strip: &Array3<f32>) -> Vec<u8> {
    strip.iter().map(|v| eighth_bit(*v)).collect()
}
