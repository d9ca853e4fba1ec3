//! Paints the face over the ground, pixel by pixel.

use crate::bark::Bark;
use crate::canvas::Canvas;
use crate::color::{Color, Palette, blend, scaled};
use crate::defects::{self, Check};
use crate::dice::Dice;
use crate::dressed::{Dressed, Roughness};
use crate::noise::{around, cloud, mix, plane, ramp, speck, streaks};
use crate::recipe::{Ground, Recipe};
use crate::rings::{RingTable, turn_of};
use crate::surface::{self, SawMarks};
use crate::tape::Tape;
use crate::tissue::{Tissue, mean_width_px};
use crate::view::View;
use rayon::prelude::*;
use wood::WoodClass;

/// All that a pixel of the face is made from.
#[derive(Debug)]
pub(crate) struct Painter<'a> {
    recipe: &'a Recipe,
    table: &'a RingTable,
    tissue: &'a Tissue,
    vessels: &'a [f32],
    view: View,
    pith: [f64; 2],
    palette: Palette,
    checks: Vec<Check>,
    saw: SawMarks,
    bark: Bark,
    tape: Option<Tape>,
    roughness: Option<Roughness>,
    seed: u32,
    rays: f32,
    heart_ragged: f32,
    pith_px: f32,
    /// Direction of the face's own shadow on the ground.
    shadow: [f32; 2],
}

