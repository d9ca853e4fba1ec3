//! How light or dark the wood is at a place within a year, by wood class.

use crate::dice::Dice;
use crate::noise::{around, ramp};
use crate::recipe::Recipe;
use crate::rings::{RingTable, apart};
use std::f64::consts::TAU;
use wood::WoodClass;

/// What one year looks like.
#[derive(Debug, Clone, Copy)]
struct Year {
    /// Share of the ring that is latewood.
    late: f32,
    /// How dark its latewood gets, from 0 to 1.
    dark: f32,
    /// How early the darkening starts before the latewood.
    gradual: f32,
    /// How dark its earlywood is.
    base: f32,
}

/// A false ring as drawn.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Band {
    /// Ring index, 0 at the pith.
    pub(crate) ring: usize,
    /// How far out in the ring.
    pub(crate) at: f64,
    /// Middle of the part of the circle that shows it, in radians.
    pub(crate) middle: f64,
    /// Half of that part.
    pub(crate) half: f64,
}

/// Lateness of the wood everywhere: 0 earlywood, 1 the darkest latewood.
#[derive(Debug)]
pub(crate) struct Tissue {
    wood: WoodClass,
    years: Vec<Year>,
    pub(crate) bands: Vec<Band>,
    seed: u32,
    /// Share of a ring's width taken by its large vessels, ring-porous only.
    pub(crate) vessel_zone_px: f32,
    /// Distance between the wavy bands of the latewood, in pixels.
    ripple_px: f32,
    contrast: f32,
}

impl Tissue {
    pub(crate) fn new(recipe: &Recipe, mean_width_px: f32) -> Self {
        let mut dice = Dice::new(recipe.seed, 20);
        let abrupt = dice.unit() as f32;
        let usual = dice.between(0.24, 0.42) as f32;
        let years = (0..recipe.rings)
            .map(|_| Year {
                late: (usual * (0.28 * dice.normal()).exp() as f32).clamp(0.1, 0.6),
                dark: (0.86 + 0.13 * dice.normal() as f32).clamp(0.5, 1.0),
                gradual: 0.06 + 0.4 * (1.0 - abrupt) * dice.between(0.6, 1.2) as f32,
                base: (0.06 * dice.normal() as f32).clamp(-0.1, 0.14),
            })
            .collect();
        let bands = bands(recipe);
        let vessel_px = vessel_px(recipe, mean_width_px);
        let rows = dice.between(1.2, 2.6) as f32;
        Self {
            wood: recipe.wood,
            years,
            bands,
            seed: dice.noise_seed(),
            vessel_zone_px: vessel_px * rows,
            ripple_px: (mean_width_px * dice.between(0.1, 0.17) as f32).max(2.6),
            contrast: 1.0 - recipe.troubles.faint as f32,
        }
    }

    /// Lateness at share `t` of ring `ring`, whose width here is `width` pixels.
    pub(crate) fn lateness(&self, ring: usize, t: f32, width: f32, turn: f32) -> f32 {
        let Some(year) = self.years.get(ring) else {
            return 0.0;
        };
        let round = || around(self.seed, turn, 9, ring as f32 * 0.45);
        let tone = match self.wood {
            WoodClass::Conifer => self.conifer(*year, ring, t, round(), turn),
            WoodClass::RingPorous => self.ring_porous(*year, ring, t, width, turn),
            WoodClass::SemiRingPorous => {
                let end = ramp(1.0 - (1.6 / width).max(0.08), 1.0, t);
                0.10 + 0.42 * t * t * year.dark + 0.36 * end * year.dark + year.base
            }
            WoodClass::DiffusePorous => {
                // The line that ends the year is thin, and fades in and out.
                let strength = year.dark * (0.75 + 0.45 * round()).clamp(0.2, 1.0);
                let line = ramp(1.0 - (2.2 / width).clamp(0.07, 0.5), 1.0 - 0.5 / width, t);
                0.16 + 0.10 * t + 0.62 * strength * line + 1.1 * year.base
            }
        };
        let tone = tone + self.band(ring, t, width, turn);
        0.3 + (tone - 0.3) * self.contrast
    }

