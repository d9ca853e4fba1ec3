//! From a recipe to a photo and its truth: the order of the steps.

use crate::camera;
use crate::dice::Dice;
use crate::dressed::{self, Roughness};
use crate::face::Painter;
use crate::ground;
use crate::pen;
use crate::recipe::Recipe;
use crate::rings::{RingTable, lost};
use crate::surface;
use crate::tape::Tape;
use crate::tissue::{Tissue, mean_width_px};
use crate::truth::{FalseRing, OUTLINE_STEPS, Outline, Truth, Wedging};
use crate::vessels;
use crate::view::View;
use crate::years::width_shares;
use image::RgbImage;
use std::f64::consts::TAU;

/// A rendered face.
#[derive(Debug, Clone)]
pub struct Face {
    /// The photo, before it is stored as JPEG.
    pub rgb: RgbImage,
    /// What is known of it.
    pub truth: Truth,
}

/// Renders a face. The same recipe gives the same bytes on any number of threads.
///
/// # Example
/// ```
/// let recipe = practice::Recipe { width_px: 160, height_px: 120, rings: 8, ..Default::default() };
/// let face = practice::render(&recipe);
/// assert_eq!(face.truth.outlines.len(), 8);
/// ```
#[must_use]
pub fn render(recipe: &Recipe) -> Face {
    let mut recipe = recipe.in_range();
    let shares = width_shares(&recipe);
    if let Some(list) = &recipe.widths.explicit_mm {
        recipe.mm_per_px = list.iter().sum::<f64>() / recipe.radius_px();
    }
    let table = RingTable::new(&recipe, &shares);
    let pith = pith_on_face(&table);
    let view = View::new(&recipe);
    let mean = mean_width_px(&recipe, &table);
    let tissue = Tissue::new(&recipe, mean);
    let layer = vessels::layer(&recipe, &table, view, pith);
    let tape = recipe
        .tape
        .map(|laid| Tape::new(laid, pith, recipe.radius_px(), recipe.mm_per_px));
    let roughness = Roughness::new(&recipe, &table);
    let mut truth = truth(&recipe, &table, &tissue, view, pith, tape);
    if let Some(roughness) = &roughness {
        truth.strips = roughness.truth(&recipe, &table, view, pith);
    }
    truth.rings_visible = (1..=table.rings())
        .filter(|ring| truth.shows(*ring))
        .count() as u32;
    truth.readable &= truth.rings_visible > 0;

    let mut canvas = ground::paint(&recipe);
    // What is behind is further away than the face.
    camera::blur(&mut canvas, (recipe.width_px as f32 / 1400.0).max(0.5));
    let on_wood = Painter::new(
        &recipe, &table, &tissue, &layer, view, pith, tape, roughness,
    );
    on_wood.paint(&mut canvas);
    pen::write(&mut canvas, &recipe, view, pith);
    surface::strew(&mut canvas, &recipe);
    camera::light(&mut canvas, &recipe);
    camera::blur(&mut canvas, recipe.troubles.blur_px as f32);
    Face {
        rgb: camera::expose(&canvas, &recipe),
        truth,
    }
}

/// Which places of a picture are dressed, on a face that is otherwise rough from the saw.
#[derive(Debug)]
pub struct DressedPlaces {
    roughness: Roughness,
    view: View,
    pith: [f64; 2],
}

impl DressedPlaces {
    /// Those of a face; `None` where the whole face is prepared.
    #[must_use]
    pub fn of(recipe: &Recipe) -> Option<Self> {
        let recipe = recipe.in_range();
        let table = RingTable::new(&recipe, &width_shares(&recipe));
        Some(Self {
            roughness: Roughness::new(&recipe, &table)?,
            view: View::new(&recipe),
            pith: pith_on_face(&table),
        })
    }

    /// How far a place, in pixels of the picture, is dressed, 0 to 1.
    #[must_use]
    pub fn share(&self, place: [f64; 2]) -> f32 {
        let [x, y] = self.view.to_face(place);
        let [pith_x, pith_y] = self.pith;
        self.roughness
            .cover((x - pith_x) as f32, (y - pith_y) as f32)
    }
}

/// Where the pith is on the face, whose middle is the center of area of its outline.
fn pith_on_face(table: &RingTable) -> [f64; 2] {
    let steps = 720;
    let (mut area, mut x, mut y) = (0.0, 0.0, 0.0);
    for i in 0..steps {
        let turn = i as f32 / steps as f32;
        let r = f64::from(table.edge(turn));
        let (sin, cos) = (f64::from(turn) * TAU).sin_cos();
        area += r * r / 2.0;
        x += r.powi(3) / 3.0 * cos;
        y += r.powi(3) / 3.0 * sin;
    }
    [-x / area, -y / area]
}