impl<'a> Painter<'a> {
    #[allow(
        clippy::too_many_arguments,
        reason = "all that a face is made of, once"
    )]
    pub(crate) fn new(
        recipe: &'a Recipe,
        table: &'a RingTable,
        tissue: &'a Tissue,
        vessels: &'a [f32],
        view: View,
        pith: [f64; 2],
        tape: Option<Tape>,
        roughness: Option<Roughness>,
    ) -> Self {
        let mut dice = Dice::new(recipe.seed, 80);
        let palette = Palette::of(recipe.wood, recipe.coloring);
        let oak = recipe.wood == WoodClass::RingPorous && matches!(recipe.coloring % 4, 1 | 2);
        let beech = recipe.wood == WoodClass::DiffusePorous && recipe.coloring % 4 == 2;
        let radius = recipe.radius_px() as f32;
        let fall = dice.between(0.0, std::f64::consts::TAU) as f32;
        Self {
            recipe,
            table,
            tissue,
            vessels,
            view,
            pith,
            palette,
            checks: defects::checks(recipe),
            saw: SawMarks::new(recipe),
            bark: Bark::new(recipe, palette.bark),
            tape,
            roughness,
            seed: dice.noise_seed(),
            rays: if oak {
                0.75
            } else if beech {
                0.5
            } else if recipe.wood == WoodClass::Conifer {
                0.08
            } else {
                0.22
            },
            heart_ragged: dice.between(0.012, 0.05) as f32,
            pith_px: (1.6 / recipe.mm_per_px as f32)
                .clamp(1.8, 0.5 * mean_width_px(recipe, table).max(4.0)),
            shadow: [fall.cos() * radius * 0.05, fall.sin() * radius * 0.05],
        }
    }

    /// Paints the face over the ground that is on the canvas.
    pub(crate) fn paint(&self, canvas: &mut Canvas) {
        let width = canvas.width;
        canvas
            .px
            .par_chunks_mut(width)
            .enumerate()
            .for_each(|(y, row)| {
                let mut near = 0;
                for (x, px) in row.iter_mut().enumerate() {
                    let pore = self.vessels[y * width + x];
                    *px = self.pixel(x, y, pore, *px, &mut near);
                }
            });
    }

    fn pixel(&self, px: usize, py: usize, pore: f32, ground: Color, near: &mut usize) -> Color {
        let face = self.view.to_face([px as f64 + 0.5, py as f64 + 0.5]);
        let (x, y) = (
            (face[0] - self.pith[0]) as f32,
            (face[1] - self.pith[1]) as f32,
        );
        let radius = x.hypot(y);
        let turn = turn_of(x, y);
        let edge = self.table.edge(turn);
        let thick = self.bark.thickness(turn);
        let foot = self.view.footprint();
        let wood_cover = ((edge - radius) / foot + 0.5).clamp(0.0, 1.0);
        let all_cover = ((edge + thick - radius) / foot + 0.5).clamp(0.0, 1.0);
        let mut color = ground;
        if all_cover < 1.0 {
            color = scaled(ground, self.ground_shadow(x, y));
        }
        if all_cover > 0.0 && wood_cover < 1.0 {
            let share = ((radius - edge) / thick.max(1.0)).clamp(0.0, 1.0);
            color = blend(color, self.bark.color(turn, radius, share, x, y), all_cover);
        }
        if wood_cover > 0.0 {
            let inside = self.wood(x, y, radius.min(edge - 0.02), turn, edge, pore, near);
            color = blend(color, inside, wood_cover);
        }
        if let Some(tape) = &self.tape {
            let (paint, cover, shade) = tape.color(face[0], face[1]);
            color = scaled(color, 1.0 - shade * (1.0 - cover));
            color = blend(color, paint, cover);
        }
        color
    }

    /// The face stands above the ground: dark close to it, more on one side.
    fn ground_shadow(&self, x: f32, y: f32) -> f32 {
        let depth = |sx: f32, sy: f32, soft: f32| {
            let turn = turn_of(sx, sy);
            let out = self.table.edge(turn) + self.bark.thickness(turn) * 0.6;
            1.0 - ramp(-0.2 * soft, soft, sx.hypot(sy) - out)
        };
        let size = self.recipe.radius_px() as f32;
        if self.recipe.ground == Ground::CloseUp {
            return 0.45;
        }
        let near = depth(x, y, 0.09 * size);
        let cast = depth(x - self.shadow[0], y - self.shadow[1], 0.05 * size);
        (1.0 - 0.5 * near) * (1.0 - 0.45 * cast)
    }

    /// Lateness averaged over the pixel along the radius.
    fn lateness(&self, radius: f32, turn: f32, near: &mut usize) -> (f32, usize, f32, f32) {
        let place = self.table.find(turn, radius, *near);
        *near = place.ring;
        let width = place.outer - place.inner;
        let step = 0.34 * self.view.footprint();
        let mut sum = 0.0;
        for offset in [-step, 0.0, step] {
            let r = radius + offset;
            let at = if r >= place.inner && r < place.outer {
                place
            } else {
                self.table.find(turn, r.max(0.0), place.ring)
            };
            let w = (at.outer - at.inner).max(0.02);
            let t = ((r - at.inner) / w).clamp(0.0, 1.0);
            sum += self.tissue.lateness(at.ring, t, w, turn);
        }
        (
            sum / 3.0,
            place.ring,
            (radius - place.inner) / width.max(0.02),
            width,
        )
    }

    #[allow(
        clippy::too_many_arguments,
        reason = "the place in both of its coordinates, once"
    )]
    fn wood(
        &self,
        x: f32,
        y: f32,
        radius: f32,
        turn: f32,
        edge: f32,
        pore: f32,
        near: &mut usize,
    ) -> Color {
        let hollow = self.table.hollow(turn);
        if radius < hollow {
            return defects::hollow(self.seed ^ 0x40, turn, x, y, 1.0 - radius / hollow);
        }
        let t = &self.recipe.troubles;
        let dressed = self.roughness.as_ref().map_or(
            Dressed {
                rough: 0.0,
                wet: 0.0,
            },
            |roughness| roughness.at(x, y),
        );
        let torn = surface::torn(self.recipe, self.seed ^ 0x10, x, y).max(dressed.rough);
        let (mut late, ring, share, width) = self.lateness(radius, turn, near);
        // Torn fiber hides part of the ring's tone.
        late = mix(late, 0.35, 0.55 * torn);
        let smear = match &self.roughness {
            Some(roughness) if dressed.rough > 0.0 => dressed.rough * roughness.smear(x, y),
            _ => 0.0,
        };
        late = mix(late, 0.4, smear);
        let outward = radius / edge;
        let rough = cloud(self.seed ^ 0x11, x / 60.0, y / 60.0, 3);
        let weather = t.weathered as f32;
        if weather > 0.0 {
            late = mix(late, self.worn(late, share, width), weather);
        }
        let heart = self.heart(ring, share, outward, turn, rough);
        let p = &self.palette;
        let early = blend(p.early, p.heart_early, heart);
        let dark = blend(p.late, p.heart_late, heart);
        let mut color = blend(early, dark, late);
        color = self.grain(color, x, y, radius, turn, late, torn);
        let unseen = self.tissue.porosity(ring, share, width);
        let pore = (1.0 - smear) * if pore < 0.0 { pore } else { pore.max(unseen) };
        color = self.pores(color, pore, heart, torn);
        color = surface::stain(
            color,
            self.seed ^ 0x12,
            turn,
            outward,
            t.stain as f32,
            rough,
        );
        color = defects::knot(&self.table.knots, self.seed ^ 0x13, x, y, color);
        color = self.pith_spot(color, radius, turn, width);
        if let Some(roughness) = self.roughness.as_ref().filter(|_| dressed.rough > 0.0) {
            color = roughness.sawn(color, x, y, dressed.rough);
        }
        let wet = t.wet as f32 * ramp(-0.9, 0.1, rough + t.wet as f32);
        color = surface::wet(color, wet.max(dressed.wet));
        color = surface::weathered(color, self.seed ^ 0x14, x, y, weather);
        let saw = mix(self.saw.factor(x, y), 1.0, 0.4 * weather);
        color = scaled(color, saw * (1.0 + 0.045 * rough));
        if torn > 0.0 {
            color = scaled(color, mix(1.0, surface::fuzz(self.seed ^ 0x15, x, y), torn));
        }
        let grit = speck(self.seed ^ 0x17, (x * 0.7) as i32, (y * 0.7) as i32);
        let drift = rough + plane(self.seed ^ 0x16, x / 140.0, y / 140.0);
        let powder = t.dust as f32 * ramp(0.0, 0.9, drift) * ramp(0.3, 0.9, grit);
        color = blend(color, [0.86, 0.78, 0.63], 0.75 * powder);
        let check = defects::check_depth(&self.checks, turn, radius, outward);
        blend(color, [0.13, 0.085, 0.06], 0.9 * check)
    }

    /// Weather eats the soft earlywood: it darkens, latewood stands up light,
    /// and a thin shadow is where one year ends.
    fn worn(&self, late: f32, share: f32, width: f32) -> f32 {
        let shadow = 1.0 - ramp(0.0, (2.4 / width).clamp(0.06, 0.3), share);
        0.78 - 0.72 * late + 0.45 * shadow
    }

    /// Share of heartwood color.
    fn heart(&self, ring: usize, share: f32, outward: f32, turn: f32, rough: f32) -> f32 {
        let at = self.recipe.troubles.heartwood as f32;
        if at <= 0.0 {
            return 0.0;
        }
        // Follows a ring roughly, and leaves it here and there.
        let by_ring = (ring as f32 + share) / self.table.rings() as f32;
        let position = 0.5 * outward + 0.5 * by_ring;
        let wander = self.heart_ragged
            * (around(self.seed ^ 0x20, turn, 8, 0.0)
                + 0.4 * around(self.seed ^ 0x21, turn, 37, 0.0));
        let rim = 1.0 - ramp(-0.012, 0.03, position - at + wander + 0.02 * rough);
        rim * (0.86 + 0.2 * rough)
    }

    /// Rays, radial grain and fiber.
    #[allow(
        clippy::too_many_arguments,
        reason = "the place in both of its coordinates, once"
    )]
    fn grain(
        &self,
        color: Color,
        x: f32,
        y: f32,
        radius: f32,
        turn: f32,
        late: f32,
        torn: f32,
    ) -> Color {
        let fine = streaks(self.seed ^ 0x30, turn, radius, 2.2, 26.0);
        let broad = streaks(self.seed ^ 0x31, turn, radius, 16.0, 120.0);
        let (i, j) = ((x * 0.9).floor() as i32, (y * 0.9).floor() as i32);
        let fiber = speck(self.seed ^ 0x32, i, j) - 0.5;
        let coarse = plane(self.seed ^ 0x34, x / 2.6, y / 2.6);
        let early = 1.0 - 0.5 * late;
        let mut factor =
            1.0 + early * (0.055 * fine + 0.085 * fiber + 0.05 * coarse) + 0.03 * broad;
        if self.recipe.troubles.weathered > 0.0 {
            // Small drying cracks.
            let crack = streaks(self.seed ^ 0x35, turn, radius, 3.2, 24.0);
            factor *= 1.0 - 0.45 * self.recipe.troubles.weathered as f32 * ramp(0.55, 0.95, crack);
        }
        let mut out = scaled(color, factor);
        if self.rays > 0.1 {
            let spacing = if self.rays > 0.6 { 5.5 } else { 3.6 };
            let ray = streaks(self.seed ^ 0x33, turn, radius, spacing, 90.0);
            let shown = self.rays * ramp(0.45, 0.75, ray) * (1.0 - torn);
            out = blend(out, self.palette.ray, 0.42 * shown);
        }
        out
    }

    fn pores(&self, color: Color, pore: f32, heart: f32, torn: f32) -> Color {
        if pore > 0.0 {
            let deep = scaled(self.palette.pore, 1.0 - 0.15 * heart);
            blend(color, deep, pore * (0.92 - 0.45 * torn))
        } else {
            blend(color, [0.93, 0.87, 0.75], -pore * (1.0 - 0.4 * torn))
        }
    }

    fn pith_spot(&self, color: Color, radius: f32, turn: f32, first: f32) -> Color {
        let size = self.pith_px.min(0.45 * first.max(3.0))
            * (1.0 + 0.2 * around(self.seed ^ 0x50, turn, 5, 0.0));
        let cover = 1.0 - ramp(0.7 * size, 1.2 * size, radius);
        let tone = 0.8 + 0.4 * around(self.seed ^ 0x51, turn, 9, radius);
        blend(color, scaled([0.42, 0.29, 0.20], tone), 0.85 * cover)
    }
}
