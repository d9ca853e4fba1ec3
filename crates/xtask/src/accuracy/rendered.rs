//! Rendered faces: drawn, stored as JPEG, opened and read as a photo would be.

use super::matching::{self, Distances, Line};
use anyhow::anyhow;
use practice::{DressedStrip, Dressing, Outline, Recipe, StripTruth, Troubles, Truth};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::time::Instant;
use wood::{Facts, Marks, Point, Reading, Strip, WoodClass};

/// Which faces are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Suite {
    /// As somebody would photograph them who means to have them read.
    Usual,
    /// As nobody prepared them: small in a scene, leaning, a part of the face
    /// only, rough from the saw, weathered.
    Rough,
    /// Rough from the saw all over but for a dressed strip.
    Strip,
    /// The same, with the first strip marked by its two ends.
    Marked,
}

impl Suite {
    pub(crate) fn recipe(self, seed: u64) -> Recipe {
        match self {
            Self::Usual => Recipe::random(seed),
            Self::Rough => Recipe::rough(seed),
            Self::Strip | Self::Marked => Recipe::dressed(seed),
        }
    }

    /// What a person marks on a face of the suite.
    fn marks(self, truth: &Truth) -> Marks {
        let marked = truth.strips.first().filter(|_| self == Self::Marked);
        Marks {
            strip: marked.map(|strip| {
                // A person clicks the pith where the strip shows it.
                let from = if first_shown(strip) == Some(1) {
                    truth.pith
                } else {
                    strip.from
                };
                Strip::to_read(Point::from(from), Point::from(strip.to), None)
            }),
            ..Marks::default()
        }
    }

    /// What can be counted: where a strip is marked, that one alone.
    fn in_question(self, mut truth: Truth) -> Truth {
        if self == Self::Marked
            && let Some(strip) = truth.strips.first()
        {
            truth.rings_visible = strip.rings.len() as u32;
            truth.strips.truncate(1);
        }
        truth
    }
}

/// The innermost ring that a strip shows.
fn first_shown(strip: &StripTruth) -> Option<u32> {
    strip.rings.first().map(|ring| ring.ring)
}

/// What is claimed of one boundary, and whether it is a true one.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
pub(crate) struct Claim {
    /// The chance that it is a true one, as the reading gives it.
    pub(crate) confidence: f64,
    pub(crate) right: bool,
}

/// What came of one face.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(crate) struct Measured {
    pub(crate) seed: u64,
    pub(crate) suite: Suite,
    pub(crate) wood: WoodClass,
    /// Rings that the picture shows, or the marked strip.
    pub(crate) rings: u32,
    /// False where nobody could count it: then it should be refused.
    pub(crate) readable: bool,
    pub(crate) refused: bool,
    pub(crate) best: Option<u32>,
    pub(crate) low: Option<u32>,
    pub(crate) high: Option<u32>,
    /// The wood class it was read with.
    pub(crate) read_as: Option<WoodClass>,
    /// Boundaries: true ones, found ones, and how many match.
    pub(crate) true_boundaries: usize,
    pub(crate) found_boundaries: usize,
    pub(crate) matched: usize,
    /// What is claimed of each found boundary; the bark edge is none.
    pub(crate) claims: Vec<Claim>,
    /// By how much boundaries lie outside the true ones, in ring widths.
    pub(crate) shift: Option<f64>,
    /// Distance of the pith from the true one, in percent of the face's
    /// radius; `None` where the picture does not show it.
    pub(crate) pith_error_percent: Option<f64>,
    pub(crate) megapixels: f64,
    /// From JPEG bytes to reading; other faces are read beside it.
    pub(crate) seconds: f64,
    /// What makes it hard, by name.
    pub(crate) troubles: Vec<Cow<'static, str>>,
}

impl Measured {
    /// How many rings the count is off by.
    pub(crate) fn off(&self) -> Option<i64> {
        Some(i64::from(self.best?) - i64::from(self.rings))
    }

    /// By how many rings the truth is outside the range; 0 where it is held.
    pub(crate) fn outside(&self) -> Option<u32> {
        let (low, high) = (self.low?, self.high?);
        Some(
            low.saturating_sub(self.rings)
                .max(self.rings.saturating_sub(high)),
        )
    }