/// Follows a line around the pith and says where it is in the picture, at equal
/// steps of angle there. `radius` gives its distance from the pith on the
/// face; None where it is not to be seen.
fn outline(
    recipe: &Recipe,
    view: View,
    pith: [f64; 2],
    radius: impl Fn(f32) -> f64,
    shown: impl Fn(f32, f64) -> bool,
) -> Outline {
    let middle = view.to_picture(pith);
    let at = |angle: f64| -> ([f64; 2], f64, f32) {
        let turn = (angle / TAU).rem_euclid(1.0).min(0.999_999_9) as f32;
        let r = radius(turn);
        (
            view.to_picture([pith[0] + r * angle.cos(), pith[1] + r * angle.sin()]),
            r,
            turn,
        )
    };
    (0..OUTLINE_STEPS)
        .map(|step| {
            let wanted = step as f64 / OUTLINE_STEPS as f64 * TAU;
            // A leaning camera turns angles: look for the direction on the
            // face that is seen in the wanted direction.
            let mut angle = wanted;
            for _ in 0..12 {
                let (p, _, _) = at(angle);
                let seen = (p[1] - middle[1]).atan2(p[0] - middle[0]);
                let off = (wanted - seen + TAU * 1.5).rem_euclid(TAU) - TAU / 2.0;
                angle += off;
                if off.abs() < 1e-7 {
                    break;
                }
            }
            let (p, r, turn) = at(angle);
            let inside = p[0] >= 0.0
                && p[1] >= 0.0
                && p[0] < f64::from(recipe.width_px)
                && p[1] < f64::from(recipe.height_px);
            (inside && shown(turn, r)).then(|| p.map(|c| (c * 100.0).round() / 100.0))
        })
        .collect()
}

fn truth(
    recipe: &Recipe,
    table: &RingTable,
    tissue: &Tissue,
    view: View,
    pith: [f64; 2],
    tape: Option<Tape>,
) -> Truth {
    let n = table.rings();
    let outlines: Vec<Outline> = (1..=n)
        .map(|k| {
            outline(
                recipe,
                view,
                pith,
                |turn| f64::from(table.boundary(k, turn)),
                |turn, r| {
                    r >= f64::from(table.hollow(turn))
                        && !lost(&table.wedges, k, f64::from(turn) * TAU)
                },
            )
        })
        .collect();
    let bark_edge = outlines.last().cloned().unwrap_or_default();
    let mean_radius = |k: usize| -> f64 {
        (0..360)
            .map(|i| f64::from(table.boundary(k, i as f32 / 360.0)))
            .sum::<f64>()
            / 360.0
    };
    let radii: Vec<f64> = (0..=n).map(mean_radius).collect();
    let widths_mm = radii
        .windows(2)
        .map(|pair| (pair[1] - pair[0]) * recipe.mm_per_px)
        .collect();
    let false_rings = tissue
        .bands
        .iter()
        .filter(|band| band.ring < n)
        .map(|band| FalseRing {
            ring: band.ring as u32 + 1,
            at_share: band.at,
            outline: outline(
                recipe,
                view,
                pith,
                |turn| {
                    let inner = f64::from(table.boundary(band.ring, turn));
                    inner + band.at * (f64::from(table.boundary(band.ring + 1, turn)) - inner)
                },
                |turn, r| {
                    r >= f64::from(table.hollow(turn))
                        && crate::rings::apart(f64::from(turn) * TAU, band.middle) < band.half
                },
            ),
        })
        .collect();
    let hollow_px = (0..360)
        .map(|i| f64::from(table.hollow(i as f32 / 360.0)))
        .sum::<f64>()
        / 360.0;
    let mean_px = recipe.radius_px() / n as f64 * recipe.tilt_deg.to_radians().cos();
    let readable =
        recipe.troubles.blur_px < 0.42 * mean_px && recipe.troubles.faint < 0.9 && mean_px >= 2.0;
    Truth {
        seed: recipe.seed,
        recipe: recipe.clone(),
        wood: recipe.wood,
        rings: n as u32,
        rings_visible: 0,
        pith: view.to_picture(pith),
        mm_per_px: recipe.mm_per_px,
        tape: tape.map(|t| t.truth(view)),
        bark_edge,
        outlines,
        widths_mm,
        wedging: table
            .wedges
            .iter()
            .map(|w| Wedging {
                ring: w.ring as u32,
                from_deg: (w.middle - w.half).to_degrees().rem_euclid(360.0),
                to_deg: (w.middle + w.half).to_degrees().rem_euclid(360.0),
            })
            .collect(),
        false_rings,
        hollow_radius_px: hollow_px,
        hollow_radius_mm: hollow_px * recipe.mm_per_px,
        across_inside_bark_mm: 2.0 * radii[n] * recipe.mm_per_px,
        strips: Vec::new(),
        readable,
    }
}

impl Recipe {
    /// A varied draw over all classes and 12 to 250 rings, with the troubles
    /// that real faces have, for measuring how well faces are read. Every one
    /// of them can be counted by a patient person.
    #[must_use]
    pub fn random(seed: u64) -> Self {
        crate::suite::draw(&mut Dice::new(seed, 100), seed)
    }

    /// A harder draw: faces as nobody prepared them, small in a scene, leaning,
    /// with the pith in a corner or out of the picture, weathered or roughly
    /// sawn. Not every one of them can be counted.
    #[must_use]
    pub fn rough(seed: u64) -> Self {
        crate::scenes::draw(&mut Dice::new(seed, 101), Self::random(seed))
    }

    /// A face left rough from the saw with one dressed strip, sometimes two, from the
    /// pith to the bark or not quite.
    #[must_use]
    pub fn dressed(seed: u64) -> Self {
        dressed::draw(&mut Dice::new(seed, 102), Self::random(seed))
    }
}