    fn conifer(&self, year: Year, ring: usize, t: f32, round: f32, turn: f32) -> f32 {
        let late = (year.late * (1.0 + 0.35 * round)).clamp(0.08, 0.65);
        let start = 1.0 - late;
        // The first years have little latewood, and darken evenly.
        let juvenile = (-(ring as f32) / 4.0).exp();
        let rise = ramp(
            start - year.gradual - 0.2 * juvenile,
            start + 0.45 * late,
            t,
        );
        let creep = 0.16 * t;
        let blotch = 0.05 * around(self.seed ^ 5, turn, 61, ring as f32 + t);
        (creep + (year.dark - 0.25 * juvenile) * rise + year.base + blotch).clamp(-0.1, 1.05)
    }

    fn ring_porous(&self, year: Year, ring: usize, t: f32, width: f32, turn: f32) -> f32 {
        let zone = (self.vessel_zone_px / width).min(0.6);
        let late = ramp(zone * 0.7, zone + 0.12, t);
        let mut tone = 0.12 + year.base + late * (0.42 + 0.3 * t) * year.dark;
        // Wavy light bands of soft tissue and small vessels: not years.
        let room = ramp(2.2, 4.5, width * (1.0 - zone) / self.ripple_px);
        if late > 0.0 && room > 0.0 && t > 0.2 {
            let wave = 1.1 * around(self.seed ^ 11, turn, 130, ring as f32)
                + 0.8 * around(self.seed ^ 12, turn, 370, ring as f32 + t);
            let phase = t * width / self.ripple_px + wave;
            let crest = ramp(0.35, 0.95, (phase * std::f32::consts::TAU).sin());
            let patchy = 0.6 + 0.5 * around(self.seed ^ 13, turn, 43, ring as f32 * 1.7);
            tone -= 0.26 * room * late * crest * patchy * ramp(0.2, 0.7, t);
        }
        tone
    }

    /// Pores too fine to be drawn: how much they darken the wood, 0 to 1. The
    /// finer the rings, the more of the earlywood's darkness is of this kind.
    pub(crate) fn porosity(&self, ring: usize, t: f32, width: f32) -> f32 {
        let Some(year) = self.years.get(ring) else {
            return 0.0;
        };
        let fine = 1.0 - ramp(6.0, 22.0, width);
        let even = 0.8 + 0.2 * year.dark;
        match self.wood {
            WoodClass::RingPorous => {
                let zone = (self.vessel_zone_px / width).clamp(0.2, 0.5);
                let opens = ramp(0.0, (0.9 / width).min(0.15), t);
                (0.10 + 0.42 * fine)
                    * even
                    * opens
                    * (1.0 - ramp(0.75 * zone, 1.25 * zone, t))
                    * self.contrast
            }
            WoodClass::SemiRingPorous => {
                (0.06 + 0.36 * fine) * even * (1.0 - ramp(0.0, 0.8, t)) * self.contrast
            }
            WoodClass::Conifer | WoodClass::DiffusePorous => 0.0,
        }
    }

    fn band(&self, ring: usize, t: f32, width: f32, turn: f32) -> f32 {
        let mut sum = 0.0;
        for band in self.bands.iter().filter(|b| b.ring == ring) {
            let away = apart(f64::from(turn) * TAU, band.middle) / band.half;
            let shown = 1.0 - ramp(0.8, 1.1, away as f32);
            let half = (1.3 / width).max(0.07);
            let d = (t - band.at as f32) / half;
            // Fades on both sides: no sharp edge outward.
            sum += 0.42 * shown * (-d * d).exp();
        }
        sum
    }
}

/// Diameter of the large vessels of a year's start, in pixels.
pub(crate) fn vessel_px(recipe: &Recipe, mean_width_px: f32) -> f32 {
    // About a quarter of a millimeter (from memory); drawn no smaller than the
    // picture can hold and no larger than the ring.
    let natural = 0.27 / recipe.mm_per_px as f32;
    natural.clamp(
        (0.13 * mean_width_px).clamp(1.3, 3.2),
        (0.24 * mean_width_px).clamp(1.4, 9.0),
    )
}

fn bands(recipe: &Recipe) -> Vec<Band> {
    let mut dice = Dice::new(recipe.seed, 21);
    (0..recipe.troubles.false_rings)
        .map(|_| Band {
            ring: (dice.between(0.12, 0.9) * f64::from(recipe.rings)) as usize,
            at: dice.between(0.42, 0.66),
            middle: dice.between(0.0, TAU),
            half: dice.between(0.7, 2.6),
        })
        .collect()
}

/// Mean ring width in pixels over the whole face.
pub(crate) fn mean_width_px(recipe: &Recipe, table: &RingTable) -> f32 {
    (recipe.radius_px() / table.rings() as f64) as f32
}