    /// Whether a wrong count is given with confidence: the truth is more than 3 rings
    /// outside a range that is narrower than a fifth of the count.
    pub(crate) fn confident_and_wrong(&self) -> bool {
        let narrow = match (self.low, self.high, self.best) {
            (Some(low), Some(high), Some(best)) => 5 * high.saturating_sub(low) < best,
            _ => false,
        };
        narrow && self.outside().is_some_and(|rings| rings > 3)
    }

    /// Whether the range holds the truth.
    pub(crate) fn held(&self) -> Option<bool> {
        Some((self.low?..=self.high?).contains(&self.rings))
    }
}

/// Draws and reads the faces of a run of seeds.
///
/// # Errors
/// When a face that was just drawn cannot be opened.
pub(crate) fn measure(
    suite: Suite,
    first: u64,
    count: u64,
    known_wood: bool,
) -> anyhow::Result<Vec<Measured>> {
    (first..first.saturating_add(count))
        .into_par_iter()
        .map(|seed| measure_one(suite, seed, known_wood))
        .collect()
}

fn measure_one(suite: Suite, seed: u64, known_wood: bool) -> anyhow::Result<Measured> {
    let recipe = suite.recipe(seed);
    let drawn = practice::render(&recipe);
    let bytes = practice::jpeg(&drawn.rgb, recipe.troubles.jpeg_quality);
    let truth = suite.in_question(drawn.truth);
    drop(drawn.rgb);
    let facts = Facts {
        wood: known_wood.then_some(truth.wood),
        ..Facts::default()
    };
    let start = Instant::now();
    let face = photo::open(&bytes, &photo::Limits::default())
        .map_err(|error| anyhow!("face {seed} cannot be opened: {error}"))?;
    let reading = reader::read("face.jpg", &face, &facts, &suite.marks(&truth));
    let seconds = start.elapsed().as_secs_f64();
    let (width, height) = face.rgb.dimensions();
    let pith = Point::from(truth.pith);
    let shown = (0.0..f64::from(width)).contains(&pith.x_px)
        && (0.0..f64::from(height)).contains(&pith.y_px)
        && truth.hollow_radius_px <= 0.0;
    let radius_px = recipe.in_range().radius_px();
    let (lines, widths) = true_boundaries(&truth);
    // Where only a strip shows them, boundaries are compared in the strip alone.
    let least_common = if truth.strips.is_empty() { 3 } else { 1 };
    let found: Vec<Distances> = reading
        .rings
        .iter()
        .map(|ring| Line::around(pith, &ring.outline_px).distances())
        .collect();
    let right = matching::matched(&lines, &widths, &found, least_common);
    let claims = reading
        .rings
        .iter()
        .zip(&right)
        .filter(|(ring, _)| ring.confidence < 1.0)
        .map(|(ring, &right)| Claim {
            confidence: ring.confidence,
            right,
        })
        .collect();
    Ok(Measured {
        seed,
        suite,
        wood: truth.wood,
        rings: truth.rings_visible,
        readable: truth.readable,
        refused: !reading.readable,
        best: reading.count.as_ref().map(|count| count.best),
        low: reading.count.as_ref().map(|count| count.low),
        high: reading.count.as_ref().map(|count| count.high),
        read_as: reading.wood.as_ref().map(|wood| wood.class),
        true_boundaries: lines.len(),
        found_boundaries: found.len(),
        matched: right.iter().filter(|right| **right).count(),
        claims,
        shift: matching::shift(&lines, &widths, &found),
        pith_error_percent: pith_error(&reading, pith)
            .filter(|_| shown)
            .map(|px| 100.0 * px / radius_px),
        megapixels: f64::from(width) * f64::from(height) / 1e6,
        seconds,
        troubles: troubles(&recipe, &truth),
    })
}

fn pith_error(reading: &Reading, truth: Point) -> Option<f64> {
    Some(reading.pith.as_ref()?.point().distance(truth).0)
}

