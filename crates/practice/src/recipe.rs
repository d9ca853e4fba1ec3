//! Everything that makes one face.

use serde::{Deserialize, Serialize};
use wood::WoodClass;

/// Everything about one practice face. The same recipe gives the same bytes.
///
/// Values out of range are brought into range by [`crate::render`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Recipe {
    /// Where all chance starts.
    pub seed: u64,
    /// How the wood shows its years.
    pub wood: WoodClass,
    /// Which of the class's woods it looks like: an index into a few colorings, taken round.
    pub coloring: u32,
    /// Years from pith to bark, 1 to 1200.
    pub rings: u32,
    /// Width of the picture, in pixels.
    pub width_px: u32,
    /// Height of the picture, in pixels.
    pub height_px: u32,
    /// Mean radius inside the bark as a share of half the short side of the picture.
    pub radius_share: f64,
    /// How far the middle of the face is from the middle of the picture, right and down,
    /// as shares of half the short side.
    pub shift: [f64; 2],
    /// How far the pith is from the middle of the face, as a share of its radius (0 to 0.45).
    pub pith_offset: f64,
    /// Direction in which the rings are wide, in degrees clockwise from +x.
    pub wide_side_deg: f64,
    /// How far the outline departs from a circle, as a share of the radius (0 to 0.2).
    pub lobes: f64,
    /// How much a ring's width wanders around the circle, as a share of that width (0 to 0.3).
    pub waviness: f64,
    /// How far the camera leans from square, in degrees (0 to 65).
    pub tilt_deg: f64,
    /// Direction of the far side, in degrees clockwise from +x.
    pub tilt_direction_deg: f64,
    /// Size of a pixel on the face, in millimeters, before leaning. Not used where
    /// [`Widths::explicit_mm`] says how large the tree is.
    pub mm_per_px: f64,
    /// How wide each ring is.
    pub widths: Widths,
    /// What makes the face hard to read.
    pub troubles: Troubles,
    /// What is behind the face.
    pub ground: Ground,
    /// Whether the bark is on.
    pub bark: bool,
    /// A measuring tape across the face.
    pub tape: Option<TapeLaid>,
    /// Marks and letters by pen: how many groups.
    pub pen_marks: u32,
    /// Strips dressed on a face that is rough from the saw; None where the whole face is prepared.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dressing: Option<Dressing>,
}

/// How ring widths run from pith to bark.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Widths {
    /// Mean width of each ring in millimeters, pith first; it then sets the number of rings and the scale.
    pub explicit_mm: Option<Vec<f64>>,
    /// How much narrower the last rings are than the first, as a share (0 to 0.9).
    pub trend: f64,
    /// Spread of the year-to-year noise of the logarithm of width (0 to 0.6).
    pub noise: f64,
    /// How much of a year's luck the next year keeps (0 to 0.95).
    pub autocorrelation: f64,
    /// Releases (factor above 1) and suppressions (below 1).
    pub steps: Vec<GrowthStep>,
}

/// A run of years in which the tree grew faster or slower than before.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GrowthStep {
    /// First ring, counted from the pith.
    pub from_ring: u32,
    /// Last ring.
    pub to_ring: u32,
    /// Width against what it would have been.
    pub factor: f64,
}

/// What makes a face hard to read. Strengths run from 0 (none) to 1 (as bad as it gets).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Troubles {
    /// Radial cracks.
    pub checks: u32,
    /// Knots that push rings aside.
    pub knots: u32,
    /// Strength of saw marks.
    pub saw_marks: f64,
    /// Saw marks are straight (band saw) and not arcs (chain saw).
    pub band_saw: bool,
    /// Share of the face with torn fiber.
    pub torn: f64,
    /// Sawdust on the face.
    pub dust: f64,
    /// Gray-blue stain in the outer wood.
    pub stain: f64,
    /// Radius of the heartwood as a share of the face's radius; 0 for none.
    pub heartwood: f64,
    /// Wetness.
    pub wet: f64,
    /// Uneven light and soft shadows.
    pub shade: f64,
    /// Lens blur (standard deviation), in pixels.
    pub blur_px: f64,
    /// Sensor noise.
    pub grain: f64,
    /// Quality at which the picture is meant to be stored, 1 to 100.
    pub jpeg_quality: u8,
    /// Dark bands within a year that are not a year's end.
    pub false_rings: u32,
    /// Rings that run out over part of the circle.
    pub wedging_rings: u32,
    /// Radius of a hollow as a share of the face's radius; 0 for none.
    pub hollow: f64,
    /// Grayed by weather, with the contrast turned round.
    pub weathered: f64,
    /// How weakly the rings stand out: 0 as the wood has it, 1 not at all.
    pub faint: f64,
}

