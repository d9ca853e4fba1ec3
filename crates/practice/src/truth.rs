//! What is known of a rendered face.

use crate::recipe::Recipe;
use serde::{Deserialize, Serialize};
use wood::WoodClass;

/// Steps of angle in an outline: one every 3 degrees.
pub const OUTLINE_STEPS: usize = 120;

/// A line around the pith in the picture: [`OUTLINE_STEPS`] places at equal
/// steps of angle around the true pith, clockwise from +x, in pixels.
/// None where the line is outside the picture, in the hollow, or has run out.
pub type Outline = Vec<Option<[f64; 2]>>;

/// Whether a line is in view at all: on a fortieth of the circle or more, nine
/// degrees. A corner of a photo shows no more of its outermost rings.
#[must_use]
pub fn in_view(line: &Outline) -> bool {
    line.iter().flatten().count() * 40 >= OUTLINE_STEPS
}

/// How far from the pith rings are counted, in pixels: to the bark where a third of
/// it is in the picture, else to the farthest side. What shows only in the corners
/// of a picture is not counted, for a person counts along a radius to a side.
#[must_use]
pub fn counted_to_px(bark_edge: &Outline, pith: [f64; 2], size_px: [u32; 2]) -> f64 {
    if bark_edge.iter().flatten().count() * 3 >= OUTLINE_STEPS {
        return f64::INFINITY;
    }
    let [width, height] = size_px.map(f64::from);
    let [x, y] = pith;
    OBLIQUE * x.max(y).max(width - x).max(height - y)
}

/// How much longer than the straight way to a side a radius may be that runs there
/// obliquely: one over the cosine of twenty degrees. A choice of ours, for what is
/// counted must end somewhere.
const OBLIQUE: f64 = 1.064;

/// Whether a line is in view and, on average, no farther from the pith than rings
/// are counted.
#[must_use]
pub fn is_counted(line: &Outline, pith: [f64; 2], counted_to_px: f64) -> bool {
    let shown = line.iter().flatten();
    let count = shown.clone().count().max(1) as f64;
    let mean = shown
        .map(|at| (at[0] - pith[0]).hypot(at[1] - pith[1]))
        .sum::<f64>()
        / count;
    in_view(line) && mean <= counted_to_px
}

/// What is known of a rendered face.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Truth {
    /// The recipe's seed.
    pub seed: u64,
    /// What it was rendered from.
    pub recipe: Recipe,
    /// How the wood shows its years.
    pub wood: WoodClass,
    /// Years from pith to bark.
    pub rings: u32,
    /// Rings that the picture [shows](Truth::shows): outside the hollow, within the
    /// picture, not in its corners alone, and in a dressed strip where there is one.
    pub rings_visible: u32,
    /// The pith, x and y in pixels of the picture; it may lie outside.
    pub pith: [f64; 2],
    /// Size of a pixel on the face, in millimeters (square on; a leaning face has more than one).
    pub mm_per_px: f64,
    /// The tape in the picture.
    pub tape: Option<TapeTruth>,
    /// The bark edge.
    pub bark_edge: Outline,
    /// The outer boundary of each ring, pith first; the last is the bark edge.
    pub outlines: Vec<Outline>,
    /// Mean width of each ring around the circle, in millimeters, pith first.
    pub widths_mm: Vec<f64>,
    /// Rings that run out over part of the circle.
    pub wedging: Vec<Wedging>,
    /// Dark bands that are not a year's end.
    pub false_rings: Vec<FalseRing>,
    /// Mean radius of the hollow, in pixels of the face; 0 where there is none.
    pub hollow_radius_px: f64,
    /// Mean radius of the hollow, in millimeters.
    pub hollow_radius_mm: f64,
    /// Mean diameter inside the bark, in millimeters.
    pub across_inside_bark_mm: f64,
    /// The dressed strips of a face that is otherwise rough from the saw.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub strips: Vec<StripTruth>,
    /// False where nobody could count this picture.
    pub readable: bool,
}

/// A dressed strip in the picture.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StripTruth {
    /// Where its middle line starts, at the pith or as near as it comes, in pixels of the picture.
    pub from: [f64; 2],
    /// Where its middle line ends: at the bark edge or short of it.
    pub to: [f64; 2],
    /// Its width halfway, in pixels of the picture.
    pub width_px: f64,
    /// The rings that it shows, from inside to outside, as far as its middle line goes. One
    /// that has run out there is not among them.
    pub rings: Vec<RingOnStrip>,
}

impl StripTruth {
    /// Whether a place, in pixels of the picture, is in the strip, taken as straight.
    #[must_use]
    pub fn holds(&self, place: [f64; 2]) -> bool {
        let along = [self.to[0] - self.from[0], self.to[1] - self.from[1]];
        let length = along[0].hypot(along[1]).max(1e-9);
        let (dx, dy) = (place[0] - self.from[0], place[1] - self.from[1]);
        let out = (dx * along[0] + dy * along[1]) / length;
        let away = (dy * along[0] - dx * along[1]) / length;
        let half = self.width_px / 2.0;
        away.abs() <= half && (-half..=length + 1.0).contains(&out)
    }
}

/// A ring that a dressed strip shows.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RingOnStrip {
    /// Ring number, 1 at the pith.
    pub ring: u32,
    /// Where its outer boundary crosses the strip's middle line, or is seen beside it, in pixels.
    pub at: [f64; 2],
}

impl Truth {
    /// Whether the picture shows a ring (1 at the pith) so that it can be counted: in a dressed
    /// strip where the face has any, else anywhere as [`is_counted`] says.
    #[must_use]
    pub fn shows(&self, ring: usize) -> bool {
        let size_px = [self.recipe.width_px, self.recipe.height_px];
        let counted_to_px = counted_to_px(&self.bark_edge, self.pith, size_px);
        let seen = ring
            .checked_sub(1)
            .and_then(|nth| self.outlines.get(nth))
            .is_some_and(|line| is_counted(line, self.pith, counted_to_px));
        let dressed = || {
            self.strips
                .iter()
                .flat_map(|strip| &strip.rings)
                .any(|on| on.ring as usize == ring)
        };
        seen && (self.recipe.dressing.is_none() || dressed())
    }
}

/// Two places on the tape and what is between them.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TapeTruth {
    /// One place, in pixels of the picture.
    pub from: [f64; 2],
    /// The other place.
    pub to: [f64; 2],
    /// What the tape reads between them, in millimeters.
    pub length_mm: f64,
}

/// A ring that runs out over part of the circle.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Wedging {
    /// Ring number, 1 at the pith.
    pub ring: u32,
    /// Where the part without it starts, in degrees clockwise from +x as seen square on.
    pub from_deg: f64,
    /// Where it ends.
    pub to_deg: f64,
}

/// A dark band within a year that is not a year's end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FalseRing {
    /// The ring it is in, 1 at the pith.
    pub ring: u32,
    /// How far out in that ring, from 0 at its start to 1 at its end.
    pub at_share: f64,
    /// Where its middle runs.
    pub outline: Outline,
}