/// The boundaries that are in view, and each ring's mean width in pixels where both
/// its sides show.
fn true_boundaries(truth: &Truth) -> (Vec<Distances>, Vec<f64>) {
    let pith = Point::from(truth.pith);
    let distances = |outline: &Outline| -> Distances {
        outline
            .iter()
            .map(|place| place.map(|place| pith.distance(Point::from(place)).0))
            .collect()
    };
    let all: Vec<Distances> = truth.outlines.iter().map(distances).collect();
    let mut lines = Vec::new();
    let mut widths = Vec::new();
    for (nth, line) in all.iter().enumerate() {
        if !truth.shows(nth + 1) {
            continue;
        }
        let inside = nth.checked_sub(1).map(|before| &all[before]);
        let across: Vec<f64> = line
            .iter()
            .enumerate()
            .filter_map(|(step, outer)| {
                let inner = match inside {
                    None => 0.0,
                    Some(inside) => inside[step]?,
                };
                Some((*outer)? - inner)
            })
            .collect();
        let width = if across.is_empty() {
            truth.widths_mm.get(nth).copied().unwrap_or(0.0) / truth.mm_per_px
        } else {
            across.iter().sum::<f64>() / across.len() as f64
        };
        let clear = line.iter().zip(&truth.outlines[nth]).map(|(px, place)| {
            let shown = |place: &[f64; 2]| {
                truth.strips.is_empty() || truth.strips.iter().any(|strip| strip.holds(*place))
            };
            px.filter(|_| place.as_ref().is_some_and(shown))
        });
        lines.push(clear.collect());
        widths.push(width);
    }
    (lines, widths)
}

/// What makes a face hard, where it is strong enough to matter. Limits chosen.
fn troubles(recipe: &Recipe, truth: &Truth) -> Vec<Cow<'static, str>> {
    let Troubles {
        checks,
        knots,
        saw_marks,
        torn,
        dust,
        stain,
        heartwood,
        wet,
        shade,
        blur_px,
        grain,
        jpeg_quality,
        false_rings,
        wedging_rings,
        hollow,
        weathered,
        faint,
        ..
    } = recipe.troubles;
    let spacing_px = recipe.radius_px() / f64::from(truth.rings.max(1));
    [
        ("checks (6 or more)", checks >= 6),
        ("knots", knots > 0),
        ("saw marks", saw_marks >= 0.4),
        ("torn fiber", torn >= 0.1),
        ("dust", dust >= 0.3),
        ("stain", stain > 0.0),
        ("heartwood", heartwood > 0.0),
        ("wet", wet >= 0.3),
        ("shade", shade >= 0.5),
        ("blur", blur_px >= 1.2),
        ("grain", grain >= 0.5),
        ("JPEG quality under 70", jpeg_quality < 70),
        ("false rings", false_rings > 0),
        ("wedging rings", wedging_rings > 0),
        ("hollow", hollow > 0.0),
        ("weathered", weathered > 0.0),
        ("faint", faint >= 0.3),
        ("tilt of 8 degrees or more", recipe.tilt_deg >= 8.0),
        ("pith off center", recipe.pith_offset >= 0.15),
        ("cut by the photo", recipe.radius_share > 1.0),
        ("pen marks", recipe.pen_marks > 0),
        ("tape", recipe.tape.is_some()),
        ("over 100 rings", truth.rings > 100),
        ("rings under 6 px", spacing_px < 6.0),
    ]
    .into_iter()
    .chain(recipe.dressing.iter().flat_map(dressing))
    .filter_map(|(name, strong)| strong.then_some(Cow::Borrowed(name)))
    .collect()
}

/// What makes a dressed face hard.
fn dressing(dressing: &Dressing) -> [(&'static str, bool); 6] {
    let any = |of: fn(&DressedStrip) -> bool| dressing.strips.iter().any(of);
    [
        ("strip under 8 % wide", !any(|strip| strip.width >= 0.08)),
        ("strip short of the pith", !any(|strip| strip.from <= 0.0)),
        ("strip short of the bark", !any(|strip| strip.to >= 1.0)),
        ("strip wet", any(|strip| strip.wet > 0.0)),
        ("two strips", dressing.strips.len() > 1),
        ("grayed beside the strip", dressing.gray > 0.0),
    ]
}
