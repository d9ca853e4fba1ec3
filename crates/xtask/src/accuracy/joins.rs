//! Pictures of one strip: whether they are joined with no ring lost or doubled.

use anyhow::anyhow;
use practice::{Pieces, Truth};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::fmt::Write as _;
use wood::{Point, WoodClass};

/// What came of the pictures of one strip.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(crate) struct Joined {
    pub(crate) seed: u64,
    pub(crate) wood: WoodClass,
    pub(crate) pictures: usize,
    /// How far apart two neighbors put the same wood, at worst over all that both show, in
    /// widths of the ring there; `None` where they were not joined.
    pub(crate) worst_rings: Option<f64>,
    /// Why they were not joined.
    pub(crate) refused: Option<String>,
}

impl Joined {
    /// Whether no ring is lost or doubled at a seam: everything is within three tenths of
    /// a ring.
    fn right(&self) -> bool {
        self.worst_rings.is_some_and(|worst| worst < 0.3)
    }
}

/// Draws and joins the strips of a run of seeds.
///
/// # Errors
/// When a picture that was just drawn cannot be opened.
pub(crate) fn measure(first: u64, count: u64) -> anyhow::Result<Vec<Joined>> {
    (first..first.saturating_add(count))
        .into_par_iter()
        .map(measure_one)
        .collect()
}

fn measure_one(seed: u64) -> anyhow::Result<Joined> {
    let strip = practice::pieces(seed);
    let pictures = strip
        .pieces
        .iter()
        .map(|piece| photo::open(&piece.jpeg, &photo::Limits::default()).map(|face| face.rgb))
        .collect::<Result<Vec<_>, _>>()
        .map_err(|error| anyhow!("a picture of strip {seed} cannot be opened: {error}"))?;
    let came = join::join(&pictures);
    Ok(Joined {
        seed,
        wood: strip.truth.wood,
        pictures: pictures.len(),
        worst_rings: came
            .as_ref()
            .ok()
            .map(|joined| worst_rings(&strip, &joined.places)),
        refused: came.err().map(|error| error.to_string()),
    })
}

fn worst_rings(strip: &Pieces, places: &[join::Similarity]) -> f64 {
    /// Places compared lie so many pixels apart.
    const STEP: usize = 12;
    let (width, height) = strip.whole.dimensions();
    let mut worst = 0.0_f64;
    for y in (0..height).step_by(STEP) {
        for x in (0..width).step_by(STEP) {
            let place = [f64::from(x) + 0.5, f64::from(y) + 0.5];
            let Some(ring_px) = ring_width_px(&strip.truth, place) else {
                continue;
            };
            // Where each picture that shows the place puts it, and its pixels in one of the strip.
            let put: Vec<(Point, f64)> = strip
                .pieces
                .iter()
                .zip(places)
                .filter_map(|(piece, onto)| {
                    let seen = piece.of_whole(place)?;
                    Some((onto.apply(Point::from(seen)), onto.scale() * piece.scale))
                })
                .collect();
            for pair in put.windows(2) {
                let off = pair[0].0.distance(pair[1].0).0 / pair[0].1;
                worst = worst.max(off / ring_px);
            }
        }
    }
    worst
}

/// Width of the ring at a place; `None` outside the bark or where the truth has a gap.
fn ring_width_px(truth: &Truth, place: [f64; 2]) -> Option<f64> {
    let pith = Point::from(truth.pith);
    let place = Point::from(place);
    let turn = pith.angle_to(place).0 / std::f64::consts::TAU;
    let steps = practice::OUTLINE_STEPS;
    let step = (turn.rem_euclid(1.0) * steps as f64).round() as usize % steps;
    let away = pith.distance(place).0;
    let mut inner = 0.0;
    for outline in &truth.outlines {
        let Some(at) = outline[step] else { continue };
        let outer = pith.distance(Point::from(at)).0;
        if outer > away {
            return Some(outer - inner);
        }
        inner = outer;
    }
    None
}

/// The figures as a table.
pub(crate) fn table(strips: &[Joined]) -> String {
    let mut text = format!(
        "{:<28}{:>8}{:>8}{:>9}{:>8}{:>12}",
        "", "strips", "right", "refused", "wrong", "worst ring"
    );
    let mut row = |name: &str, of: &dyn Fn(&Joined) -> bool| {
        let these: Vec<&Joined> = strips.iter().filter(|strip| of(strip)).collect();
        let right = these.iter().filter(|strip| strip.right()).count();
        let refused = these.iter().filter(|strip| strip.refused.is_some()).count();
        let worst = these
            .iter()
            .filter_map(|strip| strip.worst_rings)
            .fold(0.0, f64::max);
        let _ = write!(
            text,
            "\n{name:<28}{:>8}{right:>8}{refused:>9}{:>8}{worst:>12.2}",
            these.len(),
            these.len() - right - refused,
        );
    };
    for class in WoodClass::ALL {
        row(class.name(), &|strip| strip.wood == class);
    }
    for pictures in 2..=4 {
        row(&format!("{pictures} pictures"), &|strip| {
            strip.pictures == pictures
        });
    }
    row("all", &|_| true);
    text.push_str(
        "\nright: all that two neighbors show lies within three tenths of a ring; worst ring: how far apart\n\
         two neighbors put the same wood, at worst, in widths of the ring there",
    );
    text
}

/// The strips that were not joined right.
pub(crate) fn not_right(strips: &[Joined]) -> String {
    let mut text = String::from("Not right:\n");
    for strip in strips.iter().filter(|strip| !strip.right()) {
        let came = match (&strip.refused, strip.worst_rings) {
            (Some(why), _) => why.clone(),
            (None, worst) => format!("{:.2} rings off", worst.unwrap_or(f64::NAN)),
        };
        let _ = writeln!(
            text,
            "  seed {:<6} {:<17} {} pictures: {came}",
            strip.seed,
            strip.wood.name(),
            strip.pictures
        );
    }
    text
}