/// What is behind the face.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ground {
    /// Grass.
    Grass,
    /// Fallen leaves.
    LeafLitter,
    /// A bed of sawdust and chips.
    Sawdust,
    /// Boards of a bench.
    Bench,
    /// None: the face fills the picture (where it does not, dark leaf litter shows).
    CloseUp,
}

/// A measuring tape lying across the face.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TapeLaid {
    /// Direction of the tape, in degrees clockwise from +x.
    pub direction_deg: f64,
    /// How far its middle line passes the pith, as a share of the radius (0.1 to 0.8; sign picks the side).
    pub beside: f64,
    /// Length between the two places that the truth names, in millimeters.
    pub length_mm: f64,
}

/// A face left rough from the saw but for a strip or two.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Dressing {
    /// The strips that were sanded or planed; there the face is as the troubles say.
    pub strips: Vec<DressedStrip>,
    /// How rough the rest is, from 0 (not at all) to 1 (rings can hardly be seen).
    pub rough: f64,
    /// How gray the rest is with weather, 0 to 1.
    pub gray: f64,
}

/// A dressed strip that runs from the pith to the bark, or not quite.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DressedStrip {
    /// Its direction from the pith, in degrees clockwise from +x.
    pub direction_deg: f64,
    /// Where it starts, as a share of the way from pith to bark edge (-1 to 0.5); below 0 on the
    /// other side of the pith.
    pub from: f64,
    /// Where it ends, as a share of that way (0.55 to 1.1).
    pub to: f64,
    /// Its width as a share of the face's diameter (0.01 to 0.5).
    pub width: f64,
    /// How far its middle line would pass the pith, as a share of its width (-0.5 to 0.5).
    pub beside: f64,
    /// How far it bends from straight, as a share of its width (-1 to 1).
    pub bow: f64,
    /// Wetness, 0 to 1.
    pub wet: f64,
}

impl Default for Recipe {
    fn default() -> Self {
        Self {
            seed: 1,
            wood: WoodClass::Conifer,
            coloring: 0,
            rings: 40,
            width_px: 1400,
            height_px: 1100,
            radius_share: 0.86,
            shift: [0.0, 0.0],
            pith_offset: 0.06,
            wide_side_deg: 40.0,
            lobes: 0.02,
            waviness: 0.08,
            tilt_deg: 0.0,
            tilt_direction_deg: 270.0,
            mm_per_px: 0.4,
            widths: Widths::default(),
            troubles: Troubles::default(),
            ground: Ground::LeafLitter,
            bark: true,
            tape: None,
            pen_marks: 0,
            dressing: None,
        }
    }
}

impl Default for Widths {
    fn default() -> Self {
        Self {
            explicit_mm: None,
            trend: 0.4,
            noise: 0.2,
            autocorrelation: 0.5,
            steps: Vec::new(),
        }
    }
}

impl Default for Troubles {
    fn default() -> Self {
        Self {
            checks: 2,
            knots: 0,
            saw_marks: 0.1,
            band_saw: false,
            torn: 0.0,
            dust: 0.05,
            stain: 0.0,
            heartwood: 0.0,
            wet: 0.0,
            shade: 0.2,
            blur_px: 0.6,
            grain: 0.2,
            jpeg_quality: 90,
            false_rings: 0,
            wedging_rings: 0,
            hollow: 0.0,
            weathered: 0.0,
            faint: 0.0,
        }
    }
}

/// `value` within limits; what is not a number becomes the lower limit.
fn within(value: f64, low: f64, high: f64) -> f64 {
    if value.is_finite() {
        value.clamp(low, high)
    } else {
        low
    }
}

impl Recipe {
    /// The recipe with every value brought into its range.
    #[must_use]
    pub fn in_range(&self) -> Self {
        let mut r = self.clone();
        if let Some(list) = &mut r.widths.explicit_mm {
            list.truncate(1200);
            for width in list.iter_mut() {
                *width = within(*width, 0.01, 100.0);
            }
            if list.is_empty() {
                r.widths.explicit_mm = None;
            } else {
                r.rings = list.len() as u32;
            }
        }
        r.rings = r.rings.clamp(1, 1200);
        r.width_px = r.width_px.clamp(32, 12_000);
        r.height_px = r.height_px.clamp(32, 12_000);
        r.radius_share = within(r.radius_share, 0.1, 6.0);
        r.shift = r.shift.map(|s| within(s, -6.0, 6.0));
        r.pith_offset = within(r.pith_offset, 0.0, 0.45);
        r.wide_side_deg = within(r.wide_side_deg, -720.0, 720.0);
        r.lobes = within(r.lobes, 0.0, 0.2);
        r.waviness = within(r.waviness, 0.0, 0.3);
        r.tilt_deg = within(r.tilt_deg, 0.0, 65.0);
        r.tilt_direction_deg = within(r.tilt_direction_deg, -720.0, 720.0);
        r.mm_per_px = within(r.mm_per_px, 0.005, 10.0);
        r.widths.trend = within(r.widths.trend, 0.0, 0.9);
        r.widths.noise = within(r.widths.noise, 0.0, 0.6);
        r.widths.autocorrelation = within(r.widths.autocorrelation, 0.0, 0.95);
        for step in &mut r.widths.steps {
            step.factor = within(step.factor, 0.1, 8.0);
        }
        r.pen_marks = r.pen_marks.min(20);
        if let Some(tape) = &mut r.tape {
            tape.direction_deg = within(tape.direction_deg, -720.0, 720.0);
            tape.beside = within(tape.beside, -0.9, 0.9);
            tape.length_mm = within(tape.length_mm, 10.0, 5000.0);
        }
        if let Some(dressing) = &mut r.dressing {
            dressing.rough = within(dressing.rough, 0.0, 1.0);
            dressing.gray = within(dressing.gray, 0.0, 1.0);
            dressing.strips.truncate(8);
            for strip in &mut dressing.strips {
                strip.direction_deg = within(strip.direction_deg, -720.0, 720.0);
                strip.from = within(strip.from, -1.0, 0.5);
                strip.to = within(strip.to, 0.55, 1.1);
                strip.width = within(strip.width, 0.01, 0.5);
                strip.beside = within(strip.beside, -0.5, 0.5);
                strip.bow = within(strip.bow, -1.0, 1.0);
                strip.wet = within(strip.wet, 0.0, 1.0);
            }
        }
        let t = &mut r.troubles;
        t.checks = t.checks.min(60);
        t.knots = t.knots.min(8);
        for strength in [
            &mut t.saw_marks,
            &mut t.torn,
            &mut t.dust,
            &mut t.stain,
            &mut t.wet,
            &mut t.shade,
            &mut t.grain,
            &mut t.weathered,
            &mut t.faint,
        ] {
            *strength = within(*strength, 0.0, 1.0);
        }
        t.heartwood = within(t.heartwood, 0.0, 0.97);
        t.hollow = within(t.hollow, 0.0, 0.9);
        t.blur_px = within(t.blur_px, 0.0, 60.0);
        t.jpeg_quality = t.jpeg_quality.clamp(1, 100);
        r
    }

    /// Mean radius of the face inside the bark, in pixels of the picture before leaning.
    #[must_use]
    pub fn radius_px(&self) -> f64 {
        self.radius_share * f64::from(self.width_px.min(self.height_px)) / 2.0
    }
}
